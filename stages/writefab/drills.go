package writefab

import (
	"cmp"
	"slices"
	"strconv"

	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// drills writes one file for each layer span and plating. The tooling holes go with the
// non-plated holes through all layers; perforations have a file of their own.
func (s *set) drills(d xnc.Dialect) error {
	type group struct {
		of     panel.DrillFile
		pieces []xnc.Piece
	}
	groups := map[string]*group{}
	add := func(f panel.DrillFile, p xnc.Piece) {
		if len(p.Drilling.Holes)+len(p.Drilling.Routs) == 0 {
			return
		}
		g := groups[f.Key()]
		if g == nil {
			g = &group{of: f}
			groups[f.Key()] = g
		}
		g.pieces = append(g.pieces, p)
	}
	for _, c := range s.panel.Copies() {
		for _, f := range c.Board.Drills {
			add(f, xnc.Piece{Drilling: f.Drilling, Place: c.Place})
		}
	}
	layers := max(s.panel.CopperCount(), 1)
	tooling := &holes{function: []string{"MechanicalDrill", "Tooling"}}
	for _, m := range s.panel.Marks() {
		if m.Kind == panel.ToolingHole {
			tooling.drill(m.At, m.Diameter)
		}
	}
	add(panel.DrillFile{Plating: artwork.NonPlated, From: 1, To: layers}, xnc.Piece{Drilling: &tooling.drilling})

	var all []*group
	for _, g := range groups {
		all = append(all, g)
	}
	slices.SortFunc(all, func(a, b *group) int {
		return cmp.Or(cmp.Compare(a.of.Plating, b.of.Plating), cmp.Compare(a.of.From, b.of.From), cmp.Compare(a.of.To, b.of.To))
	})
	for _, g := range all {
		if err := s.drill(g.of.Key(), drillFunction(g.of, layers), g.pieces, d); err != nil {
			return err
		}
	}
	return nil
}

// drillFunction gives the layer format's .FileFunction values of a span.
func drillFunction(f panel.DrillFile, layers int) []string {
	kind := "PTH"
	switch {
	case f.From > 1 && f.To < layers:
		kind = "Buried"
	case f.From > 1 || f.To < layers:
		kind = "Blind"
	case f.Plating == artwork.NonPlated:
		kind = "NPTH"
	}
	return []string{f.Plating.String(), strconv.Itoa(f.From), strconv.Itoa(f.To), kind}
}

// breakoff writes the perforations.
func (s *set) breakoff() error {
	h := &holes{function: []string{"MechanicalDrill", "Breakout"}}
	for _, p := range s.panel.Perforations() {
		h.drill(p.At, p.Diameter)
	}
	if len(h.drilling.Holes) == 0 {
		return nil
	}
	f := panel.DrillFile{Plating: artwork.NonPlated, From: 1, To: max(s.panel.CopperCount(), 1)}
	return s.drill("breakoff", drillFunction(f, f.To), []xnc.Piece{{Drilling: &h.drilling}}, xnc.Rout)
}

// holes collects round non-plated holes of one function.
type holes struct {
	drilling artwork.Drilling
	function []string
}

func (h *holes) drill(at geom.Point, diameter geom.Length) {
	d := &h.drilling
	if d.Sets == nil {
		d.Plating = artwork.NonPlated
		d.Sets = []artwork.Attributes{nil, {{Name: ".AperFunction", Values: h.function}}}
	}
	tool := slices.IndexFunc(d.Tools, func(t artwork.Tool) bool { return t.Diameter == diameter })
	if tool < 0 {
		tool = len(d.Tools)
		d.Tools = append(d.Tools, artwork.Tool{Number: tool + 1, Diameter: diameter, Plating: artwork.NonPlated, Set: 1})
	}
	d.Holes = append(d.Holes, artwork.Hole{Tool: int32(tool), At: at})
}
