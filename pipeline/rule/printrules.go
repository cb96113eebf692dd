package rule

import "panelwright/pipeline"

// printRules are about what the panel prints of its own for people and machines to read.
func printRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "legend-stroke", Family: pipeline.RailsFamily, Summary: "Strokes of letters, frames and bad-board marks, and squares of codes, are wide enough to be printed.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.15), Source: "common practice, no published source: what fabricators ask of printed legend, from memory",
			Help: "Thin strokes of legend break up or are missing. Measured is the narrowest pen or dot of a print, and the side of a code's squares, " +
				"on any layer. Names and marks that every copy has are told together. Make stroke_width or module larger.",
			Severity: pipeline.Warning, Judge: legendStroke,
		},
		{
			Name: "legend-height", Family: pipeline.RailsFamily, Summary: "Letters that the panel prints are high enough to be read.",
			Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(1), Source: "common practice, no published source: what fabricators ask of printed legend, from memory",
			Help:     "Lower letters fill up with ink and cannot be read. Measured is the height of capitals, from outside to outside. Names that every copy has are told together. Make letter_height larger.",
			Severity: pipeline.Warning, Judge: legendHeight,
		},
		{
			Name: "legend-overlap", Family: pipeline.RailsFamily,
			Summary: "Letters, codes and label areas lie on the panel's waste, or on the board that they are made for, and on nothing else: no hole, slot, score line, fiducial, board or other print.",
			Help: "What lies on a hole, in a slot or in a groove is cut away, what lies on a fiducial blinds the machine, and what lies on a board stays there. " +
				"Letters count as they are drawn; a code counts with its quiet zone, a label area as a whole. Move the print with at or on, " +
				"or let it look for a free place: then the stage must stand after the marks, score lines and slots it is to avoid.",
			Severity: pipeline.Warning, Judge: legendOverlap,
		},
	}
}
