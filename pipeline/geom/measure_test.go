package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func box4(x0, y0, x1, y1 Length) Path { return Rectangle(BoxOf(Pt(x0, y0), Pt(x1, y1))) }

func discAt(c Point, r Length) Path {
	from := Pt(c.X-r, c.Y)
	return Path{Arc(from, from, c, CounterClockwise)}
}

func closed(pts ...Point) Path {
	var p Path
	for i, q := range pts {
		p = append(p, Line(q, pts[(i+1)%len(pts)]))
	}
	return p
}

// Source of the expected values: the tables of centroids and of moments of inertia of common shapes in
// F. P. Beer and E. R. Johnston, "Vector Mechanics for Engineers: Statics" (from memory; they are in
// every handbook of mechanics): rectangle bh³/12, triangle bh³/36 with its centroid at h/3, circle πr⁴/4,
// semicircle (π/8 − 8/9π)r⁴ about its centroid at 4r/3π, quarter circle (π/16 − 4/9π)r⁴; annulus, L, T
// and I sections by adding and taking away.
func TestMomentsOfTextbookShapes(t *testing.T) {
	const b, h, r = 30 * MM, 20 * MM, 10 * MM
	bf, hf, rf := float64(b), float64(h), float64(r)
	at := Pt(-123_456_789, 87_654_321)
	semi := Path{Line(Pt(-r, 0), Pt(r, 0)), Arc(Pt(r, 0), Pt(-r, 0), Point{}, CounterClockwise)}
	quarter := Path{Line(Point{}, Pt(r, 0)), Arc(Pt(r, 0), Pt(0, r), Point{}, CounterClockwise), Line(Pt(0, r), Point{})}
	pow := math.Pow
	for _, c := range []struct {
		name                     string
		shape                    Outline
		area, cx, cy, xx, yy, xy float64
	}{
		{"rectangle", Outline{Outer: box4(0, 0, b, h)}, bf * hf, bf / 2, hf / 2, bf * pow(hf, 3) / 12, hf * pow(bf, 3) / 12, 0},
		{"triangle", Outline{Outer: closed(Point{}, Pt(b, 0), Pt(0, h))}, bf * hf / 2, bf / 3, hf / 3, bf * pow(hf, 3) / 36, hf * pow(bf, 3) / 36, -pow(bf*hf, 2) / 72},
		{"circle", Outline{Outer: discAt(Point{}, r)}, math.Pi * rf * rf, 0, 0, math.Pi * pow(rf, 4) / 4, math.Pi * pow(rf, 4) / 4, 0},
		{"semicircle", Outline{Outer: semi}, math.Pi * rf * rf / 2, 0, 4 * rf / 3 / math.Pi, (math.Pi/8 - 8/(9*math.Pi)) * pow(rf, 4), math.Pi * pow(rf, 4) / 8, 0},
		{"quarter circle", Outline{Outer: quarter}, math.Pi * rf * rf / 4, 4 * rf / 3 / math.Pi, 4 * rf / 3 / math.Pi,
			(math.Pi/16 - 4/(9*math.Pi)) * pow(rf, 4), (math.Pi/16 - 4/(9*math.Pi)) * pow(rf, 4), (1.0/8 - 4/(9*math.Pi)) * pow(rf, 4)},
		{"annulus", Outline{Outer: discAt(Point{}, r), CutOuts: []Path{discAt(Point{}, r/2).Reverse()}}, math.Pi * rf * rf * 3 / 4, 0, 0, math.Pi * pow(rf, 4) / 4 * 15 / 16, math.Pi * pow(rf, 4) / 4 * 15 / 16, 0},
		// T: flange 30 × 5 on a web 10 × 15: ȳ = (10·15·7.5 + 30·5·17.5)/300 = 12.5.
		{"T", Outline{Outer: closed(Pt(10*MM, 0), Pt(20*MM, 0), Pt(20*MM, 15*MM), Pt(30*MM, 15*MM), Pt(30*MM, 20*MM), Pt(0, 20*MM), Pt(0, 15*MM), Pt(10*MM, 15*MM))},
			300e12, 15e6, 12.5e6, (10*pow(15, 3)/12 + 150*25 + 30*pow(5, 3)/12 + 150*25) * 1e24, (15*pow(10, 3)/12 + 5*pow(30, 3)/12) * 1e24, 0},
		// I: 20 × 30 less two 8 × 20.
		{"I", Outline{Outer: closed(Pt(0, 0), Pt(20*MM, 0), Pt(20*MM, 5*MM), Pt(12*MM, 5*MM), Pt(12*MM, 25*MM), Pt(20*MM, 25*MM), Pt(20*MM, 30*MM), Pt(0, 30*MM), Pt(0, 25*MM), Pt(8*MM, 25*MM), Pt(8*MM, 5*MM), Pt(0, 5*MM))},
			280e12, 10e6, 15e6, (20*pow(30, 3) - 16*pow(20, 3)) / 12 * 1e24, (10*pow(20, 3) + 20*pow(4, 3)) / 12 * 1e24, 0},
		// L: 20 × 20 less 16 × 16 at the far corner: x̄ = (400·10 − 256·12)/144 = 6.444.
		{"L", Outline{Outer: closed(Pt(0, 0), Pt(20*MM, 0), Pt(20*MM, 4*MM), Pt(4*MM, 4*MM), Pt(4*MM, 20*MM), Pt(0, 20*MM))},
			144e12, 928.0 / 144 * 1e6, 928.0 / 144 * 1e6, (pow(20, 4)/3 - pow(16, 4)/12 - 256*144 - 928*928/144.0) * 1e24, (pow(20, 4)/3 - pow(16, 4)/12 - 256*144 - 928*928/144.0) * 1e24, (200*200 - 256*144 - 928*928/144.0) * 1e24},
	} {
		t.Run(c.name, func(t *testing.T) {
			scale := pow(c.area, 2)
			for _, shift := range []Point{{}, at} {
				m := Transform{Shift: shift}.Outline(c.shape).Moments()
				assert.InEpsilon(t, c.area, m.Area, 1e-12)
				assert.InDelta(t, c.cx+float64(shift.X), m.CX, 1e-6)
				assert.InDelta(t, c.cy+float64(shift.Y), m.CY, 1e-6)
				assert.InDelta(t, c.xx, m.XX, 1e-12*scale)
				assert.InDelta(t, c.yy, m.YY, 1e-12*scale)
				assert.InDelta(t, c.xy, m.XY, 1e-12*scale)
				xx, yy, xy := m.About(m.Centroid().Add(Pt(3*MM, -4*MM)))
				assert.InEpsilon(t, c.xx+16e12*c.area, xx, 1e-6)
				assert.InEpsilon(t, c.yy+9e12*c.area, yy, 1e-6)
				assert.InDelta(t, c.xy-12e12*c.area, xy, 1e-6*scale)
			}
		})
	}
}

