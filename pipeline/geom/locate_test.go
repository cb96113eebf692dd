package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLocate(t *testing.T) {
	square := Rectangle(Box{Pt(0, 0), Pt(100, 100)})
	sliver := Path{Line(Pt(0, 0), Pt(Limit, 1)), Line(Pt(Limit, 1), Pt(Limit, 2)), Line(Pt(Limit, 2), Pt(0, 0))}
	disc := Path{Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), CounterClockwise)}
	half := Path{Line(Pt(-1000, 0), Pt(1000, 0)), Arc(Pt(1000, 0), Pt(-1000, 0), Pt(0, 0), CounterClockwise)}
	bitten := Path{ // a square with a half-round bite of radius 300 out of its right side
		Line(Pt(0, 0), Pt(1000, 0)), Line(Pt(1000, 0), Pt(1000, 200)),
		Arc(Pt(1000, 200), Pt(1000, 800), Pt(1000, 500), Clockwise),
		Line(Pt(1000, 800), Pt(1000, 1000)), Line(Pt(1000, 1000), Pt(0, 1000)), Line(Pt(0, 1000), Pt(0, 0)),
	}
	keyhole := Path{ // most of a circle of radius 500, and a bar below
		Arc(Pt(300, -400), Pt(-300, -400), Pt(0, 0), CounterClockwise),
		Line(Pt(-300, -400), Pt(-300, -2000)), Line(Pt(-300, -2000), Pt(300, -2000)), Line(Pt(300, -2000), Pt(300, -400)),
	}
	for _, c := range []struct {
		name string
		p    Path
		q    Point
		want Location
	}{
		{"middle", square, Pt(50, 50), Inside},
		{"on the left side", square, Pt(0, 50), OnEdge},
		{"on a corner", square, Pt(100, 100), OnEdge},
		{"level with the upper side", square, Pt(-5, 100), Outside},
		{"level with the lower side", square, Pt(-5, 0), Outside},
		{"1 nm in", square, Pt(99, 99), Inside},
		{"1 nm out", square, Pt(101, 50), Outside},
		// At x = Limit/2 the sliver lies between y = 0.5 and y = 1: no whole nanometre is inside.
		{"a sliver's upper line, exactly", sliver, Pt(Limit/2, 1), OnEdge},
		{"a sliver's lower line, just missed", sliver, Pt(Limit-1, 1), Inside},
		{"below the sliver", sliver, Pt(Limit/2, 0), Outside},
		{"disc, inside", disc, Pt(0, 998), Inside},
		{"disc, on it: 600-800-1000", disc, Pt(600, 800), OnEdge},
		{"disc, outside", disc, Pt(0, 1002), Outside},
		{"disc, beside", disc, Pt(-1500, 0), Outside},
		{"half disc, inside", half, Pt(0, 500), Inside},
		{"half disc, on the chord", half, Pt(0, 0), OnEdge},
		{"half disc, level with the chord", half, Pt(-2000, 0), Outside},
		{"half disc, below", half, Pt(0, -1), Outside},
		{"bite, left of it", bitten, Pt(690, 500), Inside},
		{"bite, in it", bitten, Pt(710, 500), Outside},
		{"bite, on its chord", bitten, Pt(1000, 500), Outside},
		{"bite, above it", bitten, Pt(990, 820), Inside},
		{"keyhole, on the chord", keyhole, Pt(0, -400), Inside},
		{"keyhole, in the round", keyhole, Pt(-499, 0), OnEdge},
		{"keyhole, in the round, deeper", keyhole, Pt(-497, 0), Inside},
		{"keyhole, in the bar", keyhole, Pt(0, -1999), Inside},
		{"keyhole, beside the bar", keyhole, Pt(310, -1000), Outside},
	} {
		assert.Equal(t, c.want, c.p.Locate(c.q), c.name)
		assert.Equal(t, c.want, c.p.Reverse().Locate(c.q), c.name+", run backwards")
		assert.Equal(t, c.want, newLocator(c.p).locate(c.q), c.name+", by index")
		for turn := Quarter; turn < FullTurn; turn += Quarter {
			tr := Transform{Turn: turn}
			assert.Equal(t, c.want, tr.Path(c.p).Locate(tr.Apply(c.q)), "%s, turned %s", c.name, turn)
		}
	}
	assert.Equal(t, "on the edge", OnEdge.String())
}

