package rule

import "panelwright/pipeline"

// panelRules are about the panel as a whole.
func panelRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "copies-overlap", Family: pipeline.PanelFamily, Summary: "Copies do not overlap one another, or the rails.",
			Severity: pipeline.Error, Judge: copiesOverlap,
		},
		{
			Name: "stackup-mismatch", Family: pipeline.PanelFamily, Summary: "Boards on one panel agree in layer count, thickness, finish and mask colour.",
			Severity: pipeline.Error, Judge: stackupMismatch,
		},
		{
			Name: "panel-size", Family: pipeline.PanelFamily, Summary: "The panel's longer side is not too long.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(410), Source: "the longer side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Error, Judge: longerSide,
		},
		{
			Name: "panel-breadth", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too long.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(310), Source: "the shorter side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Error, Judge: breadth,
		},
		{
			Name: "panel-short-side", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too short.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(50), Source: "an assembler's smallest panel, 50 x 50 mm (pcbcart.com, panel requirements)",
			Severity: pipeline.Warning, Judge: shorterSide,
		},
	}
}
