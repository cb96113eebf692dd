package geom

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// JoinTolerance is how far apart ends may lie, by default, to be taken as one place. Files round
// coordinates to at most 2.54 µm (inch, four decimals), so that ends which a CAD system meant to
// meet lie closer than this.
const JoinTolerance = 10 * UM

// Joined is what Join made of a heap of edges.
type Joined struct {
	Loops      []Path      // closed, counter-clockwise, each from its lowest-left vertex; largest area first
	Open       []OpenChain // chains that do not close
	Duplicates int         // edges dropped because another lies on the same line
	ZeroLength int         // edges dropped because they have no length, or none that the tolerance leaves
	LargestGap Length      // the widest gap closed, rounded up
	Moved      int         // ends of edges moved to close gaps
}

// OpenChain is a chain of edges that does not close: it has two ends that meet no other end, or ends
// at a branch from which every other way is taken.
type OpenChain struct {
	From, To Point
	Edges    int
}

// Join makes closed loops of unordered strokes' centre lines. Ends within tol nm of each other are
// one place; where there is a choice, exact meetings come first, then the nearest. Gaps are closed by
// moving ends: lines to where they cross where that is near enough, a line to an arc, and never an
// arc's centre; afterwards consecutive edges share their end points exactly. The result does not
// depend on the order or direction of the edges.
//
// An error means that the coordinates or the tolerance are out of range. An outline that does not
// close is no error here; Assemble makes it one.
func Join(edges []Edge, tol Length) (Joined, error) {
	if err := checkStrokes(edges, tol); err != nil {
		return Joined{}, err
	}
	j := joiner{tol: tol}
	j.take(edges)
	if tol > 0 {
		j.closeGaps()
		j.dropNearCopies()
	}
	j.trace()
	slices.SortStableFunc(j.out.Loops, compareLoops(j.out.Loops))
	slices.SortFunc(j.out.Open, func(a, b OpenChain) int {
		if c := a.From.Compare(b.From); c != 0 {
			return c
		}
		return a.To.Compare(b.To)
	})
	return j.out, nil
}

// checkStrokes refuses coordinates and tolerances that are out of range.
func checkStrokes(edges []Edge, tol Length) error {
	if tol < 0 || tol > Limit {
		return fmt.Errorf("joining tolerance of %s: it must lie between 0 and %s", tol, Limit)
	}
	for _, e := range edges {
		if !e.From.Within() || !e.To.Within() {
			return fmt.Errorf("the edge from %s to %s reaches outside ±%s", e.From, e.To, Limit)
		}
		if e.Sense != Straight && (e.Center.X.Abs() > 1000*Limit || e.Center.Y.Abs() > 1000*Limit) {
			return fmt.Errorf("the arc from %s to %s has its centre too far away, at %s", e.From, e.To, e.Center)
		}
		if e.Sense < Clockwise || e.Sense > CounterClockwise {
			return errors.New("an edge is neither straight nor an arc")
		}
	}
	return nil
}

type joiner struct {
	tol   Length
	edges []Edge // From before To in order; sorted
	nodes []Point
	ends  [][2]int32 // the nodes of each edge's From and To
	out   Joined
}

// ordered gives an edge the direction in which Join keeps it.
func ordered(e Edge) Edge {
	switch {
	case e.Sense == Straight:
		e.Center = Point{}
	case e.From == e.To:
		// Begun on either axis, one circle is one edge.
		d := e.From.Sub(e.Center)
		if d.X == 0 || d.Y == 0 {
			e.From.X, e.From.Y = e.Center.X-d.X.Abs()-d.Y.Abs(), e.Center.Y
			e.To = e.From
		}
		e.Sense = CounterClockwise
		return e
	}
	if e.To.Less(e.From) {
		return e.Reverse()
	}
	return e
}

func compareEdges(a, b Edge) int {
	if c := a.From.Compare(b.From); c != 0 {
		return c
	}
	if c := a.To.Compare(b.To); c != 0 {
		return c
	}
	if a.Sense != b.Sense {
		return int(a.Sense) - int(b.Sense)
	}
	return a.Center.Compare(b.Center)
}

// nothing tells whether an edge has no length.
func nothing(e Edge) bool {
	return e.From == e.To && (e.Sense == Straight || e.Center == e.From)
}

// take puts the edges in order and drops copies and those without length.
func (j *joiner) take(edges []Edge) {
	j.edges = make([]Edge, 0, len(edges))
	for _, e := range edges {
		if nothing(e) {
			j.out.ZeroLength++
			continue
		}
		j.edges = append(j.edges, ordered(e))
	}
	j.settle()
}

// settle sorts the edges, drops copies, and numbers the places where ends lie.
func (j *joiner) settle() {
	slices.SortFunc(j.edges, compareEdges)
	kept := j.edges[:0]
	run := 0 // where the edges between the same two places begin in kept
	for _, e := range j.edges {
		if len(kept) == 0 || kept[run].From != e.From || kept[run].To != e.To {
			run = len(kept)
		}
		if j.copied(e, kept[run:]) {
			j.out.Duplicates++
			continue
		}
		kept = append(kept, e)
	}
	j.edges = kept

	j.nodes = j.nodes[:0]
	for _, e := range j.edges {
		j.nodes = append(j.nodes, e.From, e.To)
	}
	slices.SortFunc(j.nodes, Point.Compare)
	j.nodes = slices.Compact(j.nodes)
	j.ends = make([][2]int32, len(j.edges))
	for i, e := range j.edges {
		j.ends[i] = [2]int32{j.node(e.From), j.node(e.To)}
	}
}

func (j *joiner) node(p Point) int32 {
	i, _ := slices.BinarySearchFunc(j.nodes, p, Point.Compare)
	return int32(i)
}

// copied tells whether an edge lies, within the tolerance, on one of those between the same places.
func (j *joiner) copied(e Edge, among []Edge) bool {
	// The list is sorted, so that an exact copy is its last; of the rest a few are enough to look at.
	if n := len(among); n > 0 && among[n-1] == e {
		return true
	}
	for _, f := range among[:min(len(among), 8)] {
		if sameCourse(e, f, j.tol) {
			return true
		}
	}
	return false
}

// sameCourse tells whether two edges with near ends lie within tol of each other in the middle too.
func sameCourse(e, f Edge, tol Length) bool {
	if e.Sense == Straight && f.Sense == Straight {
		return true
	}
	if e.From == e.To || f.From == f.To {
		return e.From == e.To && f.From == f.To && e.Center.Distance(f.Center) <= float64(tol)
	}
	a, b := curveOf(e), curveOf(f)
	ax, ay := a.middle()
	bx, by := b.middle()
	return a.point(ax, ay).Distance(b.point(bx, by)) <= float64(tol)
}

// degrees counts the ends at each place. A full circle closes by itself and counts nowhere.
func (j *joiner) degrees() []int32 {
	deg := make([]int32, len(j.nodes))
	for _, n := range j.ends {
		if n[0] != n[1] {
			deg[n[0]]++
			deg[n[1]]++
		}
	}
	return deg
}

// compareLoops orders loops by area, largest first, then by their first vertex, the lowest-left one.
func compareLoops(loops []Path) func(a, b Path) int {
	area := make(map[*Edge]float64, len(loops))
	for _, p := range loops {
		area[&p[0]] = math.Abs(p.Area())
	}
	return func(a, b Path) int {
		switch x, y := area[&a[0]], area[&b[0]]; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return a[0].From.Compare(b[0].From)
	}
}
