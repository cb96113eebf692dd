package artwork

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func flashAt(x, y geom.Length) Object {
	return Object{Kind: Flash, Region: -1, Edge: geom.Edge{From: geom.Pt(x, y)}}
}

func strokeOf(e geom.Edge) Object { return Object{Kind: Stroke, Region: -1, Edge: e} }

func aperture(a Aperture) *Image { return &Image{Apertures: []Aperture{a}} }

func macro(p ...Primitive) *Image { return aperture(Aperture{Shape: Macro, Primitives: p}) }

func size(s ...geom.Length) (out [5]geom.Length) {
	copy(out[:], s)
	return out
}

func TestDistanceToPoint(t *testing.T) {
	pt := geom.Pt
	level := geom.Line(pt(0, 0), pt(10_000, 0))
	slope := geom.Line(pt(0, 0), pt(8_000, 6_000))
	quarter := geom.Arc(pt(10_000, 0), pt(0, 10_000), pt(0, 0), geom.CounterClockwise)
	box := geom.Rectangle(geom.Box{Min: pt(0, 0), Max: pt(1000, 1000)})
	cutIn := geom.Path{ // a square of 9000 with a square hole from 3000 to 6000, reached by a cut at y = 3000
		geom.Line(pt(0, 0), pt(9000, 0)), geom.Line(pt(9000, 0), pt(9000, 9000)), geom.Line(pt(9000, 9000), pt(0, 9000)),
		geom.Line(pt(0, 9000), pt(0, 3000)), geom.Line(pt(0, 3000), pt(3000, 3000)),
		geom.Line(pt(3000, 3000), pt(3000, 6000)), geom.Line(pt(3000, 6000), pt(6000, 6000)),
		geom.Line(pt(6000, 6000), pt(6000, 3000)), geom.Line(pt(6000, 3000), pt(3000, 3000)),
		geom.Line(pt(3000, 3000), pt(0, 3000)), geom.Line(pt(0, 3000), pt(0, 0)),
	}
	region := func(c ...geom.Path) *Image { return &Image{Regions: []Region{{Contours: c}}} }
	fill := Object{Kind: Fill, Aperture: -1}
	for _, c := range []struct {
		name string
		m    *Image
		o    Object
		q    geom.Point
		want float64
	}{
		{"circle: 5000 away, radius 500", aperture(Aperture{Width: 1000}), flashAt(1000, 0), pt(4000, 4000), 4500},
		{"circle, inside", aperture(Aperture{Width: 1000}), flashAt(1000, 0), pt(1300, 100), 0},
		{"circle, in its hole, which counts as covered", aperture(Aperture{Width: 1000, Hole: 600}), flashAt(0, 0), pt(0, 0), 0},
		{"circle of no size", aperture(Aperture{}), flashAt(0, 0), pt(3, 4), 5},
		{"rectangle: 3-4-5 from a corner", aperture(Aperture{Shape: Rectangle, Width: 2000, Height: 1000}), flashAt(0, 0), pt(1300, 900), 500},
		{"rectangle, beside", aperture(Aperture{Shape: Rectangle, Width: 2000, Height: 1000}), flashAt(0, 0), pt(200, -900), 400},
		{"rectangle, inside", aperture(Aperture{Shape: Rectangle, Width: 2000, Height: 1000}), flashAt(0, 0), pt(900, 400), 0},
		// Ends are half discs of radius 500 about (±500, 0).
		{"obround, off its end", aperture(Aperture{Shape: Obround, Width: 2000, Height: 1000}), flashAt(0, 0), pt(3500, 4000), 4500},
		{"obround, upright", aperture(Aperture{Shape: Obround, Width: 1000, Height: 2000}), flashAt(0, 0), pt(1200, 300), 700},
		{"obround, in its corner, not covered: hypot(480, 480) − 500", aperture(Aperture{Shape: Obround, Width: 2000, Height: 1000}), flashAt(0, 0), pt(980, 480), math.Hypot(480, 480) - 500},
		{"polygon: a square on its corner", aperture(Aperture{Shape: Polygon, Width: 2000, Vertices: 4}), flashAt(0, 0), pt(1000, 1000), 1000 / math.Sqrt2},
		{"polygon: a corner", aperture(Aperture{Shape: Polygon, Width: 2000, Vertices: 4}), flashAt(0, 0), pt(1700, 0), 700},
		{"polygon turned by 45°: its side at 1000/√2", aperture(Aperture{Shape: Polygon, Width: 2000, Vertices: 4, Turn: 45 * geom.Degree}), flashAt(0, 0), pt(1700, 0), 1700 - 1000/math.Sqrt2},
		{"round pen along a line", aperture(Aperture{Width: 200}), strokeOf(level), pt(5000, 700), 600},
		{"round pen, past the end", aperture(Aperture{Width: 200}), strokeOf(level), pt(10_300, 400), 400},
		{"round pen along an arc, from inside", aperture(Aperture{Width: 200}), strokeOf(quarter), pt(3000, 4000), 4900},
		{"round pen along an arc, from outside", aperture(Aperture{Width: 200}), strokeOf(quarter), pt(12_000, 16_000), 9900},
		{"square pen along a level line", aperture(Aperture{Shape: Rectangle, Width: 200, Height: 400}), strokeOf(level), pt(10_103, 204), 5},
		// Along (4, 3)/5 a square of side 200 is 100·(3+4)/5 = 140 wide to either side; the point is 5000 off.
		{"square pen along a slope", aperture(Aperture{Shape: Rectangle, Width: 200, Height: 200}), strokeOf(slope), pt(4000-3000, 3000+4000), 5000 - 140},
		{"obround pen along an upright line", aperture(Aperture{Shape: Obround, Width: 600, Height: 200}), strokeOf(geom.Line(pt(0, 0), pt(0, 5000))), pt(700, 2000), 400},
		{"square pen along an arc, by the circle round the pen", aperture(Aperture{Shape: Rectangle, Width: 600, Height: 800}), strokeOf(quarter), pt(12_000, 16_000), 9500},
		{"region", region(box), fill, pt(1300, 1400), 500},
		{"region, inside", region(box), fill, pt(500, 500), 0},
		{"region of two contours", region(box, geom.Rectangle(geom.Box{Min: pt(5000, 0), Max: pt(6000, 1000)})), fill, pt(4000, 500), 1000},
		{"region, in a cut-in hole", region(cutIn), fill, pt(5000, 4500), 1000},
		{"region, beside the cut-in", region(cutIn), fill, pt(1500, 3100), 0},
		{"region of a disc", region(geom.Path{geom.Arc(pt(1000, 0), pt(1000, 0), pt(0, 0), geom.Clockwise)}), fill, pt(3000, 4000), 4000},
		{"macro: circle, turned by a quarter to (0, 2000)", macro(Primitive{Kind: PrimCircle, Size: size(1000), Points: []geom.Point{pt(2000, 0)}, Turn: geom.Quarter}), flashAt(0, 0), pt(0, 4000), 1500},
		{"macro: vector line, butt ends", macro(Primitive{Kind: PrimVectorLine, Size: size(400), Points: []geom.Point{pt(0, 0), pt(4000, 3000)}}), flashAt(0, 0), pt(8000, 6000), 5000},
		{"macro: vector line, beside: 2500 off its middle", macro(Primitive{Kind: PrimVectorLine, Size: size(400), Points: []geom.Point{pt(0, 0), pt(4000, 3000)}}), flashAt(0, 0), pt(2000-1500, 1500+2000), 2300},
		{"macro: centre line, turned by 90°", macro(Primitive{Kind: PrimCenterLine, Size: size(4000, 1000), Points: []geom.Point{pt(0, 0)}, Turn: geom.Quarter}), flashAt(0, 0), pt(1500, 1000), 1000},
		{"macro: outline", macro(Primitive{Kind: PrimOutline, Points: []geom.Point{pt(0, 0), pt(1000, 0), pt(0, 1000), pt(0, 0)}}), flashAt(100, 100), pt(1100, 1100), 1000 / math.Sqrt2},
		{"macro: polygon", macro(Primitive{Kind: PrimPolygon, Size: size(2000), Vertices: 4, Points: []geom.Point{pt(0, 0)}}), flashAt(0, 0), pt(1000, 1000), 1000 / math.Sqrt2},
		{"macro: moiré, by its outer circle", macro(Primitive{Kind: PrimMoire, Size: size(2000, 100, 100, 10, 1000), Points: []geom.Point{pt(0, 0)}}), flashAt(0, 0), pt(3000, 4000), 4000},
		{"macro: moiré, its cross reaches farther", macro(Primitive{Kind: PrimMoire, Size: size(2000, 100, 100, 10, 3000), Points: []geom.Point{pt(0, 0)}}), flashAt(0, 0), pt(4500, 0), 3000},
		{"macro: thermal, by its outer circle", macro(Primitive{Kind: PrimThermal, Size: size(2000, 1800, 300), Points: []geom.Point{pt(0, 0)}}), flashAt(0, 0), pt(3000, 4000), 4000},
		{"macro: what is erased counts as covered", macro(
			Primitive{Kind: PrimCircle, Size: size(1000), Points: []geom.Point{pt(0, 0)}},
			Primitive{Kind: PrimCircle, Off: true, Size: size(900), Points: []geom.Point{pt(0, 0)}},
		), flashAt(0, 0), pt(0, 0), 0},
		{"macro: what only erases covers nothing", macro(Primitive{Kind: PrimCircle, Off: true, Size: size(900), Points: []geom.Point{pt(0, 0)}}), flashAt(0, 0), pt(0, 0), math.Inf(1)},
	} {
		if math.IsInf(c.want, 1) {
			assert.True(t, math.IsInf(c.m.DistanceToPoint(c.o, c.q), 1), c.name)
			continue
		}
		assert.InDelta(t, c.want, c.m.DistanceToPoint(c.o, c.q), 1, c.name)
		assert.InDelta(t, c.want, c.m.DistanceToEdge(c.o, geom.Line(c.q, c.q)), 1, c.name)
	}
}

