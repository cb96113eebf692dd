package rule

import "panelwright/pipeline"

// railRules are about rails and marks.
func railRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "rail-width", Family: pipeline.RailsFamily, Summary: "Every rail is wide enough for the conveyor.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(5), Source: "an assembler's advice: 3 mm are held, 5 mm advised (boardor.com)",
			Severity: pipeline.Error, Judge: railWidth,
		},
		{
			Name: "fiducial-clear-area", Family: pipeline.RailsFamily, Summary: "Nothing but its own dot lies in a fiducial's clear area.",
			Severity: pipeline.Error, Judge: fiducialClearArea,
		},
	}
}
