package geom

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exactMoments works out those of a path of straight edges in fractions without rounding, about the
// origin: Green's theorem edge by edge (as in C. Steger, "On the calculation of arbitrary moments of
// polygons", 1996; from memory). Nothing in it is shared with the code under test.
func exactMoments(p Path) (a, cx, cy, xx, yy, xy *big.Rat) {
	num := func(v Length) *big.Rat { return new(big.Rat).SetInt64(int64(v)) }
	mul := func(f ...*big.Rat) *big.Rat {
		out := big.NewRat(1, 1)
		for _, v := range f {
			out.Mul(out, v)
		}
		return out
	}
	sum := func(f ...*big.Rat) *big.Rat {
		out := new(big.Rat)
		for _, v := range f {
			out.Add(out, v)
		}
		return out
	}
	a, cx, cy, xx, yy, xy = new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat), new(big.Rat)
	two := big.NewRat(2, 1)
	for _, e := range p {
		x0, y0, x1, y1 := num(e.From.X), num(e.From.Y), num(e.To.X), num(e.To.Y)
		c := new(big.Rat).Sub(mul(x0, y1), mul(x1, y0))
		a.Add(a, mul(c, big.NewRat(1, 2)))
		cx.Add(cx, mul(c, sum(x0, x1), big.NewRat(1, 6)))
		cy.Add(cy, mul(c, sum(y0, y1), big.NewRat(1, 6)))
		xx.Add(xx, mul(c, sum(mul(y0, y0), mul(y0, y1), mul(y1, y1)), big.NewRat(1, 12)))
		yy.Add(yy, mul(c, sum(mul(x0, x0), mul(x0, x1), mul(x1, x1)), big.NewRat(1, 12)))
		xy.Add(xy, mul(c, sum(mul(x0, y1), mul(two, x0, y0), mul(two, x1, y1), mul(x1, y0)), big.NewRat(1, 24)))
	}
	if a.Sign() == 0 {
		return a, cx, cy, xx, yy, xy
	}
	cx.Quo(cx, a)
	cy.Quo(cy, a)
	xx.Sub(xx, mul(a, cy, cy))
	yy.Sub(yy, mul(a, cx, cx))
	xy.Sub(xy, mul(a, cx, cy))
	return a, cx, cy, xx, yy, xy
}

// star gives n corners round c, none of whose edges cross.
func star(r *rand.Rand, c Point, size float64, n int) Path {
	corners := make([]Point, n)
	for k := range corners {
		sin, cos := math.Sincos((float64(k) + 0.9*r.Float64()) / float64(n) * 2 * math.Pi)
		rad := size * (0.3 + 0.7*r.Float64())
		corners[k] = c.Add(Pt(Round(rad*cos), Round(rad*sin)))
	}
	return closed(corners...)
}

// Areas are the very floats nearest to the exact ones, from a micrometre's size to two metres', crossing
// themselves or not; the moments of small shapes a metre from the origin keep their digits.
func TestMomentsAgainstFractions(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	far := 0
	for i := range 600 {
		size := []int64{3, 1_000, 1_000_000, int64(Limit)}[i%4]
		n := 3 + r.IntN(12)
		corners := make([]Point, n)
		for k := range corners {
			corners[k] = Pt(Length(r.Int64N(2*size+1)-size), Length(r.Int64N(2*size+1)-size))
		}
		p := closed(corners...)
		a, _, _, _, _, _ := exactMoments(p)
		want, _ := a.Float64()
		require.Equal(t, want, p.Area(), "case %d: %v", i, corners)
		require.Equal(t, want, p.Moments().Area, "case %d: %v", i, corners)

		at := Pt(Length(r.Int64N(1.8e9))-9e8, Length(r.Int64N(1.8e9))-9e8)
		rad := math.Pow(10, 3+5*r.Float64())
		q := star(r, at, rad, n)
		a, cx, cy, xx, yy, xy := exactMoments(q)
		m := q.Moments()
		area, _ := a.Float64()
		require.Equal(t, area, m.Area)
		if area < 0.05*rad*rad { // three corners on one side of the middle
			continue
		}
		far++
		scale := 1e-12 * area * rad * rad
		for k, v := range []*big.Rat{xx, yy, xy} {
			f, _ := v.Float64()
			require.InDelta(t, f, []float64{m.XX, m.YY, m.XY}[k], scale, "case %d", i)
		}
		x, _ := cx.Float64()
		y, _ := cy.Float64()
		require.InDelta(t, x, m.CX, 1e-6)
		require.InDelta(t, y, m.CY, 1e-6)
	}
	assert.Greater(t, far, 400)
}

