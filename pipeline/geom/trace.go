package geom

import (
	"math"
	"slices"
)

// A tracer walks the edges of a joiner from place to place.
type tracer struct {
	j     *joiner
	first []int32 // where each place's list of edges begins in list
	list  []int32
	used  []bool
	left  []int32 // unused edges at each place
	skip  []int32 // how many of each place's list are known to be used
}

// trace splits the edges into loops that pass no place twice, and chains that stay open.
func (j *joiner) trace() {
	t := tracer{j: j, used: make([]bool, len(j.edges)), left: j.degrees(), skip: make([]int32, len(j.nodes))}
	t.first = make([]int32, len(j.nodes)+1)
	for n, d := range t.left {
		t.first[n+1] = t.first[n] + d
	}
	t.list = make([]int32, t.first[len(j.nodes)])
	fill := slices.Clone(t.first[:len(j.nodes)])
	for i, n := range j.ends {
		if n[0] == n[1] {
			t.used[i] = true
			j.out.Loops = append(j.out.Loops, Path{j.edges[i]})
			continue
		}
		for _, k := range n {
			t.list[fill[k]] = int32(i)
			fill[k]++
		}
	}
	t.dangling()
	for n := range j.nodes {
		if t.left[n]%2 == 1 {
			t.walk(int32(n))
		}
	}
	for n := range j.nodes {
		for t.left[n] > 0 {
			t.walk(int32(n))
		}
	}
}

// dangling takes off the chains that hang from a loose end, up to the next branch.
func (t *tracer) dangling() {
	var queue []int32
	for n, d := range t.left {
		if d == 1 {
			queue = append(queue, int32(n))
		}
	}
	for _, start := range queue {
		if t.left[start] != 1 {
			continue
		}
		at, count := start, 0
		for t.left[at] == 1 {
			e := t.next(at, -1)
			at = t.take(e, at)
			count++
		}
		t.j.out.Open = append(t.j.out.Open, openChain(t.j.nodes[start], t.j.nodes[at], count))
	}
}

func openChain(a, b Point, edges int) OpenChain {
	if b.Less(a) {
		a, b = b, a
	}
	return OpenChain{a, b, edges}
}

// take uses up an edge from one of its places and gives the other.
func (t *tracer) take(edge, from int32) int32 {
	t.used[edge] = true
	n := t.j.ends[edge]
	t.left[n[0]]--
	t.left[n[1]]--
	if n[0] == from {
		return n[1]
	}
	return n[0]
}

// next chooses an unused edge at a place: the one that goes straightest on from the edge that led
// there. −1 when there is none. Where very many edges meet, the first is taken.
func (t *tracer) next(at, by int32) int32 {
	for t.skip[at] < t.first[at+1]-t.first[at] && t.used[t.list[t.first[at]+t.skip[at]]] {
		t.skip[at]++
	}
	here := t.list[t.first[at]+t.skip[at] : t.first[at+1]]
	if len(here) == 0 {
		return -1
	}
	if by < 0 || t.left[at] == 1 || len(here) > 16 {
		for _, e := range here {
			if !t.used[e] {
				return e
			}
		}
		return -1
	}
	inX, inY := t.leaving(by, at)
	best, score := int32(-1), math.Inf(1)
	for _, e := range here {
		if t.used[e] {
			continue
		}
		x, y := t.leaving(e, at)
		if s := float64(x*inX) + float64(y*inY); s < score {
			best, score = e, s
		}
	}
	return best
}

// leaving gives the direction in which an edge leaves one of its places.
func (t *tracer) leaving(edge, at int32) (x, y float64) {
	e := t.j.edges[edge]
	if t.j.ends[edge][0] != at {
		e = e.Reverse()
	}
	c := curveOf(e)
	if c.shape == shapeLine {
		x, y = c.tx, c.ty
	} else {
		x, y = c.sense*c.cy, -c.sense*c.cx
	}
	if l := hypot(x, y); l > 0 {
		return x / l, y / l
	}
	return 0, 0
}

// walk follows unused edges from a place until there are none, cutting off each loop as it closes.
// What is left in the end is an open chain.
func (t *tracer) walk(start int32) {
	type step struct{ edge, from int32 }
	var steps []step
	seen := map[int32]int{start: 0} // place → how many steps lead to it
	at, by := start, int32(-1)
	for {
		e := t.next(at, by)
		if e < 0 {
			break
		}
		steps = append(steps, step{e, at})
		at, by = t.take(e, at), e
		begin, again := seen[at]
		if !again {
			seen[at] = len(steps)
			continue
		}
		loop := make(Path, 0, len(steps)-begin)
		for _, s := range steps[begin:] {
			edge := t.j.edges[s.edge]
			if t.j.ends[s.edge][0] != s.from {
				edge = edge.Reverse()
			}
			loop = append(loop, edge)
			delete(seen, s.from)
		}
		seen[at] = begin
		steps = steps[:begin]
		by = -1
		if begin > 0 {
			by = steps[begin-1].edge
		}
		t.j.out.Loops = append(t.j.out.Loops, settled(loop))
	}
	if len(steps) > 0 {
		t.j.out.Open = append(t.j.out.Open, openChain(t.j.nodes[start], t.j.nodes[at], len(steps)))
	}
}

// settled gives a loop counter-clockwise from its lowest-left vertex.
func settled(p Path) Path {
	if p.Area() < 0 {
		p = p.Reverse()
	}
	low := 0
	for i, e := range p {
		if e.From.Less(p[low].From) {
			low = i
		}
	}
	return slices.Concat(p[low:], p[:low])
}
