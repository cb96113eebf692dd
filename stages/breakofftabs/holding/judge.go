package holding

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// judge tells what a set of places, in order, costs on a board: over the limits, and unevenness. It is
// not ok when feet have no room beside each other that are not both pinned. Lacks
// are added to the list given, unless it is nil; they name no board.
func (r *ring) judge(set []int, lacks *[]Lack) (c cost, ok bool) {
	add := func(k Kind, from, to, measured geom.Length) {
		if lacks != nil {
			*lacks = append(*lacks, Lack{Kind: k, From: from, To: to, Measured: measured})
		}
	}
	if len(set) == 0 {
		c.viol = r.unheld()
		add(NoCandidate, 0, r.length, 0)
		return c, true
	}
	n := len(r.places)
	var widest geom.Length = -1
	var wideFrom, wideTo geom.Length
	for k, i := range set {
		j := set[(k+1)%len(set)]
		off := j - i
		if off <= 0 {
			off += n
		}
		p, q := r.places[i], r.places[j]
		if !r.fits(i, off) {
			return c, false
		}
		if room := r.room(i, off); room < r.lim.Between {
			add(Room, p.at, q.at, room) // what is pinned is no choice, so it costs nothing
		}
		l := r.link(i, off)
		c.viol += l.viol
		c.even += l.even
		c.pref += p.pref
		s := r.span(i, off)
		if s > widest {
			widest, wideFrom, wideTo = s, p.at, q.at
		}
		if s > r.lim.FreeSpan {
			add(FreeSpan, p.at, q.at, s)
		}
		if r.cornerBetween(i, off) {
			if d := r.legOut[i]; d > r.lim.Overhang {
				add(Overhang, p.at, r.corners[r.upTo[i]%len(r.corners)], d)
			}
			if d := r.legIn[j]; d > r.lim.Overhang {
				add(Overhang, r.corners[(r.before[j]+len(r.corners)-1)%len(r.corners)], q.at, d)
			}
		}
	}
	if !r.onOpposite(set) {
		c.viol += r.penalty()
		add(OppositeSides, wideFrom, wideTo, 0)
	}
	if _, apart := r.apart(set); apart {
		c.viol += r.penalty()
		add(CentreOfMass, wideFrom, wideTo, r.outside(set))
	}
	c.num = int64(len(set))
	return c, true
}

// outside is how far the centre of mass lies from the hull of a set's feet, which it lies outside of: the
// distance to the nearest line between two ends of feet.
func (r *ring) outside(set []int) geom.Length {
	var ends []geom.Point
	for _, i := range set {
		ends = append(ends, r.places[i].ends[:]...)
	}
	least := math.Inf(1)
	for k, a := range ends {
		for _, b := range ends[:k] {
			d, _ := geom.PointEdgeDistance(r.mass, geom.Line(a, b))
			least = min(least, d)
		}
	}
	return geom.Round(least)
}

// lacks gives what a choice on the whole panel does not keep.
func (m *model) lacks(set []bool) []Lack {
	all := []Lack{}
	for b := range m.boards {
		r := m.rings[b]
		var here []Lack
		r.judge(localSet(m.vars[b], set), &here)
		for i := range here {
			here[i].Board = b
		}
		slices.SortFunc(here, func(x, y Lack) int {
			if x.Kind != y.Kind {
				return int(x.Kind) - int(y.Kind)
			}
			return int(x.From - y.From)
		})
		all = append(all, here...)
	}
	if len(all) == 0 {
		return nil
	}
	return all
}

// localSet gives the places of a board that are in a set of variables, in order.
func localSet(vars []int, set []bool) []int {
	var s []int
	for i, v := range vars {
		if set[v] {
			s = append(s, i)
		}
	}
	return s
}
