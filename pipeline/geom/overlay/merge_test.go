package overlay

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// nodedWays gives the pieces of operands with and without keeping equal ones as one, from each pass on.
func nodedWays(t *testing.T, o Options, ops []Operand, from ...int) (plain []segment, merged [][]segment) {
	way := func(from int) []segment {
		s, err := load(t.Context(), o, ops)
		require.NoError(t, err)
		pass := 0
		segs, err := nodeWhere(t.Context(), s.segs, s.box, 1, func([]hit, int) bool {
			pass++
			return pass == from
		})
		require.NoError(t, err)
		return segs
	}
	for _, pass := range from {
		merged = append(merged, way(pass))
	}
	return way(0), merged
}

// samePieces makes sure that two lists of pieces are the same, and so are the ends that are nodes but
// for tips where a path turns back, which part chains anyway.
func samePieces(t *testing.T, plain, merged []segment, what string) {
	require.Len(t, merged, len(plain), what)
	count := map[place]int{}
	for i := range plain {
		count[plain[i].lo]++
		count[plain[i].hi]++
	}
	for i, p := range plain {
		m := merged[i]
		for _, end := range []struct {
			ends
			place
		}{{loEnd, p.lo}, {hiEnd, p.hi}} {
			if (p.nodes^m.nodes)&end.ends != 0 {
				require.Equal(t, 2, count[end.place], "%s: piece %d", what, i)
				k := i + 1
				if p.up == (end.ends == loEnd) {
					k = i - 1
				}
				q := plain[k]
				require.Equal(t, segment{p.lo, p.hi, q.src, !p.up, q.nodes}, q, "%s: pieces %d and %d", what, i, k)
			}
		}
		p.nodes, m.nodes = 0, 0
		require.Equal(t, p, m, "%s: piece %d", what, i)
	}
}

func TestMergedPiecesAreTheSame(t *testing.T) {
	n := uint64(600)
	if testing.Short() {
		n = 100
	}
	for _, kind := range []sceneKind{straightScene, chordScene} {
		for s := range n {
			name, _, o, ops := sceneOf(kind, s, 40)
			plain, merged := nodedWays(t, o, ops, 1, 2, 3)
			for _, m := range merged {
				samePieces(t, plain, m, fmt.Sprintf("%s, seed %d", name, s))
			}
		}
	}
}

// bundle are paths to and fro between two points, each corner up to d nanometres off.
func bundle(r *rand.Rand, a, b geom.Point, d geom.Length, paths int) []Operand {
	out := make([]Operand, 2)
	for i := range out {
		out[i].Rule = randomRule(r)
	}
	off := func(p geom.Point) geom.Point { return jitter(r, p, d, geom.Limit) }
	for i := range paths {
		o := &out[i%2]
		o.Paths = append(o.Paths, closedPath(off(a), off(b), off(a), off(b)))
	}
	return out
}

// TestBundlesAgainstTheirDefinition looks at edges that run side by side within a few nanometres: the
// pieces that most of them are bent into coincide.
func TestBundlesAgainstTheirDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 36))
	for _, c := range []struct {
		b     geom.Point
		d     geom.Length
		paths int
	}{
		{geom.Pt(40, 11), 2, 16},
		{geom.Pt(geom.UM, 0), 3, 14},
		{geom.Pt(-geom.UM, 700), 1, 16},
		{geom.Pt(0, geom.MM), 3, 12},
		{geom.Pt(2*geom.MM, 300*geom.UM), 3, 14},
		{geom.Pt(90*geom.MM, -90*geom.MM), 4, 12},
		{geom.Pt(-30*geom.MM, 900*geom.MM), 2, 12},
	} {
		ops := bundle(r, geom.Pt(0, 0), c.b, c.d, c.paths)
		s, err := load(t.Context(), Options{}, ops)
		require.NoError(t, err)
		f := finder{ctx: t.Context(), segs: s.segs}
		hits, err := f.find(s.box)
		require.NoError(t, err)
		if c.b.Norm() >= float64(geom.MM) {
			require.True(t, crowded(hits, len(s.segs)), "the bundle at %v does not count as one", c.b)
		}
		passes, err := againstDefinition(ops, Options{})
		require.NoError(t, err, "%v", c)
		require.Greater(t, passes, 1)
	}
}
