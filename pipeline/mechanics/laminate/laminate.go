// Package laminate gives bending stiffness, mass and strength of boards: woven glass laminate, its directions, copper on
// it, heat, and the sections that score lines and perforations leave.
package laminate

import (
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// Default is the laminate where nobody says another: each constant with its source.
func Default() panel.Laminate { return panel.Laminate{} }

// Stack is a board's or rail's layers in the direction of thickness.
type Stack struct {
	Thickness float64 // mm, over the outer copper
	Copper    []Foil  // from the top
}

// Foil is one copper layer: its thickness in mm and the share of the place that is copper, 0 to 1.
type Foil struct{ Thick, Share float64 }

// Bending is the stiffness of a stack in the panel's axes: N·mm. hot takes the factor of the oven for the laminate.
func Bending(l panel.Laminate, s Stack, hot bool) plate.Bending { return plate.Bending{} }

// Mass is the stack's mass in tonnes per mm².
func Mass(l panel.Laminate, s Stack) float64 { return 0 }

// Elastic is the elastic modulus in MPa in a direction at an angle (its cosine and sine) to the panel's x axis.
func Elastic(l panel.Laminate, cos, sin float64, hot bool) float64 { return 0 }

// Twisting is the shear modulus in MPa between a direction and the one across it.
func Twisting(l panel.Laminate, cos, sin float64, hot bool) float64 { return 0 }

// Strength is the flexural strength in MPa for bending whose stress runs in a direction: between warp and fill as the
// strength of an ellipse. Highest gives the upper figure.
func Strength(l panel.Laminate, cos, sin float64, hot bool) float64 { return 0 }
func Highest(l panel.Laminate, cos, sin float64) float64            { return 0 }

// Row is one row of perforations as it is left to bend: holes in a line, or none (a tab that is cut by hand).
type Row struct {
	Diameter  float64    // mm; of a row without holes, the length that is looked at
	Thickness float64    // mm
	Webs      []float64  // least width of each ligament, from slot to slot, mm: shoulders first and last
	At        []float64  // where the middle of each ligament lies along the row, mm
	Ends      [2]float64 // where the row begins and ends at the slots
	Cos, Sin  float64    // of the direction across the row (that in which the tab is bent), to the panel's x axis
	Holes     bool
}

// Ligaments gives for each ligament of a row its stiffness as a beam across the row, between the lines that touch
// the holes on either side: for unknowns (w, slope along the beam, slope across it) at both ends.
func (r Row) Ligaments(l panel.Laminate, hot bool) [][6][6]float64 { return nil }

// Modulus is the section modulus of what is left, Σ b·t²/6 in mm³; Shares says which part of the row's moment each ligament takes.
func (r Row) Modulus() float64 { return 0 }
