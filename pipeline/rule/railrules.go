package rule

import "panelwright/pipeline"

// smema says where the figures of fiducials come from that no published page states at first hand.
const smema = "SMEMA 3.1, second-hand, as restated by mvdmoosdijk.nl, fiducials"

// railRules are about rails and marks.
func railRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "rail-width", Family: pipeline.RailsFamily, Summary: "Every rail is wide enough for the conveyor.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(5), Source: "an assembler's advice: 3 mm are held, 5 mm advised (boardor.com)",
			Help: "The conveyor's belts and clamps hold the panel by its rails. Measured is each rail across its length. " +
				"Set width in the rails stage, or leave it out: rails then take the width that their marks need.",
			Severity: pipeline.Error, Judge: railWidth,
		},
		{
			Name: "conveyor-edge", Family: pipeline.RailsFamily, Summary: "No part stands in the strip that the conveyor holds, and nothing opens its edges.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(3), Source: "an assembler's page: 3 mm are held, 5 mm advised (boardor.com)",
			Help: "What stands where the belts and clamps grip is sheared off, and an edge that a slot or hole opens catches. The edges that count are those of the rails above and below, " +
				"where there are none those of rails at the left and right, and without rails the longer sides. Measured is how far each part's body, or its place where no body is known, " +
				"lies from that edge. Add rails or widen them, or turn the copies.",
			Severity: pipeline.Error, Judge: conveyorEdge, Measure: conveyorFigure,
		},
		{
			Name: "fiducial-size-least", Family: pipeline.RailsFamily, Summary: "No fiducial is too small.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(1), Source: smema + ": 1.0 mm at least",
			Help: "Cameras find dots of a size; small ones drown in etching tolerance. Measured is the copper dot's diameter. " +
				"Set copper_diameter in the fiducials stage.",
			Severity: pipeline.Warning, Judge: fiducialLeast,
		},
		{
			Name: "fiducial-size-most", Family: pipeline.RailsFamily, Summary: "No fiducial is too large.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(3), Source: smema + ": 3.0 mm at most",
			Help: "A dot must fit the camera's field with its clear area. Measured is the copper dot's diameter. " +
				"Set copper_diameter in the fiducials stage.",
			Severity: pipeline.Warning, Judge: fiducialMost,
		},
		{
			Name: "fiducial-size-spread", Family: pipeline.RailsFamily, Summary: "All fiducials of the panel are of one size.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0.025), Source: smema + ": sizes on one board within 0.025 mm",
			Help: "The camera is taught one dot and looks for its like. Measured is the largest dot's diameter less the smallest's. " +
				"Give every fiducials stage of the recipe the same copper_diameter.",
			Severity: pipeline.Warning, Judge: fiducialSpread,
		},
		{
			Name: "fiducial-clear-area", Family: pipeline.RailsFamily, Summary: "Nothing but its own dot and mask opening lies in a fiducial's clear area.",
			Source: "the fiducial's own clear_diameter, 3 mm unless the recipe or a standard says otherwise: an assembler's guideline (seeedstudio.com, 2017-07-28)",
			Help: "Whatever lies beside the dot may be taken for it. The clear area is the fiducial's own clear_diameter; looked at are copper, mask openings and legend of its sides, " +
				"holes, slots, score grooves as broad as they are at the surface, other marks, what the panel prints, and the panel's edge. Measured is how far each lies from the dot's middle. " +
				"Move the fiducials with inward_x and inward_y, or move what intrudes.",
			Severity: pipeline.Error, Judge: fiducialClearArea,
		},
		{
			Name: "fiducial-clear-size", Family: pipeline.RailsFamily, Summary: "The clear area of every fiducial is large enough for its dot.", Bound: pipeline.AtLeast,
			Default: limit(1), Source: smema + ": clear by the dot's radius beyond it, better by its diameter",
			Help: "The camera needs the dot to stand alone. Measured is how far the clear area reaches beyond the dot, counted in radii of the dot: 1 is its radius, 2 its diameter. " +
				"Set clear_diameter in the fiducials stage.",
			Severity: pipeline.Warning, Judge: fiducialClearSize,
		},
		{
			Name: "fiducial-to-edge", Family: pipeline.RailsFamily, Summary: "Fiducials keep off the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(4.75), Source: smema + ": 4.75 mm and the clearance",
			Help: "Near the edge the conveyor's belts and clamps hide the dot. Measured is how far the rim of the clear area lies from the nearest panel edge. " +
				"Set inward_x and inward_y in the fiducials stage; rails of derived width follow.",
			Severity: pipeline.Warning, Judge: fiducialToEdge,
		},
		{
			Name: "fiducial-count", Family: pipeline.RailsFamily, Summary: "Every side with parts has enough fiducials.", Bound: pipeline.AtLeast,
			Default: limit(3), Source: "an assembler's guideline: 3 in an L, far apart, on both sides if both are populated (seeedstudio.com, 2017-07-28)",
			Help: "Two dots show where a panel lies and how it is turned; the third shows stretch and twist. Counted are the panel's fiducials on each side on which placement files have parts. " +
				"Add corners or sides in the fiducials stage.",
			Severity: pipeline.Warning, Judge: fiducialCount,
		},
		{
			Name: "fiducial-symmetry", Family: pipeline.RailsFamily, Summary: "Fiducials tell a panel that lies the wrong way round.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(5), Source: "from memory, no published source: one is offset by 5 mm or more",
			Help: "A panel loaded the wrong way round must not pass for a right one. All fiducials of a side are moved as they would lie with the panel turned by 180 deg, or turned over with the other side up " +
				"(square panels by quarter turns too), and paired with their right places as near as can be; measured is the pair furthest apart. " +
				"Use three corners, or move one dot with offset_corner and offset in the fiducials stage.",
			Severity: pipeline.Warning, Judge: fiducialSymmetry,
		},
		{
			Name: "tooling-hole-count", Family: pipeline.RailsFamily, Summary: "The panel has enough tooling holes.", Bound: pipeline.AtLeast,
			Default: limit(4), Source: "assemblers' and fabricators' guidelines: non-plated holes in the four corners (bestproto.net)",
			Help: "Pins through the holes hold the panel on stencil printers and fixtures. Counted are the panel's own tooling holes, not those of boards. " +
				"Add a tooling_holes stage, or set the limit to what your line asks for.",
			Severity: pipeline.Warning, Judge: toolingHoleCount,
		},
		{
			Name: "tooling-hole-diameter", Family: pipeline.RailsFamily, Summary: "Tooling holes take the usual pins.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(3), Source: "common practice, no published source, for pins of 3 mm; guidelines name 3.175 mm (bestproto.net) and 4.0 mm (pandawillcircuits.com)",
			Help:     "A pin that does not go in bends the panel. Measured is the finished diameter. Set diameter in the tooling_holes stage to what your pins need.",
			Severity: pipeline.Warning, Judge: toolingHoleDiameter,
		},
		{
			Name: "tooling-hole-to-edge", Family: pipeline.RailsFamily, Summary: "Tooling holes keep material to the panel's edge.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(2), Source: "common practice, no published source: a web as thick as the board, and some; a guideline's 4.0 mm hole 5 mm from the edges leaves 3 mm (pandawillcircuits.com)",
			Help: "A pin that pulls at a thin web breaks it out. Measured is how far the hole's rim lies from the nearest panel edge. " +
				"Set inward_x and inward_y in the tooling_holes stage.",
			Severity: pipeline.Warning, Judge: toolingHoleToEdge,
		},
	}
}
