package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func mm(x, y float64) Point { return Point{FromMM(x), FromMM(y)} }

func TestPointEdgeDistance(t *testing.T) {
	quarter := Arc(Pt(1000, 0), Pt(0, 1000), Pt(0, 0), CounterClockwise)
	rest := Arc(Pt(0, 1000), Pt(1000, 0), Pt(0, 0), CounterClockwise)
	for _, c := range []struct {
		name string
		q    Point
		e    Edge
		d    float64
		at   Point
	}{
		{"square to a level line", Pt(3, 4), Line(Pt(0, 0), Pt(10, 0)), 4, Pt(3, 0)},
		{"past the start: 3-4-5", Pt(-3, 4), Line(Pt(0, 0), Pt(10, 0)), 5, Pt(0, 0)},
		{"past the end: 5-12-13", Pt(15, 12), Line(Pt(0, 0), Pt(10, 0)), 13, Pt(10, 0)},
		// |(4,3)×(7,-1)|/5 = |4·(−1) − 3·7|/5 = 25/5
		{"slanting 3-4-5 line", Pt(7, -1), Line(Pt(0, 0), Pt(8, 6)), 5, Pt(4, 3)},
		{"a line without length", Pt(3, 4), Line(Pt(0, 0), Pt(0, 0)), 5, Pt(0, 0)},
		{"on the line", Pt(4, 3), Line(Pt(0, 0), Pt(8, 6)), 0, Pt(4, 3)},
		// (600, 800) lies 1000 from the centre.
		{"outside an arc", Pt(1200, 1600), quarter, 1000, Pt(600, 800)},
		{"inside an arc", Pt(300, 400), quarter, 500, Pt(600, 800)},
		{"at the centre", Pt(0, 0), quarter, 1000, Pt(1000, 0)},
		// hypot(1000−0, 0−(−2400)) = 2600
		{"beside the arc, nearest its start", Pt(0, -2400), quarter, 2600, Pt(1000, 0)},
		{"three quarters of a circle, below", Pt(0, -2400), rest, 1400, Pt(0, -1000)},
		// (600,800) → (1000,0): hypot(400, 800); → (0,1000): hypot(600, 200), the nearer.
		{"three quarters of a circle, in its mouth", Pt(600, 800), rest, math.Sqrt(400_000), Pt(0, 1000)},
		{"full circle", Pt(0, 400), Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), Clockwise), 600, Pt(0, 1000)},
		{"one metre away, to the nanometre", Pt(0, Limit), Line(Pt(-Limit, -1), Pt(Limit, -1)), 1e9 + 1, Pt(0, -1)},
	} {
		for _, e := range []Edge{c.e, c.e.Reverse()} {
			d, at := PointEdgeDistance(c.q, e)
			assert.InDelta(t, c.d, d, 1e-6, c.name)
			if c.name != "at the centre" {
				assert.Equal(t, c.at, at, c.name)
			}
		}
	}
}

func TestEdgeDistance(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b Edge
		d    float64
	}{
		{"parallel lines", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(50, 7), Pt(200, 7)), 7},
		{"end to end: 3-4-5", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(103, 4), Pt(200, 90)), 5},
		{"crossing", Line(Pt(0, 0), Pt(100, 100)), Line(Pt(0, 99), Pt(99, 0)), 0},
		{"a T that just touches", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(50, 0), Pt(50, 90)), 0},
		{"a T that misses by 1", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(50, 1), Pt(50, 90)), 1},
		// Circle of radius 1000 about the origin, line x = 1500.
		{"line beside the bulge of an arc", Line(Pt(1500, -5000), Pt(1500, 5000)), Arc(Pt(0, -1000), Pt(0, 1000), Pt(0, 0), CounterClockwise), 500},
		// The other half: the line sees only its ends, hypot(1500, 0) away along y = ±1000.
		{"line behind an arc", Line(Pt(1500, -5000), Pt(1500, 5000)), Arc(Pt(0, 1000), Pt(0, -1000), Pt(0, 0), CounterClockwise), 1500},
		{"line inside a circle", Line(Pt(-300, 0), Pt(600, 0)), Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise), 400},
		{"chord through a circle", Line(Pt(-3000, 0), Pt(600, 0)), Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise), 0},
		// Centres 3000-4000-5000 apart, radii 1000 and 500.
		{"two circles", Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise), Arc(Pt(3500, 4000), Pt(3500, 4000), Pt(3000, 4000), Clockwise), 3500},
		{"circle within a circle", Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise), Arc(Pt(500, 0), Pt(500, 0), Pt(200, 0), Clockwise), 500},
		{"about one centre", Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise), Arc(Pt(400, 0), Pt(400, 0), Pt(0, 0), Clockwise), 600},
		// Left half of a circle, right half of another: their ends face each other over 2000 − 0.
		{"back to back arcs", Arc(Pt(0, 1000), Pt(0, -1000), Pt(0, 0), CounterClockwise), Arc(Pt(2000, -1000), Pt(2000, 1000), Pt(2000, 0), CounterClockwise), 2000},
	} {
		for _, a := range []Edge{c.a, c.a.Reverse()} {
			for _, b := range []Edge{c.b, c.b.Reverse()} {
				d, pa, pb := EdgeDistance(a, b)
				assert.InDelta(t, c.d, d, 1e-6, c.name)
				assert.InDelta(t, d, pa.Distance(pb), 1.5, c.name)
				d, _, _ = EdgeDistance(b, a)
				assert.InDelta(t, c.d, d, 1e-6, c.name)
			}
		}
	}
}

