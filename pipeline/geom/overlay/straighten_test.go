package overlay

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Edges that were bent time and again must not be straightened past a corner. The seeds named have been
// once: an outer path then ran clockwise.
func TestStraightenedBundlesBoundTheirArea(t *testing.T) {
	for _, seed := range []uint64{1578, 5413, 6888} {
		r := rand.New(rand.NewPCG(seed, 99))
		ops := nearlyParallel(r, geom.MM, 40+r.IntN(60))
		a, err := Arrange(t.Context(), Options{}, ops...)
		require.NoError(t, err)
		patches, err := a.Patches(t.Context())
		require.NoError(t, err)
		for _, p := range patches {
			require.NoError(t, checkStraight(p.Region), "seed %d, operands %v", seed, p.Operands)
		}
	}
}

func TestBounds(t *testing.T) {
	ring := func(corners ...place) (segs []segment) {
		for i, c := range corners {
			segs = append(segs, between(c, corners[(i+1)%len(corners)], 0, 0))
		}
		return segs
	}
	a, b, c := at(10, 10), at(30, 12), at(20, 40)
	hole := ring(at(18, 20), at(20, 24), at(22, 20))
	outside := ring(at(50, 20), at(52, 24), at(54, 20))
	for what, s := range map[string]struct {
		segs []segment
		want bool
	}{
		"a triangle":           {ring(a, b, c), true},
		"clockwise":            {ring(c, b, a), false},
		"with a hole":          {append(ring(a, b, c), hole...), true},
		"a hole outside":       {append(ring(a, b, c), outside...), false},
		"there and back":       {ring(a, b), false},
		"twice":                {append(ring(a, b, c), ring(a, b, c)...), false},
		"an edge over another": {ring(at(0, 0), at(10, 10), at(10, 0), at(0, 10)), false},
	} {
		got, err := bounds(t.Context(), s.segs)
		require.NoError(t, err)
		assert.Equal(t, s.want, got, what)
	}
}
