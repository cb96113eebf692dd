package breakofftabs

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/stages/breakofftabs/holding"
)

// notHeld is the rule that findings of this stage name: a board is not held as the limits ask.
const notHeld = "board-not-held"

// trial is one choice: the tabs, what is wanting, and the islands that it was made with.
type trial struct {
	tabs    []candidate
	choice  holding.Choice
	offered int // candidates
	islands geom.Region
}

// better tells whether a trial wants less than another, or as little with fewer tabs.
func (t trial) better(u trial) bool {
	if a, b := len(t.choice.Lacks), len(u.choice.Lacks); a != b {
		return a < b
	}
	return len(t.tabs) < len(u.tabs)
}

// held counts the tabs on each island.
func (t trial) held() []int {
	n := make([]int, len(t.islands))
	for _, k := range t.tabs {
		if i := island(k.target); i >= 0 {
			n[i]++
		}
	}
	return n
}

// rounds is how often islands are given up or held by one tab more before all that are left without a
// second tab go.
const rounds = 6

// choose settles which of the candidates become tabs, and which islands of waste stay: those that at least
// two tabs hold. One that would get a single tab is given up, or gets a second where boards are held
// better so. What no tab can mend is reported.
func (s *standing) choose(ctx context.Context, env *pipeline.Env, in panel.Panel) ([]candidate, error) {
	o := overlay.Options{Workers: env.Workers}
	var forced []geom.Point
	now, err := s.try(ctx, env, in, forced)
	if err != nil {
		return nil, err
	}
	for range rounds {
		weak := map[int]bool{}
		for i, n := range now.held() {
			if n == 1 {
				weak[i] = true
			}
		}
		if len(weak) == 0 {
			break
		}
		more := append(slices.Clone(forced), s.seconds(now, weak)...)
		with, err := s.try(ctx, env, in, more)
		if err != nil {
			return nil, err
		}
		if _, err := s.ground.drop(ctx, o, weak); err != nil {
			return nil, err
		}
		without, err := s.try(ctx, env, in, forced)
		if err != nil {
			return nil, err
		}
		if now = without; with.better(without) {
			now, forced, s.ground.islands = with, more, with.islands
			if err := s.ground.clear(ctx, o); err != nil {
				return nil, err
			}
			if err := s.look(ctx, env, in); err != nil {
				return nil, err
			}
		}
	}
	env.Log.Info().Int("candidates", now.offered).Int("tabs", len(now.tabs)).
		Int("fewest_possible", now.choice.LowerBound).Bool("proved_fewest", now.choice.Proven).Msg("tabs chosen")
	if s.Placing != "by_support" { // which reports what it settles on
		s.reportLacks(env, now.choice.Lacks)
	}
	return s.withoutIdle(ctx, env, now.tabs)
}

// withoutIdle gives up the islands that no tab stands on, so that they leave no gap in the numbers.
func (s *standing) withoutIdle(ctx context.Context, env *pipeline.Env, tabs []candidate) ([]candidate, error) {
	held := trial{tabs: tabs, islands: s.ground.islands}.held()
	idle, number := map[int]bool{}, make([]int, len(held))
	for i, n := range held {
		number[i] = i - len(idle)
		if n == 0 {
			idle[i] = true
		}
	}
	tabs = slices.Clone(tabs)
	for k := range tabs {
		if i := island(tabs[k].target); i >= 0 {
			tabs[k].target = firstIsland - number[i]
		}
	}
	_, err := s.ground.drop(ctx, overlay.Options{Workers: env.Workers}, idle)
	return tabs, err
}

// seconds gives, for each island that a single tab holds, the foot of the best second one: as far from the
// first as can be.
func (s *standing) seconds(t trial, weak map[int]bool) []geom.Point {
	all := s.candidates()
	var out []geom.Point
	for i := range t.islands {
		if !weak[i] {
			continue
		}
		var first candidate
		for _, k := range t.tabs {
			if k.target == firstIsland-i {
				first = k
			}
		}
		best := -1.0
		var at geom.Point
		for _, k := range all {
			if k.target != firstIsland-i {
				continue
			}
			if d := k.other.Distance(first.other); d > best {
				best, at = d, k.foot
			}
		}
		if best > 2*first.half {
			out = append(out, first.foot, at)
		}
	}
	return out
}

// try chooses with the islands as they are. Candidates with their foot at a forced place must be chosen.
func (s *standing) try(ctx context.Context, env *pipeline.Env, in panel.Panel, forced []geom.Point) (trial, error) {
	t := trial{islands: slices.Clone(s.ground.islands)}
	if err := s.look(ctx, env, in); err != nil {
		return t, err
	}
	pins, err := s.pins()
	if err != nil {
		return t, err
	}
	all := s.candidates()
	t.offered = len(all)
	if s.Placing == "even" {
		pins = s.even(all, pins)
		all = nil
	}
	offered := append(slices.Clone(pins), all...)
	must := func(i int) bool { return i < len(pins) || slices.Contains(forced, offered[i].foot) }
	t.choice, t.tabs, err = s.among(ctx, offered, must, holding.Limits{FreeSpan: s.LongestFreeSpan, Overhang: s.LongestOverhang, Between: s.corner}, holding.Options{})
	return t, err
}

