package edgeclass

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// rowGap is how far apart, rim to rim, castellations of one row lie at most (common practice, no published
// source: rows have pitches of 1 to 2.54 mm).
const rowGap = 3 * geom.MM

// castellations finds plated holes that the path cuts.
func (e *edge) castellations(b *panel.Board, cutOut bool) []Stretch {
	var list []span
	said := false
	for _, f := range b.Drills {
		d := f.Drilling
		look := func(at geom.Point, tool int32) {
			r := float64(d.Tools[tool].Diameter) / 2
			near := false
			e.index.Search(geom.BoxOf(at).Grow(geom.Length(r)+1), func(geom.Box, int) bool { near = true; return false })
			if !near {
				return
			}
			if box := geom.BoxOf(at).Grow(geom.Length(1.3 * r)); cutOut && box.Holds(e.path.Box()) {
				return // the hole itself, drawn in the outline too
			}
			if s, away := e.project(at); away < r {
				list = append(list, span{s - r, s + r, 1})
				if function(d.Sets, d.Tools[tool].Set) == "CastellatedDrill" {
					said = true
				}
			}
		}
		if f.Plating != artwork.Plated {
			continue
		}
		for _, h := range d.Holes {
			look(h.At, h.Tool)
		}
		for _, r := range d.Routs {
			if len(r.Path) > 0 {
				look(r.Path[0].At(0.5), r.Tool)
			}
		}
	}
	by := "plated holes on the edge"
	if said {
		by += ", and the drill file's attribute"
	}
	var out []Stretch
	for _, s := range e.merge(list, float64(rowGap)) {
		out = append(out, Stretch{Class: Castellated, From: s.from, To: s.to, Count: s.count, By: by})
	}
	return out
}
