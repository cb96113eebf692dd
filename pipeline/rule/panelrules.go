package rule

import "panelwright/pipeline"

// panelRules are about the panel as a whole.
func panelRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "copies-overlap", Family: pipeline.PanelFamily, Summary: "Copies do not overlap one another, or the rails.",
			Help: "Two boards cannot be cut from the same laminate. Outlines that touch along an edge do not overlap, and an overlap of a micrometre passes for touching, since places and outlines are rounded; a board in another's cut-out does not either. " +
				"Widen the gap or pitch, or move the copies that are named.",
			Severity: pipeline.Error, Judge: copiesOverlap,
		},
		{
			Name: "stackup-mismatch", Family: pipeline.PanelFamily, Summary: "Boards on one panel agree in layer count, thickness, copper, finish and mask colour.",
			Help: "A panel is one piece of laminate that goes through every bath together. Each placed board is held against the first one; copper's thickness, finish and mask colour " +
				"count only where both boards say them. Give boards that differ a panel of their own, or mend thickness, copper_layers, finish or mask_color of the board stage.",
			Severity: pipeline.Error, Judge: stackupMismatch,
		},
		{
			Name: "panel-size", Family: pipeline.PanelFamily, Summary: "The panel's longer side is not too long for the assembly line.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(410), Source: "the longer side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Help: "Printers, placers and ovens take panels up to a size; this is the assembly line's, and fabricator-panel-size the fabricator's. " +
				"Measured is the longer side of the panel's outline. Take fewer columns or rows, narrower rails or gaps, or turn the copies.",
			Severity: pipeline.Error, Judge: side(true, pipeline.AtMost),
		},
		{
			Name: "panel-breadth", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too long for the assembly line.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(310), Source: "the shorter side of an assembler's largest panel, 310 x 410 mm (pcbcart.com, panel requirements)",
			Help: "The line's conveyor opens only so wide; how broad a panel the fabricator can make is fabricator-panel-breadth. Measured is the shorter side of the panel's outline. " +
				"Take fewer columns or rows, narrower rails or gaps, or turn the copies.",
			Severity: pipeline.Error, Judge: side(false, pipeline.AtMost),
		},
		{
			Name: "panel-long-side", Family: pipeline.PanelFamily, Summary: "The panel's longer side is not too short for the assembly line.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(50), Source: "an assembler's smallest panel, 50 x 50 mm (pcbcart.com, panel requirements)",
			Help: "What is too short falls between the line's rollers or misses the stopper; the fabricator's own least is fabricator-panel-long-side. Measured is the longer side of the panel's outline. " +
				"Some ask for more along the conveyor: 75 to 100 mm are stated for scored panels. Take more columns or rows, or wider rails.",
			Severity: pipeline.Warning, Judge: side(true, pipeline.AtLeast),
		},
		{
			Name: "panel-short-side", Family: pipeline.PanelFamily, Summary: "The panel's shorter side is not too short for the assembly line.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(50), Source: "an assembler's smallest panel, 50 x 50 mm (pcbcart.com, panel requirements)",
			Help: "The sides of the line's conveyor come only so near to one another; the fabricator's own least is fabricator-panel-short-side. Measured is the shorter side of the panel's outline. " +
				"Take more columns or rows, or wider rails.",
			Severity: pipeline.Warning, Judge: side(false, pipeline.AtLeast),
		},
		{
			Name: "panel-thickness-least", Family: pipeline.PanelFamily, Summary: "The panel is not too thin for the assembly line.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.3), Source: "an assembler's range, 0.3 to 4.0 mm (cnfastpcb.com)",
			Help: "Thin laminate sags in the line's oven and slips from its conveyor; what the fabricator makes is fabricator-thickness-least. Counted is the boards' thickness as the recipe, else the job file, says it. " +
				"Ask the assembler for a carrier, and state what is agreed with a limit.",
			Severity: pipeline.Error, Judge: panelThickness(pipeline.AtLeast),
		},
		{
			Name: "panel-thickness-most", Family: pipeline.PanelFamily, Summary: "The panel is not too thick for the assembly line.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(4), Source: "an assembler's range, 0.3 to 4.0 mm (cnfastpcb.com)",
			Help: "The line's conveyors and clamps take laminate up to a thickness; what the fabricator makes is fabricator-thickness-most. Counted is the boards' thickness as the recipe, else the job file, says it. " +
				"Look whether thickness is right in the board stage, and ask the assembler.",
			Severity: pipeline.Error, Judge: panelThickness(pipeline.AtMost),
		},
		{
			Name: "panel-aspect", Family: pipeline.PanelFamily, Summary: "The panel is not too long for its breadth.", Bound: pipeline.AtMost,
			Default: limit(4), Source: "from memory, no published source",
			Help: "A long, narrow panel sags, twists and swings on the conveyor. Measured is the longer side of the outline over the shorter. " +
				"Spread the copies over more rows, or add rails along the long sides.",
			Severity: pipeline.Warning, Judge: panelAspect,
		},
		{
			Name: "panel-weight", Family: pipeline.PanelFamily, Summary: "The panel with its parts is not too heavy for the line.", Bound: pipeline.AtMost, Unit: "g",
			Default: limit(1000), Source: "from memory, no published source",
			Help: "Conveyors and lifts of a line carry only so much. Reckoned are laminate of 1900 kg/m3 (or of what stage support says) as thick as the boards over all that is not routed away, " +
				"copper under everything that copper layers draw (at most the whole board, a layer) as thick as the job file says, else 35 um (likewise), and the parts whose mass the packages table states; " +
				"so the panel itself comes out rather too heavy, and parts of unknown mass are left out. Take fewer copies, or ask the assembler for what the line carries.",
			Severity: pipeline.Warning, Judge: panelWeight, LogWorst: true,
		},
		{
			Name: "panel-utilisation", Family: pipeline.PanelFamily, Summary: "Boards take enough of the panel.", Bound: pipeline.AtLeast, Unit: "%",
			Source: "no published source: a standard or the recipe sets it",
			Help: "Rails, gaps and corners are paid for and thrown away. Measured is the area within the copies' outer edges over that of the panel. " +
				"It is not judged until a limit is set; the log tells the figure all the same. Take more copies, narrower rails or gaps.",
			Severity: pipeline.Warning, Judge: panelUtilisation,
		},
		{
			Name: "panels-per-production-panel", Family: pipeline.PanelFamily, Summary: "The panel fits the fabricator's production panels often enough.", Bound: pipeline.AtLeast,
			Default: limit(1), Source: "what does not fit once cannot be made: common practice, no published source",
			Help: "Fabricators make panels from sheets of few sizes, whose borders they need for themselves. Counted is how many panels fit within the borders, all upright, all turned " +
				"by a quarter, and in rows or columns of both; the production panel that takes the most counts. Which ones there are is said with production_panel blocks " +
				"of the rules stage, best in a standard; without them it is not judged. Change the panel's size a little, or take another count of copies.",
			Severity: pipeline.Warning, Judge: panelsPerProductionPanel,
		},
		{
			Name: "production-panel-use", Family: pipeline.PanelFamily, Summary: "Panels take enough of a production panel.", Bound: pipeline.AtLeast, Unit: "%",
			Default: limit(75), Source: "a fabricator's aim, more than 75 % (Design007, June 2021, pages 84 and 85)",
			Help: "What is left of a production panel is paid for as well. Measured is the area of the most panels that fit over that of the whole production panel, border and all, " +
				"for the production panel of which the most is used. Without production_panel blocks it is not judged. Change the panel's size a little, or take another count of copies.",
			Severity: pipeline.Note, Judge: productionPanelUse,
		},
	}
}
