package rule

import "panelwright/pipeline"

// dataRules are about the boards' data.
func dataRules() []pipeline.Rule {
	return []pipeline.Rule{
		{
			Name: "layers-complete", Family: pipeline.DataFamily, Summary: "Every placed board has files for all its copper layers, masks and plated holes.",
			Help: "A layer that nobody notices to be missing comes back as scrap. Looked for is what a board surely has: copper layers up to its count; " +
				"a mask on a side with copper, where its other side, another board of the panel or a fiducial has one there; plated holes, where the netlist " +
				"or pads in the layer files speak of them. A copper layer that the recipe's own copper_layers lets be missing weighs no more than a warning. Add the file to the board's files, or say with layer or drill blocks of the board stage which one it is.",
			Severity: pipeline.Error, Judge: layersComplete,
		},
		{
			Name: "revision-identity", Family: pipeline.DataFamily, Summary: "Part number and revision of every placed board are known.",
			Help: "Papers, codes and later repairs go by part number and revision. They come from the board stage's part_number and revision; a revision that only the files state counts too. " +
				"That files are of two revisions, or of another one than the recipe says, is refused already when the board is read. Say both in the board stage.",
			Severity: pipeline.Warning, Judge: revisionUnknown,
		},
		{
			Name: "revisions-mixed", Family: pipeline.DataFamily, Summary: "No two boards of one part number and different revisions are on one panel.",
			Help: "Once parted, such boards look alike and get mixed up. Compared are part numbers, capitals aside, and revisions of all placed boards. " +
				"Make a panel for each revision, or give what is really another product its own part number.",
			Severity: pipeline.Error, Judge: revisionsMixed,
		},
		{
			Name: "part-inside-board", Family: pipeline.DataFamily, Summary: "Parts are placed on their board.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: what is soldered stands on the board",
			Help: "A part whose place lies off its board belongs to another origin, or to nothing. Measured is how far the place lies outside the board's outer edge; " +
				"parts that the packages table lets stand out (overhang) do not count, nor do placements that are known not to be in the board's coordinates. " +
				"Mend the placement file, state its shift in a placement block, or allow as much as a connector's place is known to stand out.",
			Severity: pipeline.Warning, Judge: partInsideBoard,
		},
		{
			Name: "hit-inside-board", Family: pipeline.DataFamily, Summary: "Holes and slots of a board's drill files lie within the board.", Bound: pipeline.AtMost, Unit: "mm",
			Default: limit(0), Source: "common practice, no published source: what a board's files drill is the board's",
			Help: "Hits beside the board are drilled into its neighbours, rails or slots. Measured is how far a hole's or slot's rim reaches over the board's outer edge, " +
				"worst of each drill file; plated holes where the edge is castellated, plated or has fingers belong there. " +
				"Have tooling or break-off holes of an earlier panel taken out of the board's files, or open the edge with a cut-out instead.",
			Severity: pipeline.Warning, Judge: hitInsideBoard, Measure: hitFigure,
		},
		{
			Name: "reach-into-neighbour", Family: pipeline.DataFamily, Summary: "Nothing of one copy lies on another.",
			Help: "Copper or holes of one copy that lie on another change that one. What reaches over a board's own edge is cut half-way to the neighbour; " +
				"this tells of what could not be cut: holes, and artwork of boards that interlock. Widen the gap, turn the copies, or take the object out of the board's files.",
			Severity: pipeline.Error, Judge: reachIntoNeighbour,
		},
		{
			Name: "cut-at-neighbour", Family: pipeline.DataFamily, Summary: "Boards have no data outside their outline that would land on a neighbouring copy.",
			Help: "Files may hold outlines of overhanging parts, or notes, beside the board. What would land on a neighbouring copy is cut half-way or left out, " +
				"so that every copy is as its files say; look whether that was meant for the fabricator. A wider gap lets it stand.",
			Severity: pipeline.Warning, Judge: cutAtNeighbour,
		},
	}
}
