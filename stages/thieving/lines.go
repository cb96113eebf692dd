package thieving

import (
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// lattice is the crossed lines of a whole panel: one line each way through its middle and others a pitch apart, so
// that those of neighbouring pieces meet. It knows what has been drawn.
type lattice struct {
	middle geom.Point
	pitch  geom.Length
	drawn  map[row][]stretch
}

// row is one line of the lattice: the coordinate across it.
type row struct {
	upright bool
	at      geom.Length
}

// stretch is a piece of a line.
type stretch struct{ from, to geom.Length }

func newLattice(middle geom.Point, pitch geom.Length) *lattice {
	return &lattice{middle, pitch, map[row][]stretch{}}
}

// lay gives the stretches of lines that lie in the room of one piece, level ones first, each cut where the room
// ends. Stretches shorter than the line is wide are left out.
func (l *lattice) lay(room geom.Region, width geom.Length, off *waste.Off) []panel.PenLine {
	var index geom.Index[geom.Edge]
	for _, p := range room.Paths() {
		for _, e := range p {
			index.Insert(e.Box(), e)
		}
	}
	where := geom.NewLocator(room)
	box := room.Box()
	var out []panel.PenLine
	for _, upright := range [2]bool{false, true} {
		lo, hi, from, to, mid := box.Min.Y, box.Max.Y, box.Min.X, box.Max.X, l.middle.Y
		if upright {
			lo, hi, from, to, mid = box.Min.X, box.Max.X, box.Min.Y, box.Max.Y, l.middle.X
		}
		for at := first(lo, mid, l.pitch); at <= hi; at += l.pitch {
			r := row{upright, at}
			for _, s := range cut(r, from, to, &index, where) {
				if s.to-s.from < width || l.has(r, s) {
					continue
				}
				e, ok := off.Pulled(r.edge(s.from, s.to), width)
				if !ok {
					continue
				}
				l.drawn[r] = append(l.drawn[r], s)
				out = append(out, panel.PenLine{Path: geom.Path{e}, Width: width})
			}
		}
	}
	return out
}

// first gives the first line of the lattice at lo or beyond.
func first(lo, middle, pitch geom.Length) geom.Length {
	at := middle - (middle-lo)/pitch*pitch
	for at < lo {
		at += pitch
	}
	for at-pitch >= lo {
		at -= pitch
	}
	return at
}

func (r row) edge(from, to geom.Length) geom.Edge {
	if r.upright {
		return geom.Line(geom.Pt(r.at, from), geom.Pt(r.at, to))
	}
	return geom.Line(geom.Pt(from, r.at), geom.Pt(to, r.at))
}

// cut gives where a line between two ends lies in the room.
func cut(r row, from, to geom.Length, index *geom.Index[geom.Edge], where *geom.Locator) []stretch {
	whole := r.edge(from-1, to+1)
	var ends []geom.Length
	index.Search(whole.Box(), func(_ geom.Box, e geom.Edge) bool {
		for _, q := range whole.Intersections(e) {
			if r.upright {
				ends = append(ends, q.Y)
			} else {
				ends = append(ends, q.X)
			}
		}
		return true
	})
	slices.Sort(ends)
	ends = slices.Compact(ends)
	var out []stretch
	for i := 1; i < len(ends); i++ {
		a, b := ends[i-1], ends[i]
		if where.Locate(r.edge(a, b).At(0.5)) == geom.Outside {
			continue
		}
		if n := len(out); n > 0 && out[n-1].to == a {
			out[n-1].to = b
		} else {
			out = append(out, stretch{a, b})
		}
	}
	return out
}

// has tells whether a stretch is drawn already, on a neighbouring piece whose border runs along it.
func (l *lattice) has(r row, s stretch) bool {
	return slices.ContainsFunc(l.drawn[r], func(x stretch) bool { return x.from <= s.from && s.to <= x.to })
}
