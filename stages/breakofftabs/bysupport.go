package breakofftabs

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/rs/zerolog"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
	"panelwright/stages/breakofftabs/holding"
)

// bySupport is the name of the rule that tells how placing "by_support" came out.
const bySupport = "tabs-by-support"

// unlimited stands for spans that are left to the calculation.
const unlimited = 10_000 * geom.MM

// tryAgain is how often a tab is put back where the panel as cut does not keep what the selection promised.
const tryAgain = 6

// settleBySupport leaves out of the planned tabs, and of as many again between them, all that the panel does not
// need: it must keep its limits of sag and strength as it is carried, and every board must still be held from two sides with
// its centre of mass within its tabs. It goes two ways, from all places and from the planned ones alone, each time
// leaving out the tab whose loss uses the limits up least, and takes the way with fewer tabs. That no tab can be
// spared is certain; that there is no other selection with fewer is not.
func (s *standing) settleBySupport(ctx context.Context, env *pipeline.Env, in panel.Panel, planned []candidate, lay func(*pipeline.Env, []candidate) (panel.Panel, error)) ([]candidate, error) {
	quiet := *env
	quiet.Log = zerolog.Nop()
	limits := s.limitsOf(env, in)
	all, err := s.more(ctx, env, in, planned)
	if err != nil {
		return nil, err
	}
	_, all = s.tabsOf(in, all) // in the order in which the panel lists them
	p, err := lay(&quiet, all)
	if err != nil {
		return nil, err
	}
	trial, err := mechanics.NewTrial(ctx, p, limits, env.Workers)
	if err != nil {
		return nil, err
	}
	if len(trial.Problems) > 0 { // the rules will say so of the panel with the planned tabs
		env.Log.Warn().Str("because", trial.Problems[0].Message).Msg("tabs stand as planned: the panel cannot be reckoned")
		boards, err := s.lacks(ctx, planned)
		if err != nil {
			return nil, err
		}
		s.reportLacks(env, boards)
		return planned, nil
	}
	first := make([]bool, len(all)) // those planned
	for i, k := range all {
		first[i] = slices.ContainsFunc(planned, func(c candidate) bool { return c.foot == k.foot && c.copy == k.copy })
	}
	choice := &selection{standing: s, all: all, trial: trial, limits: limits}
	keep, err := choice.fewest(ctx, nil)
	if err != nil {
		return nil, err
	}
	fromPlanned, err := choice.fewest(ctx, first)
	if err != nil {
		return nil, err
	}
	if fromPlanned != nil && (keep == nil || len(fromPlanned.order) == 0 || count(fromPlanned.keep) <= count(keep.keep)) {
		keep = fromPlanned
	}
	if keep == nil { // even all of them are too few: take all, the rules tell by how much
		keep = &way{keep: make([]bool, len(all))}
		for i := range keep.keep {
			keep.keep[i] = true
		}
	}
	answers, err := s.proveBySupport(ctx, &quiet, keep, all, limits, lay)
	if err != nil {
		return nil, err
	}
	s.tellBySupport(env, choice, keep, len(planned), limits, answers)
	var out []candidate
	for i, k := range all {
		if keep.keep[i] {
			out = append(out, k)
		}
	}
	lacks, err := s.lacks(ctx, out)
	if err != nil {
		return nil, err
	}
	s.reportLacks(env, lacks)
	return out, nil
}

func count(of []bool) (n int) {
	for _, x := range of {
		if x {
			n++
		}
	}
	return n
}

// limitsOf gives what the panel must keep: what stage support sets, else the limits that the rules have of
// themselves.
func (s *standing) limitsOf(env *pipeline.Env, in panel.Panel) mechanics.Limits {
	of := func(set *float64, rule string, otherwise float64) float64 {
		if set != nil {
			return *set
		}
		for _, r := range env.Rules {
			if r.Name == rule && r.Default != nil {
				return *r.Default
			}
		}
		return otherwise
	}
	x := in.Support()
	return mechanics.Limits{MostSag: of(x.MostSag, "panel-sag", math.Inf(1)), LeastReserve: of(x.LeastReserve, "tab-strength", 0),
		LeastFrequency: of(x.LeastFrequency, "panel-frequency", 0)}
}

// more gives the planned tabs and, between them, as many as half the spans ask for.
func (s *standing) more(ctx context.Context, env *pipeline.Env, in panel.Panel, planned []candidate) ([]candidate, error) {
	var feet []geom.Point
	for _, k := range planned {
		feet = append(feet, k.foot)
	}
	span, overhang := s.LongestFreeSpan, s.LongestOverhang
	options := *s.BreakoffTabs
	options.LongestFreeSpan, options.LongestOverhang = span/2, overhang/2
	was := s.BreakoffTabs
	s.BreakoffTabs = &options
	t, err := s.try(ctx, env, in, feet)
	s.BreakoffTabs = was
	return t.tabs, err
}

// selection leaves tabs out one by one.
type selection struct {
	*standing
	all    []candidate
	trial  *mechanics.Trial
	limits mechanics.Limits
}

// way is a selection and the tabs that were left out on the way to it, the last one last.
type way struct {
	keep  []bool
	order []int
}

