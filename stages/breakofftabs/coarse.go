package breakofftabs

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/stages/breakofftabs/holding"
)

// coarse is for panels so large that trying places one by one would take long: only selections are tried that spans of different
// lengths ask for, each reckoned in full, and of those the one with the fewest tabs is looked for by halves. That shorter
// spans never hold worse is taken for granted.
func (b *bySupport) coarse(ctx context.Context, p *pool, first *proven) (*outcome, error) {
	b.env.Log.Info().Int("rows", b.rows(p.all)).Int("most", mostRows).Msg("panel too large to try places one by one: selections by spans are tried")
	families, err := b.familiesOf(ctx, p.offered, quick)
	if err != nil {
		return nil, err
	}
	families = slices.DeleteFunc(families, func(tabs []candidate) bool {
		held := trial{tabs: tabs, islands: b.ground.islands}.held()
		return slices.Contains(held, 1)
	})
	b.webs = first.verdict.Webs >= b.asked.LeastReserve // more tabs do not mend those
	out := &outcome{coarser: true}
	tried := make([]*proven, len(families))
	if n := len(families) - 1; n >= 0 {
		most, problems, err := b.prove(ctx, families[n])
		if err != nil {
			return nil, err
		}
		if len(problems) == 0 {
			out.tried, out.all, tried[n] = len(families[n]), most.verdict, most
			b.relax(first.verdict, most.verdict)
		}
	}
	if b.keeps(first.verdict) {
		out.proven = first
	}
	try := func(i int) (bool, error) {
		if tried[i] == nil {
			x, problems, err := b.prove(ctx, families[i])
			if err != nil {
				return false, err
			}
			if len(problems) > 0 {
				x.verdict = mechanics.Verdict{Falls: true}
			}
			tried[i] = x
		}
		return b.keeps(tried[i].verdict), nil
	}
	low, high := 0, len(families) // all before low do not keep the limits, those from high on do
	for low < high {
		i := (low + high) / 2
		good, err := try(i)
		if err != nil {
			return nil, err
		}
		if good {
			high = i
		} else {
			low = i + 1
		}
	}
	if high < len(families) && (out.proven == nil || len(families[high]) <= len(out.chosen)) {
		out.proven, out.fewest = tried[high], p.bound > 0 && len(families[high]) <= p.bound
	}
	if out.proven == nil {
		out.proven, out.tooFew = first, true
		return out, nil
	}
	for i := range families {
		if len(families[i]) > len(out.chosen) {
			_, err := try(i)
			out.more = tried[i]
			return out, err
		}
	}
	return out, nil
}

// spans are the lengths of spans, in those that the recipe gives, that families of selections are made with; 0: none.
var spans = [...]float64{0, 4, 3, 2.5, 2, 1.7, 1.4, 1.2, 1, 0.85, 0.7, 0.6}

// familiesOf gives selections of places that hold the boards as spans of different lengths ask for, those with the fewest
// tabs first.
func (b *bySupport) familiesOf(ctx context.Context, offered []candidate, options holding.Options) ([][]candidate, error) {
	var out [][]candidate
	for _, x := range spans {
		limits := holding.Limits{FreeSpan: unlimited, Overhang: unlimited, Between: b.corner}
		if x > 0 {
			limits.FreeSpan, limits.Overhang = geom.Round(float64(b.LongestFreeSpan)*x), geom.Round(float64(b.LongestOverhang)*x)
		}
		_, tabs, err := b.among(ctx, offered, func(i int) bool { return offered[i].pinned }, limits, options)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(out, func(o []candidate) bool { return slices.EqualFunc(o, tabs, sameTab) }) {
			out = append(out, tabs)
		}
	}
	slices.SortStableFunc(out, func(a, b []candidate) int { return len(a) - len(b) })
	return out, nil
}

// sameTab tells whether two candidates are one.
func sameTab(a, b candidate) bool { return a.copy == b.copy && a.foot == b.foot }
