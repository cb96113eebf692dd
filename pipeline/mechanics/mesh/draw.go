package mesh

import "fmt"

// draw makes the way from a to b a segment: the edges across it are flipped out of the way, then those that are new are made
// Delaunay (S. W. Sloan, "A fast algorithm for generating constrained Delaunay triangulations", Computers & Structures 47,
// 1993). No node and no other segment may lie on it, as tidy sees to.
func (t *triangulation) draw(a, b, seg int32) error {
	if e, ok := t.find(a, b); ok {
		t.mark(e, seg)
		return nil
	}
	pa, pb := t.nodes[a], t.nodes[b]
	wrong := func() error {
		return fmt.Errorf("mesh: what runs from %v to %v meets something else on its way", pa, pb)
	}
	// The triangle at a that the way enters.
	cut := edge{none, 0}
	for _, e := range t.around(a) {
		q := &t.tris[e.t]
		if turn(pa, pb, t.nodes[q.v[next(e.i)]]) < 0 && turn(pa, pb, t.nodes[q.v[prev(e.i)]]) > 0 {
			// Ahead, not behind: the way leaves a to the left of one side and to the right of the other.
			if turn(pa, t.nodes[q.v[next(e.i)]], pb) > 0 && turn(pa, t.nodes[q.v[prev(e.i)]], pb) < 0 {
				cut = e
				break
			}
		}
	}
	if cut.t == none {
		return wrong()
	}
	var crossed [][2]int32
	for {
		q := &t.tris[cut.t]
		if q.s[cut.i] != none || q.n[cut.i] == none {
			return wrong()
		}
		crossed = append(crossed, [2]int32{q.v[next(cut.i)], q.v[prev(cut.i)]}) // right, left
		u := q.n[cut.i]
		w := &t.tris[u]
		j := w.facing(cut.t)
		if w.v[j] == b {
			break
		}
		switch c := turn(pa, pb, t.nodes[w.v[j]]); {
		case c == 0:
			return wrong()
		case c > 0: // the edge from it to the right
			cut = edge{u, w.index(q.v[prev(cut.i)])}
		default:
			cut = edge{u, w.index(q.v[next(cut.i)])}
		}
	}
	var fresh [][2]int32
	tries := 0
	for len(crossed) > 0 {
		c := crossed[0]
		crossed = crossed[1:]
		e, ok := t.find(c[0], c[1])
		if tries++; !ok || tries > 1<<24 {
			return wrong()
		}
		q := &t.tris[e.t]
		u := q.n[e.i]
		w := &t.tris[u]
		x, y := q.v[e.i], w.v[w.facing(e.t)]
		// Convex, or it must wait until others are gone.
		if turn(t.nodes[x], t.nodes[y], t.nodes[c[0]]) == 0 || turn(t.nodes[x], t.nodes[y], t.nodes[c[1]]) == 0 ||
			(turn(t.nodes[x], t.nodes[y], t.nodes[c[0]]) > 0) == (turn(t.nodes[x], t.nodes[y], t.nodes[c[1]]) > 0) {
			crossed = append(crossed, c)
			continue
		}
		t.flip(e)
		sx, sy := turn(pa, pb, t.nodes[x]), turn(pa, pb, t.nodes[y])
		switch {
		case x == a && y == b || x == b && y == a:
			// The segment itself.
		case sx > 0 && sy < 0:
			crossed = append(crossed, [2]int32{y, x})
		case sx < 0 && sy > 0:
			crossed = append(crossed, [2]int32{x, y})
		default:
			fresh = append(fresh, [2]int32{x, y})
		}
	}
	e, ok := t.find(a, b)
	if !ok {
		return wrong()
	}
	t.mark(e, seg)
	for _, f := range fresh {
		if e, ok := t.find(f[0], f[1]); ok {
			// All four sides are looked at again after a flip.
			t.stack = append(t.stack, e)
			t.restore()
		}
	}
	return nil
}

// restore is settle for edges that no new node lies opposite to: all sides of what was flipped are looked at.
func (t *triangulation) restore() {
	for len(t.stack) > 0 {
		e := t.stack[len(t.stack)-1]
		t.stack = t.stack[:len(t.stack)-1]
		if !t.wrong(e) {
			continue
		}
		u := t.tris[e.t].n[e.i]
		t.flip(e)
		t.stack = append(t.stack, edge{e.t, 0}, edge{e.t, 2}, edge{u, 0}, edge{u, 1})
	}
}

// mark makes an edge, on both sides, part of a segment.
func (t *triangulation) mark(e edge, seg int32) {
	q := &t.tris[e.t]
	q.s[e.i] = seg
	if u := q.n[e.i]; u != none {
		w := &t.tris[u]
		w.s[w.facing(e.t)] = seg
	}
}
