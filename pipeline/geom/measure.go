package geom

import (
	"math"
	"math/bits"
)

// Area is the area in nm², cut-outs left out.
func (o Outline) Area() float64 { return o.Moments().Area }

// Area is the area in nm².
func (r Region) Area() float64 { return r.Moments().Area }

// Perimeter is the length of all paths, cut-outs' too, in nm.
func (o Outline) Perimeter() float64 {
	var l float64
	for _, p := range o.loops() {
		l += p.Length()
	}
	return l
}

// Perimeter is the length of all paths, cut-outs' too, in nm.
func (r Region) Perimeter() float64 {
	var l float64
	for _, o := range r {
		l += o.Perimeter()
	}
	return l
}

// Length is the length along the path in nm.
func (p Path) Length() float64 {
	var l float64
	for _, e := range p {
		l += e.Length()
	}
	return l
}

// Moments are a shape's area, centroid and second moments of area about axes through the centroid, as
// statics has them.
type Moments struct {
	Area   float64 // nm²
	CX, CY float64 // the centroid, nm
	XX     float64 // ∫ (y − CY)² dA, nm⁴: about the axis along x
	YY     float64 // ∫ (x − CX)² dA, nm⁴: about the axis along y
	XY     float64 // ∫ (x − CX)(y − CY) dA, nm⁴
}

// Centroid is the centroid, rounded to the nanometre.
func (m Moments) Centroid() Point { return Point{Round(m.CX), Round(m.CY)} }

// Polar is the second moment about the centroid itself, ∫ r² dA, in nm⁴.
func (m Moments) Polar() float64 { return m.XX + m.YY }

// Principal gives the greatest and the least second moment about any axis through the centroid, in
// nm⁴, and the direction of the axis of the greatest: radians from x, in (−π/2, π/2].
func (m Moments) Principal() (greatest, least, axis float64) {
	mean, half := float64((m.XX+m.YY)/2), float64((m.XX-m.YY)/2)
	r := hypot(half, m.XY)
	if r == 0 {
		return mean, mean, 0
	}
	// I(φ) = ∫ (distance from the axis at φ)² dA = mean + half·cos 2φ − XY·sin 2φ.
	axis = float64(Atan2(-m.XY, half) / 2)
	if axis <= -math.Pi/2 {
		axis += math.Pi
	}
	return mean + r, mean - r, axis
}

// Gyration gives the radii of gyration about the axes along x and y through the centroid, in nm. They
// are 0 for a shape without area.
func (m Moments) Gyration() (x, y float64) {
	if m.Area <= 0 {
		return 0, 0
	}
	return math.Sqrt(max(0, m.XX/m.Area)), math.Sqrt(max(0, m.YY/m.Area))
}

// About gives the second moments about axes through another point, by the parallel-axis theorem
// (J. Steiner): ∫ (y − p.Y)² dA, ∫ (x − p.X)² dA and ∫ (x − p.X)(y − p.Y) dA in nm⁴.
func (m Moments) About(p Point) (xx, yy, xy float64) {
	dx, dy := m.CX-float64(p.X), m.CY-float64(p.Y)
	return m.XX + float64(m.Area*dy*dy), m.YY + float64(m.Area*dx*dx), m.XY + float64(m.Area*dx*dy)
}

// Moments gives area, centroid and second moments of what a closed path runs round counter-clockwise;
// clockwise they come out negative. Arcs are taken as arcs.
func (p Path) Moments() Moments { return moments([]Path{p}) }

// Moments gives area, centroid and second moments, cut-outs left out.
func (o Outline) Moments() Moments { return moments(o.loops()) }

// Moments gives area, centroid and second moments of the whole region.
func (r Region) Moments() Moments { return moments(r.Paths()) }

// integrals are those over a shape about a point near it: 1, x, y, y², x², xy.
type integrals struct{ a, x, y, yy, xx, xy float64 }

func moments(paths []Path) Moments {
	box := EmptyBox()
	for _, p := range paths {
		box = box.Union(p.Box())
	}
	if box.Empty() {
		return Moments{}
	}
	// Sums are taken about the middle of the shape, so that no digits are lost to its distance from the
	// origin, and the area of the polygons exactly.
	o := box.Center()
	var s integrals
	twice := wide{}
	for _, p := range paths {
		for _, e := range p {
			s.triangle(e.From.Sub(o), e.To.Sub(o), &twice)
			if e.Sense != Straight {
				s.segment(e, o)
			}
		}
	}
	s.a += float64(twice.float() / 2)
	m := Moments{Area: s.a}
	if s.a == 0 {
		m.CX, m.CY = float64(o.X), float64(o.Y)
		return m
	}
	cx, cy := s.x/s.a, s.y/s.a
	m.CX, m.CY = float64(o.X)+cx, float64(o.Y)+cy
	m.XX = s.yy - float64(s.y*cy)
	m.YY = s.xx - float64(s.x*cx)
	m.XY = s.xy - float64(s.x*cy)
	return m
}

