package tables

import (
	"cmp"
	"fmt"
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// oneByOne is up to how many copies each gets a row of its own.
const oneByOne = 24

// copies is the table of copies; many on a grid stand together, a row of the panel in a row of the table.
func copies(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Copies", Columns: heads("Copy", "Board", "Part number", "Revision", "X, "+unit(s.Units)+">", "Y, "+unit(s.Units)+">", "Rotation>"),
		Foot: []string{"X, Y: where the origin of the board's own files lies, after its rotation about it, counter-clockwise seen from the top."}}
	row := func(name string, c panel.Copy, x string, xFacts []drawing.Fact) {
		t.Rows = append(t.Rows, []drawing.Cell{words(name), words(c.Board.Name), words(c.Board.PartNumber), words(c.Board.Revision),
			words(x, xFacts...), words(s.Units.Length(c.Place.Shift.Y), drawing.Fact{Feature: c.ID, What: "y"}),
			words(c.Place.Turn.Normal().Decimal()+"°", drawing.Fact{Feature: c.ID, What: "rotation"})})
	}
	single := func(c panel.Copy) {
		row(c.ID, c, s.Units.Length(c.Place.Shift.X), []drawing.Fact{{Feature: c.ID, What: "x"}})
	}
	all := p.Copies()
	if len(all) <= oneByOne {
		for _, c := range all {
			single(c)
		}
		return t
	}
	for _, g := range runs(all) {
		if len(g) < 3 {
			for _, c := range g {
				single(c)
			}
			continue
		}
		first, last := g[0], g[len(g)-1]
		row(fmt.Sprintf("%s to %s, %d", first.ID, last.ID, len(g)), first,
			fmt.Sprintf("%s to %s, every %s", s.Units.Length(first.Place.Shift.X), s.Units.Length(last.Place.Shift.X), s.Units.Length(g[1].Place.Shift.X-first.Place.Shift.X)),
			[]drawing.Fact{{Feature: first.ID, What: "x"}, {Feature: last.ID, What: "x"}})
	}
	return t
}

// runs parts copies into groups of one board, rotation and height, each from left to right at equal distances.
func runs(all []panel.Copy) (out [][]panel.Copy) {
	type key struct {
		board *panel.Board
		array string
		turn  geom.Angle
		y     geom.Length
	}
	at := map[key]int{}
	var lines [][]panel.Copy
	for _, c := range all {
		k := key{c.Board, c.Array, c.Place.Turn.Normal(), c.Place.Shift.Y}
		i, ok := at[k]
		if !ok {
			i = len(lines)
			at[k] = i
			lines = append(lines, nil)
		}
		lines[i] = append(lines[i], c)
	}
	for _, l := range lines {
		slices.SortStableFunc(l, func(a, b panel.Copy) int { return cmp.Compare(a.Place.Shift.X, b.Place.Shift.X) })
		from := 0
		for i := 1; i <= len(l); i++ {
			if i < len(l) && (i-from < 2 || l[i].Place.Shift.X-l[i-1].Place.Shift.X == l[from+1].Place.Shift.X-l[from].Place.Shift.X) {
				continue
			}
			out = append(out, l[from:i])
			from = i
		}
	}
	return out
}
