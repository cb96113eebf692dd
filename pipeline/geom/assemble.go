package geom

// Assemble finds a board's outline in unordered strokes' centre lines: the outer loop that holds all
// others, counter-clockwise, and the cut-outs, clockwise. Ends within tol are joined as by Join.
//
// What is no outline gives an *OutlineError: chains that stay open, loops that cross or touch
// themselves or each other, two loops side by side, a loop within a cut-out. The Joined is what was
// found, whether or not it makes an outline.
func Assemble(edges []Edge, tol Length) (Outline, Joined, error) {
	j, err := Join(edges, tol)
	if err != nil {
		return Outline{}, j, err
	}
	if len(j.Open) > 0 {
		return Outline{}, j, openError(j.Open, tol)
	}
	if len(j.Loops) == 0 {
		return Outline{}, j, &OutlineError{Kind: OutlineEmpty}
	}
	if err := checkMeetings(j.Loops); err != nil {
		return Outline{}, j, err
	}
	o := Outline{Outer: j.Loops[0]}
	outer := newLocator(o.Outer)
	for _, c := range j.Loops[1:] {
		if outer.locate(c[0].From) != Inside {
			return Outline{}, j, &OutlineError{Kind: OutlineTwoBoards, At: c[0].From, Boxes: [2]Box{o.Box(), c.Box()}}
		}
	}
	// Loops do not meet, so that one vertex tells for a whole loop; and they come by size, so that
	// whatever holds a loop is in the index before it.
	var cuts Index[*locator]
	for _, c := range j.Loops[1:] {
		var island *OutlineError
		cuts.Search(BoxOf(c[0].From), func(b Box, l *locator) bool {
			if b.Holds(c.Box()) && l.locate(c[0].From) == Inside {
				island = &OutlineError{Kind: OutlineIsland, At: c[0].From, Boxes: [2]Box{b, c.Box()}}
			}
			return island == nil
		})
		if island != nil {
			return Outline{}, j, island
		}
		cuts.Insert(c.Box(), newLocator(c))
		o.CutOuts = append(o.CutOuts, c.Reverse())
	}
	return o, j, nil
}

// openError names the narrowest gap between loose ends.
func openError(open []OpenChain, tol Length) error {
	var ix Index[int]
	for i, c := range open {
		ix.Insert(BoxOf(c.From), 2*i)
		ix.Insert(BoxOf(c.To), 2*i+1)
	}
	e := &OutlineError{Kind: OutlineOpen, At: open[0].From, Other: open[0].To, Tolerance: tol, Chains: len(open)}
	best := open[0].From.Distance(open[0].To)
	for _, c := range open {
		for _, p := range [2]Point{c.From, c.To} {
			tries := 16 // many ends may lie at one branch
			ix.Nearest(BoxOf(p), func(d float64, b Box, n int) bool {
				if d > 0 && (d < best || best == 0 || d == best && p == e.At && b.Min.Less(e.Other)) {
					best, e.At, e.Other = d, p, b.Min
				}
				tries--
				return (d == 0 || d == best) && tries > 0
			})
		}
	}
	e.Gap = Round(best)
	return e
}

// A locator answers many questions about one path: only the edges that a ray to the right can meet
// are looked at.
type locator struct {
	path  Path
	edges Index[int]
	box   Box
}

func newLocator(p Path) *locator {
	l := &locator{path: p, box: p.Box()}
	for i, e := range p {
		l.edges.Insert(e.Box().Grow(1), i)
	}
	return l
}

func (l *locator) locate(q Point) Location {
	if !l.box.Grow(1).HoldsPoint(q) {
		return Outside
	}
	w, on := 0, false
	l.edges.Search(Box{q, Point{l.box.Max.X + 1, q.Y}}, func(_ Box, i int) bool {
		on = l.path[i].holds(q)
		w += l.path[i].winding(q)
		return !on
	})
	switch {
	case on:
		return OnEdge
	case w != 0:
		return Inside
	}
	return Outside
}