// among chooses among places offered, all of those that must be included.
func (s *standing) among(ctx context.Context, offered []candidate, must func(i int) bool, limits holding.Limits, options holding.Options) (holding.Choice, []candidate, error) {
	boards, places, of := s.forHolding(offered)
	mine := len(places)
	places = append(places, s.heldByScores()...)
	for i := range places {
		places[i].Pinned = i >= mine || must(of[i])
	}
	choice, err := holding.Choose(ctx, boards, places, limits, options)
	chosen := map[int]bool{}
	for i, k := range offered { // those within a body hold nothing, and are wanted all the same
		chosen[i] = must(i) && k.target >= 0 && s.bodyOf[k.target] == s.bodyOf[k.copy]
	}
	for _, k := range choice.Chosen {
		if k < mine {
			chosen[of[k]] = true
		}
	}
	var tabs []candidate
	for i, k := range offered {
		if chosen[i] {
			tabs = append(tabs, k)
		}
	}
	choice.LowerBound -= len(places) - mine
	return choice, tabs, err
}

// forHolding says the same in the words of package holding; of says which of the offered each place is.
func (s *standing) forHolding(offered []candidate) (boards []holding.Board, places []holding.Candidate, of []int) {
	for _, c := range s.bodies {
		b := holding.Board{ID: c.ID, Outline: c.Place.Path(c.track.path), Mass: c.mass}
		for _, z := range c.zones {
			if z.convex() {
				b.Corners = append(b.Corners, geom.Round(c.track.wrap(z.middle())))
			}
		}
		boards = append(boards, b)
	}
	for i, k := range offered {
		p := holding.Candidate{Board: s.bodyOf[k.copy], At: s.onBody(k.copy, k.at, k.foot), Foot: k.foot, Outward: k.out, Half: geom.Round(k.half), Width: k.waist, Other: -1}
		if k.target >= 0 {
			if s.bodyOf[k.target] == p.Board {
				continue // it would join a body to itself
			}
			_, along := s.copies[k.target].onPanel(k.otherAt)
			p.Other, p.OtherAt, p.OtherFoot = s.bodyOf[k.target], s.onBody(k.target, k.otherAt, k.other), k.other
			p.OtherOutward, p.OtherHalf = along.right(), geom.Round(k.half)
		}
		places, of = append(places, p), append(of, i)
	}
	return boards, places, of
}

// onBody gives a place along a copy's outline as one along that of its body.
func (s *standing) onBody(copy int, at float64, foot geom.Point) geom.Length {
	b := s.bodies[s.bodyOf[copy]]
	if len(b.copies) == 1 {
		return geom.Round(at)
	}
	return geom.Round(b.track.project(foot))
}

// lackSentence says what is wanting, and by which limit.
func (s *standing) lackSentence(l holding.Lack) (text string, limit *geom.Length, option string) {
	switch l.Kind {
	case holding.FreeSpan:
		return fmt.Sprintf("%v of its edge would be free between two tabs, more than longest_free_span (%v)", l.Measured, s.LongestFreeSpan), &s.LongestFreeSpan, "longest_free_span"
	case holding.Overhang:
		return fmt.Sprintf("a corner would overhang its nearest tab by %v, more than longest_overhang (%v)", l.Measured, s.LongestOverhang), &s.LongestOverhang, "longest_overhang"
	case holding.OppositeSides:
		return "no two of its tabs lie on opposite sides", nil, ""
	case holding.CentreOfMass:
		return fmt.Sprintf("its centre of mass lies %v outside of the polygon of its tabs", l.Measured), nil, ""
	case holding.Room:
		return fmt.Sprintf("two pinned tabs leave only %v of slot between their feet, and a cutter needs %v", l.Measured, s.corner), nil, ""
	}
	return "no tab may stand anywhere on its edge", nil, ""
}

// reportLacks reports what no tab mends. Copies of a board that want the same are told of once.
func (s *standing) reportLacks(env *pipeline.Env, lacks []holding.Lack) {
	type key struct {
		board, text string
		from, to    geom.Length
	}
	at := map[key]int{}
	var found []pipeline.Finding
	for _, l := range lacks {
		c := s.bodies[l.Board]
		text, limit, option := s.lackSentence(l)
		from, to := float64(l.From), float64(l.To)
		if to <= from {
			to += c.track.length
		}
		begin, middle := c.place(from), c.place((from+to)/2)
		side := sideOf(middle.along.right())
		why, bars := "", c.why(from, to)
		if bars != "" && s.Placing != "even" {
			why = fmt.Sprintf(": no tab can stand nearer: on the stretch from %v to %v mm, %s", begin.at, c.place(to).at, bars)
			if l.Kind == holding.NoCandidate {
				why = ": " + bars
			}
		} else if l.Kind == holding.FreeSpan && s.Placing == "planned" {
			why = fmt.Sprintf(": there is no room for one more tab from %v to %v mm", begin.at, c.place(to).at)
		}
		k := key{c.Board.Name, text + side + bars, l.From, l.To} // not why, which says where on the panel
		if i, ok := at[k]; ok {
			found[i].Copies = append(found[i].Copies, s.ids(c)...)
			continue
		}
		at[k] = len(found)
		place := middle.at
		f := pipeline.Finding{Rule: notHeld, Severity: pipeline.Error, Feature: c.ID, Copies: s.ids(c), At: &place,
			Message: fmt.Sprintf("%s, %s edge: %s%s", s.name(c), side, text, why)}
		if limit != nil {
			measured, bound := l.Measured.MM(), limit.MM()
			f.Measured, f.Limit, f.Unit, f.Option = &measured, &bound, "mm", option
		}
		found = append(found, f)
	}
	pipeline.SortFindings(found)
	for _, f := range found {
		env.Report(f)
	}
}

// spot is a place on a copy's edge on the panel.
type spot struct {
	at    geom.Point
	along vector
}

func (c *placed) place(at float64) spot {
	p, v := c.onPanel(at)
	return spot{p, v}
}
