package mechanics

import (
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/mesh"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// onEdge is how near to the panel's edge a node lies on it: meshes round places to a hundredth of a millimetre.
const onEdge = 20 * geom.UM

// hold fixes the nodes that the panel is carried by, and those of scraps.
func (m *model) hold() {
	box := m.p.Outline().Box()
	used := make([]bool, len(m.mesh.Nodes))
	for i, t := range m.mesh.Triangles {
		for _, n := range t {
			used[n] = m.kept[m.mesh.Piece[i]]
		}
	}
	pins := map[int32]bool{}
	if m.support.Carried == panel.ByPins {
		for _, n := range m.mesh.Points {
			if n >= 0 {
				pins[n] = true
			}
		}
	}
	for n, q := range m.mesh.Nodes {
		h := plate.Held{Node: int32(n)}
		switch {
		case !used[n]:
			h.Deflection, h.SlopeX, h.SlopeY = true, true, true
		case m.support.Carried == panel.ByPins:
			h.Deflection = pins[int32(n)]
		default:
			for _, side := range m.support.Sides {
				d := fromEdge(box, side, q)
				if m.support.Carried == panel.ByOneRail && d <= m.support.Grip+onEdge {
					h.Deflection, h.SlopeX, h.SlopeY = true, true, true
				} else if m.support.Carried == panel.ByTwoRails && d <= onEdge {
					h.Deflection = true
				}
			}
		}
		if h.Deflection {
			m.held = append(m.held, h)
		}
	}
}

// fromEdge is how far a point lies from a side of the panel.
func fromEdge(box geom.Box, side panel.RailSide, q geom.Point) geom.Length {
	switch side {
	case panel.Upper:
		return box.Max.Y - q.Y
	case panel.Lower:
		return q.Y - box.Min.Y
	case panel.Left:
		return q.X - box.Min.X
	}
	return box.Max.X - q.X
}

// gripLine is the line at which a held edge ends to be held.
func gripLine(box geom.Box, side panel.RailSide, grip geom.Length) mesh.Line {
	switch side {
	case panel.Upper:
		return mesh.Line{From: geom.Pt(box.Min.X, box.Max.Y-grip), To: geom.Pt(box.Max.X, box.Max.Y-grip)}
	case panel.Lower:
		return mesh.Line{From: geom.Pt(box.Min.X, box.Min.Y+grip), To: geom.Pt(box.Max.X, box.Min.Y+grip)}
	case panel.Left:
		return mesh.Line{From: geom.Pt(box.Min.X+grip, box.Min.Y), To: geom.Pt(box.Min.X+grip, box.Max.Y)}
	}
	return mesh.Line{From: geom.Pt(box.Max.X-grip, box.Min.Y), To: geom.Pt(box.Max.X-grip, box.Max.Y)}
}

// span is how far the panel reaches unsupported: between the rails that carry it, from the held edge to the far one,
// between the pins that lie furthest apart.
func (m *model) span() geom.Length {
	box := m.p.Outline().Box()
	switch m.support.Carried {
	case panel.ByPins:
		far := 0.0
		pins := m.carriers()
		for i, a := range pins {
			for _, b := range pins[:i] {
				far = math.Max(far, m.mesh.Nodes[a].Distance(m.mesh.Nodes[b]))
			}
		}
		return geom.Round(far)
	case panel.ByOneRail:
		if len(m.support.Sides) > 0 && across(m.support.Sides[0]) {
			return box.Width() - m.support.Grip
		}
		return box.Height() - m.support.Grip
	}
	if len(m.support.Sides) > 0 && across(m.support.Sides[0]) {
		return box.Width()
	}
	return box.Height()
}

// across tells whether a side is that at the left or right.
func across(s panel.RailSide) bool { return s == panel.Left || s == panel.Right }

// notCarried says why supports do not hold the panel.
func (m *model) notCarried() string {
	switch m.support.Carried {
	case panel.ByPins:
		if len(m.support.Pins) < 3 {
			return fmt.Sprintf("the panel lies on %d pins: three that do not lie in a line hold it", len(m.support.Pins))
		}
		if n := len(m.carriers()); n < len(m.support.Pins) {
			return fmt.Sprintf("only %d of the %d pins lie under the panel's material: three that do not lie in a line hold it", n, len(m.support.Pins))
		}
		return "the pins do not hold the panel: three of them must lie apart, not in a line"
	case panel.ByOneRail:
		return fmt.Sprintf("the edge at the %s, by which the panel is held, has no material within %v", sides(m.support.Sides), m.support.Grip)
	}
	return fmt.Sprintf("the edges %s do not hold the panel: material must lie on both", sides(m.support.Sides))
}

func sides(list []panel.RailSide) string {
	var words []string
	for _, s := range list {
		words = append(words, string(s))
	}
	return strings.Join(words, " and ")
}

// idlePins are the pins under no material.
func (m *model) idlePins() []geom.Point {
	var out []geom.Point
	if m.support.Carried == panel.ByPins {
		for i, n := range m.mesh.Points {
			if n < 0 {
				out = append(out, m.support.Pins[i])
			}
		}
	}
	return out
}
