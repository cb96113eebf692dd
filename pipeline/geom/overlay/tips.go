package overlay

import (
	"cmp"
	"slices"
)

// A tip is one end of a chain: 2·chain for its lower, 2·chain + 1 for its upper.
type tip struct {
	at  place
	ref uint32
}

func compareTips(p, q tip) int { return cmp.Or(cmp.Compare(p.at, q.at), cmp.Compare(p.ref, q.ref)) }

// sortTips sorts by place, then ref: first into strips by x, then each strip.
func sortTips(a []tip) []tip {
	if len(a) < 256 {
		slices.SortFunc(a, compareTips)
		return a
	}
	var most int32
	for i := range a {
		most = max(most, a[i].at.x())
	}
	var shift uint
	for int(most>>shift) > 2*len(a) {
		shift++
	}
	first := make([]int32, int(most>>shift)+2)
	for i := range a {
		first[a[i].at.x()>>shift+1]++
	}
	for i := 1; i < len(first); i++ {
		first[i] += first[i-1]
	}
	b := make([]tip, len(a))
	fill := slices.Clone(first)
	for i := range a {
		strip := a[i].at.x() >> shift
		b[fill[strip]] = a[i]
		fill[strip]++
	}
	for i := 1; i < len(first); i++ {
		if strip := b[first[i-1]:first[i]]; len(strip) > 1 {
			slices.SortFunc(strip, compareTips)
		}
	}
	return b
}