// fewest leaves tabs out, of those allowed (nil: all), until none can be spared. It is nil where even all of those
// allowed are too few.
func (c *selection) fewest(ctx context.Context, allowed []bool) (*way, error) {
	t := c.trial.Clone()
	out := &way{keep: make([]bool, len(c.all))}
	for i := range out.keep {
		out.keep[i] = allowed == nil || allowed[i]
		if !out.keep[i] && !t.Remove(i) {
			return nil, nil
		}
	}
	if t.Now().Share(c.limits) > 1 {
		return nil, nil
	}
	// What a tab's loss costs only grows as others go: an old figure is a lower bound, and most need not be
	// reckoned again.
	cost := make([]float64, len(c.all))
	spared := make([]bool, len(c.all))
	fresh := make([]bool, len(c.all))
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		best := -1
		for i := range c.all {
			if out.keep[i] && !spared[i] && !c.all[i].pinned && (best < 0 || cost[i] < cost[best]) {
				best = i
			}
		}
		if best < 0 || cost[best] > 1 {
			return out, nil
		}
		if !fresh[best] {
			cost[best], fresh[best] = t.Without(best).Share(c.limits), true
			continue
		}
		out.keep[best] = false
		if holds, err := c.holds(ctx, out.keep); err != nil {
			return nil, err
		} else if !holds || !t.Remove(best) {
			out.keep[best], spared[best] = true, true
			continue
		}
		out.order = append(out.order, best)
		clear(fresh)
	}
}

// holds tells whether tabs hold every board from two sides with its centre of mass between them, and waste that
// stays by two tabs.
func (c *selection) holds(ctx context.Context, keep []bool) (bool, error) {
	var left []candidate
	waste := map[int]int{}
	for i, k := range c.all {
		if n := island(k.target); n >= 0 {
			waste[n] += 0
		}
		if keep[i] {
			left = append(left, k)
			if n := island(k.target); n >= 0 {
				waste[n]++
			}
		}
	}
	for _, n := range waste {
		if n < 2 {
			return false, nil
		}
	}
	lacks, err := c.lacks(ctx, left)
	return len(lacks) == 0, err
}

// lacks tells what tabs leave wanting but for the spans.
func (s *standing) lacks(ctx context.Context, tabs []candidate) ([]holding.Lack, error) {
	boards, places, _ := s.forHolding(tabs)
	places = append(places, s.heldByScores()...)
	for i := range places {
		places[i].Pinned = true
	}
	choice, err := holding.Choose(ctx, boards, places, holding.Limits{FreeSpan: unlimited, Overhang: unlimited, Between: s.corner}, holding.Options{})
	var out []holding.Lack
	for _, l := range choice.Lacks {
		if l.Kind != holding.Room {
			out = append(out, l)
		}
	}
	return out, err
}

// proveBySupport reckons the panel as it will be cut, and puts tabs back, the last one first, where it does not keep
// the limits: slots run on where a tab is left out, which the selection does not know.
func (s *standing) proveBySupport(ctx context.Context, env *pipeline.Env, w *way, all []candidate, limits mechanics.Limits, lay func(*pipeline.Env, []candidate) (panel.Panel, error)) (*mechanics.Answers, error) {
	for n := 0; ; n++ {
		var chosen []candidate
		for i, k := range all {
			if w.keep[i] {
				chosen = append(chosen, k)
			}
		}
		p, err := lay(env, chosen)
		if err != nil {
			return nil, err
		}
		a, err := mechanics.Of(ctx, p, env.Workers)
		if err != nil || n == tryAgain || len(w.order) == 0 {
			return a, err
		}
		if len(a.Problems) == 0 && a.Keeps(limits) {
			return a, nil
		}
		last := len(w.order) - 1
		w.keep[w.order[last]] = true
		w.order = w.order[:last]
	}
}

// tellBySupport says how it came out, and what one more tab would buy.
func (s *standing) tellBySupport(env *pipeline.Env, c *selection, w *way, planned int, limits mechanics.Limits, a *mechanics.Answers) {
	now := c.trial.With(w.keep)
	best, buys := -1, now
	for i := range c.all {
		if w.keep[i] {
			continue
		}
		keep := slices.Clone(w.keep)
		keep[i] = true
		if v := c.trial.With(keep); v.Share(limits) < buys.Share(limits) {
			best, buys = i, v
		}
	}
	tabs := count(w.keep)
	text := fmt.Sprintf("%d tabs keep the panel within its limits as it is carried, where spans alone ask for %d; none of them can be spared", tabs, planned)
	if len(a.Problems) > 0 || !a.Keeps(limits) {
		text = fmt.Sprintf("%d tabs, all that find room at half the spans, do not keep the panel within its limits", tabs)
	}
	figures := func(v mechanics.Verdict) string {
		return fmt.Sprintf("sag %s %% of the span (at most %s), reserve %s (at least %s)", figure(v.Sag), figure(limits.MostSag), figure(v.Reserve), figure(limits.LeastReserve))
	}
	text += ": " + figures(now)
	f := pipeline.Finding{Rule: bySupport, Severity: pipeline.Note, Feature: "panel", Message: text}
	if best >= 0 {
		k := c.all[best]
		id := s.copies[k.copy].ID
		f.Message += fmt.Sprintf(". One more tab, on %s's %s edge at %v mm, would make it %s", id, sideOf(k.out), k.foot, figures(buys))
		f.At = &k.foot
		f.Copies = []string{id}
	} else {
		f.Message += ". One more tab would buy next to nothing"
	}
	env.Report(f)
	env.Log.Info().Int("tabs", tabs).Int("planned", planned).Int("places", len(c.all)).Str("sag_percent", figure(now.Sag)).
		Str("reserve", figure(now.Reserve)).Msg("tabs left out as far as the panel holds")
}

// figure writes three digits.
func figure(v float64) string {
	switch {
	case math.IsInf(v, 0) || math.IsNaN(v):
		return "without end"
	case math.Abs(v) >= 100:
		return fmt.Sprintf("%.0f", v)
	case math.Abs(v) >= 10:
		return fmt.Sprintf("%.1f", v)
	case math.Abs(v) >= 1:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.3f", v)
}