func TestDistanceToEdge(t *testing.T) {
	pt := geom.Pt
	pad := aperture(Aperture{Shape: Rectangle, Width: 2000, Height: 1000})
	o := flashAt(0, 0)
	for _, c := range []struct {
		name string
		e    geom.Edge
		want float64
	}{
		{"line beside", geom.Line(pt(-5000, 700), pt(5000, 700)), 200},
		{"line that touches", geom.Line(pt(-5000, 500), pt(5000, 500)), 0},
		{"line that crosses", geom.Line(pt(-5000, 0), pt(5000, 100)), 0},
		{"line inside", geom.Line(pt(-100, 0), pt(100, 100)), 0},
		{"line from inside out", geom.Line(pt(0, 0), pt(5000, 5000)), 0},
		{"line past the corner: 3-4-5", geom.Line(pt(1300, 900), pt(9000, 900)), 500},
		// The circle of radius 5000 about (0, 5800) comes down to y = 800.
		{"arc above", geom.Arc(pt(-3000, 1800), pt(3000, 1800), pt(0, 5800), geom.CounterClockwise), 300},
		{"arc that goes round it", geom.Arc(pt(5000, 0), pt(5000, 0), pt(0, 0), geom.Clockwise), 5000 - math.Hypot(1000, 500)},
	} {
		assert.InDelta(t, c.want, pad.DistanceToEdge(o, c.e), 1, c.name)
		assert.InDelta(t, c.want, pad.DistanceToEdge(o, c.e.Reverse()), 1, c.name)
	}
}

