package writeassembly

import (
	"panelwright/pipeline/format/centroid"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// convention says how what the panel plans is written.
type convention struct {
	centroid.Convention
	box geom.Box // the panel's
}

// at gives a place as it is written: counted from the origin and, where the bottom is seen from the bottom, the other
// way along x.
func (c convention) at(p geom.Point, side panel.Side) geom.Point {
	turned := c.PlacesOwnSide && side == panel.Bottom
	origin := c.box.Min
	switch {
	case c.Origin.Mark != "":
		origin = c.Origin.At
	case turned:
		origin.X = c.box.Max.X // lower left, as it is seen from the bottom
	}
	p = p.Sub(origin)
	if turned {
		p.X = -p.X
	}
	return p
}

// area gives a box as it is written.
func (c convention) area(b geom.Box, side panel.Side) geom.Box {
	return geom.BoxOf(c.at(b.Min, side), c.at(b.Max, side))
}

// rotation gives a part's rotation as it is written, in [0°, 360°).
//
// On the panel it counts counter-clockwise as seen from the top, on both sides. Turned over about an upright line, a
// part that was turned one way is turned as much the other way.
func (c convention) rotation(a geom.Angle, side panel.Side) geom.Angle {
	if c.Clockwise {
		a = -a
	}
	if side == panel.Bottom {
		if c.RotationOwnSide {
			a = -a
		}
		a += c.BottomZero
	}
	return a.Normal()
}

// length writes a length in the unit.
func (c convention) length(l geom.Length) string { return centroid.Decimal(l, c.Unit) }

// some is length, and nothing where there is none.
func (c convention) some(l geom.Length) string {
	if l == 0 {
		return ""
	}
	return c.length(l)
}

// heading names columns: those that end in a colon are lengths and get the unit.
func (c convention) heading(names ...string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = n
		if last := len(n) - 1; n[last] == ':' {
			out[i] = n[:last] + "_" + c.Unit
		}
	}
	return out
}

// stated gives the statements of unit, origin and places, which hold for every table.
func (c convention) stated() []string { return c.Statements()[:3] }

// fromTop is the same for tables of what has no side, which is always seen from the top.
func (c convention) fromTop() []string {
	c.PlacesOwnSide = false
	return c.stated()
}
