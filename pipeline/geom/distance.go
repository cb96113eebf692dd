package geom

import "math"

// PointEdgeDistance gives the shortest distance in nm from q to e, and the nearest point of e
// rounded to the nanometre. The distance itself is not rounded.
func PointEdgeDistance(q Point, e Edge) (float64, Point) {
	if e.Sense == Straight {
		return pointLineDistance(q, e)
	}
	if q == e.From || q == e.To {
		return 0, q
	}
	c := curveOf(e)
	x, y := c.local(q)
	d, nx, ny := c.nearest(x, y)
	return d, c.point(nx, ny)
}

// pointLineDistance works from exact products, so that no digit is lost to the distance from the
// origin or to a foot rounded to the grid.
func pointLineDistance(q Point, e Edge) (float64, Point) {
	d, w := e.To.Sub(e.From), q.Sub(e.From)
	if !small(d.X) || !small(d.Y) || !small(w.X) || !small(w.Y) {
		c := curveOf(e)
		v, x, y := c.nearest(float64(w.X), float64(w.Y))
		return v, c.point(x, y)
	}
	dot, l2 := d.Dot(w), d.Dot(d)
	switch {
	case l2 == 0 || dot <= 0:
		return w.Norm(), e.From
	case dot >= l2:
		return q.Distance(e.To), e.To
	}
	foot := Point{e.From.X + Length(mulDivSigned(int64(d.X), dot, l2)), e.From.Y + Length(mulDivSigned(int64(d.Y), dot, l2))}
	return math.Abs(float64(d.Cross(w))) / math.Sqrt(float64(l2)), foot
}

// mulDivSigned is MulDiv for any sign of the divisor.
func mulDivSigned(a, b, c int64) int64 {
	if c < 0 {
		return MulDiv(a, -b, -c)
	}
	return MulDiv(a, b, c)
}

// EdgeDistance gives the shortest distance in nm between two edges, 0 where they meet, and the
// nearest point of each, rounded to the nanometre.
func EdgeDistance(a, b Edge) (d float64, pa, pb Point) {
	if p, ok := a.crosses(b); ok {
		return 0, p, p
	}
	d = math.Inf(1)
	keep := func(v float64, p, q Point) {
		if v < d {
			d, pa, pb = v, p, q
		}
	}
	for _, p := range [2]Point{a.From, a.To} {
		v, q := PointEdgeDistance(p, b)
		keep(v, p, q)
	}
	for _, q := range [2]Point{b.From, b.To} {
		v, p := PointEdgeDistance(q, a)
		keep(v, p, q)
	}
	if a.Sense == Straight && b.Sense == Straight {
		return d, pa, pb
	}
	// Inside both edges the shortest way is square to both: it runs through the centres of the arcs.
	ca, cb := curveOf(a), curveOf(b)
	ca.facing(&cb, keep)
	cb.facing(&ca, func(v float64, p, q Point) { keep(v, q, p) })
	return d, pa, pb
}

// facing offers the places of c that lie square across from the other curve's centre, each with the
// nearest place on the other curve.
func (c *curve) facing(o *curve, keep func(d float64, mine, its Point)) {
	if o.shape == shapeLine {
		return
	}
	ox, oy := c.local(o.from)
	offer := func(x, y float64) {
		v, nx, ny := o.nearest(x-ox, y-oy)
		keep(v, c.point(x, y), o.point(nx, ny))
	}
	mx, my := o.cx+ox, o.cy+oy
	if c.shape == shapeLine {
		_, x, y := c.nearest(mx, my)
		offer(x, y)
		return
	}
	wx, wy := mx-c.cx, my-c.cy
	l := hypot(wx, wy)
	if l == 0 {
		return // about one centre: the ends tell
	}
	for _, s := range [2]float64{1, -1} {
		f := s * c.r / l
		if x, y := c.cx+float64(f*wx), c.cy+float64(f*wy); c.faces(x, y) {
			offer(x, y)
		}
	}
}

// boxGap is the distance between two boxes, a lower bound for what lies in them.
func boxGap(a, b Box) float64 {
	dx := max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, 0)
	dy := max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y, 0)
	return hypot(float64(dx), float64(dy))
}

// Distance gives the shortest distance in nm from q to the nearest edge of the outline, cut-outs
// included, whichever side q is on.
func (o Outline) Distance(q Point) float64 {
	d := math.Inf(1)
	at := BoxOf(q)
	for _, p := range o.loops() {
		for _, e := range p {
			if boxGap(e.Box(), at) < d {
				v, _ := PointEdgeDistance(q, e)
				d = min(d, v)
			}
		}
	}
	return d
}

// PathDistance gives the shortest distance in nm between two paths taken as lines, not as areas, and
// the nearest point of each. It is +Inf when either has no edges.
func PathDistance(a, b Path) (float64, Point, Point) { return Distance(a, b) }

// loops gives the outer path and the cut-outs.
func (o Outline) loops() []Path {
	return append([]Path{o.Outer}, o.CutOuts...)
}

// Edges gives every edge of the outline: the outer path's, then each cut-out's.
func (o Outline) Edges() []Edge {
	var out []Edge
	for _, p := range o.loops() {
		out = append(out, p...)
	}
	return out
}
