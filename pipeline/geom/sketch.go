package geom

import (
	"slices"
)

// Sketch is what a heap of strokes draws, when it may hold more than one board's outline: every closed
// loop, and what closes none.
type Sketch struct {
	Loops []Loop // largest area first
	Marks []Mark // by their lower left corner
	// LargestGap, Moved, Duplicates and ZeroLength are as in Joined.
	LargestGap                    Length
	Moved, Duplicates, ZeroLength int
}

// Loop is a closed way round along strokes. It passes no place twice.
type Loop struct {
	Path  Path // counter-clockwise, from its lowest-left vertex
	Group int  // loops of one group hang together
	Outer bool // the border of its group; otherwise one of the areas that lines divide the group into
}

// Mark is strokes that hang together and lie on no loop: a stray line, a cross, a line that ends on a
// loop or joins two.
type Mark struct {
	Box      Box
	Edges    int
	Length   float64 // nm
	Attached bool    // it touches a loop
	// Gap is the distance between the two ends of a mark that is a single chain, and could be a loop
	// left open; −1 for any other.
	Gap Length
	// From and To are those ends.
	From, To Point
}

// SketchOf takes a heap of strokes' centre lines apart. Ends within tol of each other are joined, as by
// Join; an end within tol of the middle of another edge is taken to lie on it; edges that cross, touch or
// run along each other are divided there. The result does not depend on the order or direction of the
// edges.
//
// An error means that coordinates or tolerance are out of range, or that the edges lie across one
// another in too many places to be taken apart (an *OutlineError with OutlineTooComplex).
func SketchOf(edges []Edge, tol Length) (Sketch, error) {
	if err := checkStrokes(edges, tol); err != nil {
		return Sketch{}, err
	}
	j := joiner{tol: tol}
	j.take(edges)
	if tol > 0 {
		j.closeGaps()
		j.dropNearCopies()
	}
	s := Sketch{LargestGap: j.out.LargestGap, Moved: j.out.Moved, Duplicates: j.out.Duplicates, ZeroLength: j.out.ZeroLength}
	d := divider{tol: max(tol, 2)}
	pieces, err := d.divide(j.edges)
	if err != nil {
		return s, err
	}
	s.Moved += d.moved
	k := joiner{tol: tol}
	k.take(pieces)
	s.Duplicates += k.out.Duplicates
	s.ZeroLength += k.out.ZeroLength
	n := newNet(&k)
	n.prune()
	s.Loops = n.loops()
	s.Marks = n.marks()
	slices.SortStableFunc(s.Loops, func() func(a, b Loop) int {
		paths := make([]Path, len(s.Loops))
		for i, l := range s.Loops {
			paths[i] = l.Path
		}
		by := compareLoops(paths)
		return func(a, b Loop) int { return by(a.Path, b.Path) }
	}())
	return s, nil
}

// maxContacts bounds how many places SketchOf looks into: drawings of boards, frames and texts among them,
// have some thousand.
const maxContacts = 200_000

// A divider cuts edges where others meet them.
type divider struct {
	tol   Length
	moved int
	cuts  [][]Point // of each edge
	known Index[Point]
}

// place gives what stands for a place where an edge is to be cut: an end of an edge
// that lies within the tolerance, or an earlier cut, or p itself.
func (d *divider) place(p Point) Point {
	best, at := float64(d.tol), p
	found := false
	d.known.Search(BoxOf(p).Grow(d.tol), func(_ Box, q Point) bool {
		dist := p.Distance(q)
		if dist < best || dist == best && (!found || q.Less(at)) {
			best, at, found = dist, q, true
		}
		return true
	})
	if !found {
		d.known.Insert(BoxOf(p), p)
	}
	return at
}

// contact is a place where an edge is to be cut. Where that is for a loose end nearby, end is it.
type contact struct {
	edge  int
	at    Point
	loose bool
	end   Point
}

