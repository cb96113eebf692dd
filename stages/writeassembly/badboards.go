package writeassembly

import (
	"fmt"

	"panelwright/pipeline/panel"
)

// badBoardMarks lists where each copy's bad-board mark is, one row a side, in the order in which they were placed.
func (s *papers) badBoardMarks() table {
	rows := [][]string{s.heading("copy", "mark", "side", "x:", "y:", "diameter:", "made_of")}
	for _, x := range s.panel.Prints() {
		if x.Use != panel.BadBoard {
			continue
		}
		for _, f := range x.Layers {
			if f.Kind != panel.Copper && f.Kind != panel.Legend {
				continue // the opening round it
			}
			for _, d := range x.Dots {
				at := s.at(d.At, f.Side)
				rows = append(rows, []string{x.Copy, x.ID, string(f.Side), s.length(at.X), s.length(at.Y), s.length(d.Diameter), string(f.Kind)})
			}
		}
	}
	return table{name: "bad-board-marks", title: "bad-board marks", what: "where each copy's bad-board mark is",
		remarks: append(append(s.stated(), "a copy whose mark is blacked out is bad: leave it out"), agreed(s.panel)...), rows: rows}
}

// agreed says how many copies may be bad; nothing where nobody has said it.
func agreed(p panel.Panel) []string {
	x, ok := p.XOut()
	if !ok {
		return nil
	}
	source := ""
	if x.Source != "" {
		source = "; " + x.Source
	}
	n := len(p.Copies())
	if x.Copies == 0 || x.Panels == 0 {
		return []string{fmt.Sprintf("agreed (X-out): none of the %d copies of a panel may be bad%s", n, source)}
	}
	return []string{fmt.Sprintf("agreed (X-out): at most %d of the %d copies of a panel may be bad, in at most %s of the panels delivered%s", x.Copies, n, x.Panels.Percent(), source)}
}
