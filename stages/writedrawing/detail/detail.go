// Package detail draws what a panel's plan is too small for: break-off tab, score section, rail corner, fiducial.
package detail

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Detail is something shown larger, and where on the panel it is.
type Detail struct {
	Letter string // "A", "B" …: one letter each, without I, O, Q
	Title  string // "Break-off tab", "Section through score line"
	// Where is what is shown, on the panel: the plan draws a circle round it with the letter beside. Empty for a
	// section, which Cut says.
	Where geom.Box
	// Cut is a section's plane on the panel: the plan draws its ends with the letter.
	Cut [2]geom.Point
	// Like tells how many places of the panel are like this one.
	Like int
	// Draw draws the detail, its lower left corner at (0, 0), by the largest scale of ISO 5455 with which it is no larger
	// than room. Letter, title, scale and Like stand below it.
	Draw func(s drawing.Style, room geom.Point) drawing.Sheet
}

// Section tells whether the detail is a section.
func (d Detail) Section() bool { return d.Cut[0] != d.Cut[1] }
