package offset

import (
	"math"

	"panelwright/pipeline/geom"
)

// A builder adds up the borders of the pieces that an offset consists of.
//
// Moved outwards, a region grows by a rectangle along each straight edge, a piece of a ring along
// each arc, and a join at each corner that opens. All run counter-clockwise; the sides that two of them
// or one and the region have in common cancel, and what is left is one raw path a ring: the moved
// edges, joins where corners open, and where they close the way from one edge's end over the corner
// itself to the next one's beginning. Its winding number is that of the pieces that cover a place, so
// the positive rule gives the result exactly. Moved inwards, the pieces run clockwise: the winding
// number is 1 in the region, less 1 for every piece that covers a place.
//
// Winding numbers are what X. Chen and S. McMains use in "Polygon offsetting by computing winding
// numbers" (ASME IDETC 2005).
type builder struct {
	o   Options
	raw []geom.Path
}

// A moved edge is an edge after the move to its right by d.
type moved struct {
	edge     geom.Edge
	in, out  vector     // the directions in which the edge begins and ends
	from, to geom.Point // moved ends
	radius   float64    // of the moved arc; not positive when it has shrunk away
}

func move(e geom.Edge, d float64) moved {
	m := moved{edge: e}
	if e.Sense == geom.Straight {
		v := e.To.Sub(e.From)
		m.in = unit(float64(v.X), float64(v.Y))
		m.out = m.in
	} else {
		f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
		s := float64(e.Sense)
		m.in = unit(-s*float64(f.Y), s*float64(f.X))
		m.out = unit(-s*float64(t.Y), s*float64(t.X))
		m.radius = e.Radius() + s*d
	}
	m.from, m.to = m.in.right().from(e.From, d), m.out.right().from(e.To, d)
	return m
}

func (m *moved) straight() bool { return m.edge.Sense == geom.Straight }

// ring adds the raw path of a closed path moved to its right by d.
func (b *builder) ring(p geom.Path, d geom.Length) {
	edges := b.edges(p, d)
	n := len(edges)
	if n == 0 {
		return
	}
	joins := make([]join, n) // after each edge
	cut := 0
	for i := range edges {
		joins[i] = b.join(&edges[i], &edges[(i+1)%n], float64(d))
		if joins[i].cut {
			cut++
		}
	}
	if cut == n { // one loop must stay: see close
		joins[n-1] = join{from: edges[n-1].to, to: edges[0].from}
		joins[n-1].via(edges[n-1].edge.To)
	}
	var out geom.Path
	for i := range edges {
		out = b.edge(out, &edges[i], joins[(i+n-1)%n].to, joins[i].from, float64(d))
		out = append(out, joins[i].way...)
	}
	b.add(out)
}

// stroke adds the raw path round a path: along its right side, round its end and back on its left.
func (b *builder) stroke(p geom.Path, width geom.Length) {
	left := width / 2
	right := width - left
	fore, back := b.edges(p, right), b.edges(p.Reverse(), left)
	switch {
	case len(fore) == 0 && len(p) > 0:
		b.dot(p[0].From, left, right)
		return
	case len(fore) == 0:
		return
	case p.Closed():
		b.ring(p, right)
		b.ring(p.Reverse(), left)
		return
	}
	var out geom.Path
	side := func(edges []moved, d geom.Length, begin, end geom.Point) {
		last := begin
		for i := range edges {
			if i+1 == len(edges) {
				out = b.edge(out, &edges[i], last, end, float64(d))
				return
			}
			j := b.join(&edges[i], &edges[i+1], float64(d))
			out = b.edge(out, &edges[i], last, j.from, float64(d))
			out = append(out, j.way...)
			last = j.to
		}
	}
	there, here := b.end(&fore[len(fore)-1], &back[0], right, left), b.end(&back[len(back)-1], &fore[0], left, right)
	side(fore, right, here.to, there.from)
	out = append(out, there.way...)
	side(back, left, there.to, here.from)
	out = append(out, here.way...)
	b.add(out)
}

// edges moves the edges of a path that have a length.
func (b *builder) edges(p geom.Path, d geom.Length) []moved {
	out := make([]moved, 0, len(p))
	for _, e := range p {
		if e.From == e.To && (e.Sense == geom.Straight || e.From == e.Center) {
			continue
		}
		if e.Sense != geom.Straight && (e.From == e.Center || e.To == e.Center) {
			e = geom.Line(e.From, e.To) // no arc
		}
		out = append(out, move(e, float64(d)))
	}
	return out
}

// add takes a raw path without the edges that have no length.
func (b *builder) add(p geom.Path) {
	out := p[:0]
	for _, e := range p {
		if e.From != e.To || e.Sense != geom.Straight {
			out = append(out, e)
		}
	}
	if len(out) > 0 {
		b.raw = append(b.raw, out)
	}
}

// edge appends a moved edge between the points that its joins ask for.
func (b *builder) edge(out geom.Path, m *moved, from, to geom.Point, d float64) geom.Path {
	e := m.edge
	switch {
	case m.straight():
		return append(out, geom.Line(from, to))
	case m.radius >= 1:
		if from == to && e.From != e.To { // shorter than can be told
			return out
		}
		return append(out, geom.Arc(from, to, e.Center, e.Sense))
	}
	// The arc has shrunk away. What lies between it and its centre is a pie; the fan beyond the centre
	// that its moved points have swept lies within |d| of either end: a fan point at t from the centre
	// is at most t + radius ≤ |d| from them. So a disc about one end covers it.
	disc := geom.Arc(geom.Pt(e.From.X+geom.Round(math.Abs(d)), e.From.Y), geom.Pt(e.From.X+geom.Round(math.Abs(d)), e.From.Y), e.From, geom.CounterClockwise)
	if d < 0 {
		disc.Sense = geom.Clockwise
	}
	b.raw = append(b.raw, geom.Path{disc})
	return append(out, geom.Line(from, e.From), geom.Line(e.From, e.Center), geom.Line(e.Center, e.To), geom.Line(e.To, to))
}

