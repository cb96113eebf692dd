package geom

import "math"

// Sense says whether an edge is straight or which way its arc turns.
type Sense int8

// The three senses of an edge.
const (
	Straight         Sense = 0
	CounterClockwise Sense = 1
	Clockwise        Sense = -1
)

// Edge is a straight line or a circular arc. For an arc, From == To is a full circle. The radius is
// the distance from Center to From; Center is a whole nanometre, so From and To may disagree about
// the radius by a rounding.
type Edge struct {
	From, To, Center Point
	Sense            Sense
}

// Line makes a straight edge.
func Line(from, to Point) Edge { return Edge{From: from, To: to} }

// Arc makes an arc.
func Arc(from, to, center Point, s Sense) Edge { return Edge{from, to, center, s} }

// Path is a chain of edges, each beginning where the one before it ends. It is closed when the last
// ends where the first begins.
type Path []Edge

// Closed tells whether the path ends where it begins.
func (p Path) Closed() bool { return len(p) > 0 && p[0].From == p[len(p)-1].To }

// Box is the smallest box round the path, arcs' bulges included (rounded outwards).
func (p Path) Box() Box {
	b := EmptyBox()
	for _, e := range p {
		b = b.Union(e.Box())
	}
	return b
}

// Reverse gives the path run backwards.
func (p Path) Reverse() Path {
	out := make(Path, len(p))
	for i, e := range p {
		out[len(p)-1-i] = e.Reverse()
	}
	return out
}

// Reverse gives the edge run backwards.
func (e Edge) Reverse() Edge { return Edge{e.To, e.From, e.Center, -e.Sense} }

// Radius is the arc's radius in nm, by its starting point.
func (e Edge) Radius() float64 { return e.From.Distance(e.Center) }

// Heading is the direction in which an edge runs at one of its ends, as a vector of any length: that of
// the tangent for an arc. It is exact.
func (e Edge) Heading(at Point) Point {
	if e.Sense == Straight {
		return e.To.Sub(e.From)
	}
	r := at.Sub(e.Center)
	s := Length(e.Sense)
	return Pt(-s*r.Y, s*r.X)
}

// Angles gives the arc's starting angle and its signed sweep, in radians, counter-clockwise positive.
// A full circle sweeps ±2π. A straight edge gives its direction and no sweep.
func (e Edge) Angles() (start, sweep float64) {
	if e.Sense == Straight {
		d := e.To.Sub(e.From)
		return Atan2(float64(d.Y), float64(d.X)), 0
	}
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	start = Atan2(float64(f.Y), float64(f.X))
	if e.From == e.To {
		return start, float64(e.Sense) * 2 * math.Pi
	}
	sweep = Atan2(float64(t.Y), float64(t.X)) - start
	if e.Sense == CounterClockwise && sweep <= 0 {
		sweep += 2 * math.Pi
	}
	if e.Sense == Clockwise && sweep >= 0 {
		sweep -= 2 * math.Pi
	}
	return start, sweep
}

// Length is the length along the edge, in nm.
func (e Edge) Length() float64 {
	if e.Sense == Straight {
		return e.From.Distance(e.To)
	}
	c := curveOf(e)
	if c.shape == shapeLine {
		return e.From.Distance(e.To)
	}
	_, sweep := c.turn()
	return math.Abs(sweep) * c.r
}

// At gives the point at fraction f (0..1) along the edge, to the nanometre.
func (e Edge) At(f float64) Point {
	if f <= 0 {
		return e.From
	}
	if f >= 1 {
		return e.To
	}
	c := curveOf(e)
	if c.shape == shapeLine {
		return c.point(c.tx*f, c.ty*f)
	}
	start, sweep := c.turn()
	sin, cos := SinCos(start + float64(sweep*f))
	return c.point(c.cx+float64(c.r*cos), c.cy+float64(c.r*sin))
}

// Beside gives the point that lies d to the left of the edge at fraction f (0..1): inside, for a short
// way, of an outline, whose outer path runs counter-clockwise and whose cut-outs run clockwise.
func (e Edge) Beside(f float64, d Length) Point {
	at := e.At(f)
	v := e.To.Sub(e.From)
	if e.Sense != Straight {
		r := at.Sub(e.Center)
		v = Point{-r.Y * Length(e.Sense), r.X * Length(e.Sense)}
	}
	n := v.Norm()
	if n == 0 {
		return at
	}
	return Point{at.X - Round(float64(v.Y)/n*float64(d)), at.Y + Round(float64(v.X)/n*float64(d))}
}

