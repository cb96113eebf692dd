package mesh

// carve keeps the triangles inside the region. From the frame, round which nothing winds, winding numbers are carried over from
// triangle to triangle; across a segment they change by its net. Segments that have the same on both sides and belong to no line
// are dropped.
func (t *triangulation) carve(p *plan) {
	if len(t.tris) == 0 {
		return
	}
	const unknown = -1 << 30
	winds := make([]int32, len(t.tris))
	for i := range winds {
		winds[i] = unknown
	}
	first := t.of[len(t.nodes)-1] // a corner of the frame
	winds[first] = 0
	todo := []int32{first}
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		q := &t.tris[k]
		for i := range int8(3) {
			n := q.n[i]
			if n == none || winds[n] != unknown {
				continue
			}
			w := winds[k]
			if s := q.s[i]; s != none {
				// The triangle lies to the left of the edge.
				if net := p.segments[s].net; q.v[next(i)] == p.segments[s].a {
					w -= net
				} else {
					w += net
				}
			}
			winds[n] = w
			todo = append(todo, n)
		}
	}
	now := make([]int32, len(t.tris))
	kept := int32(0)
	for i, w := range winds {
		now[i] = none
		if w > 0 {
			now[i] = kept
			kept++
		}
	}
	for i := range t.of {
		t.of[i] = none
	}
	var dropped []edge
	for i := range t.tris {
		k := now[i]
		if k == none {
			continue
		}
		q := t.tris[i]
		for j := range q.n {
			if q.n[j] != none {
				q.n[j] = now[q.n[j]]
			}
			if s := q.s[j]; s != none && q.n[j] != none && p.segments[s].lines == 0 {
				q.s[j] = none
				dropped = append(dropped, edge{int32(i), int8(j)})
			}
			t.of[q.v[j]] = k
		}
		t.tris[k] = q
	}
	t.tris = t.tris[:kept]
	for _, e := range dropped {
		t.stack = append(t.stack, edge{now[e.t], e.i})
	}
	t.restore()
	t.part()
}

// part gives the triangles round a node that hang together by edges a node of their own, so that pieces which meet in a corner
// only are apart.
func (t *triangulation) part() {
	t.copyOf = map[int32]int32{}
	seen := make([]bool, 3*len(t.tris))
	for v := range int32(len(t.of)) {
		for _, e := range t.around(v) {
			seen[3*e.t+int32(e.i)] = true
		}
	}
	for k := range int32(len(t.tris)) {
		for i, v := range t.tris[k].v {
			if seen[3*k+int32(i)] {
				continue
			}
			old := t.of[v]
			t.of[v] = k
			fan := t.around(v)
			t.of[v] = old
			n := int32(len(t.nodes))
			t.nodes, t.of = append(t.nodes, t.nodes[v]), append(t.of, k)
			t.copyOf[n] = v
			for _, e := range fan {
				t.tris[e.t].v[e.i] = n
				seen[3*e.t+int32(e.i)] = true
			}
		}
	}
}