// Principal moments of a rectangle turned by any angle are those of the rectangle, about its own axes.
func TestPrincipalMomentsTurnWithTheShape(t *testing.T) {
	for deg := -85; deg <= 90; deg += 5 {
		p := Transform{Turn: FromDegrees(float64(deg)), Shift: Pt(7*MM, -3*MM)}.Path(box4(0, 0, 40*MM, 10*MM))
		m := p.Moments()
		greatest, least, axis := m.Principal()
		assert.InEpsilon(t, 10e6*math.Pow(40e6, 3)/12, greatest, 1e-6)
		assert.InEpsilon(t, 40e6*math.Pow(10e6, 3)/12, least, 1e-6)
		// The greatest is about the axis across the long side.
		want := math.Mod(float64(deg)+90+720, 180)
		got := math.Mod(axis*180/math.Pi+720, 180)
		assert.InDelta(t, 0, math.Mod(want-got+270, 180)-90, 1e-4, "%d", deg)
		assert.InEpsilon(t, greatest+least, m.Polar(), 1e-12)
		x, y := m.Gyration()
		assert.InEpsilon(t, m.Polar()/m.Area, x*x+y*y, 1e-12)
	}
}

// An arc's segment, analytic, against the polygon of very many chords.
func TestMomentsOfArcsAgainstChords(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	rounds := 200
	if testing.Short() {
		rounds = 20
	}
	for range rounds {
		c := Pt(Length(r.Int64N(2e8))-1e8, Length(r.Int64N(2e8))-1e8)
		rad := 1e6 + 2e7*r.Float64()
		a, sweep := 2*math.Pi*r.Float64(), 0.05+6*r.Float64()
		on := func(f float64) Point {
			s, co := math.Sincos(a + f*sweep)
			return Pt(c.X+Round(rad*co), c.Y+Round(rad*s))
		}
		arc := Path{Arc(on(0), on(1), c, CounterClockwise), Line(on(1), on(0))}
		const n = 20000
		var chords Path
		for k := range n {
			chords = append(chords, Line(arc[0].At(float64(k)/n), arc[0].At(float64(k+1)/n)))
		}
		chords = append(chords, arc[1])
		want, got := chords.Moments(), arc.Moments()
		bound := arc.Length() * 2 // a nanometre along the border
		assert.InDelta(t, want.Area, got.Area, bound)
		assert.InDelta(t, want.CX, got.CX, 10)
		assert.InDelta(t, want.CY, got.CY, 10)
		assert.InDelta(t, want.XX, got.XX, bound*rad*rad)
		assert.InDelta(t, want.YY, got.YY, bound*rad*rad)
		assert.InDelta(t, want.XY, got.XY, bound*rad*rad)
		assert.InDelta(t, got.Area, arc.Area(), 1e-12*got.Area+1)
		back := arc.Reverse().Moments()
		assert.InDelta(t, -got.Area, back.Area, 1)
		assert.InDelta(t, got.CX, back.CX, 1e-3)
	}
}