func (d *divider) divide(edges []Edge) ([]Edge, error) {
	var ix Index[int]
	for i, e := range edges {
		ix.Insert(e.Box().Grow(d.tol), i)
	}
	degree := map[Point]int{}
	for _, e := range edges {
		degree[e.From]++
		degree[e.To]++
	}
	ends := make([]Point, 0, len(degree))
	for p := range degree {
		ends = append(ends, p)
	}
	slices.SortFunc(ends, Point.Compare)
	for _, p := range ends {
		d.known.Insert(BoxOf(p), p)
	}
	var contacts []contact
	move := map[Point]Point{}
	pairs := 0
	for i, e := range edges {
		var near []int
		ix.Search(e.Box().Grow(d.tol), func(_ Box, k int) bool {
			if k != i {
				near = append(near, k)
			}
			return true
		})
		slices.Sort(near)
		if pairs += len(near); pairs > maxPairs || len(contacts) > maxContacts {
			return nil, &OutlineError{Kind: OutlineTooComplex, At: e.From}
		}
		for _, k := range near {
			f := edges[k]
			var met []Point
			if k > i {
				met = e.Intersections(f)
				for _, p := range met {
					contacts = append(contacts, contact{edge: i, at: p}, contact{edge: k, at: p})
				}
			} else {
				met = f.Intersections(e)
			}
			for _, p := range [2]Point{f.From, f.To} {
				// A loose end that stops short of e, or goes a little too far.
				if degree[p]%2 == 0 || within(p, d.tol, e.From, e.To) {
					continue
				}
				if !e.Box().Grow(d.tol).HoldsPoint(p) {
					continue
				}
				gap, at := PointEdgeDistance(p, e)
				if gap > float64(d.tol) {
					continue
				}
				for _, m := range met {
					if m.Distance(p) <= float64(d.tol) {
						at = m
					}
				}
				if at == p {
					continue
				}
				contacts = append(contacts, contact{i, at, true, p})
				if old, ok := move[p]; !ok || p.Distance(at) < p.Distance(old) || p.Distance(at) == p.Distance(old) && at.Less(old) {
					move[p] = at
				}
			}
		}
	}
	slices.SortFunc(contacts, func(a, b contact) int {
		if c := a.at.Compare(b.at); c != 0 {
			return c
		}
		return a.edge - b.edge
	})
	d.cuts = make([][]Point, len(edges))
	for _, c := range contacts {
		switch {
		case !c.loose:
			p := d.place(c.at)
			if q, ok := move[p]; ok {
				p = q
			}
			d.cuts[c.edge] = append(d.cuts[c.edge], p)
		case move[c.end] == c.at: // the end goes to the edge, not the edge to the end
			d.cuts[c.edge] = append(d.cuts[c.edge], c.at)
		}
	}
	var out []Edge
	for i, e := range edges {
		from, to := e.From, e.To
		if q, ok := move[from]; ok {
			from = q
			d.moved++
		}
		if q, ok := move[to]; ok && e.From != e.To {
			to = q
			d.moved++
		}
		out = append(out, pieces(moveEnds(e, from, to), d.cuts[i])...)
	}
	return out, nil
}

func within(p Point, tol Length, of ...Point) bool {
	for _, q := range of {
		if p.Distance(q) <= float64(tol) {
			return true
		}
	}
	return false
}

// pieces cuts an edge at places on it, or within the tolerance of it.
func pieces(e Edge, at []Point) []Edge {
	if len(at) == 0 {
		return []Edge{e}
	}
	cuts := slices.Clone(at)
	if e.From == e.To { // a full circle begins anywhere: it needs two places to be two arcs
		first := at[0]
		e.From, e.To = first, first
		cuts = append(cuts, e.Center.Add(e.Center.Sub(first)))
	}
	cuts = slices.DeleteFunc(cuts, func(p Point) bool { return p == e.From || p == e.To })
	slices.SortFunc(cuts, func(a, b Point) int {
		switch x, y := e.Along(a), e.Along(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return a.Compare(b)
	})
	cuts = slices.Compact(cuts)
	var out []Edge
	from := e.From
	for _, to := range append(cuts, e.To) {
		if piece := (Edge{from, to, e.Center, e.Sense}); from != to {
			if piece.Sense != Straight {
				if m, ok := piece.Recentred(); ok {
					piece = m
				}
			}
			out = append(out, piece)
		}
		from = to
	}
	return out
}
