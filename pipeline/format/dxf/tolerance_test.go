package dxf

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// deBoor gives a place on a spline by de Boor's recursion, the textbook's way, with the sums of basis
// functions written out: another way than the reader's.
func deBoor(degree int, knots []float64, points [][3]float64, t float64) (x, y float64) {
	var basis func(i, p int) float64
	basis = func(i, p int) float64 {
		if p == 0 {
			if knots[i] <= t && (t < knots[i+1] || t == knots[len(points)] && knots[i] < knots[i+1] && knots[i+1] == t) {
				return 1
			}
			return 0
		}
		b := 0.0
		if d := knots[i+p] - knots[i]; d > 0 {
			b += (t - knots[i]) / d * basis(i, p-1)
		}
		if d := knots[i+p+1] - knots[i+1]; d > 0 {
			b += (knots[i+p+1] - t) / d * basis(i+1, p-1)
		}
		return b
	}
	w := 0.0
	for i, c := range points {
		b := basis(i, degree) * c[2]
		x, y, w = x+b*c[0], y+b*c[1], w+b
	}
	return x / w, y / w
}

// astray gives how far, in nm, places of a curve in millimetres lie from a path, at most; and how far the
// middles and ends of the path's edges lie from those places.
func astray(path geom.Path, places [][2]float64) (to, from float64) {
	p := geom.Prepare(path)
	var line geom.Path
	for i, q := range places {
		at := geom.Pt(geom.FromMM(q[0]), geom.FromMM(q[1]))
		d, _, _ := p.Distance(at)
		to = max(to, d)
		if i > 0 {
			line = append(line, geom.Line(geom.Pt(geom.FromMM(places[i-1][0]), geom.FromMM(places[i-1][1])), at))
		}
	}
	l := geom.Prepare(line)
	for _, e := range path {
		for _, f := range []float64{0, 0.3, 0.5} {
			d, _, _ := l.Distance(e.At(f))
			from = max(from, d)
		}
	}
	return to, from
}

// Chords keep within the tolerance of the curve, and are no more than it takes.
func TestTolerance(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const steps = 4_000
	for _, tol := range []geom.Length{100, geom.UM, 10 * geom.UM} {
		for i := range 6 {
			t.Run(fmt.Sprintf("ellipse %d, %v", i, tol), func(t *testing.T) {
				a, ratio := 1+20*r.Float64(), []float64{0.5, 0.01, r.Float64()}[i%3]
				from, to := 0.0, 2*math.Pi
				if i > 2 {
					from, to = 6*r.Float64(), 6+6*r.Float64()
				}
				sweep := math.Mod(to-from, 2*math.Pi)
				if sweep == 0 {
					sweep = 2 * math.Pi
				}
				ux, uy := a*0.6, a*0.8
				d, rep := read(t, drawingOf("", "", fmt.Sprintf("0 ELLIPSE 8 e 10 1 20 2 11 %v 21 %v 40 %v 41 %v 42 %v", ux, uy, ratio, from, to)), Options{Tolerance: tol})
				c := d.Layers[0].Curves[0]
				assert.Equal(t, 1, rep.Flattened)
				assert.True(t, c.Flattened)
				assert.Equal(t, i <= 2, c.Path.Closed())
				var places [][2]float64
				for k := range steps + 1 {
					sin, cos := math.Sincos(from + sweep*float64(k)/steps)
					places = append(places, [2]float64{1 + ux*cos - uy*ratio*sin, 2 + uy*cos + ux*ratio*sin})
				}
				there, back := astray(c.Path, places)
				assert.LessOrEqual(t, there, float64(tol))
				assert.LessOrEqual(t, back, float64(tol)+15) // between the places the curve lies beside their line
				if ratio == 0.5 {
					assert.Greater(t, there, float64(tol)*0.6, "more chords than it takes")
				}
			})
			t.Run(fmt.Sprintf("spline %d, %v", i, tol), func(t *testing.T) {
				degree := 1 + i
				n := degree + 1 + r.IntN(3)
				var knots []float64
				for k := range n + degree + 1 {
					knots = append(knots, float64(max(0, min(k-degree, n-degree))))
				}
				if i == 3 { // neither begins nor ends at a control point
					for k := range knots {
						knots[k] = float64(k)
					}
				}
				if n-degree > 1 && i > 3 {
					knots[degree+1] += 0.3
				}
				var points [][3]float64
				var s strings.Builder
				fmt.Fprintf(&s, "0 SPLINE 8 e 71 %d", degree)
				for _, k := range knots {
					fmt.Fprintf(&s, " 40 %v", k)
				}
				for range n {
					p := [3]float64{5 * r.Float64(), 5 * r.Float64(), 1}
					if i%2 == 1 {
						p[2] = 0.2 + 3*r.Float64()
					}
					points = append(points, p)
					fmt.Fprintf(&s, " 10 %v 20 %v 30 0 41 %v", p[0], p[1], p[2])
				}
				d, _ := read(t, drawingOf("", "", s.String()), Options{Tolerance: tol})
				c := d.Layers[0].Curves[0]
				assert.Equal(t, degree > 1, c.Flattened)
				var places [][2]float64
				a, b := knots[degree], knots[n]
				for k := range steps + 1 {
					x, y := deBoor(degree, knots, points, a+(b-a)*float64(k)/steps)
					places = append(places, [2]float64{x, y})
				}
				there, back := astray(c.Path, places)
				assert.LessOrEqual(t, there, float64(tol))
				assert.LessOrEqual(t, back, float64(tol)+15)
			})
		}
	}
}

