package geom

import "math"

// A Shape is anything that has a distance: a Point, an Edge, a Path, taken as lines, an Outline or a
// Region, taken as areas.
type Shape interface {
	Box() Box
	paths() []Path        // the lines that bound it
	surrounds(Point) bool // whether a point lies in it otherwise than on these
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
func (o Outline) surrounds(q Point) bool { return o.Locate(q) == Inside }
func (r Region) surrounds(q Point) bool  { return r.Locate(q) == Inside }

// Distance gives the shortest distance between two shapes in nm and the nearest point of each, rounded
// to the nanometre. It is 0, and the points are one, where they meet or one lies in the other; +Inf when
// either has no edges. Of places equally near the first is taken, by the point of a, then that of b.
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
// point of the prepared shape.
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
	if len(b.edges) == 0 {
		return best, pa, pb
	}
	// Where no edges meet, a path lies in an area wholly or not at all.
	if b.where != nil {
		for _, l := range loops {
			if len(l) > 0 && b.where.Locate(l[0].From) == Inside {
				return 0, l[0].From, l[0].From
			}
		}
	}
	for _, l := range b.loops {
		if len(l) > 0 && a.Box().HoldsPoint(l[0].From) && a.surrounds(l[0].From) && len(loops) > 0 && len(loops[0]) > 0 {
			return 0, l[0].From, l[0].From
		}
	}
	for _, l := range loops {
		for _, e := range l {
			b.index.Nearest(e.Box(), func(gap float64, _ Box, i int) bool {
				if gap > best || gap > limit {
					return false
				}
				// Of points equally near the first in order is taken, whatever the order of the search.
				if d, p, q := EdgeDistance(e, b.edges[i]); d <= limit && (d < best || d == best && (comparePoints(p, pa) < 0 || p == pa && q.Less(pb))) {
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
