package mesh

import "slices"

// bad is a triangle to be improved, and how badly it needs it.
type bad struct {
	need float64
	t    int32
	v    [3]int32
}

func (b bad) before(c bad) bool {
	if b.need != c.need {
		return b.need > c.need
	}
	return b.t < c.t || b.t == c.t && slices.Compare(b.v[:], c.v[:]) < 0
}

// badHeap has the worst triangle first.
type badHeap []bad

func (h *badHeap) push(b bad) {
	l := append(*h, b)
	for i := len(l) - 1; i > 0; {
		up := (i - 1) / 2
		if !l[i].before(l[up]) {
			break
		}
		l[i], l[up] = l[up], l[i]
		i = up
	}
	*h = l
}

func (h *badHeap) pop() bad {
	l := *h
	out := l[0]
	n := len(l) - 1
	l[0] = l[n]
	l = l[:n]
	for i := 0; ; {
		k := 2*i + 1
		if k >= n {
			break
		}
		if k+1 < n && l[k+1].before(l[k]) {
			k++
		}
		if !l[k].before(l[i]) {
			break
		}
		l[i], l[k] = l[k], l[i]
		i = k
	}
	*h = l
	return out
}
