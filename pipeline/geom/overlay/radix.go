package overlay

import (
	"cmp"
	"math/bits"
	"slices"
)

// An end is one end of a segment: 2·segment for its lo, 2·segment + 1 for its hi.
type end struct {
	at  place
	ref uint32
}

// sortEnds sorts by place, then ref: least significant digits first, 11 bits at a time, leaving out
// those that all have in common.
func sortEnds(a []end) []end {
	byPlace := func(p, q end) int { return cmp.Or(cmp.Compare(p.at, q.at), cmp.Compare(p.ref, q.ref)) }
	if len(a) < 512 {
		slices.SortFunc(a, byPlace)
		return a
	}
	var x, y int32
	for _, e := range a {
		x, y = max(x, e.at.x()), max(y, e.at.y())
	}
	// Packed into as few bits as the coordinates need; refs are in order already.
	low := uint(bits.Len32(uint32(y)))
	width := low + uint(bits.Len32(uint32(x)))
	key := func(p place) uint64 { return uint64(p>>32)<<low | uint64(uint32(p)) }
	const digit = 11
	b := make([]end, len(a))
	var count [1 << digit]int
	for shift := uint(0); shift < width; shift += digit {
		clear(count[:])
		for _, e := range a {
			count[key(e.at)>>shift&(1<<digit-1)]++
		}
		sum := 0
		for i, c := range count {
			count[i] = sum
			sum += c
		}
		for _, e := range a {
			d := key(e.at) >> shift & (1<<digit - 1)
			b[count[d]] = e
			count[d]++
		}
		a, b = b, a
	}
	return a
}
