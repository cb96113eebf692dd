package geom

import "math"

// A Shape is anything that has a distance: a Point, an Edge, a Path, taken as lines, an Outline or a
// Region, taken as areas.
type Shape interface {
	Box() Box
	paths() []Path        // the lines that bound it
	surrounds(Point) bool // whether a point lies in it; either answer will do on these
}

// Box is the box of one point.
func (p Point) Box() Box { return Box{p, p} }

func (p Point) paths() []Path   { return []Path{{Line(p, p)}} }
func (e Edge) paths() []Path    { return []Path{{e}} }
func (p Path) paths() []Path    { return []Path{p} }
func (o Outline) paths() []Path { return o.loops() }
func (r Region) paths() []Path  { return r.Paths() }

func (Point) surrounds(Point) bool       { return false }
func (Edge) surrounds(Point) bool        { return false }
func (Path) surrounds(Point) bool        { return false }
func (o Outline) surrounds(q Point) bool { return surrounds(o.Locate(q), o.loops(), q) }
func (r Region) surrounds(q Point) bool  { return surrounds(r.Locate(q), r.Paths(), q) }

// surrounds settles the points that count as on an arc, being within a nanometre of it: those inside it
// lie in the area, and what starts there may run on into it without meeting the arc.
func surrounds(at Location, loops []Path, q Point) bool {
	if at != OnEdge {
		return at == Inside
	}
	w := 0
	for _, p := range loops {
		w += p.Winding(q)
	}
	return w != 0
}

// unsure is by how much in nm, in a measure as large as the largest coordinate, a distance may come out
// below the gap between the boxes: both are rounded. Looking that much farther, what is found at equal
// distances does not hang on the order of the search.
const unsure = 1e-3

// Distance gives the shortest distance between two shapes in nm and the nearest point of each, rounded
// to the nanometre. It is 0, and the points are one, where they meet or one lies in the other; +Inf when
// either has no edges. Of several places equally near one is taken, by the order of the edges and of the
// points: always the same of the same two shapes in the same order.
func Distance(a, b Shape) (d float64, p, q Point) { return Prepare(b).from(a) }

// Prepared is a shape made ready to be asked many times.
type Prepared struct {
	shape Shape
	loops []Path
	edges []Edge
	index Index[int]
	where *Locator // of an area
}

// Prepare makes a shape ready to be asked many times. It must not change as long as the result is used.
func Prepare(s Shape) *Prepared {
	p := &Prepared{shape: s, loops: s.paths()}
	for _, l := range p.loops {
		for _, e := range l {
			p.index.Insert(e.Box(), len(p.edges))
			p.edges = append(p.edges, e)
		}
	}
	switch s := s.(type) {
	case Outline:
		p.where = NewLocator(Region{s})
	case Region:
		p.where = NewLocator(s)
	}
	return p
}

// Distance gives the shortest distance to another shape as the function Distance does: p is the nearest
// point of the prepared shape. Of places equally near it takes that of Distance(a, prepared).
func (b *Prepared) Distance(a Shape) (d float64, p, q Point) {
	d, q, p = b.from(a)
	return d, p, q
}

func (b *Prepared) from(a Shape) (best float64, pa, pb Point) {
	return b.within(a, math.Inf(1))
}

// within is from for a distance of no more than limit; +Inf beyond.
func (b *Prepared) within(a Shape, limit float64) (best float64, pa, pb Point) {
	best = math.Inf(1)
	loops := a.paths()
	box := a.Box()
	if len(b.edges) == 0 {
		return best, pa, pb
	}
	// Where no edges meet, a path lies in an area wholly or not at all.
	if b.where != nil {
		for _, l := range loops {
			if len(l) > 0 && surrounds(b.where.Locate(l[0].From), b.loops, l[0].From) {
				return 0, l[0].From, l[0].From
			}
		}
	}
	for _, l := range b.loops {
		if len(l) > 0 && box.HoldsPoint(l[0].From) && a.surrounds(l[0].From) {
			return 0, l[0].From, l[0].From
		}
	}
	for _, l := range loops {
		for _, e := range l {
			b.index.Nearest(e.Box(), func(gap float64, _ Box, i int) bool {
				if gap > min(best, limit)+unsure {
					return false
				}
				// Of points equally near the first in order is taken, whatever the order of the search.
				if d, p, q := EdgeDistance(e, b.edges[i]); d <= limit && (d < best || d == best && (p.Compare(pa) < 0 || p == pa && q.Less(pb))) {
					best, pa, pb = d, p, q
				}
				return true
			})
			if best == 0 {
				return best, pa, pb
			}
		}
	}
	return best, pa, pb
}