// The area of straight paths is exact over the whole range.
func TestAreaIsExact(t *testing.T) {
	const l = Limit
	assert.Equal(t, 4e18, box4(-l, -l, l, l).Area())
	// A sliver 2 m long and half a square nanometre large, far from the origin.
	assert.Equal(t, 1e9, closed(Pt(-l, -l), Pt(l, l), Pt(l-1, l)).Area())
	assert.Equal(t, -4e18, box4(-l, -l, l, l).Reverse().Area())
	assert.Zero(t, Path(nil).Area())
	assert.Zero(t, Region(nil).Moments())
}

func TestDistanceBetweenShapes(t *testing.T) {
	a := Outline{Outer: box4(0, 0, 10*MM, 10*MM), CutOuts: []Path{box4(2*MM, 2*MM, 8*MM, 8*MM).Reverse()}}
	for _, c := range []struct {
		name string
		a, b Shape
		d    float64
		p, q Point
	}{
		{"points", Pt(0, 0), Pt(3*MM, 4*MM), 5e6, Pt(0, 0), Pt(3*MM, 4*MM)},
		{"point and line", Pt(5*MM, 3*MM), Line(Pt(0, 0), Pt(10*MM, 0)), 3e6, Pt(5*MM, 3*MM), Pt(5*MM, 0)},
		{"point and arc", Pt(0, 0), Arc(Pt(2*MM, 0), Pt(0, 2*MM), Pt(0, 0), CounterClockwise), 2e6, Pt(0, 0), Pt(2*MM, 0)},
		{"point in an outline", a, Pt(1*MM, 1*MM), 0, Pt(1*MM, 1*MM), Pt(1*MM, 1*MM)},
		{"point in a cut-out", a, Pt(5*MM, 3*MM), 1e6, Pt(5*MM, 2*MM), Pt(5*MM, 3*MM)},
		{"path round an outline", discAt(Pt(5*MM, 5*MM), 10*MM), a, math.Hypot(5e6, 5e6)*-1 + 10e6, Pt(-2071068, -2071068), Pt(0, 0)},
		{"outline in a region", Region{a}, Outline{Outer: box4(500*UM, 500*UM, 900*UM, 900*UM)}, 0, Pt(500*UM, 500*UM), Pt(500*UM, 500*UM)},
		{"outline in a cut-out", Outline{Outer: box4(4*MM, 4*MM, 5*MM, 5*MM)}, Region{a}, 2e6, Pt(4*MM, 4*MM), Pt(2*MM, 4*MM)},
		{"region round a region", Region{{Outer: box4(4*MM, 4*MM, 5*MM, 5*MM)}}, Outline{Outer: box4(0, 0, 10*MM, 10*MM)}, 0, Pt(4*MM, 4*MM), Pt(4*MM, 4*MM)},
		{"nothing", Region{}, a, math.Inf(1), Point{}, Point{}},
		{"of nothing", a, Path{}, math.Inf(1), Point{}, Point{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, p, q := Distance(c.a, c.b)
			assert.InDelta(t, c.d, d, 1)
			assert.Equal(t, [2]Point{c.p, c.q}, [2]Point{p, q})
			back, _, _ := Distance(c.b, c.a)
			assert.Equal(t, d, back)
			ready, q2, p2 := Prepare(c.b).Distance(c.a)
			assert.Equal(t, d, ready)
			if c.d > 0 {
				assert.Equal(t, [2]Point{p, q}, [2]Point{p2, q2})
			}
		})
	}
}

