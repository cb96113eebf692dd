package overlay

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/geom"
)

// A source is one edge of an operand's path.
type source struct{ op, path, edge int32 }

// shapes are the operands of a call, cut into segments.
type shapes struct {
	operands []Operand
	sources  []source
	segs     []segment
	origin   geom.Point // of places
	box      box
	arcs     bool // whether there are any
}

func (s *shapes) op(src int32) int32 { return s.sources[src].op }

func (s *shapes) edge(src int32) geom.Edge {
	c := s.sources[src]
	return s.operands[c.op].Paths[c.path][c.edge]
}

func (s *shapes) place(p geom.Point) place {
	return at(int32(p.X-s.origin.X), int32(p.Y-s.origin.Y))
}

func (s *shapes) point(p place) geom.Point {
	return geom.Pt(s.origin.X+geom.Length(p.x()), s.origin.Y+geom.Length(p.y()))
}

const maxChordError = geom.MM

// chordError is how far chords may stray from their arc.
func (o Options) chordError() geom.Length {
	if o.ChordError == 0 {
		return geom.UM
	}
	return o.ChordError
}

// load checks the paths and cuts their edges into segments.
func load(ctx context.Context, o Options, operands []Operand) (*shapes, error) {
	s := &shapes{operands: operands}
	err := o.chordError()
	if err < 0 || err > maxChordError {
		return nil, fmt.Errorf("overlay: a chord error of %v; it must lie between 0 and %v", o.ChordError, maxChordError)
	}
	edges, box, ends, e := s.check(2 * err)
	if e != nil {
		return nil, e
	}
	if edges == 0 {
		return s, nil
	}
	s.origin = box.Min
	s.box.x1, s.box.y1 = int64(box.Width())+1, int64(box.Height())+1
	s.sources = make([]source, 0, edges)
	s.segs = make([]segment, 0, edges)
	f := flattener{err: float64(err), chords: o.Chords, ends: ends}
	for i, op := range operands {
		if e := ctx.Err(); e != nil {
			return nil, e
		}
		for k, p := range op.Paths {
			first := len(s.segs)
			for n, e := range p {
				s.add(&f, e, source{int32(i), int32(k), int32(n)})
			}
			if last := len(s.segs) - 1; last >= first { // where a path begins is a node
				s.segs[first].meet(true)
				s.segs[last].meet(false)
			}
		}
	}
	if int64(len(s.segs)) > maxSegments {
		return nil, fmt.Errorf("overlay: %d segments in one call; at most %d can be done: use a greater chord error or fewer shapes", len(s.segs), maxSegments)
	}
	return s, nil
}

// straight gives the operands with chords instead of arcs. Segments are still in the order of paths.
func (s *shapes) straight() []Operand {
	out := make([]Operand, len(s.operands))
	for i, op := range s.operands {
		out[i] = Operand{make([]geom.Path, len(op.Paths)), op.Rule}
	}
	for _, g := range s.segs {
		c := s.sources[g.src]
		e := geom.Line(s.point(g.lo), s.point(g.hi))
		if !g.up {
			e = e.Reverse()
		}
		out[c.op].Paths[c.path] = append(out[c.op].Paths[c.path], e)
	}
	return out
}

// maxSegments keeps twice their number, and that of the pieces that they are cut into, in 32 bits.
const maxSegments = 1 << 28

func (s *shapes) add(f *flattener, e geom.Edge, c source) {
	src := int32(len(s.sources))
	s.sources = append(s.sources, c)
	last := e.From
	to := func(p geom.Point) {
		if p != last {
			s.segs = append(s.segs, between(s.place(last), s.place(p), src, 0))
		}
		last = p
	}
	if e.Sense != geom.Straight {
		for _, p := range f.flatten(e) {
			to(p)
		}
	}
	to(e.To)
}

// astray is how far chords may leave an arc's box where its ends disagree about the radius by up to 2 nm:
// the box is of the circle through both ends, whose centre lies up to 16 nm from the arc's own.
const astray = 32

// check makes sure that paths are closed and lie within the limits. It gives the number of edges, the
// box round all, and where arcs about common centres end.
func (s *shapes) check(margin geom.Length) (edges int, b geom.Box, ends map[geom.Point][]arcEnd, err error) {
	b = geom.EmptyBox()
	var arcs []geom.Edge
	for i, op := range s.operands {
		if op.Rule > Positive {
			return 0, b, nil, fmt.Errorf("overlay: operand %d has an unknown winding rule, %d", i, op.Rule)
		}
		for k, p := range op.Paths {
			if len(p) > 0 && !p.Closed() {
				return 0, b, nil, &PathError{i, k, len(p) - 1, p[len(p)-1].To, fmt.Sprintf("the path is not closed: it began at %v", p[0].From)}
			}
			for n, e := range p {
				if n > 0 && p[n-1].To != e.From {
					return 0, b, nil, &PathError{i, k, n, e.From, fmt.Sprintf("the edge does not begin where the one before it ends, at %v", p[n-1].To)}
				}
				if !e.From.Within() || e.Sense != geom.Straight && !e.Center.Within() {
					return 0, b, nil, &PathError{i, k, n, e.From, fmt.Sprintf("outside the limits of ±%v", geom.Limit)}
				}
				if e.Sense == geom.Straight {
					b = b.Extend(e.From)
					edges++
					continue
				}
				arc := e.Box()
				if !arc.Min.Within() || !arc.Max.Within() {
					return 0, b, nil, &PathError{i, k, n, e.From, fmt.Sprintf("the arc leaves the limits of ±%v", geom.Limit)}
				}
				b = b.Union(arc.Grow(margin + astray))
				edges++
				s.arcs = true
				arcs = append(arcs, e)
			}
		}
	}
	if edges > math.MaxInt32 {
		return 0, b, nil, fmt.Errorf("overlay: %d edges in one call; at most %d can be done", edges, math.MaxInt32)
	}
	return edges, b, shared(arcs), nil
}
