package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// judge notes a triangle that is too large or too thin.
func (r *refiner) judge(k int32) {
	q := &r.t.tris[k]
	s := r.shape(q)
	x, y := s.middle()
	h := r.f.at(x, y)
	switch {
	case s.radius > float64(mostRadius*h):
		r.bad.push(bad{1000 * s.radius / h, k, q.v})
	case s.short < float64(2*s.radius*sine26) && s.short > r.least(h) && !r.between(q, s):
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
	mx, my := float64((s.x[i]+s.x[j])/2), float64((s.y[i]+s.y[j])/2)
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