// within tells, apart from the code under test, whether a place lies in an unturned standard shape.
func within(a Aperture, x, y float64) bool {
	w, h := float64(a.Width)/2, float64(a.Height)/2
	switch a.Shape {
	case Circle:
		return math.Hypot(x, y) <= w
	case Rectangle:
		return math.Abs(x) <= w && math.Abs(y) <= h
	case Obround:
		r := min(w, h)
		return math.Hypot(max(math.Abs(x)-(w-r), 0), max(math.Abs(y)-(h-r), 0)) <= r
	}
	// A regular polygon: within its inner circle's radius of the middle of each side.
	n := float64(a.Vertices)
	for i := range a.Vertices {
		sin, cos := math.Sincos(a.Turn.Degrees()*math.Pi/180 + (2*float64(i)+1)*math.Pi/n)
		if x*cos+y*sin > w*math.Cos(math.Pi/n) {
			return false
		}
	}
	return true
}

// The distance equals that to the nearest of a dense net of places in the shape, but for the net's
// width.
func TestDistanceAgainstSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 21))
	const steps = 120
	for i := range 120 {
		a := Aperture{
			Shape: ShapeKind(i % 4), Width: geom.Length(100 + r.IntN(2000)), Height: geom.Length(100 + r.IntN(2000)),
			Vertices: 3 + r.IntN(10), Turn: geom.Angle(r.Int64N(int64(geom.FullTurn))),
		}
		m := aperture(a)
		o := flashAt(geom.Length(r.IntN(5000)), geom.Length(r.IntN(5000)))
		along := []geom.Point{o.Edge.From}
		if i%3 != 0 && (i%3 == 1 || a.Shape == Circle) {
			far := o.Edge.From.Add(geom.Pt(geom.Length(r.IntN(6000)-3000), geom.Length(r.IntN(6000)-3000)))
			e := geom.Line(o.Edge.From, far)
			if i%3 == 2 {
				e = geom.Arc(o.Edge.From, o.Edge.From, far, geom.Clockwise)
			}
			o = strokeOf(e)
			along = along[:0]
			for k := range 201 {
				along = append(along, e.At(float64(k)/200))
			}
		}
		reach := float64(a.Reach()) + 1
		net := 2 * reach / steps
		var inside [][2]float64
		for x := -reach; x <= reach; x += net {
			for y := -reach; y <= reach; y += net {
				edge := !within(a, x+net, y) || !within(a, x-net, y) || !within(a, x, y+net) || !within(a, x, y-net)
				if within(a, x, y) && (edge || len(along) > 1 && i%20 == 0) {
					inside = append(inside, [2]float64{x, y})
				}
			}
		}
		slack := net*1.5 + o.Edge.Length()/400 + 2
		for range 3 {
			q := geom.Pt(geom.Length(r.IntN(12_000)-4000), geom.Length(r.IntN(12_000)-4000))
			sampled := math.Inf(1)
			for _, p := range along {
				x, y := float64(q.X-p.X), float64(q.Y-p.Y)
				if within(a, x, y) {
					sampled = 0
				}
				for _, s := range inside {
					sampled = min(sampled, math.Hypot(s[0]-x, s[1]-y))
				}
			}
			d := m.DistanceToPoint(o, q)
			require.LessOrEqual(t, d, sampled+1.5, "%+v %v from %v", a, o.Edge, q)
			require.GreaterOrEqual(t, d, sampled-slack, "%+v %v from %v", a, o.Edge, q)

			e := geom.Line(q, geom.Pt(geom.Length(r.IntN(12_000)-4000), geom.Length(r.IntN(12_000)-4000)))
			nearest := math.Inf(1)
			for k := range 501 {
				nearest = min(nearest, m.DistanceToPoint(o, e.At(float64(k)/500)))
			}
			d = m.DistanceToEdge(o, e)
			require.LessOrEqual(t, d, nearest+1.5, "%+v %v from %v", a, o.Edge, e)
			require.GreaterOrEqual(t, d, nearest-e.Length()/500-1.5, "%+v %v from %v", a, o.Edge, e)
		}
	}
}