// randomEdge gives a line, an arc or a circle within ±size.
func randomEdge(r *rand.Rand, size int64) Edge {
	pt := func() Point { return Pt(Length(r.Int64N(2*size)-size), Length(r.Int64N(2*size)-size)) }
	a := pt()
	switch r.IntN(5) {
	case 0, 1:
		return Line(a, pt())
	case 2:
		return Arc(a, a, pt(), CounterClockwise)
	}
	c := pt()
	sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
	rad := a.Distance(c)
	s := CounterClockwise
	if r.IntN(2) == 0 {
		s = Clockwise
	}
	return Arc(a, Pt(c.X+Round(rad*cos), c.Y+Round(rad*sin)), c, s)
}

// The nearest of many samples is never nearer than the distance, and not much farther.
func TestDistanceAgainstSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n = 2000
	for range 400 {
		a, b := randomEdge(r, 1_000_000), randomEdge(r, 1_000_000)
		q := Pt(Length(r.Int64N(2e6)-1e6), Length(r.Int64N(2e6)-1e6))
		sampled, between := math.Inf(1), math.Inf(1)
		for i := range n + 1 {
			p := a.At(float64(i) / n)
			sampled = min(sampled, p.Distance(q))
			d, _ := PointEdgeDistance(p, b)
			between = min(between, d)
		}
		step := a.Length() / n
		d, at := PointEdgeDistance(q, a)
		require.LessOrEqual(t, d, sampled+1.5, "%v %v", q, a)
		require.GreaterOrEqual(t, d, sampled-step, "%v %v", q, a)
		require.InDelta(t, d, q.Distance(at), 1.5, "%v %v", q, a)
		d, pa, pb := EdgeDistance(a, b)
		require.LessOrEqual(t, d, between+1.5, "%v %v", a, b)
		require.GreaterOrEqual(t, d, between-step, "%v %v", a, b)
		require.InDelta(t, d, pa.Distance(pb), 1.5, "%v %v", a, b)
		back, _, _ := EdgeDistance(b.Reverse(), a.Reverse())
		require.InDelta(t, d, back, 1e-3, "%v %v", a, b)
	}
}

func TestPathAndOutlineDistance(t *testing.T) {
	outer := Rectangle(Box{mm(0, 0), mm(100, 50)})
	hole := RoundedRectangle(Box{mm(40, 20), mm(60, 30)}, 5*MM).Reverse()
	o := Outline{Outer: outer, CutOuts: []Path{hole}}
	assert.Len(t, o.Edges(), 4+6) // the short sides of the hole are wholly round: two lines, four arcs

	assert.InDelta(t, 5e6, o.Distance(mm(5, 10)), 1e-6)
	assert.InDelta(t, 1e6, o.Distance(mm(-1, 10)), 1e-6)
	assert.InDelta(t, 4e6, o.Distance(mm(50, 34)), 1e-6)
	assert.InDelta(t, 5e6, o.Distance(mm(50, 25)), 1e-6)

	d, p, q := PathDistance(outer, hole)
	assert.InDelta(t, 20e6, d, 1e-6)
	assert.InDelta(t, 20e6, p.Distance(q), 1)
	d, _, _ = PathDistance(outer, Rectangle(Box{mm(103, 54), mm(110, 60)}))
	assert.InDelta(t, 5e6, d, 1e-6, "corner to corner, 3-4-5")
	d, _, _ = PathDistance(outer, Path{Line(mm(-5, 5), mm(5, 5))})
	assert.Zero(t, d)
	d, _, _ = PathDistance(outer, nil)
	assert.True(t, math.IsInf(d, 1))
}

func BenchmarkPathDistance(b *testing.B) {
	outer := RoundedRectangle(Box{mm(0, 0), mm(100, 50)}, 3*MM)
	var wavy Path
	for i := range 10_000 {
		x := 10 + float64(i)*0.008
		wavy = append(wavy, Line(mm(x, 20+float64(i%2)), mm(x+0.008, 20+float64((i+1)%2))))
	}
	for b.Loop() {
		PathDistance(outer, wavy)
	}
}