// Nearest, Within and Pieces against trying all.
func TestNearestAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	shapes := make([]Shape, 400)
	for i := range shapes {
		c := Pt(Length(r.Int64N(1e8)), Length(r.Int64N(1e8)))
		s := Length(r.Int64N(3e6) + 1)
		switch i % 4 {
		case 0:
			shapes[i] = Outline{Outer: box4(c.X, c.Y, c.X+s, c.Y+s)}
		case 1:
			shapes[i] = discAt(c, s)
		case 2:
			shapes[i] = Line(c, c.Add(Pt(s, -s)))
		default:
			shapes[i] = c
		}
	}
	all := Gather(shapes...)
	for range 50 {
		c := Pt(Length(r.Int64N(1e8)), Length(r.Int64N(1e8)))
		q := Region{{Outer: box4(c.X, c.Y, c.X+2*MM, c.Y+1*MM)}}
		limit := 1e6 + 9e6*r.Float64()
		var within []int
		best, who := math.Inf(1), -1
		for i, s := range shapes {
			d, _, _ := Distance(s, q)
			if d <= limit {
				within = append(within, i)
			}
			if d < best {
				best, who = d, i
			}
		}
		one := all.Nearest(q, 1)
		require.Len(t, one, 1)
		require.Equal(t, who, one[0].Shape)
		require.Equal(t, best, one[0].Distance)
		require.InDelta(t, best, one[0].At.Distance(one[0].From), 2)
		found := all.Within(q, limit)
		var got []int
		for i, n := range found {
			got = append(got, n.Shape)
			if i > 0 {
				require.LessOrEqual(t, found[i-1].Distance, n.Distance)
			}
		}
		require.ElementsMatch(t, within, got)
		require.Equal(t, found[:min(3, len(found))], all.Nearest(q, min(3, len(found))))
	}
	assert.Empty(t, all.Nearest(Point{}, 0))

	const d = 1e6
	pieces := Pieces(d, shapes...)
	of := make([]int, len(shapes))
	n := 0
	for i, p := range pieces {
		n += len(p)
		for _, k := range p {
			of[k] = i
		}
	}
	require.Equal(t, len(shapes), n)
	require.Greater(t, len(pieces), 10)
	require.Less(t, len(pieces), 390)
	for i := range shapes {
		for k := range i {
			if v, _, _ := Distance(shapes[i], shapes[k]); v <= d {
				require.Equal(t, of[i], of[k], "%d and %d", i, k)
			}
		}
	}
}

// A locator says what the region says, for points anywhere and on edges.
func TestLocatorAgainstRegion(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	region := Region{
		{Outer: RoundedRectangle(BoxOf(Pt(0, 0), Pt(40*MM, 30*MM)), 5*MM), CutOuts: []Path{discAt(Pt(20*MM, 15*MM), 6*MM).Reverse(), box4(3*MM, 10*MM, 9*MM, 20*MM).Reverse()}},
		{Outer: discAt(Pt(20*MM, 15*MM), 3*MM)},
		{Outer: closed(Pt(50*MM, 0), Pt(70*MM, 3*MM), Pt(55*MM, 9*MM), Pt(60*MM, 30*MM))},
	}
	l := NewLocator(region)
	counts := map[Location]int{}
	check := func(q Point) {
		want := region.Locate(q)
		counts[want]++
		require.Equal(t, want, l.Locate(q), "%v", q)
	}
	for range 20000 {
		check(Pt(Length(r.Int64N(76e6))-3*MM, Length(r.Int64N(36e6))-3*MM))
	}
	for _, p := range region.Paths() {
		for _, e := range p {
			check(e.From)
			check(e.At(0.37))
		}
	}
	assert.Greater(t, counts[Inside], 5000)
	assert.Greater(t, counts[Outside], 5000)
	assert.Greater(t, counts[OnEdge], 20)
}

// 500 straight edges against 20,000 polygons, as library comparisons of nearest queries have it.
func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewPCG(11, 12))
	shapes := make([]Shape, 20000)
	for i := range shapes {
		c := Pt(Length(r.Int64N(4e8)), Length(r.Int64N(3e8)))
		s := Length(r.Int64N(1e6) + 1e5)
		shapes[i] = Outline{Outer: box4(c.X, c.Y, c.X+s, c.Y+s)}
	}
	all := Gather(shapes...)
	lines := make([]Edge, 500)
	for i := range lines {
		c := Pt(Length(r.Int64N(4e8)), Length(r.Int64N(3e8)))
		lines[i] = Line(c, c.Add(Pt(2*MM, 1*MM)))
	}
	b.Run("gather", func(b *testing.B) {
		for b.Loop() {
			Gather(shapes...)
		}
	})
	b.Run("500 queries", func(b *testing.B) {
		for b.Loop() {
			for _, e := range lines {
				all.Nearest(e, 1)
			}
		}
	})
}
