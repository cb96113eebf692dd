package holding

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// TestOrderOfCandidates: the same candidates are chosen in whatever order they are given.
func TestOrderOfCandidates(t *testing.T) {
	for seed := range uint64(60) {
		boards, cands, lim := smallPanel(seed)
		want, err := Choose(context.Background(), boards, cands, lim, Options{})
		require.NoError(t, err)
		order := rand.New(rand.NewPCG(seed, 5)).Perm(len(cands))
		mixed := make([]Candidate, len(cands))
		for to, from := range order {
			mixed[to] = cands[from]
		}
		got, err := Choose(context.Background(), boards, mixed, lim, Options{})
		require.NoError(t, err)
		for i, c := range got.Chosen {
			got.Chosen[i] = order[c]
		}
		slices.Sort(got.Chosen)
		assert.Equal(t, want, got, "seed %d", seed)
	}
}

// TestArraysHold: on arrays of boards every board keeps every condition by the test's own checker, and
// copies that are the same have the same places.
func TestArraysHold(t *testing.T) {
	for _, x := range []struct {
		columns, rows int
		w, h          float64
		span, over    float64
	}{
		{3, 3, 40, 30, 40, 25}, {4, 1, 50, 20, 60, 30}, {2, 5, 33, 47, 25, 16}, {3, 2, 30, 30, 55, 40}, {4, 4, 25, 25, 200, 60},
	} {
		boards, cands := array(x.columns, x.rows, x.w, x.h, 2, 4)
		lim := Limits{FreeSpan: geom.FromMM(x.span), Overhang: geom.FromMM(x.over), Between: 2 * mm}
		got, err := Choose(context.Background(), boards, cands, lim, Options{})
		require.NoError(t, err)
		require.Empty(t, got.Lacks)
		assert.LessOrEqual(t, got.LowerBound, len(got.Chosen))
		t.Logf("%d × %d boards of %g × %g: %d tabs, bound %d, proven %v", x.columns, x.rows, x.w, x.h, len(got.Chosen), got.LowerBound, got.Proven)
		c := newChecker(boards, cands, lim)
		for b := range boards {
			assert.True(t, c.boardHolds(b, func(i int) bool { return slices.Contains(got.Chosen, i) }, 100), "board %d", b)
		}
	}
}
