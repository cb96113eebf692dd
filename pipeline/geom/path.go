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

// Angles gives the arc's starting angle and its signed sweep, in radians, counter-clockwise positive.
// A full circle sweeps ±2π. A straight edge gives its direction and no sweep.
func (e Edge) Angles() (start, sweep float64) {
	if e.Sense == Straight {
		d := e.To.Sub(e.From)
		return math.Atan2(float64(d.Y), float64(d.X)), 0
	}
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	start = math.Atan2(float64(f.Y), float64(f.X))
	if e.From == e.To {
		return start, float64(e.Sense) * 2 * math.Pi
	}
	sweep = math.Atan2(float64(t.Y), float64(t.X)) - start
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
	_, sweep := e.Angles()
	return math.Abs(sweep) * e.Radius()
}

// At gives the point at fraction f (0..1) along the edge, to the nanometre.
func (e Edge) At(f float64) Point {
	if f <= 0 {
		return e.From
	}
	if f >= 1 {
		return e.To
	}
	if e.Sense == Straight {
		d := e.To.Sub(e.From)
		return Point{e.From.X + Round(float64(d.X)*f), e.From.Y + Round(float64(d.Y)*f)}
	}
	start, sweep := e.Angles()
	sin, cos := math.Sincos(start + float64(sweep*f))
	r := e.Radius()
	return Point{e.Center.X + Round(r*cos), e.Center.Y + Round(r*sin)}
}

// Box is the smallest box round the edge, rounded outwards.
func (e Edge) Box() Box {
	b := BoxOf(e.From, e.To)
	if e.Sense == Straight {
		return b
	}
	r := Length(math.Ceil(max(e.Radius(), e.To.Distance(e.Center))))
	for i, p := range [4]Point{{r, 0}, {0, r}, {-r, 0}, {0, -r}} {
		if e.sweepsOver(i) {
			b = b.Extend(e.Center.Add(p))
		}
	}
	return b
}

// sweepsOver tells whether the arc passes the direction quarter*90°, decided exactly.
func (e Edge) sweepsOver(quarter int) bool {
	if e.From == e.To {
		return true
	}
	from, to := e.From, e.To
	if e.Sense == Clockwise {
		from, to = to, from
	}
	f, t := from.Sub(e.Center), to.Sub(e.Center)
	axis := [4]Point{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}[quarter]
	return ccwBetween(f, axis, t)
}

// ccwBetween tells whether direction d lies on the counter-clockwise way from a to b, ends included.
func ccwBetween(a, d, b Point) bool {
	ab, ad, db := a.Cross(b), a.Cross(d), d.Cross(b)
	if ab > 0 || ab == 0 && a.Dot(b) > 0 {
		return ad >= 0 && db >= 0 && (ad > 0 || a.Dot(d) > 0) && (db > 0 || d.Dot(b) > 0)
	}
	if ab == 0 { // opposite directions
		return ad >= 0
	}
	return !(b.Cross(d) > 0 && d.Cross(a) > 0)
}

// Area is the signed area that a closed path encloses, in nm², counter-clockwise positive.
func (p Path) Area() float64 {
	if len(p) == 0 {
		return 0
	}
	o := p[0].From
	var a float64
	for _, e := range p {
		a += float64(e.From.Sub(o).Cross(e.To.Sub(o))) / 2
		if e.Sense != Straight {
			_, sweep := e.Angles()
			r := e.Radius()
			a += float64(float64(r*r) / 2 * (sweep - math.Sin(sweep)))
		}
	}
	return a
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
