package kernel

import (
	"math"
	"math/rand/v2"

	"panelwright/pipeline/geom"
)

// polygon makes a closed path of corners, leaving out those that repeat the one before.
func polygon(corners []geom.Point) geom.Path {
	var p geom.Path
	for i, c := range corners {
		if next := corners[(i+1)%len(corners)]; c != next {
			p = append(p, geom.Line(c, next))
		}
	}
	return p
}

func at(x, y float64) geom.Point { return geom.Pt(geom.Round(x), geom.Round(y)) }

// round gives n corners about (x, y), the k-th at a distance of r(angle), from an angle on.
func round(x, y float64, n int, from float64, r func(a float64) float64) []geom.Point {
	out := make([]geom.Point, n)
	for k := range n {
		a := from + 2*math.Pi*float64(k)/float64(n)
		s, c := math.Sincos(a)
		l := r(a)
		out[k] = at(x+l*c, y+l*s)
	}
	return out
}

func disc(x, y, r float64, n int) geom.Path {
	return polygon(round(x, y, n, 0, func(float64) float64 { return r }))
}

// boards are 200 boards of 100 corners each on a panel of 400 × 300 mm, 20 by 10 of them: rounded
// rectangles 18 × 28 mm with a wavy side, gap apart; turned by an angle and then jittered by up to so
// many nanometres.
func boards(gap, turn float64, jitter int64) (panel, list geom.Region) {
	rnd := rand.New(rand.NewPCG(11, 12))
	sin, cos := math.Sincos(turn)
	place := func(x, y float64) geom.Point {
		p := at(x*cos-y*sin, x*sin+y*cos)
		if jitter > 0 {
			p.X += geom.Length(rnd.Int64N(2*jitter+1) - jitter)
			p.Y += geom.Length(rnd.Int64N(2*jitter+1) - jitter)
		}
		return p
	}
	w, h := 19e6-gap, 29e6-gap
	for i := range 20 {
		for k := range 10 {
			x, y := 10e6+19e6*float64(i), 5e6+29e6*float64(k)
			var c []geom.Point
			side := func(x0, y0, x1, y1 float64) {
				for n := range 25 {
					f := float64(n) / 25
					c = append(c, place(x+x0+f*(x1-x0), y+y0+f*(y1-y0)))
				}
			}
			side(0, 0, w, 0)
			side(w, 0, w, h)
			side(w, h, 0, h)
			side(0, h, 0, 0)
			list = append(list, geom.Outline{Outer: polygon(c)})
		}
	}
	panel = geom.Region{{Outer: polygon([]geom.Point{place(0, 0), place(400e6, 0), place(400e6, 300e6), place(0, 300e6)})}}
	return panel, list
}

// scattered are n shapes on an area that grows with n: circles of 48 corners, obrounds of 50,
// rectangles, 0.4 to 1.6 mm large, so thick that most overlap others.
func scattered(n int) geom.Region {
	rnd := rand.New(rand.NewPCG(13, 14))
	size := 100e6 * math.Sqrt(float64(n)/20000)
	var out geom.Region
	for i := range n {
		x, y, r := size*rnd.Float64(), size*rnd.Float64(), 2e5+6e5*rnd.Float64()
		var p geom.Path
		switch i % 3 {
		case 0:
			p = disc(x, y, r, 48)
		case 1:
			long := r * rnd.Float64()
			turn := 2 * math.Pi * rnd.Float64()
			s, c := math.Sincos(turn)
			var q []geom.Point
			for k := range 50 {
				a := math.Pi*float64(k%25)/24 - math.Pi/2
				u, v := r/2*math.Cos(a)+long, r/2*math.Sin(a)
				if k >= 25 {
					u, v = -u, -v
				}
				q = append(q, at(x+u*c-v*s, y+u*s+v*c))
			}
			p = polygon(q)
		default:
			s, c := math.Sincos(2 * math.Pi * rnd.Float64())
			u, v := r, r*(0.3+0.7*rnd.Float64())
			p = polygon([]geom.Point{at(x-u*c+v*s, y-u*s-v*c), at(x+u*c+v*s, y+u*s-v*c), at(x+u*c-v*s, y+u*s+v*c), at(x-u*c-v*s, y-u*s+v*c)})
		}
		out = append(out, geom.Outline{Outer: p})
	}
	return out
}

// blob is an outline of n corners about 100 mm across that waves gently.
func blob(n int) geom.Region {
	rnd := rand.New(rand.NewPCG(15, 16))
	return geom.Region{{Outer: polygon(round(0, 0, n, 0, func(a float64) float64 {
		return 50e6 + 3e6*math.Sin(12*a) + 1e6*math.Sin(31*a) + 2e3*rnd.Float64()
	}))}}
}

// star has n points between two radii.
func star(x, y float64, n int, inner, outer float64) geom.Outline {
	k := 0
	return geom.Outline{Outer: polygon(round(x, y, 2*n, 0.1, func(float64) float64 {
		k++
		if k%2 == 0 {
			return outer
		}
		return inner
	}))}
}

// comb has n teeth of a width, as far apart, on a back as wide.
func comb(x, y float64, n int, width, length, turn float64) geom.Outline {
	s, c := math.Sincos(turn)
	var q []geom.Point
	put := func(u, v float64) { q = append(q, at(x+u*c-v*s, y+u*s+v*c)) }
	put(0, 0)
	put(width*float64(2*n-1), 0)
	for k := n - 1; k >= 0; k-- {
		right := width * float64(2*k+1)
		put(right, width+length)
		put(right-width, width+length)
		if k > 0 {
			put(right-width, width)
			put(right-2*width, width)
		}
	}
	return geom.Outline{Outer: polygon(q)}
}

// spiral winds so often about its centre, as a band of a width with gaps as wide.
func spiral(x, y, turns, width float64, n int) geom.Outline {
	var in, out []geom.Point
	for k := range n + 1 {
		a := 2 * math.Pi * turns * float64(k) / float64(n)
		r := width * (1 + a/math.Pi)
		s, c := math.Sincos(a)
		in, out = append(in, at(x+r*c, y+r*s)), append(out, at(x+(r+width)*c, y+(r+width)*s))
	}
	for i, k := 0, len(in)-1; i < k; i, k = i+1, k-1 {
		in[i], in[k] = in[k], in[i]
	}
	return geom.Outline{Outer: polygon(append(out, in...))}
}
