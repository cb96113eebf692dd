package writeassembly

import (
	"io"
	"slices"

	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/panel"
)

// placementFiles writes the placement and gives how many parts it has.
func (s *papers) placementFiles() (placed int, err error) {
	rows := s.placement()
	files := []struct {
		name string
		side panel.Side
	}{{"placement", panel.NoSide}}
	if s.eachSide {
		files[0].name, files[0].side = "placement-top", panel.Top
		files = append(files, files[0])
		files[1].name, files[1].side = "placement-bottom", panel.Bottom
	}
	for _, f := range files {
		own, title, what := rows, "placement", "placement of all parts"
		var remarks []string
		if f.side != panel.NoSide {
			own = slices.DeleteFunc(slices.Clone(rows), func(r centroid.PanelRow) bool { return (r.Side == string(panel.Bottom)) != (f.side == panel.Bottom) })
			title, what = "placement on the "+string(f.side), "placement of the parts on the "+string(f.side)
			remarks = []string{"side: " + string(f.side)}
		}
		if len(own) == 0 {
			continue
		}
		if err := s.create(f.name, s.extension, what, func(w io.Writer) error {
			return centroid.Write(w, own, centroid.WriteOptions{Title: centroid.OneLine(s.title(title)), Convention: s.Convention,
				Remarks: remarks, Bare: s.bare, Columns: s.columns, Separator: s.separator})
		}); err != nil {
			return 0, err
		}
	}
	return len(rows), nil
}

// placement lists every part of every copy, in the order of the copies and of the boards' files.
func (s *papers) placement() []centroid.PanelRow {
	var out []centroid.PanelRow
	for _, c := range s.panel.Copies() {
		if c.Board.PartsElsewhere {
			continue
		}
		for _, x := range c.Board.Parts {
			at := s.at(c.Place.Apply(x.At), x.Side)
			out = append(out, centroid.PanelRow{
				Copy: c.ID, Refdes: x.Refdes, Side: string(x.Side), X: at.X, Y: at.Y,
				Rotation: s.rotation(x.Turn+c.Place.Turn, x.Side), Package: x.Package, Value: x.Value, PartNumber: x.PartNumber,
			})
		}
	}
	return out
}
