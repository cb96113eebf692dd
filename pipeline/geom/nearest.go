package geom

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom/disjoint"
)

// Shapes are many shapes made ready to be searched for the nearest.
type Shapes struct {
	list  []*Prepared
	index Index[int]
}

// A Neighbour is a shape found near another.
type Neighbour struct {
	Shape    int     // by its position in the list
	Distance float64 // nm
	At, From Point   // the nearest point of it, and of the shape asked about
}

// Gather makes shapes ready to be searched. Those without edges are never found.
func Gather(shapes ...Shape) *Shapes {
	s := &Shapes{list: make([]*Prepared, len(shapes))}
	for i, shape := range shapes {
		s.list[i] = Prepare(shape)
		s.index.Insert(shape.Box(), i)
	}
	return s
}

// Nearest gives the k shapes nearest to one, by distance, then by position. The search stops as soon
// as the boxes that are left lie farther than what was found.
func (s *Shapes) Nearest(to Shape, k int) []Neighbour { return s.search(to, k, math.Inf(1)) }

// Within gives all shapes no farther than d nm from one, by distance, then by position; none for a d
// that is negative or no number.
func (s *Shapes) Within(to Shape, d float64) []Neighbour { return s.search(to, len(s.list), d) }

func (s *Shapes) search(to Shape, k int, limit float64) []Neighbour {
	if k <= 0 || !(limit >= 0) {
		return nil
	}
	var found []Neighbour
	by := func(a, b Neighbour) int {
		return cmp.Or(cmp.Compare(a.Distance, b.Distance), cmp.Compare(a.Shape, b.Shape))
	}
	s.index.Nearest(to.Box(), func(gap float64, _ Box, i int) bool {
		if gap > limit+unsure {
			return false
		}
		d, from, at := s.list[i].within(to, limit)
		if d > limit {
			return true
		}
		n := Neighbour{i, d, at, from}
		at0, _ := slices.BinarySearchFunc(found, n, by)
		found = slices.Insert(found, at0, n)
		if len(found) > k {
			found = found[:k]
		}
		if len(found) == k {
			limit = found[k-1].Distance
		}
		return true
	})
	return found
}

// Pieces parts shapes into groups: two are in one when they lie within d nm of each other, or others
// lead from one to the other in such steps. With d = 0 these are the connected pieces; a d that is
// negative or no number groups nothing. The groups, and the positions in each, come in order.
func Pieces(d float64, shapes ...Shape) [][]int {
	s := Gather(shapes...)
	groups := disjoint.New(len(shapes))
	reach := Length(0)
	if d >= 0 {
		reach = Length(math.Ceil(min(d, 4*float64(Limit)))) + 1
	}
	for i, shape := range shapes {
		if shape.Box().Empty() || !(d >= 0) {
			continue
		}
		s.index.Search(shape.Box().Grow(reach), func(_ Box, k int) bool {
			if k > i && groups.Find(i) != groups.Find(k) {
				if v, _, _ := s.list[k].within(shape, d); v <= d {
					groups.Join(i, k)
				}
			}
			return true
		})
	}
	var out [][]int
	place := map[int]int{}
	for i := range shapes {
		g := groups.Find(i)
		if _, ok := place[g]; !ok {
			place[g] = len(out)
			out = append(out, nil)
		}
		out[place[g]] = append(out[place[g]], i)
	}
	return out
}
