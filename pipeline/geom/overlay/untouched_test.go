package overlay

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// bothWays computes what lies inside both ways if operands are found to be untouched, and makes sure
// that the same comes out.
func bothWays(t *testing.T, o Options, ops []Operand, inside func(Cover) bool) (ok bool) {
	t.Helper()
	quick, ok, err := untouched(t.Context(), o, ops, inside)
	require.NoError(t, err)
	if !ok {
		return false
	}
	a, err := Arrange(t.Context(), o, ops...)
	require.NoError(t, err)
	general, err := a.Region(t.Context(), inside)
	require.NoError(t, err)
	require.True(t, sameBytes(quick, general), "%v, %+v: %v and %v", ops, o, general, quick)
	return true
}

// insides are questions to ask of any number of operands.
var insides = []func(Cover) bool{
	func(c Cover) bool { return c.Len() > 0 },
	func(c Cover) bool { return c.Len()%2 == 1 },
	func(c Cover) bool { return c.Len() == 1 && c.Has(0) },
	func(c Cover) bool { return c.Len() > 1 },
}

// dealt gives paths to so many operands, some run backwards, with any rules.
func dealt(r *rand.Rand, paths []geom.Path, n int) []Operand {
	ops := make([]Operand, n)
	for i := range ops {
		ops[i].Rule = randomRule(r)
	}
	for _, p := range paths {
		if r.IntN(3) == 0 {
			p = p.Reverse()
		}
		op := &ops[r.IntN(n)]
		op.Paths = append(op.Paths, p)
	}
	return ops
}

// Source of the expected values here and below: the general way, which cuts the plane.
func TestUntouchedResultsOfScenes(t *testing.T) {
	n := uint64(1000)
	if testing.Short() {
		n = 150
	}
	for kind := straightScene; kind <= arcScene; kind++ {
		asked, quick := 0, 0
		for seed := range n {
			_, r, o, ops := sceneOf(kind, 1<<40+seed, 40)
			u, err := Union(t.Context(), o, ops...)
			require.NoError(t, err)
			sets := [][]Operand{ops, {Of(u...)}, dealt(r, u.Paths(), 1), dealt(r, u.Paths(), 3)}
			for _, set := range sets {
				for _, inside := range insides {
					asked++
					if bothWays(t, o, set, inside) {
						quick++
					}
				}
			}
		}
		t.Logf("kind %d: %d of %d untouched", kind, quick, asked)
		assert.Greater(t, quick, asked/20)
	}
}

// Little shapes in steps of one nanometre, also narrow and high ones: what comes within a nanometre of
// something must not pass for untouched.
func TestUntouchedWithinANanometre(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	n := 300_000
	if testing.Short() {
		n = 40_000
	}
	quick := 0
	for range n {
		w, h := 1+r.IntN(12), 1+r.IntN(12)
		switch r.IntN(4) {
		case 0:
			h *= 1 + r.IntN(300)
		case 1:
			w *= 1 + r.IntN(300)
		}
		var paths []geom.Path
		for range 1 + r.IntN(2) {
			c := make([]geom.Point, 3+r.IntN(3))
			for i := range c {
				c[i] = geom.Pt(geom.Length(r.IntN(w+1)), geom.Length(r.IntN(h+1)))
			}
			paths = append(paths, closedPath(c...))
		}
		if bothWays(t, Options{}, dealt(r, paths, 2), insides[r.IntN(len(insides))]) {
			quick++
		}
	}
	t.Logf("%d of %d untouched", quick, n)
	assert.Greater(t, quick, n/100)
}

// Outlines with arcs, thousands of nanometres apart or less, also one within the other: arcs that meet
// must not pass for untouched, however little their chords do. Source of the expected values: the distance
// of every two edges, by package geom.
func TestUntouchedArcsDoNotMeet(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 11))
	n := 20_000
	if testing.Short() {
		n = 3000
	}
	quick, met := 0, 0
	for range n {
		size := []float64{300, 3000, 50_000, 2e6}[r.IntN(4)]
		near := size * []float64{0.001, 0.02, 0.3}[r.IntN(3)]
		p := curved(r, size)
		q := shiftPath(curved(r, size), geom.Pt(geom.Round(size*r.Float64()*3), geom.Round(size*r.Float64()*3)))
		if r.IntN(4) > 0 { // the same, a little larger and a little off
			q = larger(p, 1+near/size)
			if r.IntN(2) == 0 { // with other bends
				q = bentOtherwise(r, q)
			}
			q = shiftPath(q, geom.Pt(geom.Round(near*(r.Float64()-0.5)), geom.Round(near*(r.Float64()-0.5))))
		}
		meets := pathsMeet(p, q)
		if meets {
			met++
		}
		for _, set := range [][]Operand{{{Paths: []geom.Path{p, q}}}, {{Paths: []geom.Path{p}}, {Paths: []geom.Path{q.Reverse()}}}} {
			_, ok, err := untouched(t.Context(), Options{}, set, insides[0])
			require.NoError(t, err)
			require.False(t, ok && meets, "%v and %v", p, q)
			if ok {
				quick++
			}
		}
	}
	t.Logf("%d of %d meet, %d of %d untouched", met, n, quick, 2*n)
	assert.Greater(t, quick, n/20)
	assert.Greater(t, met, n/10)
}

