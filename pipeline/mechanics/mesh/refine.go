package mesh

import (
	"context"
	"fmt"

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
	// So many nodes are made in all, after which it is an error.
	mostNodes = 400_000
	// Once there are twice as many nodes as the sizes ask for, and so many more for each corner (but no more than a bound), what
	// is smaller than a part of the size is left as thin as it is.
	perCorner, forCorners = 100, 40_000
	thinPart              = 0.2
)

// A refiner adds nodes. Segments come first: one that is too long, or that a node lies so near to that it sees it under more
// than a right angle, is parted. Then the worst triangle gets a node near the middle of its circle, unless that lies too near to
// a segment, which is parted instead (Ruppert 1995). Segments that meet at less than 60 degrees are parted at round distances
// from their corner, so that they do not part one another for ever (J. R. Shewchuk, "Delaunay refinement algorithms for
// triangular mesh generation", Computational Geometry 22, 2002).
type refiner struct {
	t     *triangulation
	p     *plan
	f     *field
	floor float64 // nm: what is shorter is left as it is
	leave float64 // what is shorter than this part of the size is left as it is: 0 at first
	on    []int32 // for each node the segment that it was put on; none for corners and what lies within
	acute [][2]bool
	parts [][2]int32 // pieces of segments to be looked at
	bad   badHeap
	// See encroached.
	mark  []int32
	round int32
	todo  []int32
}

// refine adds nodes until all triangles are good; wanted is about how many the sizes ask for. It tells
// whether details were left thin.
func refine(ctx context.Context, t *triangulation, p *plan, f *field, tidy geom.Length, wanted float64) (left bool, err error) {
	r := &refiner{t: t, p: p, f: f, floor: float64(tidy) / 4}
	enough := int(2*wanted) + min(perCorner*len(p.nodes), forCorners)
	r.on = make([]int32, len(t.nodes), 4*len(t.nodes))
	for i := range r.on {
		r.on[i] = none
	}
	r.acute = sharp(p)
	r.divide()
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
			return false, ctx.Err()
		}
		if len(t.nodes) > enough {
			r.leave = thinPart
		}
		if len(t.nodes) > mostNodes {
			return false, fmt.Errorf("mesh: more than %d nodes, the last at %v: the sizes asked for, or details of the region, are too small for it", mostNodes, t.nodes[len(t.nodes)-1])
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
			return r.leave > 0, nil
		}
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
