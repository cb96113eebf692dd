package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

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
	h := r.f.at(float64(a.X+b.X)/2, float64(a.Y+b.Y)/2)
	if l < 2*r.least(h) {
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
	return l > float64(mostLength*h)
}

// least is how short an edge is that is left as it is, where the size is h.
func (r *refiner) least(h float64) float64 { return max(r.floor, float64(r.leave*h)) }

// part divides a piece of a segment in two and tells whether that was possible.
func (r *refiner) part(e edge) bool {
	q := &r.t.tris[e.t]
	seg := q.s[e.i]
	a, b := r.t.nodes[q.v[next(e.i)]], r.t.nodes[q.v[prev(e.i)]]
	l := a.Distance(b)
	if l < 2*r.floor || r.leave > 0 && l < 2*r.least(r.f.at(float64(a.X+b.X)/2, float64(a.Y+b.Y)/2)) {
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
	quarter := float64((v - u) / 4)
	low, high := u+quarter, v-quarter
	step := 0x1p32
	for {
		if k := math.Floor(high / step); float64(k*step) >= low {
			return float64(k * step)
		}
		step /= 2
	}
}
