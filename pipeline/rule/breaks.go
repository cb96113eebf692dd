package rule

import (
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// breakKind says how boards are parted along a line.
type breakKind string

// The kinds.
const (
	perforatedRow breakKind = "a row of perforations"
	handCut       breakKind = "the end of a tab that is cut off by hand"
	scored        breakKind = "a score line"
)

// breakLine is one edge of a line along which boards are parted. A tab's rows strain the copies that the tab
// holds, a score line all that lie near it: the whole panel is bent along it.
type breakLine struct {
	id     string // of the tab or score line
	kind   breakKind
	edge   geom.Edge
	copies []string // nil: any
}

// breakLines lists where the panel is parted.
func breakLines(p panel.Panel) []breakLine {
	var out []breakLine
	perforated := map[rowKey]bool{}
	for _, h := range p.Perforations() {
		perforated[rowKey{h.Tab, h.Row}] = true
	}
	for _, t := range p.Tabs() {
		for n, r := range t.Rows {
			kind := handCut
			if perforated[rowKey{t.ID, n}] {
				kind = perforatedRow
			}
			for _, e := range r.Line {
				out = append(out, breakLine{t.ID, kind, e, t.Copies})
			}
		}
	}
	for _, s := range p.Scores() {
		out = append(out, breakLine{s.ID, scored, geom.Line(s.From, s.To), nil})
	}
	return out
}

// seenBreak is a break line as copies of one board see it, in the board's coordinates.
type seenBreak struct {
	kind   breakKind
	edge   geom.Edge
	copies []panel.Copy
	ids    []string // of the tab or line, for each copy
}

// breaksOf gives the lines that come within reach of extent, which lies in the board's coordinates. Copies for
// which a line lies in the same place share it: parts near it are judged once.
func breaksOf(p panel.Panel, b *panel.Board, lines []breakLine, extent geom.Box, reach geom.Length) []seenBreak {
	var index geom.Index[int]
	for i, l := range lines {
		index.Insert(l.edge.Box(), i)
	}
	window := extent.Grow(reach)
	type key struct {
		kind breakKind
		edge geom.Edge
	}
	at := map[key]int{}
	var out []seenBreak
	for _, c := range p.Copies() {
		if c.Board != b {
			continue
		}
		var hits []int
		index.Search(c.Place.Box(window), func(_ geom.Box, i int) bool {
			hits = append(hits, i)
			return true
		})
		slices.Sort(hits)
		back := c.Place.Inverse()
		for _, i := range hits {
			l := lines[i]
			if l.copies != nil && !slices.Contains(l.copies, c.ID) {
				continue
			}
			k := key{l.kind, trimmed(back.Edge(l.edge), window)}
			n, ok := at[k]
			if !ok {
				n = len(out)
				at[k] = n
				out = append(out, seenBreak{kind: l.kind, edge: k.edge})
			}
			if s, k := &out[n], len(out[n].copies); k == 0 || s.copies[k-1].ID != c.ID || s.ids[k-1] != l.id {
				s.copies, s.ids = append(s.copies, c), append(s.ids, l.id)
			}
		}
	}
	return out
}

// runs gives the direction of an edge at a point of it, as a vector of any length.
func runs(e geom.Edge, at geom.Point) geom.Point {
	if e.Sense == geom.Straight {
		return e.To.Sub(e.From)
	}
	d := at.Sub(e.Center)
	return geom.Pt(-d.Y, d.X)
}
