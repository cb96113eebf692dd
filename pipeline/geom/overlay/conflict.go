package overlay

import (
	"cmp"
	"math"
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
func (r *restorer) reconcile() {
	if !r.a.shapes.arcs {
		return
	}
	for {
		r.settle()
		bad := r.conflicts()
		if len(bad) == 0 {
			return
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

// soft tells whether a run may lie elsewhere than its segments, and how far.
func (r *restorer) soft(u *run) (margin geom.Length, soft bool) {
	from, to := r.points(u)
	a, b := r.ends(u)
	shift := max(from.Distance(r.a.shapes.point(a)), to.Distance(r.a.shapes.point(b)))
	if !u.straight && !u.keepNodes {
		return geom.Round(shift+float64(2*r.chordError())) + 2, true
	}
	return geom.Round(shift) + 2, shift > 0
}

// conflicts lists the runs that cross or touch others, or have an edge of no length.
func (r *restorer) conflicts() []int32 {
	bad := map[int32]bool{}
	r.crowded(bad)
	r.turned(bad)
	for _, p := range r.near() {
		if !bad[p[0]] || !bad[p[1]] {
			if r.cross(p[0], p[1]) {
				// Those that are what they were proved to be stay so.
				for _, i := range p {
					if _, soft := r.soft(&r.runs[i]); soft {
						bad[i] = true
					}
				}
			}
		}
	}
	out := make([]int32, 0, len(bad))
	for i := range bad {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}

// crowded notes runs whose ends were moved onto each other or onto those of others.
func (r *restorer) crowded(bad map[int32]bool) {
	type spot struct {
		at   geom.Point
		node int32
		run  int32
	}
	var spots []spot
	for i := range r.runs {
		u := &r.runs[i]
		if node := r.steps[u.steps[0]].node; node >= 0 {
			from, _ := r.points(u)
			spots = append(spots, spot{from, node, int32(i)})
		}
		if node := u.end; node >= 0 {
			_, to := r.points(u)
			spots = append(spots, spot{to, node, int32(i)})
		}
	}
	slices.SortFunc(spots, func(a, b spot) int {
		return cmp.Or(comparePoints(a.at, b.at), cmp.Compare(a.node, b.node), cmp.Compare(a.run, b.run))
	})
	for k := 1; k < len(spots); k++ {
		if a, b := spots[k-1], spots[k]; a.at == b.at && a.node != b.node {
			for _, s := range [2]spot{a, b} {
				if s.at != r.a.shapes.point(r.a.graph.at[s.node]) {
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
		if !slices.ContainsFunc(runs, func(u run) bool { _, soft := r.soft(&u); return soft }) {
			continue
		}
		path := r.path(runs)
		corners = corners[:0]
		for _, e := range path {
			corners = append(corners, e.From)
		}
		slices.SortFunc(corners, comparePoints)
		twice := len(slices.Compact(corners)) < len(path)
		if twice || len(path) == 0 || (path.Area() > 0) != ring.outer {
			for i := ring.runs[0]; i < ring.runs[1]; i++ {
				if _, soft := r.soft(&r.runs[i]); soft {
					bad[i] = true
				}
			}
		}
	}
}

// cross tells whether two runs meet elsewhere than where they join.
func (r *restorer) cross(i, k int32) bool {
	p, q := r.pieces(&r.runs[i], nil), r.pieces(&r.runs[k], nil)
	for m, e := range p {
		for n, f := range q {
			if i == k && n <= m {
				continue
			}
			for _, at := range e.Intersections(f) {
				joined := false
				for _, end := range [2]geom.Point{e.From, e.To} {
					joined = joined || (end == f.From || end == f.To) && at.Distance(end) <= 2
				}
				if !joined {
					return true
				}
			}
		}
	}
	return false
}

// near lists pairs of runs that lie so near each other that they may cross, one of which is not just
// what was proved.
func (r *restorer) near() [][2]int32 {
	type part struct {
		run  int32
		soft bool
		box  geom.Box
	}
	var parts []part
	var wide, high int64
	for i := range r.runs {
		u := &r.runs[i]
		margin, soft := r.soft(u)
		for _, s := range r.steps[u.steps[0]:u.steps[1]] {
			b := geom.BoxOf(r.a.shapes.point(r.from(s)), r.a.shapes.point(r.to(s)))
			wide, high = wide+int64(b.Width()), high+int64(b.Height())
			parts = append(parts, part{int32(i), soft, b.Grow(margin)})
		}
	}
	if !slices.ContainsFunc(parts, func(p part) bool { return p.soft }) {
		return nil
	}
	g := lay(r.a.shapes.box, len(parts), wide, high)
	first := make([]int32, g.nx*g.ny+1)
	each := func(do func(cell int64, k int)) {
		for k, p := range parts {
			lo, hi := p.box.Min.Sub(r.a.shapes.origin), p.box.Max.Sub(r.a.shapes.origin)
			for y := max(int64(lo.Y)>>g.ky, 0); y <= min(int64(hi.Y)>>g.ky, g.ny-1); y++ {
				for x := max(int64(lo.X)>>g.kx, 0); x <= min(int64(hi.X)>>g.kx, g.nx-1); x++ {
					do(y*g.nx+x, k)
				}
			}
		}
	}
	each(func(c int64, _ int) { first[c+1]++ })
	for c := 1; c < len(first); c++ {
		first[c] += first[c-1]
	}
	list := make([]int32, first[len(first)-1])
	fill := slices.Clone(first)
	each(func(c int64, k int) {
		list[fill[c]] = int32(k)
		fill[c]++
	})
	var out [][2]int32
	for c := range len(first) - 1 {
		here := list[first[c]:first[c+1]]
		for m, i := range here {
			for _, k := range here[m+1:] {
				a, b := &parts[i], &parts[k]
				if a.run != b.run && (a.soft || b.soft) && a.box.Overlaps(b.box) && !r.settled(a.run, b.run) {
					out = append(out, [2]int32{min(a.run, b.run), max(a.run, b.run)})
				}
			}
		}
	}
	slices.SortFunc(out, func(p, q [2]int32) int { return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1])) })
	return slices.Compact(out)
}

// settled tells whether two runs follow each other at a corner that an operand has there itself.
func (r *restorer) settled(i, k int32) bool {
	a, b := &r.runs[i], &r.runs[k]
	if j := a.steps[0]; j != b.steps[1] {
		if a, b = b, a; a.steps[0] != b.steps[1] {
			return false
		}
	}
	e, f := r.edge(b.whole), r.edge(a.whole)
	return e.To == f.From && int64(math.Abs(float64(b.whole>>1-a.whole>>1))) == 1
}
