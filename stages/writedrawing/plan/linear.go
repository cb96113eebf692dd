package plan

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/place"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// linear is a linear dimension along one axis. Those of a higher rank stand further from the panel.
type linear struct {
	side     panel.RailSide // beside which it stands: upper and lower ones run along x
	rank     int
	from, to geom.Point
	times    int
	fact     drawing.Fact
}

// level tells whether what stands beside a side runs along x.
func level(s panel.RailSide) bool { return s == panel.Upper || s == panel.Lower }

// outward is the way out of the panel, along the axis across the side.
func outward(s panel.RailSide) geom.Length {
	if s == panel.Upper || s == panel.Right {
		return 1
	}
	return -1
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
	out = append(out, d.facing()...)
	out = append(out, d.railSpans()...)
	b := d.box
	return append(out,
		linear{side: panel.Upper, rank: ofSize, from: geom.Pt(b.Min.X, b.Max.Y), to: b.Max, fact: drawing.Fact{Feature: "panel", What: "width"}},
		linear{side: panel.Right, rank: ofSize, from: geom.Pt(b.Max.X, b.Min.Y), to: b.Max, fact: drawing.Fact{Feature: "panel", What: "height"}})
}

// arraySpans are an array's pitches and the gaps between its copies, stated on the side to which no other copy stands
// in their lines' way; measured at the row or column next to it.
func (d *drawer) arraySpans(a array) (out []linear) {
	columns, rows := a.size()
	p, straight := a.pitch(), !slanting(a.copies[0])
	fact := func(x, y panel.Copy, what string) drawing.Fact {
		return drawing.Fact{Feature: x.ID + " to " + y.ID, What: what}
	}
	all := geom.EmptyBox()
	for _, c := range a.copies {
		all = all.Union(c.Box())
	}
	if columns > 1 {
		side, row := panel.Upper, rows-1
		if !d.open(all, panel.Upper) && d.open(all, panel.Lower) {
			side, row = panel.Lower, 0
		}
		x, _ := a.at(0, row)
		y, _ := a.at(1, row)
		bx := x.Box()
		out = append(out, linear{side: side, rank: ofPitches, from: extreme(x, panel.Left, side), to: extreme(y, panel.Left, side), times: columns - 1, fact: fact(x, y, "pitch_x")})
		if straight && p.X > bx.Width() {
			out = append(out, linear{side: side, rank: ofGaps, from: extreme(x, panel.Right, side), to: extreme(y, panel.Left, side), times: columns - 1, fact: fact(x, y, "gap_x")})
		}
	}
	if rows > 1 {
		side, column := panel.Right, columns-1
		if !d.open(all, panel.Right) && d.open(all, panel.Left) {
			side, column = panel.Left, 0
		}
		x, _ := a.at(column, 0)
		y, _ := a.at(column, 1)
		bx := x.Box()
		out = append(out, linear{side: side, rank: ofPitches, from: extreme(x, panel.Lower, side), to: extreme(y, panel.Lower, side), times: rows - 1, fact: fact(x, y, "pitch_y")})
		if straight && p.Y > bx.Height() {
			out = append(out, linear{side: side, rank: ofGaps, from: extreme(x, panel.Upper, side), to: extreme(y, panel.Lower, side), times: rows - 1, fact: fact(x, y, "gap_y")})
		}
	}
	return out
}

// open tells whether no copy stands between a box and a side of the panel.
func (d *drawer) open(b geom.Box, side panel.RailSide) bool {
	switch side {
	case panel.Upper:
		b = geom.Box{Min: geom.Pt(b.Min.X, b.Max.Y), Max: geom.Pt(b.Max.X, d.box.Max.Y)}
	case panel.Lower:
		b = geom.Box{Min: geom.Pt(b.Min.X, d.box.Min.Y), Max: geom.Pt(b.Max.X, b.Min.Y)}
	case panel.Left:
		b = geom.Box{Min: geom.Pt(d.box.Min.X, b.Min.Y), Max: geom.Pt(b.Min.X, b.Max.Y)}
	case panel.Right:
		b = geom.Box{Min: geom.Pt(b.Max.X, b.Min.Y), Max: geom.Pt(d.box.Max.X, b.Max.Y)}
	}
	return !d.taken(b)
}

