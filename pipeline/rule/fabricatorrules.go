package rule

import "panelwright/pipeline"

// fabricatorRules are about what the fabricator can make. The assembly line has a range of its own, panel-size and
// the rules beside it: a fabricator with large machines does not make the line's conveyor any wider.
func fabricatorRules() []pipeline.Rule {
	const (
		sheet    = "an 18 x 24 in production panel, the commonest, of which borders of 1 in leave 16 x 22 in (royalcircuits.com, 2020-10-19; Design007, June 2021, pages 84 and 85)"
		smallest = "a fabricator's smallest panel, 36 x 46 mm (eurocircuits.com/?p=3632)"
		laminate = "a supplier's range, 0.3 to 4.0 mm (cnfastpcb.com)"
	)
	return []pipeline.Rule{
		{
			Name: "fabricator-panel-size", Family: pipeline.PanelFamily, Summary: "The panel's longer side is not too long for the fabricator.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(558.8), Source: "22 in, the longer side of " + sheet,
			Help: "A panel is cut from a production panel, and must fit the fabricator's routers and scoring machines; how long a panel the assembly line takes is panel-size. " +
				"Measured is the longer side of the panel's outline. Take fewer columns or rows, narrower rails or gaps, or ask the fabricator for a larger sheet.",
			Severity: pipeline.Error, Judge: side(true, pipeline.AtMost),
		},
		{
			Name: "fabricator-panel-breadth", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too long for the fabricator.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(406.4), Source: "16 in, the shorter side of " + sheet,
			Help: "A panel is cut from a production panel, and must fit the fabricator's routers and scoring machines; how broad a panel the assembly line takes is panel-breadth. " +
				"Measured is the shorter side of the panel's outline. Take fewer columns or rows, narrower rails or gaps, or ask the fabricator for a larger sheet.",
			Severity: pipeline.Error, Judge: side(false, pipeline.AtMost),
		},
		{
			Name: "fabricator-panel-long-side", Family: pipeline.PanelFamily, Summary: "The panel's longer side is not too short for the fabricator.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(46), Source: smallest,
			Help: "Small panels are hard to hold and to test; some fabricators deliver none below a size. What the assembly line needs is panel-long-side, what a scoring machine needs scored-panel-side. " +
				"Measured is the longer side of the panel's outline. Take more columns or rows, or wider rails.",
			Severity: pipeline.Warning, Judge: side(true, pipeline.AtLeast),
		},
		{
			Name: "fabricator-panel-short-side", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too short for the fabricator.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(36), Source: smallest,
			Help: "Small panels are hard to hold and to test; some fabricators deliver none below a size. What the assembly line needs is panel-short-side, what a scoring machine needs scored-panel-side. " +
				"Measured is the shorter side of the panel's outline. Take more columns or rows, or wider rails.",
			Severity: pipeline.Warning, Judge: side(false, pipeline.AtLeast),
		},
		{
			Name: "fabricator-thickness-least", Family: pipeline.PanelFamily, Summary: "The fabricator makes panels as thin as this one.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.3), Source: laminate,
			Help: "Thin laminate tears in the baths and under the router; how thin a panel the assembly line carries is panel-thickness-least. Counted is the boards' thickness as the recipe, " +
				"else the job file, says it. Look whether thickness is right in the board stage, and ask the fabricator.",
			Severity: pipeline.Error, Judge: panelThickness(pipeline.AtLeast),
		},
		{
			Name: "fabricator-thickness-most", Family: pipeline.PanelFamily, Summary: "The fabricator makes panels as thick as this one.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(4), Source: laminate,
			Help: "Drills, cutters and baths go only so deep; how thick a panel the assembly line takes is panel-thickness-most. Counted is the boards' thickness as the recipe, " +
				"else the job file, says it. Look whether thickness is right in the board stage, and ask the fabricator.",
			Severity: pipeline.Error, Judge: panelThickness(pipeline.AtMost),
		},
	}
}
