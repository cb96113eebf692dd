package dxf

import (
	"math"

	"panelwright/pipeline/geom"
)

// hpoint is a point of a rational curve: (x·w, y·w, w).
type hpoint struct{ x, y, w float64 }

func homogeneous(m affine, x, y, w float64) hpoint {
	x, y = m.apply(x, y)
	return hpoint{float64(x * w), float64(y * w), w}
}

func mix(a, b hpoint, t float64) hpoint {
	return hpoint{sum2(a.x, 1-t, b.x, t), sum2(a.y, 1-t, b.y, t), sum2(a.w, 1-t, b.w, t)}
}

// bezier is a piece of a curve by its control points; its degree is one less than their number.
type bezier []hpoint

// maxHalvings is how often a piece may be halved. A piece without sharply differing weights, a metre
// long, takes 14.
const maxHalvings = 64

// draw draws the curve, which is in nanometres, in chords from the pen's place to last. It is false where
// the numbers are too large for that.
func (b bezier) draw(p *pen, last geom.Point) bool {
	for _, q := range b {
		if !(math.Abs(q.x) <= exact*q.w && math.Abs(q.y) <= exact*q.w) {
			return false
		}
	}
	p.flattened = p.flattened || len(b) > 2
	return b.halve(p, last, maxHalvings)
}

func (b bezier) halve(p *pen, last geom.Point, depth int) bool {
	if p.spent() {
		return true
	}
	if b.flat(p.tol - rounding) {
		p.lineTo(last)
		return true
	}
	if depth == 0 {
		return false
	}
	// de Casteljau's scheme at the middle.
	left, right := make(bezier, len(b)), make(bezier, len(b))
	copy(right, b)
	for i := range b {
		left[i] = right[0]
		for j := 0; j < len(b)-1-i; j++ {
			right[j] = mix(right[j], right[j+1], 0.5)
		}
	}
	mid := left[len(b)-1]
	return left.halve(p, p.point(mid.x/mid.w, mid.y/mid.w), depth-1) && right.halve(p, last, depth-1)
}

// flat tells whether the chord from the first to the last point stays within tol of the curve, and the
// curve of it. The curve lies within the convex hull of its points (weights are positive), and no place
// of the hull is farther from the chord than the farthest of the points.
func (b bezier) flat(tol float64) bool {
	f, l := b[0], b[len(b)-1]
	fx, fy := f.x/f.w, f.y/f.w
	dx, dy := l.x/l.w-fx, l.y/l.w-fy
	l2 := sum2(dx, dx, dy, dy)
	for _, q := range b[1 : len(b)-1] {
		x, y := q.x/q.w-fx, q.y/q.w-fy
		if l2 > 0 {
			t := max(0, min(1, sum2(x, dx, y, dy)/l2))
			x, y = x-float64(t*dx), y-float64(t*dy)
		}
		if sum2(x, x, y, y) > float64(tol*tol) {
			return false
		}
	}
	return true
}

// spline is a B-spline by its control points: those between knots k−degree and k make the piece from
// knot k to knot k+1.
type spline struct {
	degree int
	knots  []float64
	points []control
}

type control struct{ x, y, w float64 }

func (s *spline) draw(p *pen, m affine) bool {
	points := make([]hpoint, len(s.points))
	for i, c := range s.points {
		points[i] = homogeneous(m, c.x, c.y, c.w)
	}
	begun := false
	for k := s.degree; k < len(s.points) && !p.spent(); k++ {
		p.left-- // a knot costs time even where nothing comes of it
		if s.knots[k] == s.knots[k+1] {
			continue
		}
		b := s.piece(points, k)
		if !begun {
			begun = true
			p.moveTo(p.point(b[0].x/b[0].w, b[0].y/b[0].w))
		}
		end := b[len(b)-1]
		if !b.draw(p, p.point(end.x/end.w, end.y/end.w)) {
			return false
		}
	}
	p.close()
	return true
}

// piece gives the control points of the piece between knots k and k+1, by the polar form of the spline:
// point j is its value for degree − j times the left knot and j times the right one.
// Source: L. Ramshaw, "Blossoming: a connect-the-dots approach to splines", 1987.
func (s *spline) piece(points []hpoint, k int) bezier {
	n, u := s.degree, s.knots
	out := make(bezier, n+1)
	d := make([]hpoint, n+1)
	for j := range out {
		copy(d, points[k-n:k+1])
		for r := 1; r <= n; r++ {
			t := u[k]
			if r > n-j {
				t = u[k+1]
			}
			for i := n; i >= r; i-- {
				lo, hi := u[k-n+i], u[k+1+i-r]
				d[i] = mix(d[i-1], d[i], (t-lo)/(hi-lo))
			}
		}
		out[j] = d[n]
	}
	return out
}

// maxDegree is the highest degree of a spline that is taken; drawing programs stop there or before (from
// memory).
const maxDegree = 11

