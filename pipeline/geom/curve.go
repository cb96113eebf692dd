package geom

import "math"

// A curve is an edge made ready for calculation in floating point, all of it relative to From.
//
// An arc's ends are whole nanometres, so they seldom lie on one circle about a centre that is a
// whole nanometre too. Distances and crossings use the circle through both ends whose centre is
// nearest to Center: it joins its neighbours without a step and is the same run backwards.
type curve struct {
	from   Point
	shape  curveShape
	sense  float64
	tx, ty float64 // To
	cx, cy float64 // centre
	r      float64
	step   bool // the ends lie off the circle, half a step either way
}

type curveShape uint8

const (
	shapeLine curveShape = iota
	shapeArc
	shapeCircle
)

func curveOf(e Edge) curve {
	c := curve{from: e.From, sense: float64(e.Sense)}
	t := e.To.Sub(e.From)
	c.tx, c.ty = float64(t.X), float64(t.Y)
	if e.Sense == Straight {
		return c
	}
	m := e.Center.Sub(e.From)
	c.cx, c.cy = float64(m.X), float64(m.Y)
	rf, rt := m.Norm(), e.To.Distance(e.Center)
	c.r = rf
	if t == (Point{}) {
		c.shape = shapeCircle
		return c
	}
	chord := t.Norm()
	minor, whole := e.bend()
	switch {
	case whole: // the ends lie in one direction: all but a radial step is a circle
		c.shape, c.r, c.step = shapeCircle, (rf+rt)/2, true
		return c
	case minor && math.Abs(rf-rt) > chord/4:
		// The ends disagree so much that no circle about this centre is meant.
		return c
	case !minor && chord < rf/8:
		// Nearly a circle: a narrow mouth would throw a corrected centre far away.
		c.shape, c.r, c.step = shapeArc, (rf+rt)/2, true
		return c
	}
	c.shape = shapeArc
	ux, uy := c.tx/chord, c.ty/chord
	along := float64(c.cx*ux) + float64(c.cy*uy) - float64(chord/2)
	c.cx, c.cy = c.cx-float64(along*ux), c.cy-float64(along*uy)
	c.r = hypot(c.cx, c.cy)
	return c
}

// Recentred gives an arc about the centre nearest to its own that lies equally far from both ends, but
// for rounding: the circle that distances, crossings and overlays take it to lie on. It is false, and
// gives the edge as it is, for a straight one, for a full circle or all but one, and where the ends
// disagree so much about the radius that no circle is meant.
func (e Edge) Recentred() (Edge, bool) {
	if c := curveOf(e); c.shape == shapeArc && !c.step {
		e.Center = c.point(c.cx, c.cy)
		return e, true
	}
	return e, false
}

// bend tells whether an arc with distinct ends turns by at most 180°, and whether its ends lie in the
// same direction from the centre, so that it goes all the way round.
func (e Edge) bend() (minor, whole bool) {
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	s := crossSign(f, t) * int(e.Sense)
	if s == 0 {
		opposite := compareProducts(f.X, t.X, -f.Y, t.Y) < 0
		return opposite, !opposite
	}
	return s > 0, false
}

func hypot(x, y float64) float64 { return math.Sqrt(float64(x*x) + float64(y*y)) }

// local gives p relative to the curve's From.
func (c *curve) local(p Point) (x, y float64) {
	d := p.Sub(c.from)
	return float64(d.X), float64(d.Y)
}

// point rounds a place relative to From.
func (c *curve) point(x, y float64) Point {
	return Point{c.from.X + Round(x), c.from.Y + Round(y)}
}

// faces tells whether a place on the arc's circle is on the arc: on the arc's side of the chord.
func (c *curve) faces(x, y float64) bool {
	return c.shape == shapeCircle || c.sense*(float64(c.tx*y)-float64(c.ty*x)) <= 0
}

// nearest gives the distance from a place to the curve and the nearest place on it.
func (c *curve) nearest(x, y float64) (d, nx, ny float64) {
	if c.shape == shapeLine {
		l2 := float64(c.tx*c.tx) + float64(c.ty*c.ty)
		dot := float64(c.tx*x) + float64(c.ty*y)
		switch {
		case dot <= 0 || l2 == 0:
			return hypot(x, y), 0, 0
		case dot >= l2:
			return hypot(x-c.tx, y-c.ty), c.tx, c.ty
		}
		f := dot / l2
		cross := float64(c.tx*y) - float64(c.ty*x)
		return math.Abs(cross) / math.Sqrt(l2), float64(f * c.tx), float64(f * c.ty)
	}
	d = math.Inf(1)
	wx, wy := x-c.cx, y-c.cy
	rho := hypot(wx, wy)
	if rho == 0 {
		return c.r, 0, 0
	}
	f := c.r / rho
	if px, py := c.cx+float64(f*wx), c.cy+float64(f*wy); c.faces(px, py) {
		d, nx, ny = math.Abs(rho-c.r), px, py
		if !c.step {
			return d, nx, ny
		}
	}
	if v := hypot(x, y); v < d {
		d, nx, ny = v, 0, 0
	}
	if v := hypot(x-c.tx, y-c.ty); v < d {
		d, nx, ny = v, c.tx, c.ty
	}
	return d, nx, ny
}

// middle gives the place half way along the curve.
func (c *curve) middle() (x, y float64) {
	switch c.shape {
	case shapeLine:
		return c.tx / 2, c.ty / 2
	case shapeCircle:
		return 2 * c.cx, 2 * c.cy
	}
	l := hypot(c.tx, c.ty)
	// The arc bulges to the right of its chord when it turns counter-clockwise.
	out := c.sense * c.r / l
	return c.cx + float64(out*c.ty), c.cy - float64(out*c.tx)
}

// turn gives the direction of From from the centre and the signed sweep, in radians.
func (c *curve) turn() (start, sweep float64) {
	start = Atan2(-c.cy, -c.cx)
	if c.shape == shapeCircle {
		return start, c.sense * 2 * math.Pi
	}
	sweep = Atan2(c.ty-c.cy, c.tx-c.cx) - start
	if c.sense > 0 && sweep <= 0 {
		sweep += 2 * math.Pi
	}
	if c.sense < 0 && sweep >= 0 {
		sweep -= 2 * math.Pi
	}
	return start, sweep
}
