package geom

import (
	"math"
	"slices"
)

// touching is how near in nm edges of which one is an arc must come to count as meeting: two
// roundings to the grid.
const touching = 1.5

// Intersections gives the points where two edges meet, in order of x, then y, rounded to the
// nanometre. Two lines are decided exactly; with arcs, a contact within 1.5 nm counts. Edges that
// run along each other give the two ends of the common run.
func (e Edge) Intersections(f Edge) []Point {
	if e.Sense == Straight && f.Sense == Straight {
		return lineLine(e, f)
	}
	if !e.Box().Grow(2).Overlaps(f.Box()) {
		return nil
	}
	a, b := curveOf(e), curveOf(f)
	var out []Point
	add := func(p Point) {
		for _, q := range out {
			if p.Distance(q) <= 2 || a.runsAlong(&b, p, q) {
				return
			}
		}
		out = append(out, p)
	}
	along := a.sameCircle(&b)
	ends := func(ps [2]Point, c *curve) {
		for _, p := range ps {
			x, y := c.local(p)
			if d, _, _ := c.nearest(x, y); d <= touching {
				if along && !slices.Contains(out, p) {
					out = append(out, p)
				} else {
					add(p)
				}
			}
		}
	}
	ends([2]Point{e.From, e.To}, &b)
	ends([2]Point{f.From, f.To}, &a)
	if !along {
		a.meet(&b, touching, func(x, y float64) bool {
			add(a.point(x, y))
			return true
		})
	}
	slices.SortFunc(out, Point.Compare)
	return out
}

// crosses tells whether the edges meet, without tolerance, and gives one point where they do.
func (e Edge) crosses(f Edge) (at Point, ok bool) {
	if !e.Box().Overlaps(f.Box()) {
		return Point{}, false
	}
	if e.Sense == Straight && f.Sense == Straight {
		if ps := lineLine(e, f); len(ps) > 0 {
			return ps[0], true
		}
		return Point{}, false
	}
	a, b := curveOf(e), curveOf(f)
	a.meet(&b, 0, func(x, y float64) bool {
		at, ok = a.point(x, y), true
		return false
	})
	return at, ok
}

