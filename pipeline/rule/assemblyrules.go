package rule

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// howNear is how every rule about parts near a break measures.
const howNear = " It is measured on the plan, from the part's body to the line through the holes of a tab's row, to the line along which a tab's end " +
	"is cut by hand, or to the middle of a score line. The body comes from the shop's table of bodies; where the table says none the room of its pads counts for a part of a class, " +
	"otherwise the part's place, and the finding says so. Of each part the nearest break is told, copies that are alike together."

// whichClass says where the class comes from.
const whichClass = " What a part is stands in the column class of the shop's table of bodies; where the table is silent it is guessed from the reference designator " +
	"and the package's name, and then a finding never weighs more than a warning."

// assemblyRules are about parts, and the line that places them.
func assemblyRules() []pipeline.Rule {
	const doPart = " Move the tab (pinned or forbidden in stage breakoff_tabs, or fragile to keep tabs away), turn or move the part, or part the panel by a router."
	near := func(name, summary string, least float64, source, help string, n nearBreak) pipeline.Rule {
		r := pipeline.Rule{
			Name: name, Family: pipeline.AssemblyFamily, Summary: summary, Bound: pipeline.AtLeast, Unit: "mm", Default: limit(least), Source: source,
			Severity: pipeline.Warning, Help: help + howNear, Judge: n.judge,
		}
		r.Measure = sounded(n.any)(r)
		return r
	}
	const cracks = "Ceramic capacitors crack when the board beneath them bends, and a crack is seldom seen before the part fails in the field. "
	capacitor := func(small, across bool, least float64, source string) pipeline.Rule {
		n := nearBreak{ofClass(panel.CeramicCapacitor), capacitors(small, across), "ceramic capacitor"}
		name, which, how, why := "ceramic-capacitor-", "Ceramic capacitors longer than 1.6 mm", "across", "A body that lies across the break is strained along its whole length; one that lies along it much less."
		if small {
			name, which = "small-ceramic-capacitor-", "Ceramic capacitors up to 1.6 mm long"
		}
		if !across {
			how, why = "along", "A body that lies along the break is strained less than one that lies across it, which has a limit of its own."
		}
		help := cracks + why + " 45° and more to the break count as across, and so does a square body."
		if !small && !across {
			help += " A capacitor of which the body is not known is judged by this rule."
		}
		return near(name+how+"-break", fmt.Sprintf("%s that lie %s a break keep away from it.", which, how), least, source, help+doPart+whichClass, n)
	}
	const unpublished = "from memory, no published source"
	const anyPart = "an assembler's page, parts to a tab: 3.2 mm or more (qeeebo.com); to a score line as much: from memory, no published source"
	return []pipeline.Rule{
		capacitor(false, true, 6.4, unpublished+": 5 to 6.4 mm to a tab, long axis parallel to the break; across it the larger"),
		capacitor(false, false, 5, unpublished+": 5 to 6.4 mm to a tab, long axis parallel to the break"),
		capacitor(true, true, 5, unpublished+": 5 to 6.4 mm to a tab; small chips bear more, so the smaller even across"),
		capacitor(true, false, 3.2, anyPart),
		near("crystal-near-break", "Crystals keep away from breaks.", 5, unpublished,
			"A crystal's blank or its seal can break by the shock of breaking a tab, and its frequency can shift."+doPart+whichClass,
			nearBreak{ofClass(panel.Crystal), nil, "crystal"}),
		near("connector-near-break", "Connectors keep away from breaks.", 3.2, anyPart,
			"A connector is stiff and long: its joints take up what the board bends. It is also in the way of the hands or the tool that break."+doPart+whichClass,
			nearBreak{ofClass(panel.Connector), nil, "connector"}),
		near("ball-grid-near-break", "Ball-grid arrays keep away from breaks.", 6.4, unpublished+": as large ceramic capacitors",
			"The balls at a ball-grid array's corners are the first joints to crack when the board bends, and nobody sees them."+doPart+whichClass,
			nearBreak{ofClass(panel.BallGridArray), nil, "ball-grid array"}),
		near("part-near-break", "Parts keep away from breaks.", 3.2, anyPart,
			"Breaking bends and jolts the board near the break: of resistor networks 0.8 mm from a groove about one in twenty cracked when a rolling blade parted the boards (IPC TechNet, April 2000). This rule is for all parts but those whose class the table says: ceramic capacitors, crystals, connectors "+
				"and ball-grid arrays have rules of their own."+doPart,
			nearBreak{parts: noRuleOfItsOwn}),
		near("tall-part-near-score", "Parts 10 mm and higher keep away from score lines.", 5, unpublished+": ask for the profile of the machine that parts the boards",
			"Scored panels are often parted by a disc or blade that runs along the line, and its hub or guide passes over what stands beside it. Parts from 10 mm height on "+
				"(from memory), on either side, by the height in the shop's table of bodies. Move the part, or use tabs along that edge.",
			nearBreak{parts: tallPart, meets: atScore}),
		{
			Name: "part-over-edge", Family: pipeline.AssemblyFamily, Summary: "Parts that stand out over their board's edge have slots or nothing beneath them.",
			Severity: pipeline.Error, Judge: partOverEdge,
			Help: "A body that stands out over the edge may lie over a slot. Over a score line it is an error: the blade runs into it. Over the neighbouring board, a rail, a tab or the panel's " +
				"own edge, or over a neighbour's part whose height nobody says, it is a warning. Bodies come from the shop's table of bodies; without one nothing is found here. Give the board more room (gap), turn it, or keep tabs and rails away " +
				"from that edge. What it does to parts of the neighbouring board is for part-collision and part-over-part.",
		},
		{
			Name: "part-collision", Family: pipeline.AssemblyFamily, Summary: "Parts of neighbouring copies keep away from each other.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.5), Source: unpublished + ": room for placing and for a nozzle beside a body that stands already",
			Severity: pipeline.Error, Judge: partCollision,
			Help: "Two copies can be so near to each other that bodies at their edges cannot both be placed. Measured on the plan between the bodies of the shop's table of bodies on the same side " +
				"of the panel. A part whose underside (column underside of the table) lies higher than its neighbour is tall does not count; where one hangs over the other, part-over-part " +
				"judges. Give the copies more room or turn them.",
		},
		{
			Name: "part-over-part", Family: pipeline.AssemblyFamily, Summary: "A part that hangs over a neighbouring copy's part has room above it.", Bound: pipeline.AtLeast, Unit: "mm",
			Default: limit(0.5), Source: unpublished + ": bodies stand up to some tenths higher than nominal after soldering",
			Severity: pipeline.Error, Judge: partOverPart,
			Help: "Measured from the top of the lower part to the underside of the part that stands out over its board's edge: columns height and underside of the shop's table of bodies. " +
				"Where the lower part's height is not known part-over-edge tells of it. Mind the order in which they are placed: the lower one first.",
		},
	}
}
