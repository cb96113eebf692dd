package writeassembly

import (
	"slices"

	"panelwright/pipeline/panel"
)

// prints lists what the panel prints for people and machines to read, and the room that it keeps for labels, one row a
// layer, in the order in which they were placed. Bad-board marks have a table of their own.
func (s *papers) prints() table {
	rows := [][]string{s.heading("print", "use", "side", "made_of", "text", "left:", "lower:", "width:", "height:", "letter_height:", "symbology", "square:")}
	for _, x := range s.panel.Prints() {
		if x.Use != panel.Lettering && x.Use != panel.Code && x.Use != panel.LabelArea && x.Use != panel.OnBoard {
			continue
		}
		for _, f := range x.Layers {
			box := s.area(x.Area, f.Side)
			rows = append(rows, []string{x.ID, string(x.Use), string(f.Side), string(f.Kind), x.Text,
				s.length(box.Min.X), s.length(box.Min.Y), s.length(box.Width()), s.length(box.Height()),
				s.some(x.LetterHeight), x.Symbology, s.some(x.Square)})
		}
	}
	where := "beside its boards"
	if slices.ContainsFunc(s.panel.Prints(), func(x panel.Print) bool { return x.Use == panel.OnBoard }) {
		where += " and on them"
	}
	return table{name: "prints", title: "prints and label areas", what: "what the panel prints " + where + ", and room for labels",
		remarks: append(s.stated(), "left, lower, width, height: of all that a print takes up; a code's quiet zone and a label area's frame belong to it"), rows: rows}
}
