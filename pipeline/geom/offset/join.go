package offset

import (
	"math"

	"panelwright/pipeline/geom"
)

// A join says where one moved edge ends, where the next one begins, and how the way leads from there to
// here.
type join struct {
	from, to geom.Point
	kind     joinKind
	p, q     geom.Point
}

type joinKind uint8

const (
	direct joinKind = iota // straight on, if there is any way to go
	over                   // straight, over p and q
	about                  // on an arc about p, counter-clockwise
	back                   // on an arc about p, clockwise
)

// way leads along a join.
func (b *builder) way(j *join) {
	switch j.kind {
	case over:
		b.line(j.p)
		b.line(j.q)
	case about:
		b.arc(j.to, j.p, geom.CounterClockwise, false)
	case back:
		b.arc(j.to, j.p, geom.Clockwise, false)
	}
	b.line(j.to)
}

// join joins two edges that follow each other, moved to their right by d. With keep it keeps the loop
// that a closing corner makes.
func (b *builder) join(a, c *moved, d float64, keep bool) join {
	j := join{from: a.to, to: c.from}
	v := a.edge.To
	dot, cross := a.out.dot(c.in), a.out.cross(c.in)
	style := b.o.Join
	opens := cross*d > 0
	switch {
	case dot < 0:
		opens, style = reverses(a, c, cross, d, style)
	case !keep && smooth(a, c, dot, cross, d):
		a.to = tip(v, a.out, c.in, dot, d)
		c.from = a.to
		return join{from: a.to, to: a.to}
	}
	if opens {
		j.open(a, c, dot, d, style, b.o.mitreLimit())
	} else {
		j.close(a, c, dot, cross, d, keep)
	}
	return j
}

// tip is where two straight edges that meet at v, one running on as the other began, cross after the
// move.
func tip(v geom.Point, out, in vector, dot, d float64) geom.Point {
	n, m := out.right(), in.right()
	k := d / (1 + dot)
	return geom.Pt(v.X+geom.Round(float64((n.x+m.x)*k)), v.Y+geom.Round(float64((n.y+m.y)*k)))
}

// smooth tells whether two edges turn so little against each other that they may simply meet at the tip,
// a quarter of a nanometre from where they belong at most: the rest of the way between their moved ends
// is rounding, or what a fine chain of chords has in place of a curve.
func smooth(a, c *moved, dot, cross, d float64) bool {
	const most = 0.25
	tan := math.Abs(cross) / (1 + dot)  // of half the turn
	shift := float64(math.Abs(d) * tan) // of the ends along their edges
	if float64(shift*tan) > 2*most {
		return false
	}
	closes := cross*d < 0
	fits := func(m *moved) bool {
		switch {
		case m.straight():
			return !closes || m.length >= float64(2*shift)
		case m.edge.From == m.edge.To:
			return shift <= 1
		}
		return float64(shift*shift) <= float64(2*most*math.Abs(m.radius)) && m.length >= float64(8*shift)
	}
	return fits(a) && fits(c)
}

// reverses tells whether a corner that turns by more than a right angle opens, and with what join.
//
// Where an edge turns right back along an arc, as where two circles touch, directions do not tell on
// which side of the one before it runs: a nanometre of rounding at the corner may turn them the wrong
// way, and edges that part one way bend back over each other after a few nanometres. Where they would
// part by no more than 2 nm before they do, their bends tell. A pie about the corner is right in any
// case for round joins, and where nothing tells.
func reverses(a, c *moved, cross, d float64, style Join) (opens bool, _ Join) {
	if a.straight() && c.straight() {
		f, t := a.edge.To.Sub(a.edge.From), c.edge.To.Sub(c.edge.From)
		turn := f.Cross(t)
		return turn == 0 || (turn > 0) == (d > 0), style
	}
	// After a length of l they have parted by cross·l ± bend·l²/2: by cross²/(2·bend) at most.
	bends := math.Abs(a.bend) + math.Abs(c.bend)
	bend := a.bend + c.bend
	switch {
	case float64(cross*cross) > 2*2*bends:
		return cross*d > 0, style
	case style == Round || math.Abs(bend) < bends/1000:
		return true, Round
	}
	return bend*d < 0, style
}

// open joins two edges at a corner that opens.
func (j *join) open(a, c *moved, dot, d float64, style Join, limit float64) {
	// The tip lies |d|·√(2/(1+dot)) from the corner.
	if style == Mitre && 2 > (1+dot)*limit*limit {
		style = Square
	}
	v := a.edge.To
	switch style {
	case Mitre:
		p := tip(v, a.out, c.in, dot, d)
		j.lead(a, c, p, p)
	case Square:
		// The tangent of a quarter of the turn: the cut is as far from the corner as the edges are.
		k := math.Abs(d) * math.Sqrt(max(0, (1-dot)/2)) / (1 + math.Sqrt(max(0, (1+dot)/2)))
		j.lead(a, c, a.out.from(a.to, k), c.in.from(c.from, -k))
	default:
		j.kind, j.p = about, v
		if d < 0 {
			j.kind = back
		}
	}
}

// lead leads on straight from both edges to two points and from one of these to the other, as one with
// the edges where they are straight.
func (j *join) lead(a, c *moved, p, q geom.Point) {
	if a.straight() {
		j.from = p
	}
	if c.straight() {
		j.to = q
	}
	j.kind, j.p, j.q = over, p, q
}

// close joins two edges at a corner that closes: over the corner, or where they cross.
//
// The way over the corner adds a loop: a kite with the corner, both moved ends and their crossing. Both
// pieces lie there, and leaving out the loop takes a 2 down to a 1. That is so if the whole kite lies
// in both rectangles: for straight edges that turn by no more than a right angle and are at least as
// long as the end of either, moved, lies back along the other: |d| times the sine of the turn. Right
// angles as they come, of rounded corners, may turn by a little more: as long as the end of neither lies
// beyond the other by more than rounding, that does not matter.
//
// Kites of several corners may lie over each other. In k of them that follow each other lie k + 1
// rectangles, so one is left. But in the n kites of a ring that closes all round, such as a hole moved
// past its middle, there are just n: one loop must stay.
func (j *join) close(a, c *moved, dot, cross, d float64, keep bool) {
	v := a.edge.To
	const rounding = 0.25
	if along := math.Abs(cross*d) + 1; !keep && dot*math.Abs(d) >= -rounding && a.straight() && c.straight() && along <= a.length && along <= c.length {
		j.from = tip(v, a.out, c.in, dot, d)
		j.to = j.from
		return
	}
	if a.gone() { // the way has come to the corner already
		j.from = v
	}
	if c.gone() {
		j.to = v
	}
	j.kind, j.p, j.q = over, v, v
}

// allClose tells whether all corners of a ring close.
func allClose(p geom.Path, d geom.Length) bool {
	last := &p[len(p)-1]
	for i := range p {
		turn := last.Heading(last.To).Cross(p[i].Heading(p[i].From))
		if turn == 0 || (turn > 0) == (d > 0) {
			return false
		}
		last = &p[i]
	}
	return true
}