func larger(p geom.Path, k float64) geom.Path {
	at := func(q geom.Point) geom.Point { return geom.Pt(geom.Round(float64(q.X)*k), geom.Round(float64(q.Y)*k)) }
	out := make(geom.Path, len(p))
	for i, e := range p {
		out[i] = geom.Edge{From: at(e.From), To: at(e.To), Center: at(e.Center), Sense: e.Sense}
	}
	return out
}

// bentOtherwise makes some edges of a path straight, and bends some arcs the other way.
func bentOtherwise(r *rand.Rand, p geom.Path) geom.Path {
	out := slices.Clone(p)
	for i, e := range p {
		switch k := r.IntN(3); {
		case e.From == e.To:
		case k == 0:
			out[i] = geom.Line(e.From, e.To)
		case k == 1 && e.Sense != geom.Straight:
			c := e.From.Add(e.To).Sub(e.Center)
			out[i] = geom.Arc(e.From, e.To, c, -e.Sense)
		}
	}
	return out
}

// curved makes an outline of arcs and lines: a polygon about the origin whose sides bulge, a disc or a
// rounded rectangle.
func curved(r *rand.Rand, size float64) geom.Path {
	switch r.IntN(4) {
	case 0:
		from := polar(geom.Pt(0, 0), size, 6.3*r.Float64())
		return geom.Path{geom.Arc(from, from, geom.Pt(0, 0), geom.CounterClockwise)}
	case 1:
		w, h := geom.Round(size*(0.3+r.Float64())), geom.Round(size*(0.3+r.Float64()))
		return geom.RoundedRectangle(geom.BoxOf(geom.Pt(-w, -h), geom.Pt(w, h)), geom.Round(float64(min(w, h))*r.Float64()))
	}
	n := 3 + r.IntN(30)
	corners := make([]geom.Point, n)
	turn := 6.3 * r.Float64()
	for i := range corners {
		corners[i] = polar(geom.Pt(0, 0), size*(0.9+0.1*r.Float64()), turn+6.283185*float64(i)/float64(n))
	}
	var out geom.Path
	for i, p := range corners {
		q := corners[(i+1)%n]
		d := q.Sub(p)
		// The centre on the bisector, so far that the arc turns by anything from little to most of a circle.
		b := r.Float64()
		off := 0.5 / (0.02 + float64(0.9*b*b))
		if r.IntN(2) == 0 {
			off = -off
		}
		c := geom.Pt((p.X+q.X)/2+geom.Round(float64(d.Y)*off), (p.Y+q.Y)/2-geom.Round(float64(d.X)*off))
		sense := geom.CounterClockwise
		if r.IntN(2) == 0 {
			sense = geom.Clockwise
		}
		if r.IntN(4) == 0 || p.Distance(c) < 2 {
			out = append(out, geom.Line(p, q))
		} else {
			out = append(out, geom.Arc(p, q, c, sense))
		}
	}
	return out
}

// pathsMeet tells whether two paths meet, or edges of one that do not follow each other do.
func pathsMeet(p, q geom.Path) bool {
	for i, e := range p {
		for _, f := range q {
			if d, _, _ := geom.EdgeDistance(e, f); d == 0 {
				return true
			}
		}
		for k := i + 2; k < len(p); k++ {
			if d, _, _ := geom.EdgeDistance(e, p[k]); d == 0 && !(i == 0 && k == len(p)-1) {
				return true
			}
		}
	}
	return false
}