// readSpline reads a SPLINE: degree 71, knots 40, control points 10, 20 with weights 41; 72 and 73 are
// the numbers of knots and points, bit 1 of 70 says that it is closed. Its coordinates are the drawing's
// own. One that has fit points (11, 21) only is refused: every program draws its own curve through them.
func readSpline(t *text, e *entity) error {
	s := &spline{}
	var weights []float64
	flags, knots, points, fit := 0, -1, -1, 0
	var level float64
	for _, p := range e.group {
		switch p.code {
		case 70, 71, 72, 73:
			v, err := t.whole(p)
			if err != nil {
				return err
			}
			*[]*int{&flags, &s.degree, &knots, &points}[p.code-70] = v
		case 10, 20, 30, 40, 41:
			v, err := t.number(p)
			if err != nil {
				return err
			}
			switch n := len(s.points); {
			case p.code == 40:
				s.knots = append(s.knots, v)
			case p.code == 41:
				weights = append(weights, v)
			case p.code == 10:
				s.points = append(s.points, control{v, math.NaN(), 1})
			case n == 0:
				return t.fault(p.at, "export the file again", "group %d of a control point stands before group 10", p.code)
			case p.code == 20:
				s.points[n-1].y = v
			default:
				e.sloped = e.sloped || n > 1 && v != level
				level = v
			}
		case 11:
			fit++
		}
	}
	if most := t.maxSpline; len(s.points)+len(s.knots) > most {
		return t.fault(e.at, "convert it to a polyline, or allow more", "SPLINE with more than %d control points and knots", most)
	}
	for i, c := range s.points {
		if math.IsNaN(c.y) {
			return t.fault(e.at, "export the file again", "SPLINE whose control point %d has no group 20", i+1)
		}
	}
	if len(s.points) == 0 && fit > 0 {
		return t.fault(e.at, "convert it to a spline with control points or to a polyline, and export the file again",
			"SPLINE that has points to run through but no control points: its course is not settled by the file")
	}
	if (knots >= 0 && knots != len(s.knots)) || (points >= 0 && points != len(s.points)) {
		return t.fault(e.at, doAgain, "SPLINE that should have %d knots and %d control points but has %d and %d", knots, points, len(s.knots), len(s.points))
	}
	if s.degree < 1 || s.degree > maxDegree {
		return t.fault(e.at, "convert it to one of degree 3 or to a polyline", "SPLINE of degree %d; degrees are 1 to %d", s.degree, maxDegree)
	}
	if len(s.points) <= s.degree || len(s.knots) != len(s.points)+s.degree+1 {
		return t.fault(e.at, "export the file again", "SPLINE of degree %d with %d control points and %d knots, which do not go together", s.degree, len(s.points), len(s.knots))
	}
	if len(weights) > 0 {
		if len(weights) != len(s.points) {
			return t.fault(e.at, "export the file again", "SPLINE with %d weights for %d control points", len(weights), len(s.points))
		}
		low, high := weights[0], weights[0]
		for i, w := range weights {
			s.points[i].w = w
			low, high = min(low, w), max(high, w)
		}
		// Weights may be anything above zero, but across a larger range digits are lost.
		if !(low > 0 && high/low <= 1e9) {
			return t.fault(e.at, "convert it to a polyline", "SPLINE with weights that are not above zero or differ too much")
		}
		for i := range s.points {
			s.points[i].w /= high
		}
	}
	if err := s.check(t, e); err != nil {
		return err
	}
	e.shape = s
	const closed = 1
	if a, b := s.ends(); flags&closed != 0 && (math.Abs(a.x-b.x) > math.Abs(a.x)/1e6+1e-6 || math.Abs(a.y-b.y) > math.Abs(a.y)/1e6+1e-6) {
		e.note = "SPLINE that is marked as closed but does not end where it begins; it is left open"
	}
	return nil
}

// check looks at the knots: they rise, and the curve does not jump at any.
func (s *spline) check(t *text, e *entity) error {
	first, last := s.knots[s.degree], s.knots[len(s.points)]
	same := 1
	for i := 1; i < len(s.knots); i++ {
		a, b := s.knots[i-1], s.knots[i]
		if b < a {
			return t.fault(e.at, "export the file again", "SPLINE whose knots fall: knot %d is %g and the next %g", i, a, b)
		}
		if same++; a != b {
			same = 1
		}
		if same > s.degree && b > first && b < last {
			return t.fault(e.at, "draw it as two splines", "SPLINE that may jump at knot %d, which stands there %d times", i+1, same)
		}
	}
	if first == last {
		return t.fault(e.at, "export the file again", "SPLINE whose knots leave it no length")
	}
	return nil
}

// ends gives the places where the curve begins and ends, in the file's numbers.
func (s *spline) ends() (a, b control) {
	points := make([]hpoint, len(s.points))
	one := scaling(1, 1)
	for i, c := range s.points {
		points[i] = homogeneous(one, c.x, c.y, c.w)
	}
	k, l := s.degree, len(s.points)-1
	for s.knots[k] == s.knots[k+1] {
		k++
	}
	for s.knots[l] == s.knots[l+1] {
		l--
	}
	p, q := s.piece(points, k)[0], s.piece(points, l)[s.degree]
	return control{p.x / p.w, p.y / p.w, 1}, control{q.x / q.w, q.y / q.w, 1}
}
