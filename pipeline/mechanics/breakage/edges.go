package breakage

import (
	"cmp"
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// inLine is how far the ends of one straight edge may lie off another's line for both to be one side of a board, in nm:
// what routing can tell apart (from memory, no published source).
const inLine = float64(50 * geom.UM)

// side is what of a copy is bent about one line: the rows along one straight side, or one row on a curve.
type side struct {
	straight bool
	edge     geom.Edge // of the board's outline
	rows     []entry   // in the board's coordinates, in order along it
	inward   vector
	reach    float64 // mm, of the copy beyond the first row
}

// entry is where a row's moment enters a copy.
type entry struct {
	row  int // index into the survey's rows: the one that breaks
	seen seen
	own  bool // it is one of the copy's own; otherwise it breaks at the tab's other end
}

// findEdges gathers the rows of every copy by its sides.
func (s *survey) findEdges(ctx context.Context) error {
	s.sides = make([][]side, len(s.copies))
	byTab := make([][]int, len(s.tabs))
	for i, r := range s.rows {
		byTab[r.tab] = append(byTab[r.tab], i)
	}
	for t, rows := range byTab {
		if err := ctx.Err(); err != nil {
			return err
		}
		perforated := map[int]bool{} // copies that have a row of their own that breaks
		for _, i := range rows {
			for _, c := range s.rows[i].copies {
				perforated[c] = perforated[c] || s.rows[i].holes
			}
		}
		for _, i := range rows {
			r := s.rows[i]
			for _, c := range r.copies {
				s.enter(c, entry{row: i, seen: s.see(s.tabs[t], r.line, c), own: true})
			}
			if !r.holes {
				continue
			}
			// A copy without holes of its own is strained through the tab, by the row that breaks at its other end.
			for _, id := range s.tabs[t].Copies {
				c, ok := s.byID[id]
				if !ok || perforated[c] || slices.Contains(r.copies, c) {
					continue
				}
				line := r.line
				for _, k := range rows {
					if slices.Contains(s.rows[k].copies, c) {
						line = s.rows[k].line
					}
				}
				s.enter(c, entry{row: i, seen: s.see(s.tabs[t], line, c)})
			}
		}
	}
	for c := range s.sides {
		for i := range s.sides[c] {
			x := &s.sides[c][i]
			slices.SortFunc(x.rows, compareEntries)
			first := x.rows[0].seen
			x.inward = first.inward
			x.reach = s.facts(c).reach(x.inward)[1] - x.inward.of(first.line.At(0.5))
		}
		// The same order whichever tabs come first on the panel: copies that lie alike are reckoned once.
		slices.SortFunc(s.sides[c], func(a, b side) int { return compareEntries(a.rows[0], b.rows[0]) })
	}
	return nil
}

func compareEntries(a, b entry) int {
	return cmp.Or(a.seen.line.Compare(b.seen.line), cmp.Compare(a.seen.edge, b.seen.edge))
}

// enter puts a row with the others along the same straight side of a copy.
func (s *survey) enter(copy int, e entry) {
	f := s.facts(copy)
	x := side{rows: []entry{e}}
	if e.seen.edge >= 0 {
		x.edge = f.edges[e.seen.edge]
		x.straight = x.edge.Sense == geom.Straight && x.edge.From != x.edge.To
	}
	if x.straight {
		for i := range s.sides[copy] {
			y := &s.sides[copy][i]
			if y.straight && sameSide(y.edge, x.edge) {
				y.rows = append(y.rows, e)
				return
			}
		}
	}
	s.sides[copy] = append(s.sides[copy], x)
}

// sameSide tells whether two straight edges lie on one line and run the same way.
func sameSide(a, b geom.Edge) bool {
	if a == b {
		return true
	}
	v := along(a)
	if w := along(b); float64(v.x*w.x)+float64(v.y*w.y) < 0.5 {
		return false
	}
	across := v.left()
	for _, q := range [2]geom.Point{b.From, b.To} {
		if math.Abs(across.of(q.Sub(a.From))) > inLine/float64(geom.MM) {
			return false
		}
	}
	return true
}

// ofEdges gives the breaks of the boards' straight sides. A side that one row alone holds breaks as that row does, which is told.
func (s *survey) ofEdges() []Break {
	var out []Break
	for c, sides := range s.sides {
		for _, x := range sides {
			if !x.straight {
				continue
			}
			b := Break{Kind: BoardEdge, Feature: s.copies[c].ID, Lever: lever(x.reach)}
			var ends []geom.Point
			others := []string{}
			for _, e := range x.rows {
				if !e.own {
					continue
				}
				r := s.rows[e.row]
				b.Moment[0] += r.moment[0]
				b.Moment[1] += r.moment[1]
				b.Cut = b.Cut || !r.holes
				b.Tabs = append(b.Tabs, s.tabs[r.tab].ID)
				ends = append(ends, r.middle())
				for _, k := range r.copies {
					if id := s.copies[k].ID; k != c && !slices.Contains(others, id) {
						others = append(others, id)
					}
				}
			}
			if len(ends) < 2 {
				continue
			}
			slices.Sort(others)
			b.Copies = append([]string{b.Feature}, others...)
			b.At = geom.Line(ends[0], ends[len(ends)-1]).At(0.5)
			b.Force = over(b.Moment, b.Lever)
			out = append(out, b)
		}
	}
	return out
}