func TestOutlineLocate(t *testing.T) {
	o := Outline{Outer: Rectangle(Box{Pt(0, 0), Pt(100, 100)}), CutOuts: []Path{Rectangle(Box{Pt(40, 40), Pt(60, 60)}).Reverse()}}
	assert.Equal(t, Inside, o.Locate(Pt(10, 10)))
	assert.Equal(t, Outside, o.Locate(Pt(50, 50)))
	assert.Equal(t, OnEdge, o.Locate(Pt(40, 50)))
	assert.Equal(t, Outside, o.Locate(Pt(200, 50)))
}

// randomBlob is a closed star-shaped path of lines and arcs about the origin.
func randomBlob(r *rand.Rand, n int) Path {
	pts := make([]Point, n)
	for i := range pts {
		a := (float64(i) + 0.8*r.Float64()) / float64(n) * 2 * math.Pi
		rad := 2e5 + 8e5*r.Float64()
		pts[i] = Pt(Round(rad*math.Cos(a)), Round(rad*math.Sin(a)))
	}
	var p Path
	for i, a := range pts {
		b := pts[(i+1)%n]
		if r.IntN(2) == 0 {
			p = append(p, Line(a, b))
			continue
		}
		// A centre on the perpendicular through the middle, far enough for a flat arc.
		d := b.Sub(a)
		f := (1 + 3*r.Float64())
		s := CounterClockwise
		if r.IntN(2) == 0 {
			s, f = Clockwise, -f
		}
		c := Pt((a.X+b.X)/2-Round(f*float64(d.Y)), (a.Y+b.Y)/2+Round(f*float64(d.X)))
		p = append(p, Arc(a, b, c, s))
	}
	return p
}

// A point's location equals the winding of a polygon of very many corners, computed by angles, unless
// the point is as near to the edge as that polygon's error.
func TestLocateAgainstAngles(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	checked := 0
	for range 60 {
		p := randomBlob(r, 3+r.IntN(12))
		l := newLocator(p)
		var poly []Point
		for _, e := range p {
			for i := range 200 {
				poly = append(poly, e.At(float64(i)/200))
			}
		}
		for range 100 {
			q := Pt(Length(r.Int64N(2.2e6)-1.1e6), Length(r.Int64N(2.2e6)-1.1e6))
			if i := r.IntN(len(p)); r.IntN(4) == 0 {
				q.Y = p[i].From.Y // level with a vertex: the hard case for rays
			}
			near := math.Inf(1)
			for _, e := range p {
				d, _ := PointEdgeDistance(q, e)
				near = min(near, d)
			}
			if near < 200 {
				continue
			}
			var sum float64
			for i, a := range poly {
				u, v := a.Sub(q), poly[(i+1)%len(poly)].Sub(q)
				sum += math.Atan2(float64(u.Cross(v)), float64(u.Dot(v)))
			}
			want := Outside
			if math.Abs(sum) > math.Pi {
				want = Inside
			}
			require.Equal(t, want, p.Locate(q), "%v in %v", q, p)
			require.Equal(t, want, l.locate(q), "%v in %v", q, p)
			checked++
		}
	}
	assert.Greater(t, checked, 5000)
}

func TestOrientIsExact(t *testing.T) {
	assert.Equal(t, 0, orient(Pt(0, 0), Pt(Limit, Limit), Pt(Limit/2, Limit/2)))
	assert.Equal(t, 1, orient(Pt(-Limit, -Limit), Pt(Limit, Limit-1), Pt(Limit-1, Limit-1)))
	assert.Equal(t, -1, orient(Pt(-Limit, -Limit), Pt(Limit, Limit), Pt(Limit, Limit-1)))
	// Beyond 64 bits: (2^40, 2^40+1) × (2^40−1, 2^40) = 2^80 − (2^80 − 1) = 1
	const big = 1 << 40
	assert.Equal(t, 1, crossSign(Pt(big, big+1), Pt(big-1, big)))
	assert.Equal(t, -1, crossSign(Pt(-big, -big-1), Pt(big-1, big)))
	assert.Equal(t, 0, crossSign(Pt(big, 3*big), Pt(-big, -3*big)))
	assert.Equal(t, -1, compareProducts(-big, big, big, big))
	assert.Equal(t, 0, compareProducts(0, big, big, 0))
}

func BenchmarkLocate(b *testing.B) {
	p := RoundedRectangle(Box{mm(0, 0), mm(100, 50)}, 3*MM)
	q := mm(30, 20)
	for b.Loop() {
		p.Locate(q)
	}
}