// A bulge is exact whatever its size: places on the arc that it means lie within a few nanometres of it.
// Source: bulge = tan(θ/4), counter-clockwise positive (the format owner's DXF reference, 2024).
func TestBulges(t *testing.T) {
	for _, bulge := range []float64{1e-10, 1e-8, 1e-6, 1e-4, 0.01, 0.3, 0.7, 1, 1.5, 3, 30} {
		for _, sign := range []float64{1, -1} {
			for _, l := range []float64{0.001, 1, 30, 900} {
				b := bulge * sign
				if l*bulge > 400 {
					continue // beyond a metre
				}
				// Along the diagonal, so that nothing is round.
				x0, y0 := -l/math.Sqrt(8), -l/math.Sqrt(8)
				x1, y1 := -x0, -y0
				text := drawingOf("", "", fmt.Sprintf("0 LWPOLYLINE 8 e 90 2 10 %v 20 %v 42 %v 10 %v 20 %v", x0, y0, b, x1, y1))
				d, _ := read(t, text, Options{})
				require.Len(t, d.Layers[0].Curves, 1, text)
				c := d.Layers[0].Curves[0]
				want := 3.0
				if c.Flattened {
					want = float64(DefaultTolerance)
				}
				p := geom.Prepare(c.Path)
				for k := range 101 {
					// The part of the angle from the start is seen from the end as half of it: a place on
					// the circle by its bulge from the start, f of the whole.
					f := float64(k) / 100
					theta := 4 * math.Atan(b)
					// chord of the part and its direction
					part := l * sinRatio(theta*f/2, theta/2)
					turn := theta/2 - theta*f/2 // to the right of the chord for a positive bulge
					dir := math.Pi/4 - turn
					x, y := x0+part*math.Cos(dir), y0+part*math.Sin(dir)
					dist, _, _ := p.Distance(geom.Pt(geom.FromMM(x), geom.FromMM(y)))
					require.LessOrEqual(t, dist, want, "bulge %v over %v mm: at %v, %v", b, l, f, c.Path)
				}
			}
		}
	}
}

// An arc whose centre lies beyond a metre is drawn in chords.
func TestFarCentre(t *testing.T) {
	d, _ := read(t, drawingOf("", "", "0 ARC 8 e 10 10 20 -5000 40 5000 50 88 51 92"), Options{})
	c := d.Layers[0].Curves[0]
	assert.True(t, c.Flattened)
	assert.Less(t, len(c.Path), 100)
	var places [][2]float64
	for k := range 2001 {
		sin, cos := math.Sincos((88 + 4*float64(k)/2000) * math.Pi / 180)
		places = append(places, [2]float64{10 + 5000*cos, -5000 + 5000*sin})
	}
	there, back := astray(c.Path, places)
	assert.LessOrEqual(t, there, float64(DefaultTolerance))
	assert.LessOrEqual(t, back, float64(DefaultTolerance)+15)
}

// sinRatio is sin a / sin b, also for tiny ones.
func sinRatio(a, b float64) float64 {
	if math.Abs(b) < 1e-12 {
		return a / b
	}
	return math.Sin(a) / math.Sin(b)
}
