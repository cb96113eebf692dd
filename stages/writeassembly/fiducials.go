package writeassembly

import (
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// local is a fiducial of a board's own, in the board's coordinates.
type local struct {
	side         panel.Side
	at           geom.Point
	copper, mask geom.Length // 0 where it is not round or not known
}

// localFiducials finds the fiducials of a board's own: pads whose aperture function is FiducialPad (the layer format's
// specification, chapter 5). Files without that attribute do not tell them from other pads.
func localFiducials(b *panel.Board) []local {
	var out []local
	for _, l := range b.Layers {
		if l.Function.Kind != panel.Copper || l.Function.Side != panel.Top && l.Function.Side != panel.Bottom {
			continue
		}
		m := l.Image
		for _, o := range m.Objects {
			if o.Kind != artwork.Flash || o.Clear {
				continue
			}
			a := m.Apertures[o.Aperture]
			if f := m.Sets[a.Set].Get(".AperFunction"); len(f) == 0 || f[0] != "FiducialPad" {
				continue
			}
			out = append(out, local{l.Function.Side, o.Edge.From, round(a), opening(b, l.Function.Side, o.Edge.From)})
		}
	}
	return out
}

// opening is the diameter of the round opening in the mask about a point, 0 without one.
func opening(b *panel.Board, side panel.Side, at geom.Point) geom.Length {
	l := b.Layer(panel.Function{Kind: panel.Soldermask, Side: side})
	if l == nil {
		return 0
	}
	var widest geom.Length
	for _, o := range l.Image.Objects {
		if o.Kind == artwork.Flash && !o.Clear && o.Edge.From == at {
			widest = max(widest, round(l.Image.Apertures[o.Aperture]))
		}
	}
	return widest
}

func round(a artwork.Aperture) geom.Length {
	if a.Shape != artwork.Circle || a.Hole != 0 {
		return 0
	}
	return a.Width
}

// fiducials lists the panel's own fiducials, one row a side, then the boards' own, copy by copy.
func (s *papers) fiducials() table {
	rows := [][]string{s.heading("fiducial", "copy", "side", "x:", "y:", "copper_diameter:", "mask_diameter:", "clear_diameter:")}
	row := func(id, copy string, side panel.Side, at geom.Point, copper, mask, clear geom.Length) {
		at = s.at(at, side)
		rows = append(rows, []string{id, copy, string(side), s.length(at.X), s.length(at.Y), s.some(copper), s.some(mask), s.some(clear)})
	}
	for _, m := range s.panel.Marks() {
		if m.Kind != panel.Fiducial {
			continue
		}
		for _, side := range m.Sides {
			row(m.ID, "", side, m.At, m.Diameter, m.Mask, m.Clear)
		}
	}
	found := map[*panel.Board][]local{}
	for _, c := range s.panel.Copies() {
		own, ok := found[c.Board]
		if !ok {
			own = localFiducials(c.Board)
			found[c.Board] = own
		}
		count := map[panel.Side]int{}
		for _, f := range own {
			count[f.side]++
			row(fmt.Sprintf("%s/fiducial/%s/%d", c.ID, f.side, count[f.side]), c.ID, f.side, c.Place.Apply(f.at), f.copper, f.mask, 0)
		}
	}
	return table{name: "fiducials", title: "fiducials", what: "fiducials of the panel, and of its copies as far as their files tell them from other pads",
		remarks: append(s.stated(), "without a copy: the panel's own; clear_diameter: kept free of copper, legend, holes and edges, where that is known"), rows: rows}
}
