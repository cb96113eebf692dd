package rule

import "panelwright/pipeline"

// holeRules are about holes.
func holeRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "hole-off-panel", Family: pipeline.HolesFamily, Summary: "Every hole of a board lies wholly on the panel.",
			Severity: pipeline.Warning, Judge: holeOffPanel,
			Help: "A hole that is cut by the panel's own edge, or lies beside it, cannot be drilled as drawn. Copies whose edge is the panel's edge are where it happens: lay rails there, or move the hole.",
		},
		{
			Name: "hole-spacing", Family: pipeline.HolesFamily, Summary: "Perforations and tooling holes keep material between one another and to the boards' holes.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "an assembler's page (pcbcart.com, panel requirements): at least 0.25 mm between perforations",
			Severity: pipeline.Error, Judge: holeSpacing,
			Help: "Measured from hole edge to hole edge, as drawn, for the holes that the panel adds. Where the material between two holes is too narrow it breaks out when they are drilled, and the tab breaks " +
				"too early. Set between_holes in stage breakoff_tabs, or move the tab or the tooling hole. What the tolerances leave is for perforation-web-at-worst, the boards' own holes for hole-to-hole.",
		},
		{
			Name: "hole-to-hole", Family: pipeline.HolesFamily, Summary: "Holes and slots of the boards keep material between one another, across copies too.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "from memory, no published source: fabricators ask for 0.2 to 0.5 mm; for perforations an assembler asks for 0.25 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Warning, Judge: holeToHole,
			Help: "Measured from edge to edge of the finished holes; plated ones are drilled about 0.1 mm wider. What belongs together does not count: one place in two files, slots made of overlapping holes or " +
				"strokes of one tool, holes along the middle of a slot, spans that lie above one another, holes between two neighbouring layers of a multilayer board, which may be a laser's. One finding tells of all pairs of a board and of the worst of them.",
		},
		{
			Name: "hole-to-slot", Family: pipeline.HolesFamily, Summary: "Holes of the boards keep away from slots, cut-outs and the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.25), Source: "as copper to a routed edge (wedirekt.co.uk; eurocircuits.de, customer-panel guidelines, outer layers): common practice, no published source for holes",
			Severity: pipeline.Warning, Judge: holeToSlot,
			Help: "Measured from the hole's edge to the contour that is routed. Thin material there breaks out under the cutter. Castellated holes are meant to be cut and do not count, nor do cut-outs that are drilled too; other holes that the edge " +
				"cuts are told with a figure below 0.",
		},
		{
			Name: "hole-aspect", Family: pipeline.HolesFamily, Summary: "No plated hole is too narrow for the board's thickness.", Bound: pipeline.AtMost, Unit: "times",
			Default: limit(8), Source: "from memory, no published source: 8 times the diameter is usual, 10 on request",
			Severity: pipeline.Warning, Judge: holeAspect,
			Help: "The board's thickness over the finished diameter of its narrowest plated hole or slot that goes all the way through: in a hole that is deep and narrow the plating gets thin. Blind and buried " +
				"holes are not judged, for nobody says how deep they are.",
		},
		{
			Name: "smallest-hole", Family: pipeline.HolesFamily, Summary: "No hole is smaller than fabricators drill.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.2), Source: "from memory, no published source: the smallest usual drill; 0.3 mm where it should cost no more",
			Severity: pipeline.Warning, Judge: smallestHole,
			Help: "The finished diameter of the smallest hole or slot of each board, of the perforations and of the tooling holes. Holes between two neighbouring layers of a multilayer board may be made by laser and do not count.",
		},
	}
}