// Half-way cases of rounding to a float: odd numbers above 2⁵³ and what lies above 64 digits.
func TestWideRoundsOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	for i := range 20_000 {
		var w wide
		exact := new(big.Int)
		for range 1 + i%40 {
			a, b := int64(r.Uint64()>>1), int64(r.Uint64()>>(r.IntN(60)+1))
			if r.IntN(2) == 0 {
				a = -a
			}
			if i%2 == 0 {
				a, b = a>>32, 1<<30+b>>40
			}
			if i%3 == 0 {
				a, b = 1<<53+a&7, 1<<(i%20)
			}
			w.addProduct(a, b)
			exact.Add(exact, new(big.Int).Mul(big.NewInt(a), big.NewInt(b)))
		}
		if exact.BitLen() > 126 {
			continue
		}
		want, _ := new(big.Float).SetInt(exact).Float64()
		require.Equal(t, want, w.float(), "%v", exact)
	}
}

// Turning and shifting leave areas and principal moments, mirroring turns XY round, and the pieces of a
// cut shape add up by the parallel-axis theorem.
func TestMomentsMoveWithTheShape(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for range 300 {
		o := Outline{Outer: star(r, Point{}, 2e7, 5+r.IntN(8))}
		if r.IntN(2) == 0 {
			o.Outer = RoundedRectangle(BoxOf(Pt(-20*MM, -10*MM), Pt(20*MM, 10*MM)), Length(1+r.Int64N(10e6)))
		}
		o.CutOuts = []Path{discAt(Pt(1*MM, 0), Length(1e5+r.Int64N(2e6))).Reverse()}
		m := o.Moments()
		g, l, _ := m.Principal()
		tr := Transform{Turn: Angle(r.Int64N(int64(FullTurn))), Shift: Pt(Length(r.Int64N(1e9))-5e8, Length(r.Int64N(1e9))-5e8)}
		turned := tr.Outline(o).Moments()
		g2, l2, _ := turned.Principal()
		// Corners are rounded to the grid: a nanometre along the border.
		bound := 2 * o.Perimeter()
		require.InDelta(t, m.Area, turned.Area, bound)
		require.InDelta(t, g, g2, bound*1e15)
		require.InDelta(t, l, l2, bound*1e15)
		require.LessOrEqual(t, l, g)
		c := tr.Apply(m.Centroid())
		require.InDelta(t, 0, c.Distance(turned.Centroid()), 10)
		require.InDelta(t, o.Perimeter(), tr.Outline(o).Perimeter(), 100)

		// Two pieces apart, as one region and each by itself, about one point.
		two := Region{o, Transform{Shift: Pt(60*MM, -15*MM)}.Outline(o)}
		at := Pt(Length(r.Int64N(1e8)), Length(r.Int64N(1e8)))
		xx, yy, xy := two.Moments().About(at)
		x1, y1, z1 := two[0].Moments().About(at)
		x2, y2, z2 := two[1].Moments().About(at)
		require.InEpsilon(t, x1+x2, xx, 1e-12)
		require.InEpsilon(t, y1+y2, yy, 1e-12)
		require.InDelta(t, z1+z2, xy, 1e-12*(xx+yy))
		require.InEpsilon(t, 2*m.Area, two.Area(), 1e-12)
		require.InEpsilon(t, 2*o.Perimeter(), two.Perimeter(), 1e-12)
	}
}

// Source of the expected values: the circular segment as handbooks have it (from
// memory): segment of radius r and half angle h: area r²(2h − sin 2h)/2, centroid 4r sin³h / 3(2h − sin 2h).
func TestCircularSegments(t *testing.T) {
	const r = 500 * MM
	rf := float64(r)
	for _, h := range []float64{0.001, 0.01, 0.05, 0.0999, 0.1001, 0.5, math.Pi / 2, 2, 3} {
		s, c := math.Sincos(h)
		from, to := Pt(Round(rf*c), Round(-rf*s)), Pt(Round(rf*c), Round(rf*s))
		p := Path{Arc(from, to, Point{}, CounterClockwise), Line(to, from)}
		m := p.Moments()
		// The ends are rounded: h by as much as 0.7 nm in r.
		area := rf * rf * (2*h - math.Sin(2*h)) / 2
		require.InDelta(t, area, m.Area, 2*p.Length(), "%v", h)
		require.InDelta(t, 0, m.CY, 1e-3, "%v", h)
		if h >= 0.05 {
			require.InDelta(t, 4*rf*s*s*s/(3*(2*h-math.Sin(2*h))), m.CX, 5, "%v", h)
		}
		require.InDelta(t, 2*h*rf+2*rf*s, p.Length(), 5)
	}
}