// facing are the gaps between copies of different arrays, or that were placed by themselves, where nothing lies between
// them; of equal ones between the same two arrays the first.
func (d *drawer) facing() (out []linear) {
	regular := map[string]bool{}
	for _, a := range arrays(d.p) {
		regular[a.copies[0].Array] = a.regular()
	}
	type key struct {
		a, b  string
		level bool
		gap   geom.Length
	}
	stated := map[key]bool{}
	copies := d.p.Copies()
	for i, x := range copies {
		for _, y := range copies[i+1:] {
			if x.Array == y.Array && regular[x.Array] || slanting(x) || slanting(y) {
				continue
			}
			a, b := x, y
			for _, level := range []bool{true, false} {
				p, q := a.Box(), b.Box()
				if level && p.Min.X > q.Min.X || !level && p.Min.Y > q.Min.Y {
					a, b, p, q = b, a, q, p
				}
				between := geom.Box{Min: geom.Pt(p.Max.X, max(p.Min.Y, q.Min.Y)), Max: geom.Pt(q.Min.X, min(p.Max.Y, q.Max.Y))}
				gap, what := between.Width(), "gap_x"
				if !level {
					between = geom.Box{Min: geom.Pt(max(p.Min.X, q.Min.X), p.Max.Y), Max: geom.Pt(min(p.Max.X, q.Max.X), q.Min.Y)}
					gap, what = between.Height(), "gap_y"
				}
				k := key{a.Array, b.Array, level, gap}
				if between.Min.X >= between.Max.X || between.Min.Y >= between.Max.Y || stated[k] || d.taken(between) {
					continue
				}
				stated[k] = true
				l := linear{rank: ofGaps, fact: drawing.Fact{Feature: a.ID + " to " + b.ID, What: what}}
				if level {
					l.side, l.from, l.to = panel.Upper, extreme(a, panel.Right, panel.Upper), extreme(b, panel.Left, panel.Upper)
				} else {
					l.side, l.from, l.to = panel.Right, extreme(a, panel.Upper, panel.Right), extreme(b, panel.Lower, panel.Right)
				}
				out = append(out, l)
			}
		}
	}
	if len(out) > mostCopies { // a heap of single copies: where each lies stands in the table of copies
		return nil
	}
	return out
}

// taken tells whether a copy lies in a box.
func (d *drawer) taken(b geom.Box) bool {
	for _, c := range d.p.Copies() {
		o := c.Box()
		if o.Min.X < b.Max.X && b.Min.X < o.Max.X && o.Min.Y < b.Max.Y && b.Min.Y < o.Max.Y {
			return true
		}
	}
	return false
}

// railSpans are the gaps between rails and the copies next to them; of equal ones along a rail the one next to where the
// dimension stands.
func (d *drawer) railSpans() (out []linear) {
	for _, r := range d.p.Rails() {
		nearest := map[string]geom.Length{} // by array: one that stands behind another array's has no slot beside the rail
		for _, c := range d.p.Copies() {
			if g, known := nearest[c.Array]; !known || gapTo(r, c) < g {
				nearest[c.Array] = gapTo(r, c)
			}
		}
		byGap := map[geom.Length]panel.Copy{}
		var gaps []geom.Length
		for _, c := range d.p.Copies() {
			g := gapTo(r, c)
			if g <= 0 || slanting(c) || g != nearest[c.Array] || !d.open(c.Box(), r.Side) { // they touch: a score line parts them, or nothing
				continue
			}
			next, known := byGap[g]
			if !known {
				gaps = append(gaps, g)
			}
			if !known || level(r.Side) && c.Box().Max.X > next.Box().Max.X || !level(r.Side) && c.Box().Max.Y > next.Box().Max.Y {
				byGap[g] = c
			}
		}
		slices.Sort(gaps)
		for _, g := range gaps[:min(len(gaps), 4)] {
			out = append(out, railSpan(r, byGap[g]))
		}
	}
	return out
}

