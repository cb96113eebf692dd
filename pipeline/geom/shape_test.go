package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What begins on an arc, to within the rounding of its first point, and runs into the area meets it.
func TestWhatStartsOnAnArcMeetsTheArea(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	inside := 0
	for range 2000 {
		rad := Length(1e6 + r.Int64N(1e7))
		disc := Outline{Outer: discAt(Point{}, rad)}
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		p := Pt(Round(float64(rad)*cos), Round(float64(rad)*sin))
		if p.Norm() >= float64(rad)-1e-6 {
			continue
		}
		inside++
		for _, s := range []Shape{p, Line(p, Point{})} {
			d, _, _ := Distance(disc, s)
			require.Zero(t, d, "%v in %v", s, rad)
			d, _, _ = Distance(s, Region{disc})
			require.Zero(t, d, "%v in %v", s, rad)
		}
		require.Len(t, Pieces(0, Line(p, Point{}), disc), 1)
	}
	assert.Greater(t, inside, 700)
}

// A distance is the same both ways, prepared or not, and after both are moved; its points lie that far
// apart.
func checkDistance(t *testing.T, a, b Shape, straight bool) {
	d, p, q := Distance(a, b)
	back, _, _ := Distance(b, a)
	require.False(t, math.IsNaN(d))
	tol := 1e-6
	if !straight {
		tol = 1e-3
	}
	require.InDelta(t, d, back, tol, "%v and %v", a, b)
	ready, p2, q2 := Prepare(a).Distance(b)
	require.Equal(t, back, ready)
	require.InDelta(t, d, p.Distance(q), 1.5)
	require.InDelta(t, d, p2.Distance(q2), 1.5)
	for _, s := range []struct {
		of Shape
		at Point
	}{{a, p}, {b, q}, {a, p2}, {b, q2}} {
		off, _, _ := Distance(s.of, s.at)
		require.LessOrEqual(t, off, 1.5, "the nearest point %v is not of %v", s.at, s.of)
	}
}

func TestDistanceBothWays(t *testing.T) {
	r := rand.New(rand.NewPCG(43, 44))
	for i := range 600 {
		a := randomShape(r, Point{}, i%2 == 0)
		b := randomShape(r, Pt(Length(r.Int64N(4e7))-2e7, Length(r.Int64N(4e7))-2e7), i%3 == 0)
		checkDistance(t, a, b, i%2 != 0 && i%3 != 0)
	}
}

// A search with a limit that is negative, no number or endless neither hangs nor lies.
func TestOddLimits(t *testing.T) {
	s := Gather(Pt(0, 0), Pt(5, 0), Region{}, Path(nil))
	assert.Empty(t, s.Within(Pt(0, 0), math.NaN()))
	assert.Empty(t, s.Within(Pt(0, 0), -1))
	assert.Len(t, s.Within(Pt(0, 0), math.Inf(1)), 2)
	assert.Len(t, s.Nearest(Pt(0, 0), 9), 2)
	assert.Empty(t, s.Nearest(Region{}, 3))
	two := []Shape{Pt(0, 0), Pt(5, 0), Pt(0, 0)}
	assert.Equal(t, [][]int{{0, 1, 2}}, Pieces(math.Inf(1), two...))
	assert.Equal(t, [][]int{{0, 1, 2}}, Pieces(5, two...))
	assert.Equal(t, [][]int{{0, 2}, {1}}, Pieces(4.9, two...))
	assert.Equal(t, [][]int{{0}, {1}, {2}}, Pieces(-1, two...))
	assert.Equal(t, [][]int{{0}, {1}, {2}}, Pieces(math.NaN(), two...))
}

func FuzzDistance(f *testing.F) {
	f.Add(int64(0), int64(0), int64(9), int64(0), int64(4), int64(5), int64(8), int64(1), uint8(3))
	f.Add(int64(-1e9), int64(1e9), int64(1e9), int64(-1e9), int64(0), int64(7), int64(1), int64(1), uint8(0))
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, x2, y2, x3, y3 int64, kind uint8) {
		lim := func(v int64) Length { return Length(v % int64(Limit+1)) }
		p, q, u, v := Pt(lim(x0), lim(y0)), Pt(lim(x1), lim(y1)), Pt(lim(x2), lim(y2)), Pt(lim(x3), lim(y3))
		a := []Shape{p, Line(p, q), Path{Line(p, q), Line(q, u)}, Outline{Outer: closed(p, q, u)}}[kind%4]
		b := []Shape{v, Line(u, v), Region{{Outer: closed(u, v, p)}}}[kind/4%3]
		checkDistance(t, a, b, true)
	})
}

func FuzzMoments(f *testing.F) {
	f.Add(int64(0), int64(0), int64(9), int64(0), int64(4), int64(5), int64(1e9))
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, x2, y2, x3 int64) {
		lim := func(v int64) Length { return Length(v % int64(Limit+1)) }
		p := closed(Pt(lim(x0), lim(y0)), Pt(lim(x1), lim(y1)), Pt(lim(x2), lim(y2)), Pt(lim(x3), lim(y0)))
		a, _, _, _, _, _ := exactMoments(p)
		want, _ := a.Float64()
		require.Equal(t, want, p.Area())
		m := p.Moments()
		require.Equal(t, want, m.Area)
		for _, v := range []float64{m.CX, m.CY, m.XX, m.YY, m.XY} {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
		}
	})
}
