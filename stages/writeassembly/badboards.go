package writeassembly

import (
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/wording"
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
	if text := wording.XOut(p); text != "" {
		return []string{text}
	}
	return nil
}
