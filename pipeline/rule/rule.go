// Package rule holds the built-in rules that a finished panel is judged by. A rule reads the panel
// model alone; the rules stage adds limit, severity and source to what it finds.
package rule

import (
	"panelwright/pipeline"
)

// All gives the built-in rules, in the order in which they are judged, and after them those that are judged
// elsewhere.
func All() []pipeline.Rule {
	outerToEdge, outerToEdgeLeast := copperRule(edges, outerLayers, true)
	innerToEdge, innerToEdgeLeast := copperRule(edges, innerLayers, true)
	outerToHole, outerToHoleLeast := copperRule(perforations, outerLayers, false)
	innerToHole, innerToHoleLeast := copperRule(perforations, innerLayers, false)
	toScore, toScoreLeast := copperRule(scoreLines, allLayers, false)
	ours := []pipeline.Rule{
		{
			Name: "copies-overlap", Summary: "Copies do not overlap one another, or the rails.",
			Severity: pipeline.Error, Judge: copiesOverlap,
		},
		{
			Name: "board-not-free", Summary: "Every board can be parted from the panel: slots with tabs or score lines run all round it.",
			Severity: pipeline.Error, Judge: boardNotFree,
		},
		{
			Name: "reach-into-neighbour", Summary: "Nothing of one copy lies on another.",
			Severity: pipeline.Error, Judge: reachIntoNeighbour,
		},
		{
			Name: "cut-at-neighbour", Summary: "Boards have no data outside their outline that would land on a neighbouring copy.",
			Severity: pipeline.Warning, Judge: cutAtNeighbour,
		},
		{
			Name: "stackup-mismatch", Summary: "Boards on one panel agree in layer count, thickness, finish and mask colour.",
			Severity: pipeline.Error, Judge: stackupMismatch,
		},
		{
			Name: "panel-size", Summary: "The panel's longer side is not too long.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(410), Source: "the longer side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Error, Judge: longerSide,
		},
		{
			Name: "panel-breadth", Summary: "The panel's shorter side is not too long.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(310), Source: "the shorter side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Error, Judge: breadth,
		},
		{
			Name: "panel-short-side", Summary: "The panel's shorter side is not too short.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(50), Source: "an assembler's smallest panel, 50 x 50 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Warning, Judge: shorterSide,
		},
		{
			Name: "rail-width", Summary: "Every rail is wide enough for the conveyor.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(5), Source: "an assembler's advice: 3 mm are held, 5 mm advised (boardor.com)",
			Severity: pipeline.Error, Judge: railWidth,
		},
		{
			Name: "slot-in-board", Summary: "No slot reaches into a board.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: a slot's flank is the board's edge",
			Severity: pipeline.Error, Judge: slotInBoard,
		},
		{
			Name: "cutter-diameter", Summary: "No cutter is thinner than fabricators keep.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.8), Source: "a fabricator's special cutter (multi-circuit-boards.eu, milling); 2.0 mm and more are standard",
			Severity: pipeline.Error, Judge: cutterDiameter,
		},
		{
			Name: "cutter-reach", Summary: "Cutters reach all that is to be cut: no radius remains in a board's inner corners.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "the board's own outline; what radius may remain there is for the board's designer to say",
			Severity: pipeline.Warning, Judge: cutterReach,
		},
		{
			Name: "hole-off-panel", Summary: "Every hole of a board lies wholly on the panel.",
			Severity: pipeline.Warning, Judge: holeOffPanel,
		},
		{
			Name: "copper-to-edge", Summary: "Copper of outer layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "fabricators' pages: 0.25 mm to a routed edge (wedirekt.co.uk; eurocircuits.de, customer-panel guidelines, outer layers)",
			Severity: pipeline.Error, Judge: outerToEdge, Measure: outerToEdgeLeast,
		},
		{
			Name: "inner-copper-to-edge", Summary: "Copper of inner layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "a fabricator's page: 0.40 mm on inner layers (eurocircuits.de, customer-panel guidelines)",
			Severity: pipeline.Error, Judge: innerToEdge, Measure: innerToEdgeLeast,
		},
		{
			Name: "copper-to-perforation", Summary: "Copper of outer layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "as to a routed edge: common practice, no published source",
			Severity: pipeline.Error, Judge: outerToHole, Measure: outerToHoleLeast,
		},
		{
			Name: "inner-copper-to-perforation", Summary: "Copper of inner layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "as to a routed edge: common practice, no published source",
			Severity: pipeline.Error, Judge: innerToHole, Measure: innerToHoleLeast,
		},
		{
			Name: "copper-to-score", Summary: "Copper keeps away from score lines, measured from the line's middle.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.5), Source: "a fabricator's table for boards about 1.55 mm thick (wedirekt.co.uk, routing and scoring)",
			Severity: pipeline.Error, Judge: toScore, Measure: toScoreLeast,
		},
		{
			Name: "perforation-in-board", Summary: "No perforation reaches into a board, as drawn, further than its row is set in.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: rows lie tangent to the board's edge from outside",
			Severity: pipeline.Error, Judge: perforationInBoard,
		},
		{
			Name: "perforation-in-board-at-worst", Summary: "Perforations stay out of boards at the worst of their position and diameter, each ± 0.05 mm.",
			Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0.1), Source: "limit: common practice, no published source; tolerances: a fabricator's table (pcbbaltic.lt, tolerances)",
			Severity: pipeline.Warning, Judge: perforationAtWorst,
		},
		{
			Name: "hole-spacing", Summary: "Perforations and tooling holes keep material between one another and to the boards' holes.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "an assembler's page (pcbcart.com, panel requirements): at least 0.25 mm between perforations",
			Severity: pipeline.Error, Judge: holeSpacing,
		},
		{
			Name: "fiducial-clear-area", Summary: "Nothing but its own dot lies in a fiducial's clear area.",
			Severity: pipeline.Error, Judge: fiducialClearArea,
		},
	}
	return append(ours, elsewhere()...)
}

func limit(v float64) *float64 { return &v }

// tolerance keeps a rounding from tipping a judgement: half a micrometre, in mm.
const tolerance = 0.0005
