package overlay

import (
	"context"
	"slices"
)

// A ring is a closed walk over edges of the graph that passes no node twice, with what lies inside
// on its left.
type ring []int32

// A piece is one connected part of a selection: its outer ring and its cut-outs.
type piece struct {
	outer   ring
	cutOuts []ring
}

// A tracer follows the edges that part inside from outside.
type tracer struct {
	g      *graph
	inside []bool  // by state
	use    []bool  // the edges on the border
	first  []int32 // where each node's border edges begin in list
	list   []int32
	next   []int32
	rings  []ring
	face   []int32 // the walk that each ring was part of
	faceOf []int32 // of each edge on the border
	outer  []int32 // of each walk, its counter-clockwise ring, or −1
}

// trace gives the pieces of what lies inside, in canonical order.
func trace(ctx context.Context, g *graph, inside []bool) ([]piece, *tracer, error) {
	t := &tracer{g: g, inside: inside, use: make([]bool, len(g.edges))}
	n := 0
	for i := range g.edges {
		e := &g.edges[i]
		if inside[e.below] != inside[e.above] {
			t.use[i] = true
			n++
		}
	}
	if err := t.turns(n); err != nil {
		return nil, nil, err
	}
	if err := t.walk(ctx); err != nil {
		return nil, nil, err
	}
	pieces, err := t.nest(ctx)
	return pieces, t, err
}

// from and to are the ends of a border edge in the direction in which inside lies on its left.
func (t *tracer) from(e int32) int32 {
	if d := &t.g.edges[e]; t.inside[d.above] {
		return d.lo
	} else {
		return d.hi
	}
}

func (t *tracer) to(e int32) int32 {
	if d := &t.g.edges[e]; t.inside[d.above] {
		return d.hi
	} else {
		return d.lo
	}
}

// turns finds for each border edge the one that follows it: the first one met turning clockwise about
// its end from the edge itself, which keeps to the same face.
func (t *tracer) turns(n int) error {
	g := t.g
	first := make([]int32, len(g.at)+1)
	for i, used := range t.use {
		if used {
			first[g.edges[i].lo+1]++
			first[g.edges[i].hi+1]++
		}
	}
	for i := range g.at {
		first[i+1] += first[i]
	}
	list := make([]int32, 2*n)
	fill := slices.Clone(first[:len(g.at)])
	for i, used := range t.use {
		if used {
			for _, v := range [2]int32{g.edges[i].lo, g.edges[i].hi} {
				list[fill[v]] = int32(i)
				fill[v]++
			}
		}
	}
	t.first, t.list = first, list
	t.next = make([]int32, len(g.edges))
	for v := range g.at {
		around := list[first[v]:first[v+1]]
		if len(around) > 2 {
			t.sort(around, int32(v))
		}
		for i, e := range around {
			if t.to(e) != int32(v) {
				continue
			}
			f := around[(i+len(around)-1)%len(around)]
			if t.from(f) != int32(v) {
				return &Fault{What: "inside does not lie between two edges of the border", place: g.at[v], known: true}
			}
			t.next[e] = f
		}
	}
	return nil
}

// sort puts the edges at a node in order counter-clockwise, beginning straight down.
func (t *tracer) sort(around []int32, v int32) {
	g := t.g
	p := g.at[v]
	slices.SortFunc(around, func(a, b int32) int {
		q, r := g.leaving(a, v), g.leaving(b, v)
		// Those to greater places first: they lie in one half plane, the others in the other.
		if (q > p) != (r > p) {
			if q > p {
				return -1
			}
			return 1
		}
		switch c := turn(p, q, r); {
		case c > 0:
			return -1
		case c < 0:
			return 1
		}
		return 0
	})
}

// walk follows the border round every face and splits each walk into rings where it comes back to a
// node.
func (t *tracer) walk(ctx context.Context) error {
	seen := make([]int32, len(t.g.at)) // of the nodes on the present walk, its length there, plus 1
	t.faceOf = make([]int32, len(t.g.edges))
	for i := range t.faceOf {
		t.faceOf[i] = -1
	}
	var way []int32
	for start, used := range t.use {
		if !used || t.faceOf[start] >= 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		face := int32(len(t.outer))
		t.outer = append(t.outer, -1)
		way = way[:0]
		seen[t.from(int32(start))] = 1
		for e := int32(start); t.faceOf[e] < 0; e = t.next[e] {
			t.faceOf[e] = face
			way = append(way, e)
			v := t.to(e)
			begin := seen[v]
			if begin == 0 {
				seen[v] = int32(len(way)) + 1
				continue
			}
			if err := t.close(way[begin-1:], face); err != nil {
				return err
			}
			for _, f := range way[begin-1:] {
				seen[t.to(f)] = 0
			}
			way = way[:begin-1]
			seen[v] = begin // the walk may come by again
		}
		seen[t.from(int32(start))] = 0
		if len(way) > 0 {
			return &Fault{What: "the border does not close", place: t.g.at[t.from(way[0])], known: true}
		}
	}
	return nil
}

