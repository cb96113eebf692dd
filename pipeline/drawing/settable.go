package drawing

import (
	"slices"
	"strings"

	"panelwright/pipeline/geom"
)

// Flow gives the table to be set. It has as many columns as Columns says: cells beyond them are an error of the caller, and
// left out; missing ones are empty.
func (t Table) Flow() Flow { return &tableFlow{t: t, memo: &tableMemo{}} }

// tableFlow is what is left of a table.
type tableFlow struct {
	t    Table
	memo *tableMemo
	from int  // rows set so far
	foot bool // only the foot is left
	part int
}

// tableMemo keeps what was worked out for a table: a layout tries many rooms.
type tableMemo struct {
	style          Style
	natural, least []geom.Length
	grids          map[geom.Length]*grid
}

// Title names the table.
func (f *tableFlow) Title() string { return f.t.Name }

// Margins within cells, in the height of letters: 0.6 either side of words, from memory.
func cellSide(s Style) geom.Length { return s.Letter * 3 / 5 }

// rowHeight is how high a row is whose highest cell has n lines.
func rowHeight(s Style, n int) geom.Length {
	return Stack(max(n, 1), s.Letter) + s.Letter*3/5
}

// symbolSide is how much of paper a symbol takes; Cell promises no more than 4 mm.
const symbolSide = 4 * geom.MM

// grid is a table made ready for a width: columns, and every cell in lines.
type grid struct {
	widths []geom.Length // of columns
	width  geom.Length
	head   [][]string
	rows   [][][]string // row, column, line
	high   []geom.Length
	headH  geom.Length
}

// measure works out how wide the table's columns would like to be, and how wide they must be.
func (f *tableFlow) measure(s Style) {
	m := f.memo
	if m.grids != nil && m.style == s {
		return
	}
	n, side := len(f.t.Columns), cellSide(s)
	*m = tableMemo{style: s, natural: make([]geom.Length, n), least: make([]geom.Length, n), grids: map[geom.Length]*grid{}}
	add := func(c int, words string, bold bool) {
		m.natural[c] = max(m.natural[c], Width(words, s.Letter, bold)+2*side)
		for _, w := range strings.Fields(words) {
			m.least[c] = max(m.least[c], min(Width(w, s.Letter, bold), longWord(s))+2*side)
		}
	}
	for c, x := range f.t.Columns {
		m.least[c] = 2*side + s.Letter
		m.natural[c] = m.least[c]
		add(c, x.Head, true)
		for _, r := range f.t.Rows {
			if c >= len(r) {
				continue
			}
			if len(r[c].Symbol) > 0 {
				m.natural[c], m.least[c] = max(m.natural[c], symbolSide+2*side), max(m.least[c], symbolSide+2*side)
				continue
			}
			add(c, r[c].S, false)
			if w := Width(r[c].S, s.Letter, false); w <= shortCell(s) {
				m.least[c] = max(m.least[c], w+2*side)
			}
		}
	}
}

// layOut gives the table's grid for a width, nil where it is too narrow for the words, of which only long ones are broken.
func (f *tableFlow) layOut(s Style, width geom.Length) *grid {
	f.measure(s)
	total := geom.Length(0)
	for _, w := range f.memo.natural {
		total += w
	}
	width = min(width, total) // more makes no difference
	g, ok := f.memo.grids[width]
	if !ok {
		g = f.t.grid(s, f.memo.natural, f.memo.least, width)
		f.memo.grids[width] = g
	}
	return g
}

func (t Table) grid(s Style, natural, least []geom.Length, width geom.Length) *grid {
	if len(natural) == 0 {
		return nil
	}
	g := &grid{}
	n, side := len(natural), cellSide(s)
	if g.widths = shrink(natural, least, width); g.widths == nil {
		return nil
	}
	for c, x := range t.Columns {
		g.width += g.widths[c]
		g.head = append(g.head, Wrap(x.Head, g.widths[c]-2*side, s.Letter, true))
	}
	g.headH = rowHeight(s, tallest(g.head))
	for _, r := range t.Rows {
		row := make([][]string, n)
		high := geom.Length(0)
		for c := range min(n, len(r)) {
			if len(r[c].Symbol) > 0 {
				high = max(high, symbolSide+s.Letter*2/5)
				continue
			}
			row[c] = Wrap(r[c].S, g.widths[c]-2*side, s.Letter, false)
		}
		g.rows = append(g.rows, row)
		g.high = append(g.high, max(high, rowHeight(s, tallest(row))))
	}
	return g
}

func tallest(cells [][]string) int {
	n := 0
	for _, c := range cells {
		n = max(n, len(c))
	}
	return n
}

// shortCell is how wide an entry may be that is not broken at all: "x 102.001".
func shortCell(s Style) geom.Length { return 9 * s.Letter }

// longWord is how wide a word is in a table before it is broken.
func longWord(s Style) geom.Length { return 16 * s.Letter }

