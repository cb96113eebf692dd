package geom

// maxPairs bounds the work of looking for crossings: how many pairs of edges with touching boxes are
// held against each other. Outlines of boards need a few times their number of edges.
const maxPairs = 10_000_000

// Check tells what is wrong with a closed path: it is empty, does not join or close
// (an *OutlineError with OutlineOpen), or crosses or touches itself (OutlineCrossing).
func (p Path) Check() error {
	if len(p) == 0 {
		return &OutlineError{Kind: OutlineEmpty}
	}
	for i, e := range p {
		if next := p[(i+1)%len(p)]; e.To != next.From {
			return &OutlineError{Kind: OutlineOpen, At: e.To, Other: next.From, Gap: Round(e.To.Distance(next.From)), Chains: 1}
		}
	}
	return checkMeetings([]Path{p})
}

// checkMeetings finds the first contact of closed paths with themselves or one another, other than
// where consecutive edges join.
func checkMeetings(loops []Path) error {
	type ref struct{ loop, edge int }
	var ix Index[ref]
	pairs := 0
	for l, p := range loops {
		for i, e := range p {
			box := e.Box().Grow(2)
			var found *OutlineError
			var by ref // the first edge in order that e meets
			ix.Search(box, func(_ Box, r ref) bool {
				if pairs++; pairs > maxPairs {
					found = &OutlineError{Kind: OutlineTooComplex, At: e.From}
					return false
				}
				if found != nil && (by.loop < r.loop || by.loop == r.loop && by.edge < r.edge) {
					return true
				}
				if at, bad := meeting(loops, l, i, r.loop, r.edge); bad {
					found, by = &OutlineError{Kind: OutlineCrossing, At: at}, r
					if r.loop != l {
						found.Kind = OutlineLoopsMeet
					}
				}
				return true
			})
			if found != nil {
				return found
			}
			ix.Insert(box, ref{l, i})
		}
	}
	return nil
}

// meeting tells where two edges of closed paths meet, but for the ends that join them.
func meeting(loops []Path, l, i, m, j int) (Point, bool) {
	e, f := loops[l][i], loops[m][j]
	var joints [2]Point
	n := 0
	if l == m {
		last := len(loops[l]) - 1
		if i == j+1 || i == 0 && j == last { // f runs into e
			joints[n], n = e.From, n+1
		}
		if j == i+1 || j == 0 && i == last {
			joints[n], n = e.To, n+1
		}
	}
	if n == 2 && f.holds(e.At(0.5)) { // there and back on one line
		return e.At(0.5), true
	}
	for _, p := range e.Intersections(f) {
		joined := false
		for _, q := range joints[:n] {
			joined = joined || p.Distance(q) <= 2
		}
		if !joined {
			return p, true
		}
	}
	return Point{}, false
}
