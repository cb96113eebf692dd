package holding

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// knot is a point of an outline at its position along it.
type knot struct {
	pos geom.Length
	at  geom.Point
}

// knots lays an outline out as points: its vertices, points 5° apart on arcs, and the given positions.
// It gives also which knot each position is.
func knots(outline geom.Path, length geom.Length, positions []geom.Length) (ks []knot, which []int) {
	const step = 5 * math.Pi / 180
	type piece struct {
		from float64
		edge geom.Edge
		long float64
	}
	var pieces []piece
	var run float64
	for _, e := range outline {
		l := e.Length()
		pieces = append(pieces, piece{run, e, l})
		n := 1
		if e.Sense != geom.Straight {
			_, sweep := e.Angles()
			n = max(1, int(math.Ceil(math.Abs(sweep)/step)))
		}
		for i := range n {
			f := float64(i) / float64(n)
			ks = append(ks, knot{geom.Round(run + float64(l*f)), e.At(f)})
		}
		run += l
	}
	vertices := len(ks)
	for _, p := range positions {
		if p >= length {
			p -= length
		}
		i := max(0, sortSearch(len(pieces), func(i int) bool { return pieces[i].from > float64(p) })-1)
		x := pieces[i]
		at := x.edge.From
		if x.long > 0 {
			at = x.edge.At((float64(p) - x.from) / x.long)
		}
		ks = append(ks, knot{p, at})
	}
	idx := make([]int, len(ks))
	for i := range idx {
		idx[i] = i
	}
	slices.SortStableFunc(idx, func(a, b int) int { return int(ks[a].pos - ks[b].pos) })
	sorted := make([]knot, 0, len(ks))
	which = make([]int, len(positions))
	for _, i := range idx {
		if n := len(sorted); n == 0 || sorted[n-1].pos != ks[i].pos {
			sorted = append(sorted, ks[i])
		}
		if i >= vertices {
			which[i-vertices] = len(sorted) - 1
		}
	}
	return sorted, which
}

// sortSearch is the least i in [0, n) with f(i), else n.
func sortSearch(n int, f func(int) bool) int {
	lo, hi := 0, n
	for lo < hi {
		m := (lo + hi) / 2
		if f(m) {
			hi = m
		} else {
			lo = m + 1
		}
	}
	return lo
}

// convex tells whether an outline bulges outwards everywhere, but for what rounding to the nanometre
// does to tangents.
func convex(outline geom.Path) bool {
	for i, e := range outline {
		if e.Sense == geom.Clockwise {
			return false
		}
		f := outline[(i+1)%len(outline)]
		a, b := e.Heading(e.To), f.Heading(f.From)
		if float64(a.Cross(b)) < -1e-4*a.Norm()*b.Norm() {
			return false
		}
	}
	return true
}

// taut draws a string from a knot forwards along the outline and pulls it tight on the outer side, as
// far as n knots on. It calls reached with the knots passed, one after the other, counted from the
// first, and the string's length to each.
//
// What lies on the other side of the string, such as the far wall of a spiral, is not looked at: the
// string may be shorter than a real one there, never shorter than the straight way.
func taut(ks []knot, length geom.Length, from, n int, stack []tight, reached func(i int, long geom.Length)) []tight {
	stack = append(stack[:0], tight{0, ks[from].at, ks[from].pos, 0})
	for i := 1; i <= n; i++ {
		j := from + i
		pos := ks[j%len(ks)].pos
		if j >= len(ks) {
			pos += length
		}
		at := ks[j%len(ks)].at
		for len(stack) > 1 {
			a, b := stack[len(stack)-2], stack[len(stack)-1]
			if b.at.Sub(a.at).Cross(at.Sub(b.at)) >= 0 {
				break
			}
			stack = stack[:len(stack)-1]
		}
		top := stack[len(stack)-1]
		long := top.long
		if top.i == i-1 {
			long += pos - top.pos // along the edge itself, arcs as arcs
		} else {
			long += geom.Round(at.Distance(top.at))
		}
		stack = append(stack, tight{i, at, pos, long})
		reached(i, long)
	}
	return stack
}

// tight is a point that the string lies on.
type tight struct {
	i    int
	at   geom.Point
	pos  geom.Length
	long geom.Length
}