// shrink takes columns down to a width together: the widest first, to one width, none below its least; nil where they would have to be.
func shrink(natural, least []geom.Length, width geom.Length) []geom.Length {
	sum := func(cap geom.Length) (all geom.Length) {
		for i := range natural {
			all += max(least[i], min(natural[i], cap))
		}
		return all
	}
	top := slices.Max(natural)
	if sum(top) <= width {
		return slices.Clone(natural)
	}
	low := geom.Length(0)
	if sum(low) > width {
		return nil
	}
	for top-low > 10*geom.UM {
		if mid := low + (top-low)/2; sum(mid) <= width {
			low = mid
		} else {
			top = mid
		}
	}
	out := make([]geom.Length, len(natural))
	for i := range natural {
		out[i] = max(least[i], min(natural[i], low))
	}
	return out
}

// Set gives the title, the heads, as many rows as there is room for, and below the last of them the foot.
func (f *tableFlow) Set(s Style, room geom.Point) (Sheet, Flow, bool) {
	g := f.layOut(s, room.X)
	if g == nil {
		return Sheet{}, nil, false
	}
	width := min(room.X, max(g.width, s.titleWidth(f.t.Name)))
	foot := f.footLines(s, width)
	height := s.titleRoom()
	from, to := f.from, f.from
	if !f.foot {
		height += g.headH
		for to < len(g.high) && height+g.high[to] <= room.Y {
			height += g.high[to]
			to++
		}
		if to == from && from < len(g.high) || height > room.Y {
			return Sheet{}, nil, false
		}
	}
	var rest Flow
	switch footRoom := footHeight(s, len(foot)); {
	case to < len(g.high):
		rest, foot = &tableFlow{t: f.t, memo: f.memo, from: to, part: f.part + 1}, nil
	case height+footRoom <= room.Y:
		height += footRoom
	case f.foot:
		return Sheet{}, nil, false
	default:
		rest, foot = &tableFlow{t: f.t, memo: f.memo, from: to, foot: true, part: f.part + 1}, nil
	}
	o := &setter{layer: Tables}
	o.title(s, continued(f.t.Name, f.part), width)
	y := -s.titleRoom()
	if !f.foot {
		y = f.rows(o, s, g, from, to)
	}
	for _, l := range foot {
		o.text(l, geom.Pt(0, y-s.Letter*3/5-s.Letter), s.Letter, Start, false)
		y -= Pitch(s.Letter)
	}
	return o.done(f.t.Name, width, height), rest, true
}

func (f *tableFlow) footLines(s Style, width geom.Length) (out []string) {
	for _, l := range f.t.Foot {
		out = append(out, Wrap(l, width, s.Letter, false)...)
	}
	return out
}

func footHeight(s Style, lines int) geom.Length {
	if lines == 0 {
		return 0
	}
	return Stack(lines, s.Letter) + s.Letter*3/5
}

// rows draws heads and rows, and gives where they end.
func (f *tableFlow) rows(o *setter, s Style, g *grid, from, to int) geom.Length {
	top := -s.titleRoom()
	y := top
	row := func(cells [][]string, entries []Cell, height geom.Length, bold bool) {
		x := geom.Length(0)
		for c, lines := range cells {
			if c < len(entries) && len(entries[c].Symbol) > 0 {
				o.symbol(entries[c].Symbol, geom.Pt(x+g.widths[c]/2, y-height/2))
			}
			at, align := x+cellSide(s), f.t.Columns[c].Align
			switch align {
			case Middle:
				at = x + g.widths[c]/2
			case End:
				at = x + g.widths[c] - cellSide(s)
			}
			first := y - (height-Stack(len(lines), s.Letter)+Below(s.Letter))/2 - s.Letter // capitals in the middle
			var of []Fact
			if c < len(entries) {
				of = entries[c].Of
			}
			for i, l := range lines {
				o.states(of, l, geom.Pt(at, first-geom.Length(i)*Pitch(s.Letter)), s.Letter, align, bold)
			}
			x += g.widths[c]
		}
		y -= height
	}
	o.line(Medium, geom.Pt(0, y), geom.Pt(g.width, y))
	row(g.head, nil, g.headH, true)
	o.line(Medium, geom.Pt(0, y), geom.Pt(g.width, y))
	for i := from; i < to; i++ {
		row(g.rows[i], f.t.Rows[i], g.high[i], false)
		if i+1 < to {
			o.line(Fine, geom.Pt(0, y), geom.Pt(g.width, y))
		}
	}
	o.line(Medium, geom.Pt(0, y), geom.Pt(g.width, y))
	x := geom.Length(0)
	for c := range len(g.widths) + 1 {
		pen := Fine
		if c == 0 || c == len(g.widths) {
			pen = Medium
		}
		o.line(pen, geom.Pt(x, top), geom.Pt(x, y))
		if c < len(g.widths) {
			x += g.widths[c]
		}
	}
	return y
}

// symbol draws a symbol about a place.
func (t *setter) symbol(shapes []Shape, at geom.Point) {
	shift := geom.Transform{Shift: at}
	for _, x := range shapes {
		x.Paths = each(x.Paths, shift.Path)
		if x.Layer == "" {
			x.Layer = t.layer
		}
		t.piece.Shapes = append(t.piece.Shapes, x)
	}
}
