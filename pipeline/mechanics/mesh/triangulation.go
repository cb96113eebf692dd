package mesh

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
)

// A triangulation is a constrained Delaunay triangulation: no node lies inside the circle of a triangle that it can see past
// segments.
type triangulation struct {
	nodes []geom.Point
	tris  []tri
	of    []int32 // for each node one of its triangles, -1 for none
	stack []edge  // edges that may have to be flipped
	ring  []edge  // see around
	// copyOf says of nodes that part made which one they lie on.
	copyOf map[int32]int32
}

// A tri is a triangle. Its edge i lies opposite its node i: it runs from node i+1 to node i+2.
type tri struct {
	v [3]int32 // nodes, counter-clockwise
	n [3]int32 // for each edge the triangle beyond, none on a border
	s [3]int32 // for each edge the segment that it lies on, none for others
}

const none = -1

// An edge is an edge of a triangle: by its number.
type edge struct {
	t int32
	i int8
}

func next(i int8) int8 { return (i + 1) % 3 }
func prev(i int8) int8 { return (i + 2) % 3 }

// frameMargin is how far the frame lies outside everything.
const frameMargin = geom.MM

// triangulate makes the triangulation of a plan within a frame whose four corners are its last nodes.
func triangulate(ctx context.Context, p *plan) (*triangulation, error) {
	n := int32(len(p.nodes))
	t := &triangulation{nodes: slices.Clone(p.nodes)}
	b := geom.BoxOf(p.nodes...)
	if b.Empty() {
		return t, nil
	}
	b = b.Grow(frameMargin)
	t.nodes = append(t.nodes, b.Min, geom.Pt(b.Max.X, b.Min.Y), b.Max, geom.Pt(b.Min.X, b.Max.Y))
	t.of = make([]int32, len(t.nodes))
	for i := range t.of {
		t.of[i] = none
	}
	no := [3]int32{none, none, none}
	t.tris = append(make([]tri, 0, 3*len(t.nodes)),
		tri{[3]int32{n, n + 1, n + 2}, [3]int32{none, 1, none}, no},
		tri{[3]int32{n, n + 2, n + 3}, [3]int32{none, none, 0}, no})
	t.of[n], t.of[n+1], t.of[n+2], t.of[n+3] = 0, 0, 0, 1
	last := int32(0)
	for k, i := range order(p.nodes) {
		if k%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		at, on := t.walk(last, p.nodes[i])
		if at.t == none || !t.insert(i, at, on) {
			return nil, fmt.Errorf("mesh: no place in the triangulation for %v", p.nodes[i])
		}
		last = t.of[i]
	}
	for k, s := range p.segments {
		if k%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err := t.draw(s.a, s.b, int32(k)); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// order gives an order of points in which neighbours follow one another: along a Hilbert curve (D. Hilbert, "Ueber die stetige
// Abbildung einer Linie auf ein Flächenstück", Mathematische Annalen 38, 1891).
func order(points []geom.Point) []int32 {
	b := geom.BoxOf(points...)
	side := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y) + 1
	type entry struct {
		key uint32
		i   int32
	}
	list := make([]entry, len(points))
	for i, p := range points {
		const cells = 1 << 12
		x, y := uint32((p.X-b.Min.X)*cells/side), uint32((p.Y-b.Min.Y)*cells/side)
		key := uint32(0)
		for s := uint32(cells / 2); s > 0; s /= 2 {
			rx, ry := (x/s)&1, (y/s)&1
			key += s * s * (3*rx ^ ry)
			if ry == 0 {
				if rx == 1 {
					x, y = cells-1-x, cells-1-y
				}
				x, y = y, x
			}
		}
		list[i] = entry{key, int32(i)}
	}
	slices.SortFunc(list, func(a, b entry) int {
		if a.key != b.key {
			if a.key < b.key {
				return -1
			}
			return 1
		}
		return int(a.i - b.i)
	})
	out := make([]int32, len(list))
	for i, e := range list {
		out[i] = e.i
	}
	return out
}

// walk goes from a triangle to the one that holds a place, and tells whether the place lies on the edge given. It stops at a
// segment, with the place beyond the edge given and stopped true in walkTo; here there are none.
func (t *triangulation) walk(from int32, p geom.Point) (at edge, on bool) {
	at, where := t.walkTo(from, p)
	if where == beyond {
		return edge{none, 0}, false
	}
	return at, where == onEdge
}

// Where a walk ends: inside the triangle, on its edge, or before an edge that it must not pass.
type walked int8

const (
	within walked = iota
	onEdge
	beyond
)

// walkTo goes from a triangle towards a place, past no segment and no border.
func (t *triangulation) walkTo(from int32, p geom.Point) (edge, walked) {
	came := int32(none)
	for range len(t.tris) + 10 {
		q := &t.tris[from]
		zero, out := int8(-1), int8(-1)
		for i := range int8(3) {
			if q.n[i] == came && came != none {
				continue
			}
			switch c := turn(t.nodes[q.v[next(i)]], t.nodes[q.v[prev(i)]], p); {
			case c < 0:
				out = i
			case c == 0:
				zero = i
			}
			if out >= 0 {
				break
			}
		}
		if out < 0 {
			if zero >= 0 {
				return edge{from, zero}, onEdge
			}
			return edge{from, 0}, within
		}
		if q.n[out] == none || q.s[out] != none {
			return edge{from, out}, beyond
		}
		came, from = from, q.n[out]
	}
	return edge{none, 0}, beyond
}

// insert makes node i part of the triangulation: within a triangle or on its edge. It is false where a node is already there.
func (t *triangulation) insert(i int32, at edge, on bool) bool {
	p := t.nodes[i]
	q := t.tris[at.t]
	for _, v := range q.v {
		if t.nodes[v] == p {
			return false
		}
	}
	if on {
		return t.split(i, at)
	}
	a, b, c := q.v[0], q.v[1], q.v[2]
	k := int32(len(t.tris))
	t.tris = append(t.tris,
		tri{[3]int32{b, c, i}, [3]int32{k + 1, at.t, q.n[0]}, [3]int32{none, none, q.s[0]}},
		tri{[3]int32{c, a, i}, [3]int32{at.t, k, q.n[1]}, [3]int32{none, none, q.s[1]}})
	t.tris[at.t] = tri{[3]int32{a, b, i}, [3]int32{k, k + 1, q.n[2]}, [3]int32{none, none, q.s[2]}}
	t.link(q.n[0], at.t, k)
	t.link(q.n[1], at.t, k+1)
	t.of[i], t.of[a], t.of[b], t.of[c] = at.t, at.t, at.t, k
	t.stack = append(t.stack, edge{at.t, 2}, edge{k, 2}, edge{k + 1, 2})
	t.settle()
	return true
}

// split puts node i on an edge, or as near to it as whole nanometres allow. It is false where a triangle would turn over.
func (t *triangulation) split(i int32, at edge) bool {
	p := t.nodes[i]
	q := t.tris[at.t]
	a, b, c := q.v[at.i], q.v[next(at.i)], q.v[prev(at.i)]
	if turn(t.nodes[a], t.nodes[b], p) <= 0 || turn(t.nodes[c], t.nodes[a], p) <= 0 {
		return false
	}
	u := q.n[at.i]
	seg := q.s[at.i]
	nb, nc, sb, sc := q.n[next(at.i)], q.n[prev(at.i)], q.s[next(at.i)], q.s[prev(at.i)]
	if u == none {
		k := int32(len(t.tris))
		t.tris[at.t] = tri{[3]int32{a, b, i}, [3]int32{none, k, nc}, [3]int32{seg, none, sc}}
		t.tris = append(t.tris, tri{[3]int32{a, i, c}, [3]int32{none, nb, at.t}, [3]int32{seg, sb, none}})
		t.link(nb, at.t, k)
		t.of[i], t.of[a], t.of[b], t.of[c] = at.t, at.t, at.t, k
		t.stack = append(t.stack, edge{at.t, 2}, edge{k, 1})
		t.settle()
		return true
	}
	w := t.tris[u]
	j := w.facing(at.t)
	d := w.v[j]
	if turn(t.nodes[d], t.nodes[c], p) <= 0 || turn(t.nodes[b], t.nodes[d], p) <= 0 {
		return false
	}
	// w is d, c, b from j on.
	mc, mb, rc, rb := w.n[next(j)], w.n[prev(j)], w.s[next(j)], w.s[prev(j)] // opposite c and opposite b
	k := int32(len(t.tris))
	t.tris[at.t] = tri{[3]int32{a, b, i}, [3]int32{k + 1, k, nc}, [3]int32{seg, none, sc}}
	t.tris[u] = tri{[3]int32{d, c, i}, [3]int32{k, k + 1, mb}, [3]int32{seg, none, rb}}
	t.tris = append(t.tris,
		tri{[3]int32{a, i, c}, [3]int32{u, nb, at.t}, [3]int32{seg, sb, none}},
		tri{[3]int32{d, i, b}, [3]int32{at.t, mc, u}, [3]int32{seg, rc, none}})
	t.link(nb, at.t, k)
	t.link(mc, u, k+1)
	t.of[i], t.of[a], t.of[b], t.of[c], t.of[d] = at.t, at.t, at.t, u, u
	t.stack = append(t.stack, edge{at.t, 2}, edge{k, 1}, edge{u, 2}, edge{k + 1, 1})
	t.settle()
	return true
}

// facing is the edge of q beyond which triangle t lies.
func (q *tri) facing(t int32) int8 {
	for i, n := range q.n {
		if n == t {
			return int8(i)
		}
	}
	return 0
}

// link tells triangle t that its neighbour is no longer old but now.
func (t *triangulation) link(in, old, now int32) {
	if in != none {
		q := &t.tris[in]
		q.n[q.facing(old)] = now
	}
}

// settle flips the edges on the stack and what follows from it, until the triangulation is Delaunay again (C. L. Lawson,
// "Software for C1 surface interpolation", 1977).
func (t *triangulation) settle() {
	for len(t.stack) > 0 {
		e := t.stack[len(t.stack)-1]
		t.stack = t.stack[:len(t.stack)-1]
		if !t.wrong(e) {
			continue
		}
		u := t.tris[e.t].n[e.i]
		t.flip(e)
		// What lay opposite the old node is now the edge opposite it in both triangles.
		t.stack = append(t.stack, edge{e.t, 0}, edge{u, 0})
	}
}

// wrong tells whether the node beyond an edge lies inside its triangle's circle.
func (t *triangulation) wrong(e edge) bool {
	q := &t.tris[e.t]
	u := q.n[e.i]
	if u == none || q.s[e.i] != none {
		return false
	}
	w := &t.tris[u]
	d := w.v[w.facing(e.t)]
	return inCircle(t.nodes[q.v[0]], t.nodes[q.v[1]], t.nodes[q.v[2]], t.nodes[d])
}

// flip exchanges the diagonal of two triangles. Afterwards node 0 of both is the one that lay opposite the edge in the first.
func (t *triangulation) flip(e edge) {
	q := t.tris[e.t]
	u := q.n[e.i]
	w := t.tris[u]
	j := w.facing(e.t)
	a, b, c, d := q.v[e.i], q.v[next(e.i)], q.v[prev(e.i)], w.v[j]
	bd, dc := w.n[next(j)], w.n[prev(j)]
	ca, ab := q.n[next(e.i)], q.n[prev(e.i)]
	t.tris[e.t] = tri{[3]int32{a, b, d}, [3]int32{bd, u, ab}, [3]int32{w.s[next(j)], none, q.s[prev(e.i)]}}
	t.tris[u] = tri{[3]int32{a, d, c}, [3]int32{dc, ca, e.t}, [3]int32{w.s[prev(j)], q.s[next(e.i)], none}}
	t.link(bd, u, e.t)
	t.link(ca, e.t, u)
	t.of[a], t.of[b], t.of[c], t.of[d] = e.t, e.t, u, e.t
}

// around lists the triangles round a node counter-clockwise, from the border on where there is one, each with the number of the
// node in it. The list is good until the next call.
func (t *triangulation) around(v int32) []edge {
	t.ring = t.ring[:0]
	first := t.of[v]
	if first == none {
		return nil
	}
	// Clockwise as far as it goes.
	k := first
	for {
		q := &t.tris[k]
		n := q.n[prev(q.index(v))] // beyond the edge from v to the node after it
		if n == none {
			break
		}
		if k = n; k == first {
			break
		}
	}
	first = k
	for {
		q := &t.tris[k]
		i := q.index(v)
		t.ring = append(t.ring, edge{k, i})
		k = q.n[next(i)]
		if k == none || k == first {
			return t.ring
		}
	}
}

// index is the number of a node in a triangle.
func (q *tri) index(v int32) int8 {
	if q.v[0] == v {
		return 0
	}
	if q.v[1] == v {
		return 1
	}
	return 2
}

// find gives an edge between two nodes: that of the triangle to the left of the way from a to b, or where there is none, to the
// right.
func (t *triangulation) find(a, b int32) (edge, bool) {
	right := edge{none, 0}
	for _, e := range t.around(a) {
		q := &t.tris[e.t]
		if q.v[next(e.i)] == b {
			return edge{e.t, prev(e.i)}, true
		}
		if q.v[prev(e.i)] == b {
			right = edge{e.t, next(e.i)}
		}
	}
	return right, right.t != none
}
