package overlay

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
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

// samePieces makes sure that two lists of pieces are the same, but for their order, and so are the ends
// that are nodes but for tips where a path turns back, which part chains anyway.
func samePieces(t *testing.T, plain, merged []segment, what string) {
	require.Len(t, merged, len(plain), what)
	sorted := func(segs []segment) []segment {
		return slices.SortedFunc(slices.Values(segs), func(a, b segment) int {
			return cmp.Or(cmp.Compare(a.src, b.src), cmp.Compare(a.lo, b.lo), cmp.Compare(a.hi, b.hi), cmp.Compare(a.delta(), b.delta()))
		})
	}
	plain, merged = sorted(plain), sorted(merged)
	count := map[place]int{}
	for _, s := range plain {
		count[s.lo]++
		count[s.hi]++
	}
	for i, p := range plain {
		m := merged[i]
		if (p.nodes^m.nodes)&loEnd != 0 {
			require.Equal(t, 2, count[p.lo], "%s: a tip at %v", what, p.lo)
		}
		if (p.nodes^m.nodes)&hiEnd != 0 {
			require.Equal(t, 2, count[p.hi], "%s: a tip at %v", what, p.hi)
		}
		p.nodes, m.nodes = 0, 0
		require.Equal(t, p, m, what)
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

// TestBundlesOfOperands holds the areas of a bundle whose every path is an operand against those of its
// patches, and the operands in another order against themselves.
func TestBundlesOfOperands(t *testing.T) {
	r := rand.New(rand.NewPCG(37, 38))
	var ops []Operand
	for _, op := range bundle(r, geom.Pt(0, 0), geom.Pt(2*geom.MM, 300*geom.UM), 3, 14) {
		for _, p := range op.Paths {
			ops = append(ops, Operand{[]geom.Path{p}, op.Rule})
		}
	}
	passes, err := againstDefinition(ops, Options{})
	require.NoError(t, err)
	require.Greater(t, passes, 1)
	v := newVerdict(t.Context(), r, Options{}, ops)
	require.NoError(t, v.all())
}

// TestLargeBundle asks of a bundle too large for the definition all that must hold for any operands.
func TestLargeBundle(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	r := rand.New(rand.NewPCG(39, 40))
	ops := bundle(r, geom.Pt(0, 0), geom.Pt(2*geom.MM, 300*geom.UM), 3, 28)
	v := newVerdict(t.Context(), r, Options{}, ops)
	require.NoError(t, v.all())
}

// TestTooMuch makes sure that bundles too large to be done end in an error, on any number of processors.
func TestTooMuch(t *testing.T) {
	ops := bundle(rand.New(rand.NewPCG(41, 42)), geom.Pt(0, 0), geom.Pt(2*geom.MM, 300*geom.UM), 3, 14)
	s, err := load(t.Context(), Options{}, ops)
	require.NoError(t, err)
	n := 0
	for _, room := range []int{0, 10_000_000} {
		f := finder{ctx: t.Context(), segs: s.segs, workers: 1, room: room}
		hits, err := f.find(s.box)
		require.NoError(t, err)
		n = len(hits)
	}
	for _, workers := range []int{1, 2, 8} {
		f := finder{ctx: t.Context(), segs: s.segs, workers: workers, room: n - 1}
		_, err := f.find(s.box)
		require.ErrorContains(t, err, "too many for one call")
		f = finder{ctx: t.Context(), segs: s.segs, workers: workers, room: n}
		hits, err := f.find(s.box)
		require.NoError(t, err)
		require.Len(t, hits, n)
	}
	f := finder{ctx: t.Context(), segs: s.segs, workers: 1}
	hits, err := f.find(s.box)
	require.NoError(t, err)
	m := merge(&f, hits)
	m.bend(&f, hits)
	segs, err := m.expand(maxPieces)
	require.NoError(t, err)
	shared := 0
	for i, a := range segs {
		if i > 0 && a.lo == segs[i-1].lo && a.hi == segs[i-1].hi || i+1 < len(segs) && a.lo == segs[i+1].lo && a.hi == segs[i+1].hi {
			shared++
		}
	}
	require.Greater(t, 2*shared, len(segs), "most pieces of a bundle coincide")
	_, err = m.expand(int64(shared))
	require.NoError(t, err)
	_, err = m.expand(int64(shared) - 1)
	require.ErrorContains(t, err, "too many for one call")
}
