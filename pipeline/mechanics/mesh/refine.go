package mesh

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

const (
	// No angle is to be smaller than this, but where the region has smaller ones and next to them: 26 degrees.
	sine26 = 0.4383711467890774
	// A triangle is too large when its circle's radius is more than this part of the size: 0.577 is that of an equilateral
	// triangle with just such edges.
	mostRadius = 0.75
	// A piece of a segment is too long when it is longer than this times the size.
	mostLength = 1.35
	mostNodes  = 400_000
)

// A refiner adds nodes. Segments come first: one that is too long, or that a node lies so near to that it sees it under more
// than a right angle, is parted. Then the worst triangle gets a node near the middle of its circle, unless that lies too near to
// a segment, which is parted instead (Ruppert 1995). Segments that meet at less than 60 degrees are parted at round distances
// from their corner, so that they do not part one another for ever (J. R. Shewchuk, "Delaunay refinement algorithms for
// triangular mesh generation", Computational Geometry 22, 2002, section 5).
type refiner struct {
	t     *triangulation
	p     *plan
	f     *field
	floor float64 // nm: pieces of segments do not get shorter by more than half
	on    []int32 // for each node the segment that it was put on; none for corners and what lies within
	acute [][2]bool
	parts [][2]int32 // pieces of segments to be looked at
	bad   badHeap
	// For cavity.
	mark  []int32
	round int32
	todo  []int32
	found []edge
}

// refine adds nodes until all triangles are good.
func refine(ctx context.Context, t *triangulation, p *plan, f *field, tidy geom.Length) error {
	r := &refiner{t: t, p: p, f: f, floor: float64(tidy) / 2}
	r.on = make([]int32, len(t.nodes), 4*len(t.nodes))
	for i := range r.on {
		r.on[i] = none
	}
	r.acute = sharp(p)
	for k := range t.tris {
		q := &t.tris[k]
		for i := range int8(3) {
			if q.s[i] != none && (q.n[i] == none || q.n[i] > int32(k)) {
				r.look(edge{int32(k), i})
			}
		}
		r.judge(int32(k))
	}
	for n := 0; ; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if len(t.nodes) > mostNodes {
			return fmt.Errorf("mesh: more than %d nodes, the last at %v: the sizes asked for, or details of the region, are too small for it", mostNodes, t.nodes[len(t.nodes)-1])
		}
		switch {
		case len(r.parts) > 0:
			s := r.parts[len(r.parts)-1]
			r.parts = r.parts[:len(r.parts)-1]
			if e, ok := t.find(s[0], s[1]); ok && t.tris[e.t].s[e.i] != none && r.needs(e) {
				r.part(e)
			}
		case len(r.bad) > 0:
			if b := r.bad.pop(); t.tris[b.t].v == b.v {
				r.improve(b)
			}
		default:
			return nil
		}
	}
}

// sharp tells for both ends of each segment whether another one leaves there at less than 60 degrees.
func sharp(p *plan) [][2]bool {
	out := make([][2]bool, len(p.segments))
	ends := make([][]int32, len(p.nodes)) // 2·segment, plus 1 for its b
	for i, s := range p.segments {
		ends[s.a] = append(ends[s.a], int32(2*i))
		ends[s.b] = append(ends[s.b], int32(2*i+1))
	}
	ray := func(k int32) geom.Point {
		s := p.segments[k/2]
		if k%2 == 1 {
			s.a, s.b = s.b, s.a
		}
		return p.nodes[s.b].Sub(p.nodes[s.a])
	}
	for _, list := range ends {
		const crowd = 100
		for i, k := range list {
			u := ray(k)
			for _, l := range list[:i] {
				v := ray(l)
				if len(list) > crowd || float64(u.Dot(v)) > u.Norm()*v.Norm()*0.5 {
					out[k/2][k%2], out[l/2][l%2] = true, true
				}
			}
		}
	}
	return out
}

// look notes a piece of a segment that needs to be parted.
func (r *refiner) look(e edge) {
	if r.needs(e) {
		q := &r.t.tris[e.t]
		r.parts = append(r.parts, [2]int32{q.v[next(e.i)], q.v[prev(e.i)]})
	}
}

