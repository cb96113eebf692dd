package geom

// Location is where a point lies with respect to a closed path or an outline.
type Location int8

// The locations.
const (
	Outside Location = iota
	OnEdge
	Inside
)

// String names the location in a word or two.
func (l Location) String() string { return [...]string{"outside", "on the edge", "inside"}[l] }

// nearArc is how far in nm a point may lie from an arc to count as on it: rounding to the grid moves
// a point by up to 0.71 nm, and the arc's own ends are rounded as well.
const nearArc = 1.0

// Locate tells where q lies with respect to a closed path; what the path runs round in either
// direction is inside. It is exact for straight edges; a point counts as on an arc within 1 nm.
func (p Path) Locate(q Point) Location {
	w := 0
	for _, e := range p {
		if e.holds(q) {
			return OnEdge
		}
		w += e.winding(q)
	}
	if w == 0 {
		return Outside
	}
	return Inside
}

// Winding counts how often a closed path runs round q, counter-clockwise positive. It is of no use
// for a point on the path.
func (p Path) Winding(q Point) int {
	w := 0
	for _, e := range p {
		w += e.winding(q)
	}
	return w
}

// Locate tells where q lies with respect to the board's material: cut-outs are outside.
func (o Outline) Locate(q Point) Location {
	at := o.Outer.Locate(q)
	if at != Inside {
		return at
	}
	for _, c := range o.CutOuts {
		switch c.Locate(q) {
		case Inside:
			return Outside
		case OnEdge:
			return OnEdge
		}
	}
	return Inside
}

// holds tells whether q lies on the edge.
func (e Edge) holds(q Point) bool {
	if e.Sense == Straight {
		return BoxOf(e.From, e.To).HoldsPoint(q) && orient(e.From, e.To, q) == 0
	}
	if q == e.From || q == e.To {
		return true
	}
	if !e.Box().Grow(1).HoldsPoint(q) {
		return false
	}
	d, _ := PointEdgeDistance(q, e)
	return d <= nearArc
}

// winding is what the edge adds to the winding number of the path about q: how a ray from q to the
// right crosses the chord, and whether q lies between chord and arc. Which side of the chord q is on
// is decided exactly and alike for both parts, so that they always fit together.
func (e Edge) winding(q Point) int {
	w := 0
	side := 0
	if e.From != e.To {
		side = orient(e.From, e.To, q)
		if up := e.From.Y <= q.Y && q.Y < e.To.Y; up && side > 0 {
			w = 1
		} else if down := e.To.Y <= q.Y && q.Y < e.From.Y; down && side < 0 {
			w = -1
		}
	}
	if e.Sense == Straight {
		return w
	}
	if e.From != e.To {
		if side == 0 { // the ray's rule takes q as shifted a little to the right, then up
			switch {
			case e.To.Y > e.From.Y:
				side = -1
			case e.To.Y < e.From.Y:
				side = 1
			case e.To.X > e.From.X:
				side = 1
			default:
				side = -1
			}
		}
		if _, whole := e.bend(); !whole && side*int(e.Sense) > 0 {
			return w
		}
	}
	c := curveOf(e)
	if c.shape == shapeLine {
		return w
	}
	if x, y := c.local(q); hypot(x-c.cx, y-c.cy) < c.r {
		w += int(e.Sense)
	}
	return w
}