// Box is the smallest box round the edge, rounded outwards.
func (e Edge) Box() Box {
	b := BoxOf(e.From, e.To)
	if e.Sense == Straight {
		return b
	}
	c := curveOf(e)
	if c.shape == shapeLine {
		return b
	}
	// A millionth of a nanometre of slack keeps a quarter arc's exact end from being rounded past.
	const slack = 1e-6
	if c.faces(c.cx+c.r, c.cy) {
		b.Max.X = max(b.Max.X, e.From.X+Length(math.Ceil(c.cx+c.r-slack)))
	}
	if c.faces(c.cx, c.cy+c.r) {
		b.Max.Y = max(b.Max.Y, e.From.Y+Length(math.Ceil(c.cy+c.r-slack)))
	}
	if c.faces(c.cx-c.r, c.cy) {
		b.Min.X = min(b.Min.X, e.From.X+Length(math.Floor(c.cx-c.r+slack)))
	}
	if c.faces(c.cx, c.cy-c.r) {
		b.Min.Y = min(b.Min.Y, e.From.Y+Length(math.Floor(c.cy-c.r+slack)))
	}
	return b
}

// Area is the signed area that a closed path encloses, in nm², counter-clockwise positive. That of a
// path of straight edges is exact but for the rounding of the result.
func (p Path) Area() float64 {
	var twice wide
	var arcs float64
	for _, e := range p {
		o := p[0].From
		f, t := e.From.Sub(o), e.To.Sub(o)
		twice.addProduct(int64(f.X), int64(t.Y))
		twice.addProduct(-int64(f.Y), int64(t.X))
		if e.Sense != Straight {
			if c := curveOf(e); c.shape != shapeLine {
				_, sweep := c.turn()
				half := float64(math.Abs(sweep) / 2)
				sin, cos := SinCos(half)
				area := float64(float64(c.r*c.r) * lens(half, sin, cos))
				if sweep < 0 {
					area = -area
				}
				arcs += area
			}
		}
	}
	return float64(twice.float()/2) + arcs
}

// Outline is a board's or panel's edge: one closed outer path, counter-clockwise, and closed
// cut-outs, clockwise, inside it.
type Outline struct {
	Outer   Path
	CutOuts []Path
}

// Box is the smallest box round the outer path.
func (o Outline) Box() Box { return o.Outer.Box() }

// Rectangle gives the counter-clockwise outline of a box.
func Rectangle(b Box) Path {
	a, c := b.Min, b.Max
	p, q := Point{c.X, a.Y}, Point{a.X, c.Y}
	return Path{Line(a, p), Line(p, c), Line(c, q), Line(q, a)}
}

// RoundedRectangle gives a box whose corners have radius r (none for r ≤ 0), counter-clockwise.
// r must not exceed half the shorter side.
func RoundedRectangle(b Box, r Length) Path {
	if r <= 0 {
		return Rectangle(b)
	}
	a, c := b.Min, b.Max
	raw := Path{
		Line(Point{a.X + r, a.Y}, Point{c.X - r, a.Y}),
		Arc(Point{c.X - r, a.Y}, Point{c.X, a.Y + r}, Point{c.X - r, a.Y + r}, CounterClockwise),
		Line(Point{c.X, a.Y + r}, Point{c.X, c.Y - r}),
		Arc(Point{c.X, c.Y - r}, Point{c.X - r, c.Y}, Point{c.X - r, c.Y - r}, CounterClockwise),
		Line(Point{c.X - r, c.Y}, Point{a.X + r, c.Y}),
		Arc(Point{a.X + r, c.Y}, Point{a.X, c.Y - r}, Point{a.X + r, c.Y - r}, CounterClockwise),
		Line(Point{a.X, c.Y - r}, Point{a.X, a.Y + r}),
		Arc(Point{a.X, a.Y + r}, Point{a.X + r, a.Y}, Point{a.X + r, a.Y + r}, CounterClockwise),
	}
	out := raw[:0]
	for _, e := range raw {
		if e.From != e.To {
			out = append(out, e)
		}
	}
	return out
}
