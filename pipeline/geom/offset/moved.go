package offset

import (
	"math"

	"panelwright/pipeline/geom"
)

// A moved edge is an edge together with where it lies after the move to its right by d.
type moved struct {
	edge     geom.Edge
	in, out  vector     // the directions in which the edge begins and ends
	from, to geom.Point // the moved ends
	length   float64    // from end to end of the edge itself, straight
	bend     float64    // 1/radius of the edge, positive where it turns left
	radius   float64    // of the moved arc; less than one when it has shrunk away
}

func move(e *geom.Edge, d float64) moved {
	m := moved{edge: *e}
	v := e.To.Sub(e.From)
	x, y := float64(v.X), float64(v.Y)
	m.length = math.Sqrt(float64(x*x) + float64(y*y))
	if e.Sense == geom.Straight {
		m.in = vector{x / m.length, y / m.length}
		m.out = m.in
	} else {
		s := float64(e.Sense)
		f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
		m.in = unit(-s*float64(f.Y), s*float64(f.X))
		m.out = unit(-s*float64(t.Y), s*float64(t.X))
		r := e.Radius()
		m.bend, m.radius = s/r, r+float64(s*d)
	}
	m.from, m.to = m.in.right().from(e.From, d), m.out.right().from(e.To, d)
	return m
}

func (m *moved) straight() bool { return m.edge.Sense == geom.Straight }

// gone tells whether the edge is an arc that has shrunk to its centre or past it.
func (m *moved) gone() bool { return m.edge.Sense != geom.Straight && m.radius < 1 }

// edge leads along a moved edge, which begins where the path has come to, to where it is to end.
//
// An arc moved to its centre and past it does not come out as an arc that runs backwards. Its piece is
// what its points sweep: the pie between arc and centre, and the fan that opens beyond the centre. The
// way leads over the centre, where both meet; the fan has a path of its own.
func (b *builder) edge(m *moved, end geom.Point) {
	e := &m.edge
	switch {
	case m.straight():
		b.line(end)
	case !m.gone():
		b.arc(end, e.Center, e.Sense, wide(e))
	default:
		if e.From != e.To { // else the pie is a disc, with no way to its centre
			b.line(e.Center)
		}
		b.line(end)
		b.fan(m)
	}
}

// fan adds what the points of an arc sweep beyond its centre. Like all pieces it runs counter-clockwise
// when the border moves outwards, clockwise when it moves inwards: both times against its arc.
func (b *builder) fan(m *moved) {
	if m.radius > -1 {
		return
	}
	e := &m.edge
	f := builder{at: m.to}
	if e.From == e.To {
		f.arc(m.to, e.Center, -e.Sense, true)
	} else {
		f.at = e.Center
		f.line(m.to)
		f.arc(m.from, e.Center, -e.Sense, wide(e))
		f.line(e.Center)
	}
	b.add(f.path)
}

// wide tells whether an arc turns by more than half a turn.
func wide(e *geom.Edge) bool {
	f, t := e.From.Sub(e.Center), e.To.Sub(e.Center)
	return e.From == e.To || f.Cross(t)*int64(e.Sense) < 0
}
