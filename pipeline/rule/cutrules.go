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
			Help: "Every place of a board's edge must lie at a slot, a score line, a tab or the panel's own edge; otherwise the board hangs on to its neighbour there and cannot be broken out. Looked at every 0.25 mm " +
				"on the plan; the proof looks at what was written. Widen the gap or take a thinner cutter, name the pair in between (rows, columns, rails), or lay a score line.",
			Severity: pipeline.Error, Judge: boardNotFree,
		},
		{
			Name: "slot-in-board", Family: pipeline.CutsFamily, Summary: "No slot reaches into a board.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: a slot's flank is the board's edge",
			Help:     "Measured from the board's edge to the deepest place of a slot within the board. A slot that reaches in cuts the board: widen the gap between the copies, or take a narrower slot_width. A micrometre of rounding is allowed.",
			Severity: pipeline.Error, Judge: slotInBoard,
		},
		{
			Name: "slot-width", Family: pipeline.CutsFamily, Summary: "Slots are wide enough everywhere.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(1.2), Source: "a fabricator's least (jlcpcb.com, panelization guide); 2.0 mm is standard (eurocircuits.de, customer-panel guidelines)",
			Help: "Measured from flank to flank across the opening, to the micrometre, where two stretches of a slot's contour face each other: between boards, between board and rail, and in a board's own notch. " +
				"A narrow slot needs a thin cutter, which breaks easily and routs slowly. Widen the gap, or slot_width in stage breakoff_tabs. How thin the cutters are is for cutter-diameter.",
			Severity: pipeline.Warning, Judge: slotWidth,
		},
		{
			Name: "cutter-diameter", Family: pipeline.CutsFamily, Summary: "No cutter is thinner than fabricators keep.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.8), Source: "a fabricator's special cutter (multi-circuit-boards.eu, milling); 2.0 mm and more are standard",
			Help:     "The thinnest cutter that the panel needs, for its slots or for the inner corners of its boards alone. Thin cutters break easily and rout slowly. Set cutters or slot_width in stage breakoff_tabs; slots themselves are slot-width's matter.",
			Severity: pipeline.Error, Judge: cutterDiameter,
		},
		{
			Name: "cutter-reach", Family: pipeline.CutsFamily, Summary: "Cutters reach all that is to be cut: no radius remains in a board's inner corners.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "the board's own outline; what radius may remain there is for the board's designer to say",
			Help:     "A round cutter leaves its radius in every inner corner of a board's outline, and all of a notch that is narrower than the cutter. Measured is the radius that remains. Name a thinner cutter in cutters of stage breakoff_tabs, or have the outline drawn with a radius there.",
			Severity: pipeline.Warning, Judge: cutterReach,
		},
		{
			Name: "copper-to-edge", Family: pipeline.CutsFamily, Summary: "Copper of outer layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "fabricators' pages: 0.25 mm to a routed edge (wedirekt.co.uk; eurocircuits.de, customer-panel guidelines, outer layers)",
			Help:     "Copper that is cut by the cutter lies bare, can tear, and can touch what is beside it. Measured from the true shape of the copper, with clear polarity settled, to what is routed; each layer and place is told once for all copies that are alike. Castellated and plated edges and contact fingers do not count. Draw the copper back on the board; on a panel only that helps.",
			Severity: pipeline.Error, Judge: outerToEdge, Measure: outerToEdgeLeast, LogWorst: true,
		},
		{
			Name: "inner-copper-to-edge", Family: pipeline.CutsFamily, Summary: "Copper of inner layers keeps away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "a fabricator's page: 0.40 mm on inner layers (eurocircuits.de, customer-panel guidelines)",
			Help:     "Copper that is cut by the cutter lies bare on the edge, and inner layers lie less exactly than outer ones. Measured from the true shape of the copper, with clear polarity settled, to what is routed; each layer and place is told once for all copies that are alike. Castellated and plated edges and contact fingers do not count. Draw the copper back on the board; on a panel only that helps.",
			Severity: pipeline.Error, Judge: innerToEdge, Measure: innerToEdgeLeast, LogWorst: true,
		},
		{
			Name: "copper-to-perforation", Family: pipeline.CutsFamily, Summary: "Copper of outer layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "as to a routed edge: common practice, no published source",
			Help:     "A hole of a tab that is drilled through copper leaves it bare at the broken edge, and can cut it. Measured from the true shape of the copper, with clear polarity settled, to the hole's edge; each layer and place is told once for all copies that are alike. Put the tab elsewhere (pinned or forbidden in stage breakoff_tabs), set the row out (inset), or draw the copper back.",
			Severity: pipeline.Error, Judge: outerToHole, Measure: outerToHoleLeast, LogWorst: true,
		},
		{
			Name: "inner-copper-to-perforation", Family: pipeline.CutsFamily, Summary: "Copper of inner layers keeps away from the holes of the tabs.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.4), Source: "as to a routed edge: common practice, no published source",
			Help:     "A hole of a tab that is drilled through copper leaves it bare at the broken edge, and can cut it. Measured from the true shape of the copper, with clear polarity settled, to the hole's edge; each layer and place is told once for all copies that are alike. Put the tab elsewhere (pinned or forbidden in stage breakoff_tabs), set the row out (inset), or draw the copper back.",
			Severity: pipeline.Error, Judge: innerToHole, Measure: innerToHoleLeast, LogWorst: true,
		},
		{
			Name: "perforation-in-board", Family: pipeline.CutsFamily, Summary: "No perforation reaches into a board, as drawn, further than its row is set in.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: rows lie tangent to the board's edge from outside",
			Help:     "Measured as drawn, from the board's edge to the deepest place of the row's holes, less the row's own inset: a row that is set in on purpose is no fault. A hole in the board leaves a dent in its edge. Set inset in stage breakoff_tabs, or mind edges that bend beside the tab.",
			Severity: pipeline.Error, Judge: perforationInBoard,
		},
		{
			Name: "perforation-in-board-at-worst", Family: pipeline.CutsFamily, Summary: "Perforations stay out of boards at the worst of their position and diameter, each ± 0.05 mm.",
			Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0.1), Source: "limit: common practice, no published source; tolerances: a fabricator's table (pcbbaltic.lt, tolerances)",
			Help:     "As perforation-in-board, with every hole off its place towards the board and as wide as the tolerances allow. Set the row out (inset below 0) where the edge must stay whole; what then stands out after breaking is stub-height's matter.",
			Severity: pipeline.Warning, Judge: perforationAtWorst,
		},
		{
			Name: "perforation-web-at-worst", Family: pipeline.CutsFamily, Summary: "Material stays between the holes of a row at the worst of their position and diameter.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.1), Source: "from memory, no published source: less breaks out when the row is drilled",
			Help: "The narrowest material between two holes of a row with both holes off towards each other and as wide as the tolerances of stage breakoff_tabs allow: between_holes less twice position_tolerance and " +
				"less diameter_tolerance, to the micrometre below. Without it the row is a slot: the tab holds nothing. Raise between_holes. As drawn it is hole-spacing that judges.",
			Severity: pipeline.Warning, Judge: webAtWorst,
		},
		{
			Name: "stub-height", Family: pipeline.CutsFamily, Summary: "Little stays on the board's edge where a tab was.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0.5), Source: "the broken edge of a scored board stands out by up to 0.5 mm (syspcb.com, v-cut-design-dfm); for tabs from memory, no published source",
			Help: "How far what stays on the board after breaking stands out of its edge, as drawn; it must be filed off where the board has to fit. A row that touches the edge from outside leaves half a hole's width. " +
				"Set the row in (inset), or give each board a row of its own by a wider gap. Wear a mask: the dust is glass fibre.",
			Severity: pipeline.Warning, Judge: stubHeight,
		},
		{
			Name: "tabs-per-board", Family: pipeline.CutsFamily, Summary: "Every board that tabs alone hold has several.", Bound: pipeline.AtLeast, Unit: "tabs",
			Default: limit(2), Source: "a fabricator's guide (jlcpcb.com, panelization guide): two or more, opposite each other, even on boards up to 30 mm",
			Help: "Counted are the tabs that hold a copy to anything. A single tab is a hinge: the board swings in the machine and tears. Copies that a score line holds too do not count. Whether the tabs hold a board well is " +
				"judged by stage breakoff_tabs (board-not-held).",
			Severity: pipeline.Error, Judge: tabsPerBoard,
		},
	}
}
