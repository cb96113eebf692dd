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

// polar is the polygon whose k-th of n corners lies at r(angle) from the middle.
func polar(n int, turn float64, r func(a float64) float64) geom.Path {
	c := make([]geom.Point, n)
	for k := range c {
		a := 2*math.Pi*float64(k)/float64(n) + turn
		sin, cos := math.Sincos(a)
		c[k] = pt(r(a)*cos, r(a)*sin)
	}
	return polygon(c...)
}

func circle(x, y, r geom.Length) geom.Path {
	return geom.Path{geom.Arc(geom.Pt(x-r, y), geom.Pt(x-r, y), geom.Pt(x, y), geom.CounterClockwise)}
}

func region(outer geom.Path, cutOuts ...geom.Path) geom.Region {
	return geom.Region{{Outer: outer, CutOuts: cutOuts}}
}

func rectangle(x0, y0, x1, y1 geom.Length) geom.Path {
	return geom.Rectangle(geom.BoxOf(geom.Pt(x0, y0), geom.Pt(x1, y1)))
}

// star has n tips at a distance of out and n corners between them at in.
func star(n int, in, out, turn float64) geom.Path {
	c := make([]geom.Point, 2*n)
	for k := range c {
		sin, cos := math.Sincos(math.Pi*float64(k)/float64(n) + turn)
		r := out
		if k%2 == 1 {
			r = in
		}
		c[k] = pt(r*cos, r*sin)
	}
	return polygon(c...)
}

// comb has n teeth as wide as the gaps between them.
func comb(n int, pitch, tooth, turn float64) geom.Path {
	sin, cos := math.Sincos(turn)
	at := func(x, y float64) geom.Point { return pt(x*cos-y*sin, x*sin+y*cos) }
	c := []geom.Point{at(0, -pitch), at(float64(n)*pitch, -pitch)}
	for k := n - 1; k >= 0; k-- {
		x := float64(k) * pitch
		c = append(c, at(x+pitch, 0), at(x+pitch, tooth), at(x+pitch/2, tooth), at(x+pitch/2, 0))
	}
	return polygon(append(c, at(0, 0))...)
}

// spiral is a band half as wide as its pitch, of n corners on each side.
func spiral(turns, pitch float64, n int) geom.Path {
	var c []geom.Point
	at := func(k int, add float64) geom.Point {
		a := 2 * math.Pi * turns * float64(k) / float64(n)
		sin, cos := math.Sincos(a)
		r := pitch*(1+a/(2*math.Pi)) + add
		return pt(r*cos, r*sin)
	}
	for k := 0; k <= n; k++ {
		c = append(c, at(k, pitch/2))
	}
	for k := n; k >= 0; k-- {
		c = append(c, at(k, 0))
	}
	return polygon(c...)
}

// filleted is a frame whose corners, inside and outside, are rounded by chains of n chords.
func filleted(size, radius float64, n int, turn float64) geom.Path {
	var c []geom.Point
	s, t := math.Sincos(turn)
	for q := range 4 {
		for k := range n + 1 {
			sin, cos := math.Sincos(math.Pi / 2 * (float64(q) + float64(k)/float64(n)))
			sx, sy := 1.0, 1.0
			if q == 1 || q == 2 {
				sx = -1
			}
			if q > 1 {
				sy = -1
			}
			x, y := sx*(size/2-radius)+radius*cos, sy*(size/2-radius)+radius*sin
			c = append(c, pt(x*t-y*s, x*s+y*t))
		}
	}
	return polygon(c...)
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
