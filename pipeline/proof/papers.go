package proof

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"path"
	"slices"
	"strconv"

	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// paperForm is how the assembler's tables are written, by the notes.
type paperForm struct {
	counted
	separator rune
	extension string
}

// length reads a length; ok is false for anything else. Nothing is no length.
func (f paperForm) length(s string) (geom.Length, bool) {
	if s == "" {
		return 0, true
	}
	return centroid.ParseDecimal(s, f.Unit)
}

// point reads a place and brings it back to the panel.
func (f paperForm) point(x, y string, side panel.Side) (geom.Point, bool) {
	a, okX := centroid.ParseDecimal(x, f.Unit)
	b, okY := centroid.ParseDecimal(y, f.Unit)
	return f.place(geom.Pt(a, b), side), okX && okY
}

// paper reads a table of the assembler's by the names of its columns; those that end in a colon are lengths. It is nil
// when the table is not there, or is not such a table: then that has been told.
func (p *prover) paper(f paperForm, what string, columns ...string) ([][]string, string, error) {
	name := "assembly/" + p.in.Name + "-" + what + f.extension
	if !p.papers[name] {
		p.report(ruleFile, name, nil, nil, "%s was not written", path.Base(name))
		return nil, name, nil
	}
	delete(p.papers, name)
	data, err := p.in.Read(name)
	if err != nil {
		return nil, name, err
	}
	for bytes.HasPrefix(data, []byte("#")) { // remarks stand above the columns' names alone
		_, data, _ = bytes.Cut(data, []byte("\n"))
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma = f.separator
	rows, err := r.ReadAll()
	for i, c := range columns {
		if last := len(c) - 1; c[last] == ':' {
			columns[i] = c[:last] + "_" + f.Unit
		}
	}
	if err != nil || len(rows) == 0 || !slices.Equal(rows[0], columns) {
		p.report(rulePlacement, name, nil, nil, "%s cannot be read back: it is no table of %v", path.Base(name), columns)
		return nil, name, nil
	}
	return rows[1:], name, nil
}

// fiducialTable holds the panel's own fiducials in their table against the plan.
func (p *prover) fiducialTable(f paperForm) error {
	type mark struct {
		id   string
		side panel.Side
	}
	want := map[mark]panel.Mark{}
	var order []mark
	for _, m := range p.in.Panel.Marks() {
		if m.Kind == panel.Fiducial {
			for _, s := range m.Sides {
				want[mark{m.ID, s}] = m
				order = append(order, mark{m.ID, s})
			}
		}
	}
	if len(want) == 0 {
		return nil
	}
	rows, name, err := p.paper(f, "fiducials", "fiducial", "copy", "side", "x:", "y:", "copper_diameter:", "mask_diameter:", "clear_diameter:")
	if err != nil || rows == nil {
		return err
	}
	for _, row := range rows {
		if row[1] != "" { // a copy's own, known from its layers
			continue
		}
		k := mark{row[0], panel.Side(row[2])}
		m, ok := want[k]
		if !ok {
			p.report(rulePlacement, row[0], nil, nil, "%s has %s on the %s, and no such fiducial is planned", path.Base(name), row[0], row[2])
			continue
		}
		delete(want, k)
		at := m.At
		got, ok := f.point(row[3], row[4], k.side)
		copper, okCopper := f.length(row[5])
		mask, okMask := f.length(row[6])
		clear, okClear := f.length(row[7])
		switch {
		case !ok || got != m.At:
			p.report(rulePlacement, m.ID, nil, &at, "%s: the row of %s on the %s means %v mm on the panel instead of %v", path.Base(name), m.ID, k.side, got, m.At)
		case !okCopper || !okMask || !okClear || copper != m.Diameter || mask != m.Mask || clear != m.Clear:
			p.report(rulePlacement, m.ID, nil, &at, "%s: %s on the %s has other diameters than planned", path.Base(name), m.ID, k.side)
		}
	}
	for _, k := range order {
		if m, missing := want[k]; missing {
			at := m.At
			p.report(rulePlacement, m.ID, nil, &at, "%s on the %s is missing in %s", k.id, k.side, path.Base(name))
		}
	}
	return nil
}

// copyTable holds the table of copies against the plan. Copies have no side: they are told as seen from the top.
func (p *prover) copyTable(f paperForm) error {
	copies := p.in.Panel.Copies()
	if len(copies) == 0 {
		return nil
	}
	rows, name, err := p.paper(f, "copies", "copy", "board", "part_number", "revision", "origin_x:", "origin_y:", "rotation_deg", "left:", "lower:", "width:", "height:")
	if err != nil || rows == nil {
		return err
	}
	written := map[string][]string{}
	for _, row := range rows {
		if written[row[0]] != nil {
			p.report(rulePlacement, name, nil, nil, "%s has %s twice", path.Base(name), row[0])
		}
		written[row[0]] = row
	}
	for _, c := range copies {
		row := written[c.ID]
		delete(written, c.ID)
		box := c.Box()
		at := box.Center()
		if row == nil {
			p.report(rulePlacement, c.ID, []string{c.ID}, &at, "%s is missing in %s", c.ID, path.Base(name))
			continue
		}
		origin, okOrigin := f.point(row[4], row[5], panel.Top)
		lower, okLower := f.point(row[7], row[8], panel.Top)
		width, okWidth := f.length(row[9])
		height, okHeight := f.length(row[10])
		turn, errTurn := geom.ParseAngle(row[6])
		switch {
		case row[1] != c.Board.Name || centroid.OneLine(row[2]) != centroid.OneLine(c.Board.PartNumber) || centroid.OneLine(row[3]) != centroid.OneLine(c.Board.Revision):
			p.report(rulePlacement, c.ID, []string{c.ID}, &at, "%s: the row of %s names another board, part number or revision", path.Base(name), c.ID)
		case !okOrigin || origin != c.Place.Shift || errTurn != nil || turn != c.Place.Turn.Normal():
			p.report(rulePlacement, c.ID, []string{c.ID}, &at, "%s: the row of %s means that its board's origin lies at %v mm, turned by %v, instead of at %v, turned by %v",
				path.Base(name), c.ID, origin, turn, c.Place.Shift, c.Place.Turn.Normal())
		case !okLower || !okWidth || !okHeight || lower != box.Min || width != box.Width() || height != box.Height():
			p.report(rulePlacement, c.ID, []string{c.ID}, &at, "%s: the box of %s is not as planned", path.Base(name), c.ID)
		}
	}
	for _, row := range rows {
		if written[row[0]] != nil {
			p.report(rulePlacement, name, nil, nil, "%s has %s, and no such copy is planned", path.Base(name), row[0])
			delete(written, row[0])
		}
	}
	return nil
}

// badBoardMark is a bad-board mark on one side.
type badBoardMark struct {
	copy, id string
	side     panel.Side
	kind     panel.FunctionKind
	at       geom.Point
	diameter geom.Length
}

// badBoardTable holds the table of bad-board marks against the plan.
func (p *prover) badBoardTable(f paperForm) error {
	var want []badBoardMark
	for _, x := range p.in.Panel.Prints() {
		for _, l := range x.Layers {
			if x.Use != panel.BadBoard || l.Kind != panel.Copper && l.Kind != panel.Legend {
				continue
			}
			for _, d := range x.Dots {
				want = append(want, badBoardMark{x.Copy, x.ID, l.Side, l.Kind, d.At, d.Diameter})
			}
		}
	}
	if len(want) == 0 {
		return nil
	}
	rows, name, err := p.paper(f, "bad-board-marks", "copy", "mark", "side", "x:", "y:", "diameter:", "made_of")
	if err != nil || rows == nil {
		return err
	}
	for _, row := range rows {
		side := panel.Side(row[2])
		at, ok := f.point(row[3], row[4], side)
		diameter, okDiameter := f.length(row[5])
		got := badBoardMark{row[0], row[1], side, panel.FunctionKind(row[6]), at, diameter}
		if i := slices.Index(want, got); ok && okDiameter && i >= 0 {
			want = slices.Delete(want, i, i+1)
		} else {
			p.report(rulePlacement, row[1], nil, nil, "%s: the row of %s on the %s means a mark of %s in %s at %v mm for %s, and none is planned so", path.Base(name), row[1], row[2], diameter, row[6], at, row[0])
		}
	}
	for _, m := range want {
		p.report(rulePlacement, m.id, []string{m.copy}, &m.at, "%s on the %s is missing in %s, or differs", m.id, m.side, path.Base(name))
	}
	return nil
}

// partTable holds the count of parts against the boards.
func (p *prover) partTable(f paperForm) error {
	type part struct{ number, value, pack string }
	var boards []*panel.Board
	copies := map[*panel.Board]int{}
	want := map[part][]int{} // per panel, on top, on the bottom, then each board's
	for _, c := range p.in.Panel.Copies() {
		if !c.Board.PartsElsewhere && len(c.Board.Parts) > 0 {
			if copies[c.Board] == 0 {
				boards = append(boards, c.Board)
			}
			copies[c.Board]++
		}
	}
	if len(boards) == 0 {
		return nil
	}
	columns := []string{"part_number", "value", "package", "per_panel", "top_per_panel", "bottom_per_panel"}
	for i, b := range boards {
		columns = append(columns, "per_"+b.Name)
		for _, x := range b.Parts {
			k := part{centroid.OneLine(x.PartNumber), centroid.OneLine(x.Value), centroid.OneLine(x.Package)}
			if want[k] == nil {
				want[k] = make([]int, 3+len(boards))
			}
			side := 1
			if x.Side == panel.Bottom {
				side = 2
			}
			want[k][0] += copies[b]
			want[k][side] += copies[b]
			want[k][3+i]++
		}
	}
	rows, name, err := p.paper(f, "parts", columns...)
	if err != nil || rows == nil {
		return err
	}
	for _, row := range rows {
		k := part{row[0], row[1], row[2]}
		n := want[k]
		if n == nil {
			p.report(rulePlacement, name, nil, nil, "%s has a row for %q %q %q that no board asks for, or a second one", path.Base(name), row[0], row[1], row[2])
			continue
		}
		delete(want, k)
		for i, v := range n {
			if row[3+i] != strconv.Itoa(v) {
				p.report(rulePlacement, name, nil, nil, "%s: %s of %q %q %q is %s instead of %d", path.Base(name), columns[3+i], row[0], row[1], row[2], row[3+i], v)
				break
			}
		}
	}
	var missing []part
	for k := range want {
		missing = append(missing, k)
	}
	slices.SortFunc(missing, func(a, b part) int {
		return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.value, b.value), cmp.Compare(a.pack, b.pack))
	})
	for _, k := range missing {
		p.report(rulePlacement, name, nil, nil, "%s has no row for %q %q %q", path.Base(name), k.number, k.value, k.pack)
	}
	return nil
}