// lineLine gives the common points of two straight edges, decided exactly.
func lineLine(e, f Edge) []Point {
	if !BoxOf(e.From, e.To).Overlaps(BoxOf(f.From, f.To)) {
		return nil
	}
	o1, o2 := orient(e.From, e.To, f.From), orient(e.From, e.To, f.To)
	o3, o4 := orient(f.From, f.To, e.From), orient(f.From, f.To, e.To)
	if o1*o2 > 0 || o3*o4 > 0 {
		return nil
	}
	var out []Point
	if o1 == 0 || o2 == 0 || o3 == 0 || o4 == 0 {
		for _, p := range [2]Point{f.From, f.To} {
			if e.holds(p) && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
		for _, p := range [2]Point{e.From, e.To} {
			if f.holds(p) && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
		slices.SortFunc(out, Point.Compare)
		return out
	}
	d, g, w := e.To.Sub(e.From), f.To.Sub(f.From), f.From.Sub(e.From)
	if !small(d.X) || !small(d.Y) || !small(g.X) || !small(g.Y) || !small(w.X) || !small(w.Y) {
		t := (float64(float64(w.X)*float64(g.Y)) - float64(float64(w.Y)*float64(g.X))) /
			(float64(float64(d.X)*float64(g.Y)) - float64(float64(d.Y)*float64(g.X)))
		return []Point{{e.From.X + Round(t*float64(d.X)), e.From.Y + Round(t*float64(d.Y))}}
	}
	num, den := w.Cross(g), d.Cross(g)
	return []Point{{
		e.From.X + Length(mulDivSigned(int64(d.X), num, den)),
		e.From.Y + Length(mulDivSigned(int64(d.Y), num, den)),
	}}
}

// sameCircle tells whether two arcs lie on one circle.
func (c *curve) sameCircle(o *curve) bool {
	if c.shape == shapeLine || o.shape == shapeLine || math.Abs(c.r-o.r) > touching {
		return false
	}
	ox, oy := c.local(o.from)
	return hypot(o.cx+ox-c.cx, o.cy+oy-c.cy) <= touching
}

// runsAlong tells whether between two of their common points the curves stay within reach of each
// other, so that the two are one contact: a line and an arc that touch come within a nanometre of
// each other over a run far longer than that.
func (c *curve) runsAlong(o *curve, p, q Point) bool {
	px, py := c.local(p)
	qx, qy := c.local(q)
	mx, my := float64((px+qx)/2), float64((py+qy)/2)
	if c.shape != shapeLine {
		wx, wy := mx-c.cx, my-c.cy
		l := hypot(wx, wy)
		if l < c.r/2 {
			return false
		}
		mx, my = c.cx+float64(wx*c.r)/l, c.cy+float64(wy*c.r)/l
	}
	ox, oy := c.local(o.from)
	d, _, _ := o.nearest(mx-ox, my-oy)
	return d <= touching
}

// meet calls f for the places, relative to c, where the curves cross within their lengths; with a
// tolerance also for those where they pass each other that near. At most one of c and o is a line.
func (c *curve) meet(o *curve, tol float64, f func(x, y float64) bool) {
	ox, oy := c.local(o.from)
	switch {
	case c.shape == shapeLine && o.shape == shapeLine:
		// An arc whose radii disagree beyond sense stands as its chord.
		c.meetLine(ox, oy, o, f)
	case c.shape == shapeLine:
		c.meetArc(o, ox, oy, tol, f)
	case o.shape == shapeLine:
		o.meetArc(c, -ox, -oy, tol, func(x, y float64) bool { return f(x+ox, y+oy) })
	default:
		c.meetCircle(o, ox, oy, tol, f)
	}
}

func (c *curve) meetLine(ox, oy float64, o *curve, f func(x, y float64) bool) {
	den := float64(c.tx*o.ty) - float64(c.ty*o.tx)
	if den == 0 {
		return
	}
	t := (float64(ox*o.ty) - float64(oy*o.tx)) / den
	s := (float64(ox*c.ty) - float64(oy*c.tx)) / den
	if t >= 0 && t <= 1 && s >= 0 && s <= 1 {
		f(t*c.tx, t*c.ty)
	}
}

// meetArc crosses a line with an arc whose From lies at (ox, oy).
func (c *curve) meetArc(o *curve, ox, oy, tol float64, f func(x, y float64) bool) {
	l := hypot(c.tx, c.ty)
	if l == 0 {
		return
	}
	ux, uy := c.tx/l, c.ty/l
	mx, my := o.cx+ox, o.cy+oy
	foot := float64(mx*ux) + float64(my*uy)
	off := float64(ux*my) - float64(uy*mx)
	try := func(t float64) bool {
		x, y := float64(t*ux), float64(t*uy)
		if t < 0 || t > l || !o.faces(x-ox, y-oy) {
			return true
		}
		return f(x, y)
	}
	h := math.Abs(off)
	if h > o.r {
		if h <= o.r+tol {
			try(foot)
		}
		return
	}
	half := math.Sqrt(float64((o.r - h) * (o.r + h)))
	if try(foot-half) && half > 0 {
		try(foot + half)
	}
}

func (c *curve) meetCircle(o *curve, ox, oy, tol float64, f func(x, y float64) bool) {
	wx, wy := o.cx+ox-c.cx, o.cy+oy-c.cy
	l := hypot(wx, wy)
	if l == 0 {
		return
	}
	ux, uy := wx/l, wy/l
	try := func(along, across float64) bool {
		x := c.cx + float64(along*ux) - float64(across*uy)
		y := c.cy + float64(along*uy) + float64(across*ux)
		if !c.faces(x, y) || !o.faces(x-ox, y-oy) {
			return true
		}
		return f(x, y)
	}
	switch {
	case l > c.r+o.r:
		if l <= c.r+o.r+tol {
			try(c.r, 0)
		}
		return
	case l < math.Abs(c.r-o.r):
		if l >= math.Abs(c.r-o.r)-tol {
			if c.r > o.r {
				try(c.r, 0)
			} else {
				try(-c.r, 0)
			}
		}
		return
	}
	along := (float64(l*l) + float64((c.r-o.r)*(c.r+o.r))) / (2 * l)
	across := math.Sqrt(math.Max(0, float64((c.r-along)*(c.r+along))))
	if try(along, across) && across > 0 {
		try(along, -across)
	}
}
