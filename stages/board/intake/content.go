package intake

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// content gives the places of the board's pads and holes, by which its outline is told from other loops:
// flashes of the outer copper layers and holes whose number format is known. Where there are hardly any,
// other copper counts.
func (r *Result) content() []geom.Point {
	var points []geom.Point
	copper := func(use func(artwork.Object) bool, at func(*artwork.Image, artwork.Object) geom.Point) {
		for _, l := range r.layers {
			if l.is.Kind != panel.Copper || l.is.Side == panel.Inner {
				continue
			}
			m := l.file.Image
			for _, o := range m.Objects {
				if !o.Clear && use(o) {
					points = append(points, at(m, o))
				}
			}
		}
	}
	copper(func(o artwork.Object) bool { return o.Kind == artwork.Flash }, func(_ *artwork.Image, o artwork.Object) geom.Point { return o.Edge.From })
	for _, f := range r.of(DrillFile) {
		if f.guessed == nil && f.Drilling != nil {
			for _, h := range f.Drilling.Holes {
				points = append(points, h.At)
			}
		}
	}
	if len(points) < few {
		copper(func(o artwork.Object) bool { return o.Kind != artwork.Flash }, func(m *artwork.Image, o artwork.Object) geom.Point { return m.Box(o).Center() })
	}
	return points
}

// few pads and holes tell little.
const few = 3

func boxOf(points []geom.Point) geom.Box {
	b := geom.EmptyBox()
	for _, p := range points {
		b = b.Extend(p)
	}
	return b
}

// countIn counts the points within a closed path or on it.
func countIn(path geom.Path, points []geom.Point) int {
	box, n := path.Box(), 0
	locator := geom.NewLocator(geom.Region{{Outer: path}})
	for _, p := range points {
		if box.HoldsPoint(p) && locator.Locate(p) != geom.Outside {
			n++
		}
	}
	return n
}
