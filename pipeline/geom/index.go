package geom

import (
	"math"

	"github.com/tidwall/rtree"
)

// Index finds values by the boxes that they lie in: an R-tree. The zero Index is empty and ready.
//
// The order of what Search finds, and of what Nearest finds at equal distances, hangs on the tree,
// which rounding on another processor may shape otherwise: it must not reach any output.
type Index[T any] struct {
	tree rtree.RTreeG[T]
}

// Insert adds v, which lies in b. An empty box is ignored.
func (ix *Index[T]) Insert(b Box, v T) {
	if b.Empty() {
		return
	}
	lo, hi := corners(b)
	ix.tree.Insert(lo, hi, v)
}

// Len is how many values the index holds.
func (ix *Index[T]) Len() int { return ix.tree.Len() }

// Search calls f for each value whose box touches b, until f returns false.
func (ix *Index[T]) Search(b Box, f func(Box, T) bool) {
	if b.Empty() {
		return
	}
	lo, hi := corners(b)
	ix.tree.Search(lo, hi, func(lo, hi [2]float64, v T) bool { return f(boxAt(lo, hi), v) })
}

// Nearest calls f for the values by growing distance, in nm, of their boxes from b, until f returns
// false. The distance is 0 for boxes that touch b. A point is asked for as BoxOf(p).
func (ix *Index[T]) Nearest(b Box, f func(dist float64, b Box, v T) bool) {
	if b.Empty() {
		return
	}
	lo, hi := corners(b)
	ix.tree.Nearby(
		func(min, max [2]float64, _ T, _ bool) float64 {
			var sum float64
			for i := range 2 {
				d := math.Max(0, math.Max(min[i]-hi[i], lo[i]-max[i]))
				sum += float64(d * d)
			}
			return sum
		},
		func(min, max [2]float64, v T, d float64) bool { return f(math.Sqrt(d), boxAt(min, max), v) },
	)
}

func corners(b Box) (lo, hi [2]float64) {
	return [2]float64{float64(b.Min.X), float64(b.Min.Y)}, [2]float64{float64(b.Max.X), float64(b.Max.Y)}
}

func boxAt(lo, hi [2]float64) Box {
	return Box{Point{Length(lo[0]), Length(lo[1])}, Point{Length(hi[0]), Length(hi[1])}}
}
