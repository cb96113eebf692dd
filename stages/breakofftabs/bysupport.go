package breakofftabs

import (
	"context"
	"math"
	"slices"

	"github.com/rs/zerolog"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// Placing "by_support" leaves as few tabs as the panel holds with, carried as stage support says: it keeps its limits of sag,
// strength and frequency, and every board is held from two sides with its centre of mass within its tabs. Spans and
// overhangs are left to the calculation.
//
// It begins with places: the planned tabs, the fewest that hold the boards by geometry alone, and between them as many
// as a third of the spans asks for. The panel with tabs in all of them is reckoned once (mechanics.Trial), and of many selections
// the one with the fewest tabs is taken that keeps the limits (fewest.go). It is then laid as it will be cut and reckoned in
// full (mechanics.Judge); where it does not keep the limits, or could do with less, the trial is set right by that and all
// goes on from there.
//
// Certain is that the panel as laid keeps its limits, and that by the trial's reckoning none of its tabs can be spared. Where there
// are no more tabs than must hold the boards by geometry alone (holding.Choice.LowerBound), it is the fewest there can be with
// the waste that stays. Otherwise fewer are not ruled out: not among the places, for not all selections of many can be tried, and not
// at others. Of panels with up to 16 places none was found on which a selection of them with fewer tabs keeps the limits.

// again is how often a selection is laid and reckoned in full before the best so far is taken.
const again = 4

// mostRows is up to how many rows of a trial places are tried one by one: its matrix then takes 72 MB, and each selection that is
// settled on a tenth of a second. Larger panels are treated as in coarse.go.
const mostRows = 3000

// bySupport is the work of placing tabs by support.
type bySupport struct {
	*standing
	env     *pipeline.Env
	quiet   *pipeline.Env
	in      panel.Panel
	cutters []geom.Length
	asked   mechanics.Limits
	limits  mechanics.Limits // those asked for, but for what no tabs keep
	beyond  []beyond
	webs    bool // webs of score lines count: with tabs enough they keep the limit
}

// beyond is a limit that neither the tabs that spans ask for keep nor tabs in all places.
type beyond struct {
	what               string
	limit, spans, most float64
	unit               string
}

// proven is a selection as it is cut, with what was reckoned of it in full.
type proven struct {
	laid
	chosen  []candidate
	verdict mechanics.Verdict
}

// settleBySupport lays the fewest tabs that were found.
func (s *standing) settleBySupport(ctx context.Context, env *pipeline.Env, in panel.Panel, planned []candidate, cutters []geom.Length) (laid, error) {
	quiet := *env
	quiet.Log = zerolog.Nop()
	b := &bySupport{standing: s, env: env, quiet: &quiet, in: in, cutters: cutters, webs: true}
	b.asked = s.limitsOf(env, in)
	b.limits = b.asked
	first, problems, err := b.prove(ctx, planned)
	if err != nil {
		return laid{}, err
	}
	if len(problems) > 0 {
		b.tellProblem(problems[0])
		return first.laid, b.reportWanting(ctx, planned, true)
	}
	pool, err := b.places(ctx, planned)
	if err != nil {
		return laid{}, err
	}
	var best *outcome
	if b.rows(pool.all) <= mostRows {
		best, err = b.fromPlaces(ctx, pool, first)
	} else {
		best, err = b.coarse(ctx, pool, first)
	}
	if err != nil {
		return laid{}, err
	}
	b.tell(best, first)
	return best.laid, b.reportWanting(ctx, best.chosen, false)
}

// rows is how many rows a trial of tabs has, as long as none has a longer row than moves as one.
func (b *bySupport) rows(tabs []candidate) int {
	n := 5 * len(b.copies)
	for _, k := range tabs {
		n += 3 * len(b.rowsOf(k))
	}
	return n
}

// outcome is what was settled on.
type outcome struct {
	*proven
	fewest  bool // there cannot be fewer
	tooFew  bool // no selection that was tried keeps the limits
	coarser bool // only selections by spans were tried
	// The most tabs that were tried, and what was reckoned of them.
	tried int
	all   mechanics.Verdict
	// What one more tab buys, or on large panels the next selection; nil: nothing.
	more          *proven
	moreAt        *candidate
	weakest       *candidate // where more buys the panel as a whole nothing: what it relieves, from a reserve to another
	before, after float64
}

// prove lays tabs and reckons the panel in full.
func (b *bySupport) prove(ctx context.Context, chosen []candidate) (*proven, []mechanics.Problem, error) {
	l, err := b.lay(ctx, b.quiet, b.in, chosen, b.cutters)
	if err != nil {
		return nil, nil, err
	}
	v, problems, err := mechanics.Judge(ctx, l.panel, b.env.Workers)
	return &proven{l, chosen, v}, problems, err
}

// keeps tells whether a panel keeps its limits.
func (b *bySupport) keeps(v mechanics.Verdict) bool {
	if !b.webs {
		v.Webs = 0
	}
	return v.Share(b.limits) <= 1
}

// relax gives up limits that neither the tabs that spans ask for keep nor those in all places: it is to be no worse than with the
// former then. The rules tell that limits are not kept.
func (b *bySupport) relax(spans, most mechanics.Verdict) {
	add := func(what, unit string, limit *float64, spans, most float64) {
		b.beyond = append(b.beyond, beyond{what, *limit, spans, most, unit})
		*limit = spans
	}
	if l := &b.limits.MostSag; spans.Sag > *l && most.Sag > *l {
		add("sag", " %", l, spans.Sag, most.Sag)
	}
	if l := &b.limits.LeastReserve; spans.Reserve < *l && most.Reserve < *l {
		add("reserve", " times", l, spans.Reserve, most.Reserve)
	}
	if l := &b.limits.LeastFrequency; spans.Hertz < *l && most.Hertz < *l {
		add("frequency", " Hz", l, spans.Hertz, most.Hertz)
	}
}

// limitsOf gives what the panel must keep: what stage support sets, else the limits that the rules have of
// themselves. What a later stage rules sets cannot be seen yet.
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

// fromPlaces settles on a selection of places.
func (b *bySupport) fromPlaces(ctx context.Context, pool *pool, first *proven) (*outcome, error) {
	b.ready(pool)
	l, err := b.lay(ctx, b.quiet, b.in, pool.all, b.cutters)
	if err != nil {
		return nil, err
	}
	out := &outcome{tried: len(pool.all)}
	trial, err := mechanics.NewTrial(ctx, l.panel, b.env.Workers)
	if err != nil {
		return nil, err
	}
	if len(trial.Problems) > 0 { // cannot be where the planned tabs hold; be it so
		out.proven, out.tooFew = first, !b.keeps(first.verdict)
		return out, nil
	}
	everything := &proven{l, pool.all, trial.All}
	out.all = trial.All
	b.webs = trial.All.Webs >= b.asked.LeastReserve
	b.relax(first.verdict, trial.All)
	if b.keeps(first.verdict) {
		out.proven = first
	}
	var last []bool
	for range again {
		c := b.search(pool, trial)
		if c.first = last; last != nil {
			c.most = lessWork
		}
		keep, err := c.fewest(ctx)
		if err != nil {
			return nil, err
		}
		if keep == nil || out.proven != nil && count(keep) > len(out.chosen) {
			break
		}
		last = keep
		p, problems, err := b.prove(ctx, pool.chosen(keep))
		if err != nil {
			return nil, err
		}
		good := len(problems) == 0 && b.keeps(p.verdict)
		if good && (out.proven == nil || count(keep) <= len(out.chosen)) {
			out.proven = p
			out.fewest = count(keep) <= pool.bound
		}
		if out.fewest || len(problems) > 0 {
			break
		}
		said := verdictOf(trial, keep)
		if good && said.Share(b.limits) <= float64(p.verdict.Share(b.limits)*1.01) {
			break // the trial was not too strict: it would find no fewer
		}
		if !trial.Settle(keep) {
			break
		}
		trial.Correct(p.verdict)
	}
	if out.proven == nil {
		out.proven, out.tooFew = first, true
		if b.keeps(everything.verdict) {
			out.proven, out.tooFew = everything, false
		}
	}
	if out.tooFew {
		return out, nil
	}
	return out, b.oneMore(ctx, pool, trial, out)
}

// verdictOf tells all that a trial knows of a selection.
func verdictOf(t *mechanics.Trial, keep []bool) mechanics.Verdict {
	v := t.Try(keep)
	v.Hertz = t.Hertz(keep)
	return v
}

// oneMore finds what one more tab buys most: reckoned in full too. Where many tabs are strained alike one more eases the panel as a whole by
// next to nothing; then it is the one that relieves the weakest most.
func (b *bySupport) oneMore(ctx context.Context, pool *pool, trial *mechanics.Trial, out *outcome) error {
	keep := pool.keep(out.chosen)
	if keep == nil || !trial.Settle(keep) {
		return nil
	}
	now, before := trial.Now().Share(b.limits), trial.Reserves()
	weakest := 0
	for i, r := range before {
		if keep[i] && (!keep[weakest] || r < before[weakest]) {
			weakest = i
		}
	}
	best, share := -1, now
	relief, reserve := -1, before[weakest]
	for i := range keep {
		if err := ctx.Err(); err != nil {
			return err
		}
		if keep[i] {
			continue
		}
		try := with(keep, i)
		if !b.islandsStand(pool, try) {
			continue
		}
		if s := trial.Try(try).Share(b.limits); s < float64(share*(1-next)) {
			best, share = i, s
		}
		if best >= 0 || !shares(pool, i, weakest) || !trial.Settle(try) {
			continue
		}
		if r := trial.Reserves()[weakest]; r > float64(reserve*(1+next)) {
			relief, reserve = i, r
		}
		trial.Settle(keep)
	}
	if best < 0 {
		if relief < 0 {
			return nil
		}
		best = relief
		out.weakest, out.before, out.after = &pool.all[weakest], before[weakest], reserve
	}
	p, problems, err := b.prove(ctx, append(slices.Clone(out.chosen), pool.all[best]))
	if err == nil && len(problems) == 0 {
		out.more, out.moreAt = p, &pool.all[best]
	}
	return err
}

// shares tells whether two places stand on one board.
func shares(p *pool, a, b int) bool {
	return slices.ContainsFunc(p.of[a], func(body int) bool { return slices.Contains(p.of[b], body) })
}

// next is how much less must be used up of the limits, as a share, to count.
const next = 0.002

func count(of []bool) (n int) {
	for _, x := range of {
		if x {
			n++
		}
	}
	return n
}