// A macro is what its source shape is: turning a rectangle or obround by an odd angle and asking at
// the turned place changes nothing.
func TestDistanceOfTurnedAperture(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 23))
	for _, a := range []Aperture{
		{Shape: Rectangle, Width: 30_000, Height: 10_000}, {Shape: Obround, Width: 30_000, Height: 10_000},
		{Shape: Obround, Width: 10_001, Height: 40_000}, {Shape: Polygon, Width: 30_000, Vertices: 5},
	} {
		for range 200 {
			turn := geom.Angle(r.Int64N(int64(geom.FullTurn)))
			q := geom.Pt(geom.Length(r.IntN(100_000)-50_000), geom.Length(r.IntN(100_000)-50_000))
			want := aperture(a).DistanceToPoint(flashAt(0, 0), q)
			got := aperture(a.Turned(turn)).DistanceToPoint(flashAt(0, 0), geom.Transform{Turn: turn}.Apply(q))
			require.InDelta(t, want, got, 3, "%+v turned by %s from %v", a, turn, q)
		}
	}
}

func BenchmarkDistanceToEdge(b *testing.B) {
	var contour geom.Path
	at := func(i int) geom.Point {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%10_000) / 10_000)
		return geom.Pt(geom.Round(30e6*cos), geom.Round(20e6*sin))
	}
	for i := range 10_000 {
		contour = append(contour, geom.Line(at(i), at(i+1)))
	}
	m := &Image{Regions: []Region{{Contours: []geom.Path{contour}}}}
	d := m.Drawn(Object{Kind: Fill})
	e := geom.Line(geom.Pt(40e6, -30e6), geom.Pt(40e6, 30e6))
	for b.Loop() {
		d.DistanceToEdge(e)
	}
}

// A long contour is passed over in runs; the answers are those of its edges taken one by one.
func TestDistanceToLongContour(t *testing.T) {
	r := rand.New(rand.NewPCG(24, 25))
	var corners []geom.Point
	for i := range 1000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 1000)
		rad := 1e6 * (0.5 + r.Float64())
		corners = append(corners, geom.Pt(geom.Round(rad*cos), geom.Round(rad*sin)))
	}
	contour := ring(corners)
	m := &Image{Regions: []Region{{Contours: []geom.Path{contour}}}}
	inside := 0
	for range 500 {
		q := geom.Pt(geom.Length(r.IntN(4e6)-2e6), geom.Length(r.IntN(4e6)-2e6))
		want := geom.Outline{Outer: contour}.Distance(q)
		if contour.Locate(q) == geom.Inside {
			want = 0
			inside++
		}
		require.InDelta(t, want, m.DistanceToPoint(Object{Kind: Fill}, q), 1e-6)
	}
	assert.Greater(t, inside, 50)
}
