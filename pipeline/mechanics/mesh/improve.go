package mesh

import "panelwright/pipeline/geom"

// improve puts a node near the middle of a bad triangle's circle, or parts segments that are in the way.
func (r *refiner) improve(b bad) {
	t := r.t
	q := &t.tris[b.t]
	p := r.aim(r.shape(q))
	at, where := t.walkTo(b.t, p)
	if at.t == none {
		return
	}
	if s := t.tris[at.t].s[at.i]; where == beyond || where == onEdge && s != none {
		if r.part(at) {
			r.again(b)
		}
		return
	}
	if near := r.encroached(at.t, p); len(near) > 0 {
		parted := false
		for _, s := range near {
			if e, ok := t.find(s[0], s[1]); ok && t.tris[e.t].s[e.i] != none && r.part(e) {
				parted = true
			}
		}
		if parted {
			r.again(b)
		}
		return
	}
	i := r.add(p, none)
	if !t.insert(i, at, where == onEdge) {
		r.drop()
		return
	}
	r.survey(i)
}

// again notes a bad triangle that still stands.
func (r *refiner) again(b bad) {
	if r.t.tris[b.t].v == b.v {
		r.bad.push(b)
	}
}

// encroached lists the pieces of segments that a new node would lie too near to: among the edges of triangles whose circle holds
// it.
func (r *refiner) encroached(k int32, p geom.Point) [][2]int32 {
	t := r.t
	r.mark = append(r.mark, make([]int32, len(t.tris)-len(r.mark))...)
	r.round++
	r.mark[k] = r.round
	r.todo = append(r.todo[:0], k)
	var near [][2]int32
	for len(r.todo) > 0 {
		k := r.todo[len(r.todo)-1]
		r.todo = r.todo[:len(r.todo)-1]
		q := &t.tris[k]
		for i := range int8(3) {
			n := q.n[i]
			if q.s[i] != none {
				if a, b := q.v[next(i)], q.v[prev(i)]; obtuse(t.nodes[a], t.nodes[b], p) {
					near = append(near, [2]int32{a, b})
				}
				continue
			}
			if n == none || r.mark[n] == r.round {
				continue
			}
			r.mark[n] = r.round
			if w := &t.tris[n]; inCircle(t.nodes[w.v[0]], t.nodes[w.v[1]], t.nodes[w.v[2]], p) {
				r.todo = append(r.todo, n)
			}
		}
	}
	return near
}
