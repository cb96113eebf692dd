package writeassembly

import "panelwright/pipeline/panel"

// copies lists where each copy lies: the place of its board's origin, how the board is turned, and the box round
// it. Copies go through the panel: they are told as seen from the top, whatever holds for parts.
func (s *papers) copies() table {
	rows := [][]string{s.heading("copy", "board", "part_number", "revision", "origin_x:", "origin_y:", "rotation_deg", "left:", "lower:", "width:", "height:")}
	for _, c := range s.panel.Copies() {
		at, box := s.at(c.Place.Shift, panel.Top), s.area(c.Box(), panel.Top)
		rows = append(rows, []string{c.ID, c.Board.Name, c.Board.PartNumber, c.Board.Revision,
			s.length(at.X), s.length(at.Y), c.Place.Turn.Normal().Decimal(),
			s.length(box.Min.X), s.length(box.Min.Y), s.length(box.Width()), s.length(box.Height())})
	}
	remarks := append(s.fromTop(), "rotation: degrees counter-clockwise, seen from the top, by which the board's own files are turned",
		"origin_x, origin_y: where the origin of the board's own files lies; left, lower, width, height: the box round its outline")
	return table{name: "copies", title: "copies", what: "where each copy lies and how it is turned", remarks: append(remarks, agreed(s.panel)...), rows: rows}
}