// needs tells whether a piece of a segment is too long, or a node lies too near to it.
func (r *refiner) needs(e edge) bool {
	q := &r.t.tris[e.t]
	a, b := r.t.nodes[q.v[next(e.i)]], r.t.nodes[q.v[prev(e.i)]]
	l := a.Distance(b)
	if l < float64(2*r.floor) {
		return false
	}
	if obtuse(a, b, r.t.nodes[q.v[e.i]]) {
		return true
	}
	if u := q.n[e.i]; u != none {
		w := &r.t.tris[u]
		if obtuse(a, b, r.t.nodes[w.v[w.facing(e.t)]]) {
			return true
		}
	}
	return l > float64(mostLength*r.f.at(float64(a.X+b.X)/2, float64(a.Y+b.Y)/2))
}

// part divides a piece of a segment in two and tells whether that was possible.
func (r *refiner) part(e edge) bool {
	q := &r.t.tris[e.t]
	seg := q.s[e.i]
	a, b := r.t.nodes[q.v[next(e.i)]], r.t.nodes[q.v[prev(e.i)]]
	l := a.Distance(b)
	if l < float64(2*r.floor) {
		return false
	}
	f := r.share(seg, a, b, l)
	p := geom.Pt(a.X+geom.Round(float64(f*float64(b.X-a.X))), a.Y+geom.Round(float64(f*float64(b.Y-a.Y))))
	i := r.add(p, seg)
	if !r.t.split(i, e) {
		r.drop()
		return false
	}
	r.survey(i)
	return true
}

// share says where a piece from a to b is parted, from 0 to 1: in the middle, or at a round distance from the nearer end of its
// segment where that is sharp.
func (r *refiner) share(seg int32, a, b geom.Point, l float64) float64 {
	s := r.p.segments[seg]
	from, to := r.p.nodes[s.a], r.p.nodes[s.b]
	// Distances of a from both ends.
	atA, atB := a.Distance(from), a.Distance(to)
	back := a.Distance(from) > b.Distance(from) // the piece runs towards from
	mid := a.Distance(from) + b.Distance(from)
	sharpA, sharpB := r.acute[seg][0], r.acute[seg][1]
	if sharpA && sharpB {
		if mid > from.Distance(to) {
			sharpA = false
		} else {
			sharpB = false
		}
	}
	switch {
	case sharpA && !back:
		return (round(atA, atA+l) - atA) / l
	case sharpA:
		return (atA - round(atA-l, atA)) / l
	case sharpB && back:
		return (round(atB, atB+l) - atB) / l
	case sharpB:
		return (atB - round(atB-l, atB)) / l
	}
	return 0.5
}

// round gives the roundest number in the middle of the way from u to v: a multiple of the largest power of two.
func round(u, v float64) float64 {
	low, high := u+(v-u)*0.25, v-(v-u)*0.25
	step := 0x1p32
	for {
		if k := math.Floor(high / step); float64(k*step) >= low {
			return float64(k * step)
		}
		step /= 2
	}
}

// add appends a node.
func (r *refiner) add(p geom.Point, seg int32) int32 {
	r.t.nodes, r.t.of, r.on = append(r.t.nodes, p), append(r.t.of, none), append(r.on, seg)
	return int32(len(r.t.nodes) - 1)
}

func (r *refiner) drop() {
	n := len(r.t.nodes) - 1
	r.t.nodes, r.t.of, r.on = r.t.nodes[:n], r.t.of[:n], r.on[:n]
}

// survey looks at what a new node has changed: all of it lies round the node.
func (r *refiner) survey(i int32) {
	for _, e := range r.t.around(i) {
		q := &r.t.tris[e.t]
		for k := range int8(3) {
			if q.s[k] != none {
				r.look(edge{e.t, k})
			}
		}
		r.judge(e.t)
	}
}

// judge notes a triangle that is too large or too thin.
func (r *refiner) judge(k int32) {
	q := &r.t.tris[k]
	s := r.shape(q)
	x, y := s.middle()
	h := r.f.at(x, y)
	switch {
	case s.radius > float64(mostRadius*h):
		r.bad.push(bad{1000 * s.radius / h, k, q.v})
	case s.short < float64(2*s.radius*sine26) && s.short > r.floor && !r.between(q, s):
		r.bad.push(bad{s.radius / s.short, k, q.v})
	}
}

