package breakofftabs

import (
	"context"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// someStaves lays bare boards side by side in a frame of four rails, carried above and below.
func someStaves(t testing.TB, width, height float64, columns int, newtons float64) panel.Panel {
	t.Helper()
	w, h := geom.FromMM(width), geom.FromMM(height)
	board := &panel.Board{Name: "stave", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(w, h)})}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for c := range columns {
		b.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+c), Board: board, Column: c, Place: panel.Settle(board, 0, geom.Pt(geom.Length(c)*(w+2*geom.MM), 0))})
	}
	p, err := b.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 8*geom.MM, 2*geom.MM, 0, false).
		SetSupport(panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Force: panel.Constant{Value: newtons, Unit: "N"},
			Laminate: laminate.Default(), Open: 8 * geom.MM, Fine: 2 * geom.MM}).Build()
	require.NoError(t, err)
	return p
}

// bySupportOf makes ready to select, of places as far apart as span asks for.
func bySupportOf(t testing.TB, in panel.Panel, span geom.Length) (*bySupport, *pool, *mechanics.Trial) {
	t.Helper()
	s := Kind().New().(*BreakoffTabs)
	s.Placing, s.LongestFreeSpan, s.LongestOverhang = "by_support", span, span/2
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 1}, func(pipeline.Finding) {}, nil)
	st, cutters, err := s.survey(t.Context(), env, in)
	require.NoError(t, err)
	planned, err := st.choose(t.Context(), env, in)
	require.NoError(t, err)
	b := &bySupport{standing: st, env: env, quiet: env, in: in, cutters: cutters}
	p, err := b.places(t.Context(), planned)
	require.NoError(t, err)
	b.ready(p)
	l, err := b.lay(t.Context(), env, in, p.all, cutters)
	require.NoError(t, err)
	trial, err := mechanics.NewTrial(t.Context(), l.panel, 1)
	require.NoError(t, err)
	require.Empty(t, trial.Problems)
	return b, p, trial
}

// byForce looks at every selection of places.
func byForce(t testing.TB, b *bySupport, p *pool, trial *mechanics.Trial) int {
	t.Helper()
	least := len(p.all) + 1
	trial.Aim(b.limits)
	keep := make([]bool, len(p.all))
	for set := range uint(1) << len(p.all) {
		if bits.OnesCount(set) >= least {
			continue
		}
		for i := range keep {
			keep[i] = set>>i&1 == 1
		}
		if b.holds(p, keep, nil) && trial.Try(keep).Share(b.limits) <= 1 {
			least = bits.OnesCount(set)
		}
	}
	return least
}

// TestFewestByForce: of a dozen places or so no selection that keeps the limits has fewer tabs than the one found. Limits
// are set so that they, not geometry, say how many there must be.
func TestFewestByForce(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 8))
	more, most := 0, 0
	for n := range 6 {
		columns := 1 + n%2
		in := someStaves(t, 30+float64(random.IntN(40)), 30+float64(random.IntN(30)), columns, 5)
		span := 110 * geom.MM
		if columns == 2 {
			span = 170 * geom.MM
		}
		b, p, trial := bySupportOf(t, in, span)
		require.LessOrEqual(t, len(p.all), 15)
		most = max(most, len(p.all))
		all := trial.Now()
		for _, share := range []float64{0.95, 0.8, 0.6, 0.4} {
			b.limits = mechanics.Limits{MostSag: all.Sag / share, LeastReserve: all.Reserve * share}
			want := byForce(t, b, p, trial)
			keep, err := b.search(p, trial.Clone()).fewest(t.Context())
			require.NoError(t, err)
			require.NotNil(t, keep)
			assert.Equal(t, want, count(keep), "board %d, share %v, of %d places, bound %d", n, share, len(p.all), p.bound)
			if want > p.bound {
				more++
			}
			assert.True(t, b.holds(p, keep, nil))
			assert.LessOrEqual(t, trial.Try(keep).Share(b.limits), 1.0)
		}
	}
	assert.Greater(t, more, 8, "else only geometry was tried")
	assert.Greater(t, most, 8)
}

