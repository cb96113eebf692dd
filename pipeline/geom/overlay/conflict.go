package overlay

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"panelwright/pipeline/geom"
)

// Chords have been proved not to cross; the arcs that they come back as stray from them by up to the
// chord error, and ends that are moved to true crossings a little farther. Where something else lies
// that near, two of them may cross. Such runs keep their chords, with ends where these were cut: if need
// be all of them, and the border is the one proved.

// pieces gives the edges with which a run goes into the result.
func (r *restorer) pieces(u *run, out geom.Path) geom.Path {
	switch {
	case u.keepNodes:
		return r.chords(u, out)
	case !u.straight:
		return r.bend(u, out)
	}
	from, to := r.points(u)
	return append(out, geom.Line(from, to))
}

// reconcile lets runs keep their chords until no two edges of the result meet but where they join.
func (r *restorer) reconcile(ctx context.Context) error {
	for {
		r.settle()
		bad, err := r.conflicts(ctx)
		if len(bad) == 0 || err != nil {
			return err
		}
		for _, i := range bad {
			u := &r.runs[i]
			u.keepNodes = u.keepNodes || !u.straight || u.bent
			for _, node := range [2]int32{r.steps[u.steps[0]].node, u.end} {
				if node >= 0 {
					r.moved[node] = refined{r.a.shapes.point(r.a.graph.at[node]), true}
				}
			}
		}
	}
}

// soft tells whether a run may lie elsewhere than its segments, and how far its ends were moved, in nm.
func (r *restorer) soft(u *run) (shift float64, soft bool) {
	from, to := r.points(u)
	a, b := r.ends(u)
	shift = max(from.Distance(r.a.shapes.point(a)), to.Distance(r.a.shapes.point(b)))
	return shift, shift > 0 || !u.straight && !u.keepNodes
}

// altered tells whether a run is anything but its segments.
func (r *restorer) altered(u *run) bool {
	_, soft := r.soft(u)
	return soft || u.bent && !u.keepNodes
}

// conflicts lists the runs that cross or touch others, or have an edge of no length. Those that do no
// more than come by a point where another leads back to its circle are listed when there are no others:
// that may be over when those keep their chords.
func (r *restorer) conflicts(ctx context.Context) ([]int32, error) {
	bad, touching := map[int32]bool{}, map[int32]bool{}
	r.turned(bad)
	if !r.a.shapes.arcs { // how straight edges lie was proved again when they were straightened
		return slices.Sorted(maps.Keys(bad)), nil
	}
	r.crowded(bad)
	err := r.near(ctx, func(i, k int32) {
		if bad[i] && bad[k] || r.settled(i, k) {
			return
		}
		list := bad
		switch r.meet(i, k) {
		case apart:
			return
		case touch:
			list = touching
		}
		// Those that are what they were proved to be stay so.
		for _, i := range [2]int32{i, k} {
			if _, soft := r.soft(&r.runs[i]); soft {
				list[i] = true
			}
		}
	})
	if err != nil {
		return nil, err
	}
	if len(bad) == 0 {
		bad = touching
	}
	return slices.Sorted(maps.Keys(bad)), nil
}

// crowded notes runs whose ends were moved onto each other or onto those of others.
func (r *restorer) crowded(bad map[int32]bool) {
	type spot struct {
		at   geom.Point
		node int32 // of a corner that nothing else meets, one below zero
		run  int32
	}
	corner := func(run int32) int32 {
		if node := r.steps[r.runs[run].steps[0]].node; node >= 0 {
			return node
		}
		return ^run
	}
	spots := make([]spot, 0, 2*len(r.runs))
	for i := range r.runs {
		u := &r.runs[i]
		from, to := r.points(u)
		spots = append(spots, spot{from, corner(int32(i)), int32(i)}, spot{to, corner(u.next), int32(i)})
	}
	slices.SortFunc(spots, func(a, b spot) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.node, b.node), cmp.Compare(a.run, b.run))
	})
	for i := 0; i < len(spots); {
		first := i
		for i++; i < len(spots) && spots[i].at == spots[first].at; i++ {
		}
		if here := spots[first:i]; here[0].node != here[len(here)-1].node {
			for _, s := range here {
				if s.node >= 0 && s.at != r.a.shapes.point(r.a.graph.at[s.node]) {
					bad[s.run] = true
				}
			}
		}
	}
}

// turned notes the runs of rings that run round the other way than their chords, or pass a corner twice.
func (r *restorer) turned(bad map[int32]bool) {
	var corners []geom.Point
	for _, ring := range r.rings {
		if ring.plain != nil {
			continue
		}
		runs := r.runs[ring.runs[0]:ring.runs[1]]
		if !slices.ContainsFunc(runs, func(u run) bool { return r.altered(&u) }) {
			continue
		}
		path := r.path(runs)
		corners = corners[:0]
		for _, e := range path {
			corners = append(corners, e.From)
		}
		slices.SortFunc(corners, geom.Point.Compare)
		twice := len(slices.Compact(corners)) < len(path)
		area := path.Area()
		if !ring.outer {
			area = -area
		}
		if twice || area <= 0 {
			for i := ring.runs[0]; i < ring.runs[1]; i++ {
				if r.altered(&r.runs[i]) {
					bad[i] = true
				}
			}
		}
	}
}

// A contact is how two runs meet elsewhere than in ends that they have in common.
type contact uint8

const (
	apart contact = iota
	touch         // in corners that are not ends of both, or along an edge that both have
	cross         // elsewhere
)

func (r *restorer) meet(i, k int32) contact {
	p, q := r.pieces(&r.runs[i], nil), r.pieces(&r.runs[k], nil)
	a, b := r.points(&r.runs[i])
	c, d := r.points(&r.runs[k])
	join := func(at geom.Point, e, f geom.Edge) contact {
		for _, end := range [2]geom.Point{e.From, e.To} {
			if (end == f.From || end == f.To) && at.Distance(end) <= 2 {
				if (end == a || end == b) && (end == c || end == d) {
					return apart
				}
				return touch
			}
		}
		return cross
	}
	worst := apart
	for _, e := range p {
		for _, f := range q {
			if e == f || e == f.Reverse() { // both lead to one point of a circle
				worst = touch
			}
			for _, at := range e.Intersections(f) {
				if worst = max(worst, join(at, e, f)); worst == cross {
					return cross
				}
			}
		}
	}
	return worst
}

// settled tells whether two runs follow each other at a corner that an operand has there itself.
func (r *restorer) settled(i, k int32) bool {
	for range 2 {
		if r.runs[i].next == k {
			e, f := r.edge(r.runs[i].whole), r.edge(r.runs[k].whole)
			_, to := r.points(&r.runs[i])
			return to == e.To && to == f.From
		}
		i, k = k, i
	}
	return false
}
