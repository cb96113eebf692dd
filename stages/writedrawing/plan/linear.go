package plan

import (
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/place"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// linear is a linear dimension along one axis. Those of a higher rank stand further from the panel.
type linear struct {
	upper    bool // stands above the panel and runs along x; else to the right of it, along y
	rank     int
	from, to geom.Point
	times    int
	fact     drawing.Fact
}

// The ranks of linear dimensions.
const (
	ofGaps = iota
	ofPitches
	ofSize
)

// spans lists the linear dimensions of the plan.
func (d *drawer) spans() (out []linear) {
	for _, a := range arrays(d.p) {
		if a.regular() {
			out = append(out, d.arraySpans(a)...)
		}
	}
	out = append(out, d.railSpans()...)
	b := d.box
	return append(out,
		linear{upper: true, rank: ofSize, from: geom.Pt(b.Min.X, b.Max.Y), to: b.Max, fact: drawing.Fact{Feature: "panel", What: "width"}},
		linear{rank: ofSize, from: geom.Pt(b.Max.X, b.Min.Y), to: b.Max, fact: drawing.Fact{Feature: "panel", What: "height"}})
}

// arraySpans are an array's pitches and the gaps between its copies; measured at its upper row and its last column,
// next to where they are stated.
func (d *drawer) arraySpans(a array) (out []linear) {
	columns, rows := a.size()
	p := a.pitch()
	fact := func(x, y panel.Copy, what string) drawing.Fact {
		return drawing.Fact{Feature: x.ID + " to " + y.ID, What: what}
	}
	if columns > 1 {
		x, _ := a.at(0, rows-1)
		y, _ := a.at(1, rows-1)
		bx, by := x.Box(), y.Box()
		out = append(out, linear{upper: true, rank: ofPitches, from: geom.Pt(bx.Min.X, bx.Max.Y), to: geom.Pt(by.Min.X, by.Max.Y), times: columns - 1, fact: fact(x, y, "pitch_x")})
		if p.X > bx.Width() {
			out = append(out, linear{upper: true, rank: ofGaps, from: bx.Max, to: geom.Pt(by.Min.X, by.Max.Y), times: columns - 1, fact: fact(x, y, "gap_x")})
		}
	}
	if rows > 1 {
		x, _ := a.at(columns-1, 0)
		y, _ := a.at(columns-1, 1)
		bx, by := x.Box(), y.Box()
		out = append(out, linear{rank: ofPitches, from: geom.Pt(bx.Max.X, bx.Min.Y), to: geom.Pt(by.Max.X, by.Min.Y), times: rows - 1, fact: fact(x, y, "pitch_y")})
		if p.Y > bx.Height() {
			out = append(out, linear{rank: ofGaps, from: bx.Max, to: geom.Pt(by.Max.X, by.Min.Y), times: rows - 1, fact: fact(x, y, "gap_y")})
		}
	}
	return out
}

// railSpans are the gaps between rails and the copies next to them.
func (d *drawer) railSpans() (out []linear) {
	for _, r := range d.p.Rails() {
		var next panel.Copy
		found := false
		level := r.Side == panel.Upper || r.Side == panel.Lower
		for _, c := range d.p.Copies() {
			g, h := gapTo(r, c), geom.Length(0)
			if found {
				h = gapTo(r, next)
			}
			// Of those as near, the one next to where the dimension stands.
			if g > 0 && (!found || g < h || g == h && (level && c.Box().Max.X > next.Box().Max.X || !level && c.Box().Max.Y > next.Box().Max.Y)) {
				next, found = c, true
			}
		}
		if !found {
			continue
		}
		b := next.Box()
		x := linear{upper: !level, rank: ofGaps, fact: drawing.Fact{Feature: r.ID + " to " + next.ID, What: "gap_x"}}
		if level {
			x.fact.What = "gap_y"
		}
		switch r.Side {
		case panel.Upper:
			x.from, x.to = b.Max, geom.Pt(b.Max.X, r.Box.Min.Y)
		case panel.Lower:
			x.from, x.to = geom.Pt(b.Max.X, r.Box.Max.Y), geom.Pt(b.Max.X, b.Min.Y)
		case panel.Left:
			x.from, x.to = geom.Pt(r.Box.Max.X, b.Max.Y), geom.Pt(b.Min.X, b.Max.Y)
		case panel.Right:
			x.from, x.to = b.Max, geom.Pt(r.Box.Min.X, b.Max.Y)
		}
		out = append(out, x)
	}
	return out
}

// gapTo is how far a copy's box stands off from a rail.
func gapTo(r panel.Rail, c panel.Copy) geom.Length {
	b := c.Box()
	switch r.Side {
	case panel.Upper:
		return r.Box.Min.Y - b.Max.Y
	case panel.Lower:
		return b.Min.Y - r.Box.Max.Y
	case panel.Left:
		return b.Min.X - r.Box.Max.X
	}
	return r.Box.Min.X - b.Max.X
}

// ends are the places on paper, along the side, of a dimension's extension lines.
func (d *drawer) ends(x linear) [2]geom.Length {
	a, b := d.view.Paper(x.from), d.view.Paper(x.to)
	if x.upper {
		return [2]geom.Length{a.X, b.X}
	}
	return [2]geom.Length{a.Y, b.Y}
}

// extensions are where extension lines of linear dimensions run beside the panel: ordinates keep off them.
func (d *drawer) extensions(side panel.RailSide) (out []place.Span) {
	for _, x := range d.spans() {
		if x.upper == (side == panel.Upper) {
			for _, e := range d.ends(x) {
				out = append(out, place.Span{Low: e - 500*geom.UM, High: e + 500*geom.UM})
			}
		}
	}
	return out
}

// linear draws the linear dimensions, rank by rank in rows that go away from the panel. Words keep off the extension
// lines that pass their row on the way to another one.
func (d *drawer) linear() {
	all := d.spans()
	row := map[bool]geom.Length{true: d.above + margin, false: d.right + margin}
	for rank := ofGaps; rank <= ofSize; rank++ {
		for _, upper := range []bool{true, false} {
			next := row[upper]
			for _, x := range all {
				if x.rank != rank || x.upper != upper {
					continue
				}
				var passing []geom.Length
				for _, y := range all {
					if y.upper == upper && y.rank >= rank {
						e := d.ends(y)
						passing = append(passing, e[0], e[1])
					}
				}
				next = max(next, d.span(x, row[upper], passing))
			}
			if next > row[upper] {
				row[upper] = next
			}
		}
	}
}

// span draws one in the first row from at on that has room, and gives where the next rank's rows begin.
func (d *drawer) span(x linear, at geom.Length, passing []geom.Length) geom.Length {
	p := drawing.Span{View: d.view, From: x.from, To: x.to, Of: []drawing.Fact{x.fact}}
	measured := x.to.X - x.from.X
	if !x.upper {
		measured = x.to.Y - x.from.Y
	}
	words := d.s.Units.Length(measured)
	if x.times > 1 {
		words = fmt.Sprintf("%d× %s", x.times, words)
		p.Words, p.Value = words, measured
	}
	for row := range 40 {
		y := at + geom.Length(row)*rowPitch + d.s.Letter
		for _, before := range []bool{false, true} {
			p.Before = before
			var m drawing.Dimension
			if x.upper {
				m = drawing.MeasureX(p, d.paper.Max.Y+y, d.s)
			} else {
				m = drawing.MeasureY(p, d.paper.Max.X+y, d.s)
			}
			m.Times = x.times
			if row < 39 && !d.roomFor(m, x, passing) {
				continue
			}
			d.dimension(m)
			return y + rowPitch - d.s.Letter
		}
	}
	return at
}

// roomFor tells whether a dimension can be drawn: its words on nothing, its lines through no words, nor where
// extension lines pass that are not its own.
func (d *drawer) roomFor(m drawing.Dimension, x linear, passing []geom.Length) bool {
	b := m.Text.Box()
	if !d.crowd.Free(b) {
		return false
	}
	low, high := b.Min.X, b.Max.X
	if !x.upper {
		low, high = b.Min.Y, b.Max.Y
	}
	for _, e := range passing {
		if e > low-200*geom.UM && e < high+200*geom.UM {
			return false
		}
	}
	for _, l := range m.Lines {
		for _, p := range l.Paths {
			for _, e := range p {
				if !d.crowd.Passes(e.From, e.To) {
					return false
				}
			}
		}
	}
	// The dimension line lies on no other.
	line := m.Lines[0].Paths
	return len(line) == 0 || d.crowd.Free(line[0].Box().Grow(200*geom.UM))
}
