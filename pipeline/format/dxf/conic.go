package dxf

import (
	"math"

	"panelwright/pipeline/geom"
)

// A conic is a part of an ellipse, that is (x, y) + u·cos t + v·sin t for t from `from` on through sweep:
// what arcs, circles, ellipses and bulges are, under any map. Its half axes u and v need not be square to
// each other. Sweep is negative for a part that runs the other way, and ±2π for all of it.
type conic struct {
	x, y, ux, uy, vx, vy float64
	from, sweep          float64
}

// nearlyWhole is how little of a turn may be missing, in radians, to take it for a whole one: a whole
// turn written with six decimals is short of 2π by 3e-7.
const nearlyWhole = 1e-6

// sweepOf gives the sweep from one parameter counter-clockwise to another, in (0, 2π].
func sweepOf(from, to float64) float64 {
	s := math.Mod(to-from, 2*math.Pi)
	if s < 0 {
		s += 2 * math.Pi
	}
	if s == 0 || 2*math.Pi-s <= nearlyWhole {
		return 2 * math.Pi
	}
	return s
}

// under gives the conic as a map sees it.
func (k conic) under(m affine) conic {
	k.x, k.y = m.apply(k.x, k.y)
	k.ux, k.uy = m.linear(k.ux, k.uy)
	k.vx, k.vy = m.linear(k.vx, k.vy)
	return k
}

// place is the place at a parameter.
func (k conic) place(t float64) (x, y float64) {
	sin, cos := geom.SinCos(t)
	return k.x + sum2(k.ux, cos, k.vx, sin), k.y + sum2(k.uy, cos, k.vy, sin)
}

func (k conic) whole() bool { return math.Abs(k.sweep) == 2*math.Pi }

// ends gives the rounded first and last place.
func (k conic) ends(p *pen) (first, last geom.Point) {
	first = p.point(k.place(k.from))
	if k.whole() {
		return first, first
	}
	return first, p.point(k.place(k.from + k.sweep))
}

// exact is up to where places are computed to a nanometre, in nm.
const exact = 1e14

// drawTo draws the conic, which is in nanometres, from the pen's place to last: as one arc where it is
// part of a circle, else in chords. It is false where the numbers are too large for that.
func (k conic) drawTo(p *pen, last geom.Point) bool {
	size := stretch(k.ux, k.uy, k.vx, k.vy)
	if !(size <= exact && math.Abs(k.x) <= exact && math.Abs(k.y) <= exact) {
		return false
	}
	if e, ok := k.arc(p, last, size); ok {
		p.add(e)
		return true
	}
	if k.whole() && size < 1 || size*math.Abs(k.sweep) < 1 {
		p.lineTo(last) // a mere point
		return true
	}
	// A chord over a step h of the parameter strays by no more than h²/8 times the largest second
	// derivative, which is the larger half axis.
	h := min(math.Sqrt(8*(p.tol-rounding)/size), math.Pi/4)
	n := math.Ceil(math.Abs(k.sweep) / h)
	if k.whole() {
		n = 4 * math.Ceil(n/4) // so that a turn from an axis meets the other axes
	}
	if n > float64(p.left) {
		p.left = 0
		return true
	}
	p.flattened = true
	for i := 1.0; i < n && !p.spent(); i++ {
		p.lineTo(p.point(k.place(k.from + float64(k.sweep*(i/n)))))
	}
	p.lineTo(last)
	return true
}

// arc gives the conic as one arc, where it is round to a nanometre and its rounded ends leave no doubt
// about its course.
func (k conic) arc(p *pen, last geom.Point, size float64) (geom.Edge, bool) {
	u, v := math.Sqrt(sum2(k.ux, k.ux, k.uy, k.uy)), math.Sqrt(sum2(k.vx, k.vx, k.vy, k.vy))
	if size < 1 || math.Abs(u-v) > 1 || math.Abs(sum2(k.ux, k.vx, k.uy, k.vy)) > size {
		return geom.Edge{}, false
	}
	if !(math.Abs(k.x) <= float64(geom.Limit) && math.Abs(k.y) <= float64(geom.Limit)) {
		return geom.Edge{}, false
	}
	sweep := k.sweep
	if float64(k.ux*k.vy)-float64(k.uy*k.vx) < 0 {
		sweep = -sweep
	}
	sense := geom.CounterClockwise
	if sweep < 0 {
		sense = geom.Clockwise
	}
	e := geom.Arc(p.at, last, geom.Pt(geom.Round(k.x), geom.Round(k.y)), sense)
	if e.From == e.Center || e.To == e.Center {
		return geom.Edge{}, false
	}
	if e.From == e.To {
		// All but a nanometre is a whole circle; an arc that short is nothing.
		return e, math.Abs(sweep) > math.Pi
	}
	if half := math.Abs(sweep) / 2; half < 1 {
		if _, cos := geom.SinCos(half); size*(1-cos) < 1 {
			return geom.Line(e.From, e.To), true
		}
	}
	_, got := e.Angles()
	return e, math.Abs(got-sweep)*size <= 5 && math.Abs(e.Radius()-size) <= 5
}