// A small square close to an arc lies between arc and band at most places along it: that must not pass for
// untouched. Whether the arc turns a little or far, and on whichever side the square lies, it is not lost.
func TestUntouchedBesideAnArc(t *testing.T) {
	const r = 5e6
	untouchedSets, sets := 0, 0
	for _, turn := range []float64{0.3, 0.8, 1.5, 1.6, 3, 4, 5} {
		for from := 0.0; from < 6.28; from += 0.37 {
			c := geom.Pt(0, 0)
			a, b := polar(c, r, from), polar(c, r, from+turn)
			sector := geom.Path{geom.Line(c, a), geom.Arc(a, b, c, geom.CounterClockwise), geom.Line(b, c)}
			_, ok, err := untouched(t.Context(), Options{}, []Operand{shape(sector)}, insides[0])
			require.NoError(t, err)
			require.True(t, ok, "turn %v, from %v", turn, from)
			const between = 0.47 // where no corner of a band is near
			for _, along := range []float64{0.2, between, 0.5, 0.77} {
				for _, off := range []float64{-500_000, -3000, -400, 400, 3000, 500_000} {
					what := fmt.Sprintf("turn %v, from %v, a square %v along, %v nm off", turn, from, along, off)
					m := polar(c, r+off, from+float64(turn*along))
					set := []Operand{shape(sector), shape(geom.Rectangle(geom.BoxOf(m).Grow(50)))}
					quick, ok, err := untouched(t.Context(), Options{}, set, insides[1])
					require.NoError(t, err)
					if off := math.Abs(off); along == between && off < 1000 {
						require.False(t, ok, what)
					} else if off > 450_000 && turn != 1.5 {
						require.True(t, ok, what)
					}
					sets++
					if !ok {
						continue
					}
					untouchedSets++
					if off < 0 {
						require.Len(t, quick, 1, what)
						require.Len(t, quick[0].CutOuts, 1, what)
					} else {
						require.Len(t, quick, 2, what)
					}
				}
			}
		}
	}
	t.Logf("%d of %d untouched", untouchedSets, sets)
}

// Cut-outs go to the outline that they lie in, through paths in between that bound nothing.
func TestUntouchedCutOutsGoToTheirOutline(t *testing.T) {
	var outer, ring []geom.Path
	for i := range geom.Length(4) {
		x := 1000 * ((i * 3) % 4)
		outer = append(outer, loop(x, 0, x+900, 0, x+900, 900, x, 900), loop(x+400, 400, x+400, 500, x+500, 500, x+500, 400))
		ring = append(ring, loop(x+100, 100, x+800, 100, x+800, 800, x+100, 800), loop(x+300, 300, x+300, 600, x+600, 600, x+600, 300))
	}
	ops := []Operand{shape(outer...), shape(ring...)}
	for _, inside := range insides {
		require.True(t, bothWays(t, Options{}, ops, inside))
	}
	u, err := Union(t.Context(), Options{}, ops...)
	require.NoError(t, err)
	require.Len(t, u, 4)
	for _, o := range u {
		require.Len(t, o.CutOuts, 1)
		assert.Equal(t, o.Outer[0].From.X+400, o.CutOuts[0][0].From.X)
	}
}

// The tip of a triangle at 0,0 and an edge that passes it at less than half a nanometre: it begins or ends
// straight above the tip or below it, where the outline that it belongs to goes on to the side, and comes
// down so steeply that right above the tip it is far away.
func TestUntouchedSteepEdges(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 13))
	for range 2000 {
		h, k := 200+r.IntN(1000), 600+r.IntN(3000)
		if 2*h >= k { // passes at h/(h + k)
			k = 3 * h
		}
		tip := [][2]int{{0, 0}, {-50 - r.IntN(50), -r.IntN(40)}, {-60 - r.IntN(50), 20}}
		far := 500 + r.IntN(500)
		steep := [][2]int{{1, -k}, {0, h}, {-far, h + r.IntN(100)}, {-far, h + 300}, {far, h + 400}}
		fx, fy := 1-2*r.IntN(2), 1-2*r.IntN(2)
		path := func(c [][2]int) geom.Path {
			var p []geom.Point
			for _, c := range c {
				p = append(p, geom.Pt(geom.Length(fx*c[0]), geom.Length(fy*c[1])))
			}
			return closedPath(p...)
		}
		set := []Operand{shape(path(tip)), shape(path(steep))}
		_, ok, err := untouched(t.Context(), Options{}, set, insides[0])
		require.NoError(t, err)
		require.False(t, ok, "%v and %v", tip, steep)
		steep[1][0], steep[0][0] = 40, 41 // well clear of it
		_, ok, err = untouched(t.Context(), Options{}, []Operand{set[0], shape(path(steep))}, insides[0])
		require.NoError(t, err)
		require.True(t, ok, "%v and %v", tip, steep)
	}
}
