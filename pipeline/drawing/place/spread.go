package place

import (
	"math"

	"panelwright/pipeline/geom"
)

// Span is a stretch of a line, from Low to High.
type Span struct{ Low, High geom.Length }

// Spread finds places along a line for labels that belong to the points at, which must ascend: in the same order,
// each size long about its place, none over another or over a blocked span, between low and high, so that the
// squares of how far they stand off from their points add up to the least; to a step of a quarter of a
// millimetre. It gives false when there is no room.
func Spread(at []geom.Length, size geom.Length, blocked []Span, low, high geom.Length) ([]geom.Length, bool) {
	n := len(at)
	if n == 0 {
		return nil, true
	}
	const step = 250 * geom.UM
	first, last := low+size/2, high-size/2
	if last < first {
		return nil, false
	}
	m := int((last-first)/step) + 1
	place := func(k int) geom.Length { return first + geom.Length(k)*step }
	free := make([]bool, m)
	for k := range free {
		free[k] = true
		p := place(k)
		for _, b := range blocked {
			free[k] = free[k] && (p+size/2 <= b.Low || p-size/2 >= b.High)
		}
	}
	apart := int((size + step - 1) / step)
	// best[k] is the least sum for the labels so far with the last one no later than at place k; from says where that is.
	best := make([]float64, m)
	from := make([][]int32, n)
	for i := range n {
		now := make([]float64, m)
		from[i] = make([]int32, m)
		least, where := math.Inf(1), int32(-1)
		for k := range m {
			before := 0.0
			if i > 0 {
				before = math.Inf(1)
				if k >= apart {
					before = best[k-apart]
				}
			}
			if free[k] {
				off := float64(place(k)-at[i]) / 1e6
				if sum := before + float64(off*off); sum < least {
					least, where = sum, int32(k)
				}
			}
			now[k], from[i][k] = least, where
		}
		best = now
	}
	if math.IsInf(best[m-1], 1) {
		return nil, false
	}
	out := make([]geom.Length, n)
	k := m - 1
	for i := n - 1; i >= 0; i-- {
		w := int(from[i][k])
		out[i] = place(w)
		k = w - apart
		if i > 0 && k < 0 {
			return nil, false
		}
	}
	return out, true
}