// close notes a ring, from its least node on.
func (t *tracer) close(way []int32, face int32) error {
	low := 0
	for i, e := range way {
		if t.from(e) < t.from(way[low]) {
			low = i
		}
	}
	r := make(ring, 0, len(way))
	r = append(append(r, way[low:]...), way[:low]...)
	v := t.from(r[0])
	p := t.g.at[v]
	c := turn(t.g.leaving(r[len(r)-1], v), p, t.g.leaving(r[0], v))
	switch {
	case c == 0:
		return &Fault{What: "a ring without area", place: p, known: true}
	case c > 0:
		if t.outer[face] >= 0 {
			return &Fault{What: "a face with two outer rings", place: p, known: true}
		}
		t.outer[face] = int32(len(t.rings))
	}
	t.rings = append(t.rings, r)
	t.face = append(t.face, face)
	return nil
}

// nest gives each cut-out to the outer ring of the face that it bounds.
func (t *tracer) nest(ctx context.Context) ([]piece, error) {
	parent := make([]int32, len(t.outer)) // of each face, the face that it is part of
	outers, lost := 0, false
	for f, r := range t.outer {
		parent[f] = int32(f)
		if r >= 0 {
			outers++
		} else {
			parent[f] = -1
			lost = true
		}
	}
	switch {
	case lost && outers == 1: // there is but one place for them
		for f, r := range t.outer {
			if r >= 0 {
				for k := range parent {
					parent[k] = int32(f)
				}
			}
		}
	case lost:
		if err := t.place(ctx, parent); err != nil {
			return nil, err
		}
	}
	index := make([]int32, len(t.outer))
	pieces := make([]piece, 0, outers)
	order := make([]int32, len(t.rings))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int { return t.compare(t.rings[a], t.rings[b]) })
	for _, i := range order {
		if t.outer[t.face[i]] == i {
			index[t.face[i]] = int32(len(pieces))
			pieces = append(pieces, piece{outer: t.rings[i]})
		}
	}
	for _, i := range order {
		if f := t.face[i]; t.outer[f] != i {
			p := &pieces[index[parent[f]]]
			p.cutOuts = append(p.cutOuts, t.rings[i])
		}
	}
	return pieces, nil
}

// compare orders rings by their least node, and those that touch there counter-clockwise.
func (t *tracer) compare(a, b ring) int {
	if c := t.from(a[0]) - t.from(b[0]); c != 0 {
		return int(c)
	}
	// Edges are numbered counter-clockwise about their lesser node; a ring's two edges there both are
	// among them.
	return int(min(a[0], a[len(a)-1]) - min(b[0], b[len(b)-1]))
}

// place finds for each walk that has no outer ring the face in which it lies: that of the edge just
// below its least node.
func (t *tracer) place(ctx context.Context, parent []int32) error {
	under := make([]int32, len(parent)) // of each lost walk, the edge below it
	for f := range under {
		under[f] = -1
	}
	s := newSweep(t.g, t.use)
	var order []int32
	err := s.run(ctx, func(below int32, fan []int32, _ int32, _ place) error {
		for _, e := range fan {
			// The edges of a walk come from the least node on, so the first has it. Below the border of
			// a cut-out at that node is inside.
			if f := t.faceOf[e]; parent[f] < 0 && under[f] < 0 {
				if t.inside[t.g.edges[e].above] {
					return s.fault("a cut-out with inside above its least edge", t.g.at[t.g.edges[e].lo])
				}
				if below < 0 {
					return s.fault("a cut-out outside of everything", t.g.at[t.g.edges[e].lo])
				}
				under[f] = below
				order = append(order, f)
			}
			below = e
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, f := range order {
		over := t.faceOf[under[f]]
		if !t.inside[t.g.edges[under[f]].above] || parent[over] < 0 {
			return s.fault("a cut-out in no face", t.g.at[t.g.edges[under[f]].lo])
		}
		parent[f] = parent[over]
	}
	return nil
}