func railSpan(r panel.Rail, next panel.Copy) linear {
	b := r.Box
	x := linear{side: panel.Upper, rank: ofGaps, fact: drawing.Fact{Feature: r.ID + " to " + next.ID, What: "gap_x"}}
	if level(r.Side) {
		x.side, x.fact.What = panel.Right, "gap_y"
	}
	at := extreme(next, r.Side, x.side)
	switch r.Side {
	case panel.Upper:
		x.from, x.to = at, geom.Pt(at.X, b.Min.Y)
	case panel.Lower:
		x.from, x.to = geom.Pt(at.X, b.Max.Y), at
	case panel.Left:
		x.from, x.to = geom.Pt(b.Max.X, at.Y), at
	case panel.Right:
		x.from, x.to = at, geom.Pt(b.Min.X, at.Y)
	}
	return x
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
	if level(x.side) {
		return [2]geom.Length{a.X, b.X}
	}
	return [2]geom.Length{a.Y, b.Y}
}

// extensions are where extension lines of linear dimensions run beside the panel: ordinates keep off them.
func (d *drawer) extensions(side panel.RailSide) (out []place.Span) {
	for _, x := range d.all {
		if x.side == side {
			for _, e := range d.ends(x) {
				out = append(out, place.Span{Low: e - 500*geom.UM, High: e + 500*geom.UM})
			}
		}
	}
	return out
}

// edge is the panel's edge on paper, across a side.
func (d *drawer) edge(side panel.RailSide) geom.Length {
	switch side {
	case panel.Upper:
		return d.paper.Max.Y
	case panel.Lower:
		return d.paper.Min.Y
	case panel.Left:
		return d.paper.Min.X
	}
	return d.paper.Max.X
}

// linear draws the linear dimensions, rank by rank in rows that go away from the panel. Words keep off the extension
// lines that pass their row on the way to another one.
func (d *drawer) linear() {
	for _, side := range []panel.RailSide{panel.Upper, panel.Right, panel.Lower, panel.Left} {
		at := d.reach[side] + margin
		for rank := ofGaps; rank <= ofSize; rank++ {
			next := at
			for i, x := range d.all {
				if x.rank != rank || x.side != side {
					continue
				}
				// Its own lines, and those of dimensions that are still to come, further out.
				var passing []geom.Length
				for k, y := range d.all {
					if y.side == side && (y.rank > rank || y.rank == rank && k >= i) {
						e := d.ends(y)
						passing = append(passing, e[0], e[1])
					}
				}
				next = max(next, d.span(x, at, passing))
			}
			at = next
		}
	}
}

// span draws one in the first row from at on that has room, and gives where the next rank's rows begin. Words stand along
// the dimension line, or across it where that has no room.
func (d *drawer) span(x linear, at geom.Length, passing []geom.Length) geom.Length {
	p := drawing.Span{View: d.view, From: x.from, To: x.to, Of: []drawing.Fact{x.fact}}
	measured := x.to.X - x.from.X
	if !level(x.side) {
		measured = x.to.Y - x.from.Y
	}
	p.Value, p.Words = measured, d.s.Units.Length(measured)
	if x.times > 1 {
		p.Words = fmt.Sprintf("%d× %s", x.times, p.Words)
	}
	sign, edge := outward(x.side), d.edge(x.side)
	for _, rows := range [2]int{3, 12} {
		for _, across := range []bool{false, true} {
			for row := range rows {
				y := at + geom.Length(row)*rowPitch + d.s.Letter
				for _, m := range d.variants(p, x.side, across, edge+sign*y) {
					m.Times = x.times
					if !d.roomFor(m, x, passing) {
						continue
					}
					d.dimension(m)
					b := m.Text.Box()
					if level(x.side) {
						return max(y, sign*(b.Max.Y-edge), sign*(b.Min.Y-edge)) + rowPitch - d.s.Letter
					}
					return max(y, sign*(b.Max.X-edge), sign*(b.Min.X-edge)) + rowPitch - d.s.Letter
				}
			}
		}
	}
	d.unplaced = append(d.unplaced, drawing.Dimension{Kind: kindOf(x.side), From: x.from, To: x.to, Value: int64(measured), Times: x.times, Of: p.Of,
		Text: drawing.Text{Layer: drawing.Dimensions, S: inWords(x.fact) + ": " + p.Words, Height: d.s.Letter}})
	return at
}

