package plan

import (
	"cmp"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// array is the copies of one array, or those that were placed by themselves, from the lower left.
type array struct{ copies []panel.Copy }

// arrays groups the copies.
func arrays(p panel.Panel) (out []array) {
	at := map[string]int{}
	for _, c := range p.Copies() {
		i, ok := at[c.Array]
		if !ok {
			i = len(out)
			at[c.Array] = i
			out = append(out, array{})
		}
		out[i].copies = append(out[i].copies, c)
	}
	for _, a := range out {
		slices.SortStableFunc(a.copies, func(x, y panel.Copy) int {
			return cmp.Or(cmp.Compare(x.Row, y.Row), cmp.Compare(x.Column, y.Column))
		})
	}
	return out
}

// at gives the copy of a column and row.
func (a array) at(column, row int) (panel.Copy, bool) {
	for _, c := range a.copies {
		if c.Column == column && c.Row == row {
			return c, true
		}
	}
	return panel.Copy{}, false
}

// size is how many columns and rows there are.
func (a array) size() (columns, rows int) {
	for _, c := range a.copies {
		columns, rows = max(columns, c.Column+1), max(rows, c.Row+1)
	}
	return columns, rows
}

// pitch is how far apart columns and rows begin.
func (a array) pitch() geom.Point {
	var p geom.Point
	first := a.copies[0].Box().Min
	if c, ok := a.at(1, 0); ok {
		p.X = c.Box().Min.X - first.X
	}
	if c, ok := a.at(0, 1); ok {
		p.Y = c.Box().Min.Y - first.Y
	}
	return p
}

// regular tells whether the copies stand at one pitch along rows and one along columns, so that the first of them and
// the pitches say where all are.
func (a array) regular() bool {
	columns, rows := a.size()
	if len(a.copies) < 2 || columns*rows != len(a.copies) {
		return false
	}
	p, first := a.pitch(), a.copies[0].Box()
	for _, c := range a.copies {
		b := c.Box()
		if b.Min != geom.Pt(first.Min.X+geom.Length(c.Column)*p.X, first.Min.Y+geom.Length(c.Row)*p.Y) || b.Width() != first.Width() || b.Height() != first.Height() {
			return false
		}
	}
	return true
}