// TestCoarse: on large panels only selections by spans are tried, by halves; what comes out keeps the limits, and none of the
// selections with fewer tabs does.
func TestCoarse(t *testing.T) {
	b, p, _ := bySupportOf(t, someStaves(t, 50, 40, 2, 5), 60*geom.MM)
	planned, err := b.familiesOf(t.Context(), p.offered, quick)
	require.NoError(t, err)
	first, problems, err := b.prove(t.Context(), planned[len(planned)-1])
	require.NoError(t, err)
	require.Empty(t, problems)
	for _, reserve := range []float64{0.01, 0.5, 0.9} {
		b.asked = mechanics.Limits{MostSag: 100, LeastReserve: first.verdict.Reserve * reserve}
		b.limits, b.beyond = b.asked, nil
		out, err := b.coarse(t.Context(), p, first)
		require.NoError(t, err)
		assert.True(t, out.coarser)
		assert.False(t, out.tooFew)
		assert.LessOrEqual(t, out.verdict.Share(b.asked), 1.0)
		for _, tabs := range planned {
			if len(tabs) < len(out.chosen) {
				x, _, err := b.prove(t.Context(), tabs)
				require.NoError(t, err)
				assert.Greater(t, x.verdict.Share(b.asked), 1.0)
			}
		}
		if out.more != nil {
			assert.Greater(t, len(out.more.chosen), len(out.chosen))
		}
		b.tell(out, first)
	}
	b.asked = mechanics.Limits{MostSag: 100, LeastReserve: 100 * first.verdict.Reserve}
	b.limits, b.beyond = b.asked, nil
	out, err := b.coarse(t.Context(), p, first)
	require.NoError(t, err)
	assert.Len(t, b.beyond, 1)
	assert.GreaterOrEqual(t, out.verdict.Reserve, first.verdict.Reserve, "no worse")
}

// TestNothingKeepsTheLimits: where even all places are too few there is no selection.
func TestNothingKeepsTheLimits(t *testing.T) {
	b, p, trial := bySupportOf(t, someStaves(t, 40, 30, 1, 5), 110*geom.MM)
	b.limits = mechanics.Limits{MostSag: 100, LeastReserve: 5 * trial.Now().Reserve}
	keep, err := b.search(p, trial).fewest(t.Context())
	require.NoError(t, err)
	assert.Nil(t, keep)
}

// TestSearchStops: a search ends when nobody wants it any more.
func TestSearchStops(t *testing.T) {
	b, p, trial := bySupportOf(t, someStaves(t, 60, 40, 1, 5), 60*geom.MM)
	all := trial.Now()
	b.limits = mechanics.Limits{MostSag: all.Sag * 1.5, LeastReserve: all.Reserve * 0.7}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := b.search(p, trial).fewest(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}

// TestStride: every place comes once before any comes twice.
func TestStride(t *testing.T) {
	for n := 1; n < 60; n++ {
		s, seen := newStride(n), map[int]bool{}
		for range n {
			seen[s.next()] = true
		}
		assert.Len(t, seen, n)
	}
}

// TestUnlike: copies that have the same tabs are alike; each that has not counts.
func TestUnlike(t *testing.T) {
	_, p, _ := bySupportOf(t, someStaves(t, 40, 40, 2, 5), 60*geom.MM)
	keep := make([]bool, len(p.all))
	assert.Zero(t, p.unlike(keep))
	same, at := []int{}, -1
	for i, k := range p.alike {
		if p.sizes[k] == 2 && (at < 0 || k == at) {
			at, same = k, append(same, i)
		}
	}
	require.Len(t, same, 2, "the same place on both copies")
	assert.NotEqual(t, p.all[same[0]].copy, p.all[same[1]].copy)
	keep[same[0]] = true
	assert.Equal(t, 1, p.unlike(keep))
	keep[same[1]] = true
	assert.Zero(t, p.unlike(keep))
}