// A join says where one moved edge ends, how the way goes on, and where the next edge begins.
type join struct {
	from, to geom.Point
	way      []geom.Edge
	cut      bool // at the crossing of both
}

func (j *join) via(points ...geom.Point) {
	last := j.from
	for _, p := range append(points, j.to) {
		j.way = append(j.way, geom.Line(last, p))
		last = p
	}
}

// near is how far apart in nm ends may lie that only rounding parts.
const near = 2

// join joins two edges that follow each other, moved to their right by d.
func (b *builder) join(a, c *moved, d float64) join {
	j := join{from: a.to, to: c.from}
	v := a.edge.To
	dot, cross := a.out.dot(c.in), a.out.cross(c.in)
	switch {
	case dot > 0 && a.to.Distance(c.from) <= near:
		// Smooth. The straight edge's end is the better of the two.
		if a.straight() {
			j.to = j.from
		} else {
			j.from = j.to
		}
	case cross*d > 0 || dot < 0 && math.Abs(cross) < 1e-9:
		b.open(&j, a, c, v, dot, d)
	default:
		b.close(&j, a, c, v, dot, cross, d)
	}
	return j
}

// open joins two edges at a corner that opens.
func (b *builder) open(j *join, a, c *moved, v geom.Point, dot, d float64) {
	style := b.o.Join
	if style == Mitre {
		// The tip lies |d|·√(2/(1+dot)) from the corner.
		if limit := b.o.mitreLimit(); 2 > (1+dot)*limit*limit {
			style = Square
		} else {
			n, m := a.out.right(), c.in.right()
			k := d / (1 + dot)
			tip := geom.Pt(v.X+geom.Round(float64((n.x+m.x)*k)), v.Y+geom.Round(float64((n.y+m.y)*k)))
			b.corner(j, a, c, tip, tip)
			return
		}
	}
	if style == Square {
		// A quarter of the turn: the cut is as far from the corner as the edges are.
		half := math.Sqrt(max(0, (1+dot)/2))
		k := math.Abs(d) * math.Sqrt(max(0, (1-dot)/2)) / (1 + half)
		b.corner(j, a, c, a.out.from(a.to, k), c.in.from(c.from, -k))
		return
	}
	sense := geom.CounterClockwise
	if d < 0 {
		sense = geom.Clockwise
	}
	j.about(v, sense)
}

// about leads round a corner on an arc.
func (j *join) about(v geom.Point, sense geom.Sense) {
	if j.from == j.to || j.from == v || j.to == v { // too small to be one
		j.via()
		return
	}
	j.way = append(j.way, geom.Arc(j.from, j.to, v, sense))
}

// corner leads on straight from both edges to two points, as one with them where they are straight.
func (b *builder) corner(j *join, a, c *moved, p, q geom.Point) {
	if a.straight() {
		j.from = p
	}
	if c.straight() {
		j.to = q
	}
	j.via(p, q)
}

// close joins two edges at a corner that closes: over the corner, or where they cross.
//
// The way over the corner adds a loop between the crossing and the corner, where both edges' pieces
// lie: leaving it out takes a 2 down to a 1. That holds as long as the whole loop lies in both
// rectangles: for straight edges that turn by no more than a right angle and are at least as long as the
// end of either, moved, lies back along the other: |d| times the sine of the turn. Loops may lie over
// one another: in k of them that follow each other lie k + 1 rectangles, so one is left. But in the n
// loops of a ring all round, as in a hole that closes, there are just n: one of them must stay.
func (b *builder) close(j *join, a, c *moved, v geom.Point, dot, cross, d float64) {
	if turn := math.Abs(cross * d); a.straight() && c.straight() && dot >= 0 && turn <= a.edge.Length() && turn <= c.edge.Length() {
		e, f := geom.Line(a.from, a.to), geom.Line(c.from, c.to)
		if ps := e.Intersections(f); len(ps) == 1 {
			j.from, j.to, j.cut = ps[0], ps[0], true
			return
		}
	}
	j.via(v)
}

// end leads round the end of a stroke, from its right side to its left.
func (b *builder) end(a, c *moved, right, left geom.Length) join {
	j := join{from: a.to, to: c.from}
	switch b.o.End {
	case SquareEnd:
		b.corner(&j, a, c, a.out.from(a.to, float64(right)), c.in.from(c.from, -float64(right)))
	case ButtEnd:
		j.via()
	default:
		j.about(a.edge.To, geom.CounterClockwise)
	}
	return j
}

// dot adds what a pen covers that does not move.
func (b *builder) dot(p geom.Point, left, right geom.Length) {
	if right == 0 {
		return
	}
	switch b.o.End {
	case RoundEnd:
		q := geom.Pt(p.X+right, p.Y)
		b.raw = append(b.raw, geom.Path{geom.Arc(q, q, p, geom.CounterClockwise)})
	case SquareEnd:
		b.raw = append(b.raw, geom.Rectangle(geom.BoxOf(geom.Pt(p.X-left, p.Y-left), geom.Pt(p.X+right, p.Y+right))))
	}
}