func kindOf(side panel.RailSide) drawing.DimensionKind {
	if level(side) {
		return drawing.LinearX
	}
	return drawing.LinearY
}

// inWords says what a fact states, for a line of its own.
func inWords(f drawing.Fact) string {
	what, _, _ := strings.Cut(f.What, "_")
	return f.Feature + ", " + what
}

// rest lists below the view the dimensions that found no room beside it.
func (d *drawer) rest() {
	at := geom.Pt(d.paper.Min.X, d.extent().Min.Y)
	for _, x := range d.unplaced {
		at.Y -= 2 * d.s.Letter
		x.Text.At = at
		d.dimension(x)
	}
}

// variants gives the ways in which a dimension may be drawn, its line at a place across the side.
func (d *drawer) variants(p drawing.Span, side panel.RailSide, across bool, y geom.Length) (out []drawing.Dimension) {
	for _, before := range []bool{false, true} {
		p.Before = before
		if level(side) {
			out = append(out, drawing.MeasureX(p, y, d.s))
		} else {
			out = append(out, drawing.MeasureY(p, y, d.s))
		}
	}
	if !across {
		return out
	}
	// Across: outwards from the line's middle, or from its ends as the arrows leave them.
	line, first := d.ends(linear{side: side, from: p.From, to: p.To}), out[0]
	low, high := min(line[0], line[1]), max(line[0], line[1])
	roomy := high-low >= 2*drawing.ArrowLength+geom.MM
	if !roomy {
		low, high = low-2*drawing.ArrowLength, high+2*drawing.ArrowLength
	}
	spots := []geom.Length{high - d.s.Letter/2, low + d.s.Letter/2} // where the arrows come from outside
	if roomy {
		spots = nil
		for off := geom.Length(0); off <= (high-low)/2-drawing.ArrowLength-d.s.Letter/2; off += geom.MM {
			spots = append(spots, (low+high)/2+off, (low+high)/2-off)
		}
	}
	var turned []drawing.Dimension
	for _, spot := range spots {
		m := first
		m.Lines = append([]drawing.Shape{d.along(side, y, low, high)}, first.Lines[1:]...)
		m.Text.Align, m.Text.Upright = drawing.Start, level(side)
		if outward(side) < 0 {
			m.Text.Align = drawing.End
		}
		off := y + outward(side)*900*geom.UM
		if m.Text.At = geom.Pt(off, spot-d.s.Letter/2); level(side) {
			m.Text.At = geom.Pt(spot+d.s.Letter/2, off)
		}
		turned = append(turned, m)
	}
	return turned
}

// along is a straight dimension line.
func (d *drawer) along(side panel.RailSide, y, low, high geom.Length) drawing.Shape {
	if level(side) {
		return drawing.Line(geom.Pt(low, y), geom.Pt(high, y))
	}
	return drawing.Line(geom.Pt(y, low), geom.Pt(y, high))
}

// roomFor tells whether a dimension can be drawn: its words on nothing, its lines through no words, nor where
// extension lines pass that are not its own.
func (d *drawer) roomFor(m drawing.Dimension, x linear, passing []geom.Length) bool {
	b := m.Text.LineBox()
	if !d.crowd.Free(b) {
		return false
	}
	low, high := b.Min.X, b.Max.X
	if !level(x.side) {
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