// between tells whether a triangle's shortest edge spans a small angle of the region, whose sides it meets equally far from the
// corner: then it cannot become better.
func (r *refiner) between(q *tri, s shape) bool {
	u, v := q.v[next(s.side)], q.v[prev(s.side)]
	a, b := r.on[u], r.on[v]
	if a == none || b == none || a == b {
		return false
	}
	c, d := r.p.segments[a], r.p.segments[b]
	var corner int32
	switch {
	case c.a == d.a || c.a == d.b:
		corner = c.a
	case c.b == d.a || c.b == d.b:
		corner = c.b
	default:
		return false
	}
	w := r.p.nodes[corner]
	e, f := w.Distance(r.t.nodes[u]), w.Distance(r.t.nodes[v])
	return math.Abs(e-f) < 0.001*e
}

// A shape is what there is to know of a triangle, in nm.
type shape struct {
	side          int8 // the shortest edge
	short, radius float64
	at            geom.Point // node 0, from which the rest counts
	x, y          [3]float64 // nodes
	cx, cy        float64    // the middle of its circle
}

func (s *shape) middle() (x, y float64) {
	return float64(s.at.X) + (s.x[1]+s.x[2])/3, float64(s.at.Y) + (s.y[1]+s.y[2])/3
}

func (r *refiner) shape(q *tri) shape {
	var s shape
	var l [3]float64
	s.at = r.t.nodes[q.v[0]]
	for i := range int8(3) {
		d := r.t.nodes[q.v[i]].Sub(s.at)
		s.x[i], s.y[i] = float64(d.X), float64(d.Y)
		e := r.t.nodes[q.v[next(i)]].Sub(r.t.nodes[q.v[prev(i)]])
		l[i] = float64(e.Dot(e))
		if l[i] < l[s.side] {
			s.side = i
		}
	}
	twice := float64(turn(s.at, r.t.nodes[q.v[1]], r.t.nodes[q.v[2]]))
	s.short = math.Sqrt(l[s.side])
	// The middle relative to node 0: l[2] is the square of node 1's distance, l[1] that of node 2's.
	s.cx = (float64(l[2]*s.y[2]) - float64(l[1]*s.y[1])) / (2 * twice)
	s.cy = (float64(l[1]*s.x[1]) - float64(l[2]*s.x[2])) / (2 * twice)
	s.radius = math.Sqrt(float64(s.cx*s.cx) + float64(s.cy*s.cy))
	return s
}

// aim gives the place of the new node: on the way from the shortest edge to the middle of the circle, but no further than an edge
// of the size asked for reaches, or than the angle needs (A. Üngör, "Off-centers", LATIN 2004; D. Engwirda, D. Ivers,
// "Off-centre Steiner points for Delaunay-refinement on curved surfaces", Computer-Aided Design 72, 2016).
func (r *refiner) aim(s shape) geom.Point {
	i, j := next(s.side), prev(s.side)
	mx, my := (s.x[i]+s.x[j])/2, (s.y[i]+s.y[j])/2
	dx, dy := s.cx-mx, s.cy-my
	d := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if d > 0 {
		h := r.f.at(float64(s.at.X)+mx, float64(s.at.Y)+my)
		half := s.short / 2
		// The apex of a triangle with two edges of the size; at least an equilateral one.
		reach := float64(s.short * 0.8660254037844386)
		if h > s.short {
			reach = math.Sqrt(float64(h*h) - float64(half*half))
		}
		// Its angle at the apex must not be too small.
		reach = min(reach, float64(s.short*offCentre))
		if reach < d {
			mx, my = mx+float64(dx/d*reach), my+float64(dy/d*reach)
		} else {
			mx, my = s.cx, s.cy
		}
	}
	return geom.Pt(s.at.X+geom.Round(mx), s.at.Y+geom.Round(my))
}

// offCentre is how high, in lengths of its short edge, a triangle with two equal sides is whose apex has 28 degrees.
const offCentre = 2.0053

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