// triangle adds the triangle from the origin over two corners, its area in whole numbers.
func (s *integrals) triangle(p, q Point, twice *wide) {
	twice.addProduct(int64(p.X), int64(q.Y))
	twice.addProduct(-int64(p.Y), int64(q.X))
	px, py, qx, qy := float64(p.X), float64(p.Y), float64(q.X), float64(q.Y)
	c := crossFloat(p, q)
	s.x += float64(c*(px+qx)) / 6
	s.y += float64(c*(py+qy)) / 6
	s.xx += float64(c*(float64(px*px)+float64(px*qx)+float64(qx*qx))) / 12
	s.yy += float64(c*(float64(py*py)+float64(py*qy)+float64(qy*qy))) / 12
	s.xy += float64(c*(float64(px*qy)+float64(2*px*py)+float64(2*qx*qy)+float64(qx*py))) / 24
}

// crossFloat is p × q with no more than one rounding.
func crossFloat(p, q Point) float64 {
	var w wide
	w.addProduct(int64(p.X), int64(q.Y))
	w.addProduct(-int64(p.Y), int64(q.X))
	return w.float()
}

// segment adds what lies between an arc and its chord.
//
// About the circle's centre and the axis of symmetry, with half the angle h: area r²(h − sin h cos h),
// centroid at (2r/3) sin³h / (h − sin h cos h), second moments about the centre r⁴/4 · (h − sin h cos h
// + 2 sin³h cos h) along the axis and r⁴/12 · (3h − 3 sin h cos h − 2 sin³h cos h) across it (Beer and
// Johnston have sectors and triangles, of which these are the differences; derived here).
func (s *integrals) segment(e Edge, o Point) {
	c := curveOf(e)
	if c.shape == shapeLine {
		return
	}
	start, sweep := c.turn()
	h := float64(math.Abs(sweep) / 2)
	sign := 1.0
	if sweep < 0 {
		sign = -1
	}
	sh, ch := SinCos(h)
	sinA, cosA := SinCos(start + float64(sweep/2))
	r2 := float64(c.r * c.r)
	r4 := float64(r2 * r2)
	cubic := sh * sh * sh
	a := float64(r2 * lens(h, sh, ch))
	first := float64(float64(r2*c.r)*cubic) * 2 / 3
	product := float64(cubic * ch)
	along := float64(r4 * (lens(h, sh, ch) + float64(2*product)) / 4)
	across := float64(r4 * (float64(3*lens(h, sh, ch)) - float64(2*product)) / 12)
	// To the axes of x and y about the centre, then to the common point.
	sxx := float64(along*float64(cosA*cosA)) + float64(across*float64(sinA*sinA))
	syy := float64(along*float64(sinA*sinA)) + float64(across*float64(cosA*cosA))
	sxy := float64((along - across) * float64(sinA*cosA))
	fx, fy := float64(first*cosA), float64(first*sinA)
	d := e.From.Sub(o)
	mx, my := float64(d.X)+c.cx, float64(d.Y)+c.cy
	s.a += float64(sign * a)
	s.x += float64(sign * (fx + float64(a*mx)))
	s.y += float64(sign * (fy + float64(a*my)))
	s.xx += float64(sign * (sxx + float64(2*mx*fx) + float64(a*float64(mx*mx))))
	s.yy += float64(sign * (syy + float64(2*my*fy) + float64(a*float64(my*my))))
	s.xy += float64(sign * (sxy + float64(mx*fy) + float64(my*fx) + float64(a*float64(mx*my))))
}

// lens is h − sin h cos h, by its series where the difference would lose digits.
func lens(h, sin, cos float64) float64 {
	if h > 0.1 {
		return h - float64(sin*cos)
	}
	// h − ½ sin 2h = Σ (−1)ᵏ⁺¹ (2h)²ᵏ⁺¹ / (2·(2k+1)!)
	x := 2 * h
	z := float64(x * x)
	term := float64(x*z) / 12
	sum := term
	for k := 5.0; k < 17; k += 2 {
		term = -float64(term*z) / float64((k-1)*k)
		sum += term
	}
	return sum
}

// wide is a sum of products in 128 bits.
type wide struct {
	hi int64
	lo uint64
}

func (w *wide) addProduct(a, b int64) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if (a < 0) != (b < 0) {
		var borrow uint64
		w.lo, borrow = bits.Sub64(w.lo, lo, 0)
		w.hi -= int64(hi) + int64(borrow)
		return
	}
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, lo, 0)
	w.hi += int64(hi) + int64(carry)
}

// float gives the nearest float, halves to even.
func (w wide) float() float64 {
	hi, lo, sign := w.hi, w.lo, 1.0
	if hi < 0 {
		var borrow uint64
		lo, borrow = bits.Sub64(0, lo, 0)
		hi = -hi - int64(borrow)
		sign = -1
	}
	if hi == 0 {
		return sign * float64(lo)
	}
	// The upper 64 digits, the last of them set when any below are: more than a float keeps, so that it
	// is rounded once.
	n := bits.Len64(uint64(hi))
	top := uint64(hi)<<(64-n) | lo>>n
	if lo<<(64-n) != 0 {
		top |= 1
	}
	return sign * math.Ldexp(float64(top), n)
}
