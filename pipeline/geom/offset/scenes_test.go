package offset

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

func pt(x, y float64) geom.Point { return geom.Pt(geom.Round(x), geom.Round(y)) }

// polygon is the closed path over corners, leaving out those that repeat the one before.
func polygon(corners ...geom.Point) geom.Path {
	var p geom.Path
	for i, c := range corners {
		if next := corners[(i+1)%len(corners)]; next != c {
			p = append(p, geom.Line(c, next))
		}
	}
	return p
}

func circle(x, y, r geom.Length) geom.Path {
	return geom.Path{geom.Arc(geom.Pt(x-r, y), geom.Pt(x-r, y), geom.Pt(x, y), geom.CounterClockwise)}
}

// random gives a region of outlines with cut-outs, lines and arcs, sharp corners and tangent ones, that
// lie within about size of the origin.
func random(t testing.TB, rnd *rand.Rand, size float64) geom.Region {
	var add, less []geom.Path
	shape := func(x, y, r float64) geom.Path {
		switch rnd.IntN(6) {
		case 0:
			l := geom.Round(max(r, 1))
			return circle(geom.Round(x), geom.Round(y), l)
		case 1:
			w, h := geom.Round(r*rnd.Float64())+2, geom.Round(r*rnd.Float64())+2
			tr := geom.Transform{Turn: geom.Angle(rnd.Int64N(360_000_000)), Shift: pt(x, y)}
			return tr.Path(geom.RoundedRectangle(geom.BoxOf(geom.Pt(-w, -h), geom.Pt(w, h)), geom.Round(rnd.Float64()*float64(min(w, h)))))
		}
		n := 3 + rnd.IntN(9)
		c := make([]geom.Point, n)
		for k := range c {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.8*rnd.Float64()) / float64(n))
			d := r * (0.3 + 0.7*rnd.Float64())
			c[k] = pt(x+d*cos, y+d*sin)
		}
		p := polygon(c...)
		for i := range p {
			if rnd.IntN(3) == 0 {
				p[i] = bulge(p[i], rnd)
			}
		}
		return p
	}
	for range 1 + rnd.IntN(3) {
		add = append(add, shape((rnd.Float64()-0.5)*size, (rnd.Float64()-0.5)*size, size*(0.2+0.4*rnd.Float64())))
	}
	for range rnd.IntN(4) {
		less = append(less, shape((rnd.Float64()-0.5)*size, (rnd.Float64()-0.5)*size, size*(0.05+0.25*rnd.Float64())))
	}
	r, err := overlay.Difference(t.Context(), overlay.Options{ChordError: 1}, overlay.Operand{Paths: add}, overlay.Operand{Paths: less})
	require.NoError(t, err)
	return r
}

// bulge makes an arc of a line, to either side, of up to about three quarters of a turn.
func bulge(e geom.Edge, rnd *rand.Rand) geom.Edge {
	v := e.To.Sub(e.From)
	f := rnd.Float64()*3 - 1
	s := geom.Sense(2*rnd.IntN(2) - 1)
	cx, cy := float64(v.X)/2-f*float64(s)*float64(v.Y)/2, float64(v.Y)/2+f*float64(s)*float64(v.X)/2
	c := e.From.Add(pt(cx, cy))
	if c == e.From || c == e.To {
		return e
	}
	return geom.Arc(e.From, e.To, c, s)
}
