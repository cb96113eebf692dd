package rule

import "panelwright/pipeline"

// cutRules are about slots, tabs and perforations.
func cutRules() []pipeline.Rule {
	outerToEdge, outerToEdgeLeast := copperRule(edges, outerLayers, true)
	innerToEdge, innerToEdgeLeast := copperRule(edges, innerLayers, true)
	outerToHole, outerToHoleLeast := copperRule(perforations, outerLayers, false)
	innerToHole, innerToHoleLeast := copperRule(perforations, innerLayers, false)
	return []pipeline.Rule{
		{
			Name: "board-not-free", Family: pipeline.CutsFamily, Summary: "Every board can be parted from the panel: slots with tabs or score lines run all round it.",
			Severity: pipeline.Error, Judge: boardNotFree,
		},
		{
			Name: "slot-in-board", Family: pipeline.CutsFamily, Summary: "No slot reaches into a board.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: a slot's flank is the board's edge",
			Severity: pipeline.Error, Judge: slotInBoard,
		},
		{
			Name: "cutter-diameter", Family: pipeline.CutsFamily, Summary: "No cutter is thinner than fabricators keep.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.8), Source: "a fabricator's special cutter (multi-circuit-boards.eu, milling); 2.0 mm and more are standard",
			Severity: pipeline.Error, Judge: cutterDiameter,
		},
		{
			Name: "cutter-reach", Family: pipeline.CutsFamily, Summary: "Cutters reach all that is to be cut: no radius remains in a board's inner corners.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "the board's own outline; what radius may remain there is for the board's designer to say",
			Severity: pipeline.Warning, Judge: cutterReach,
		},
		{
			Name: "copper-to-edge", Family: pipeline.CutsFamily, Summary: "Copper of outer layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "fabricators' pages: 0.25 mm to a routed edge (wedirekt.co.uk; eurocircuits.de, customer-panel guidelines, outer layers)",
			Severity: pipeline.Error, Judge: outerToEdge, Measure: outerToEdgeLeast,
		},
		{
			Name: "inner-copper-to-edge", Family: pipeline.CutsFamily, Summary: "Copper of inner layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "a fabricator's page: 0.40 mm on inner layers (eurocircuits.de, customer-panel guidelines)",
			Severity: pipeline.Error, Judge: innerToEdge, Measure: innerToEdgeLeast,
		},
		{
			Name: "copper-to-perforation", Family: pipeline.CutsFamily, Summary: "Copper of outer layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "as to a routed edge: common practice, no published source",
			Severity: pipeline.Error, Judge: outerToHole, Measure: outerToHoleLeast,
		},
		{
			Name: "inner-copper-to-perforation", Family: pipeline.CutsFamily, Summary: "Copper of inner layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "as to a routed edge: common practice, no published source",
			Severity: pipeline.Error, Judge: innerToHole, Measure: innerToHoleLeast,
		},
		{
			Name: "perforation-in-board", Family: pipeline.CutsFamily, Summary: "No perforation reaches into a board, as drawn, further than its row is set in.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: rows lie tangent to the board's edge from outside",
			Severity: pipeline.Error, Judge: perforationInBoard,
		},
		{
			Name: "perforation-in-board-at-worst", Family: pipeline.CutsFamily, Summary: "Perforations stay out of boards at the worst of their position and diameter, each ± 0.05 mm.",
			Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0.1), Source: "limit: common practice, no published source; tolerances: a fabricator's table (pcbbaltic.lt, tolerances)",
			Severity: pipeline.Warning, Judge: perforationAtWorst,
		},
	}
}
