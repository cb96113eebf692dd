package rule

import "panelwright/pipeline"

// boardRules lists what stage board tells of a board's files while it reads them: what it had to assume or
// leave out, and what does not fit together.
func boardRules() []pipeline.Rule {
	const e, w, n = pipeline.Error, pipeline.Warning, pipeline.Note
	var all []pipeline.Rule
	for _, r := range []struct {
		name          string
		severity      pipeline.Severity
		summary, help string
	}{
		{"file-cut-short", e, "Every file ends with its end code.",
			"A file that broke off in a copy or a download looks whole up to there. Looked for is the end code that its format asks for. Have the file written or fetched again."},
		{"read-in-doubt", w, "Every file can be read in one way only.",
			"Where a file says something that can be read in two ways, the board may come out otherwise than meant. The message says what was taken. Look at the survey's picture, and have the file written anew if it is wrong."},
		{"number-format-guessed", w, "Every drill file says how its numbers are to be read.",
			"A drill file without its unit or digits can be ten times too large. What was taken is what lets holes lie on pads and within the board. Say unit, zeros and digits in a drill block of the board stage."},
		{"layer-off-board", w, "Every layer lies on the board.",
			"A layer that lies beside the board is of another board, or in other units. Counted are its objects that lie beyond the board's edge. Look at the survey's picture; say unit and digits in a layer block, or take the file away."},
		{"board-nearly-bare", w, "Copper covers a good part of the board.",
			"When copper covers a corner of the board alone, the outline is likely to be another one's. Held against the board's size is that of its copper. Look at the survey's picture, and name the right outline with an outline block."},
		{"copper-layer-missing", w, "There is a file for every copper layer.",
			"The panel lacks what no file has. Held against the layers read is copper_layers of the board stage, or the highest layer number. Only a recipe that says copper_layers gets so far. Add the file, or say with a layer block which one it is; see layers-complete."},
		{"copper-may-be-negative", w, "Every inner copper layer is plainly drawn as a positive or as a negative.",
			"A plane drawn as a negative and taken for a positive comes out inverted: that board is scrap. Told is a layer that draws nothing but discs round holes. Look at the survey's picture, and say negative = true in its layer block if it is one."},
		{"negative-inverted", w, "Layers are drawn as positives.",
			"The panel carries positives alone, so a negative is inverted up to the board's edge. Look at the survey's picture of that layer, above all at its edge and round holes."},
		{"layer-not-carried", w, "Every layer is carried to the panel.",
			"A file that the panel has no place for does not reach the fabricator by it. Its function has no counterpart on a panel. Hand it over by another way, or ignore it with a reason in a layer block."},
		{"function-overridden", w, "The recipe takes layers for what their files say they are.",
			"The recipe's word goes before the file's own. If the file is right, a mask may be made as paste. Look which of the two is wrong, and mend it there."},
		{"job-file-differs", w, "The job file says the same as the files.",
			"A job file of another revision is a sign that files are mixed. Held against it are layer count, size, thickness, functions and names of the files that were read. Have all of them written together."},
		{"part-number", w, "The files are of the part number that the recipe says.",
			"Files of another product would be built under this one's number. Compared are the recipe's part_number and the project's name in the files, capitals aside. Take the right files or correct the recipe."},
		{"outline-chosen", w, "One loop alone can be the board's outline.",
			"A board cut along the wrong loop is scrap. Of several loops the one was taken that holds the board's pads and holes. Say it with loop in an outline block, by the name that the survey gives it."},
		{"outline-outside", w, "Holes and pads lie within the outline.",
			"Pads or holes beyond the outline that the recipe gives show that its size or place is wrong. Counted is what it holds. Correct width, height, x and y in the outline block."},
		{"outline-joined", n, "The outline's strokes meet exactly.",
			"Strokes whose ends nearly meet are joined, by moving them. Stated is the largest gap. Have the outline drawn so that it closes, or set outline_tolerance to say how far ends may be apart."},
		{"drawing-ignored", w, "All that the outline's drawing holds counts towards the outline.",
			"Something drawn on the outline's layer is no line, arc or curve, and says nothing to a cutter. Told are its kind and where it stands in the drawing. Look whether it was meant to be cut."},
		{"profile-clear", w, "The profile holds no objects of clear polarity.",
			"A profile draws the edge; nothing can be erased from it. Objects of clear polarity in it are passed over. Look at the survey's picture of the outline."},
		{"profile-regions", w, "The profile is drawn in strokes alone, or in regions alone.",
			"Where strokes draw the edge, filled areas beside them may be notes or cut-outs. They are passed over. Have what is to be cut drawn in strokes."},
		{"profile-flashes", n, "The profile holds no flashes.",
			"A flash in the profile is no edge; a hole drawn so would not be cut. It is passed over. Have holes drawn in a drill file or as closed strokes."},
		{"routed-outline", e, "No drill file routs along the board's own outline.",
			"The panel's own slots part the boards; a drill file that routs along the outline would cut all tabs. Compared are its slots and the board's edge. Have that tool taken out of the file, or ignore the file."},
		{"holes-off-board", e, "Holes are in the coordinates of the outline.",
			"Holes in other coordinates than the outline's are drilled beside their pads. Counted are the holes that lie on the board. Have drill files and layers written with the same origin, or mend unit and digits in a drill block."},
		{"holes-beyond-edge", w, "No hole lies beyond the board's edge.",
			"A few holes beyond the edge may be tooling holes of an earlier panel, or the outline is too small. Counted are holes beside the board. Look at both; see hit-inside-board for what it means on the panel."},
		{"holes-off-pads", w, "Plated holes lie on pads.",
			"Plated holes beside pads join nothing, and show that a file is of another revision or in another unit. Counted are plated holes whose middle lies on a pad. Have all files written together."},
		{"hole-drilled-twice", w, "No hole is in two drill files.",
			"A hole drilled twice is out of round, and one of two platings is wrong. Compared are places of all drill files. Take away the file that is not needed."},
		{"span-assumed", w, "Every drill file says which layers it joins.",
			"Holes drilled through layers that they should not join cause shorts. The file's name was taken for its span. Say from and to in a drill block."},
		{"plating-assumed", w, "Every drill file says whether its holes are plated.",
			"Plating a mounting hole is a nuisance, not plating a via an open joint. What was assumed is stated. Say plating in a drill block."},
		{"tool-list-taken", n, "Every drill file has its tools' diameters itself.",
			"Diameters come from a file beside the drill file; if it is of another revision, they are wrong. Say the file with tool_list in a drill block, or have diameters written into the drill file."},
		{"tool-list-differs", w, "A tool list counts as many holes as its drill file has.",
			"A tool list that counts other holes than the file has is of another revision. Compared are the counts by tool. Have both written together."},
		{"drill-data-as-layer", n, "Drill data come as drill files.",
			"Drill data written in the layer format are taken for holes and slots. Look in the survey whether their number and diameters are right."},
		{"drill-layer-differs", w, "Drill data that come twice are the same.",
			"Of two sources of the same holes one was ignored, and they differ: one of them is old. Counted is what only one has. Take away the one that is wrong."},
		{"drill-files-joined", n, "There is one drill file for each span and plating.",
			"Files of one span and plating become one file on the panel. Nothing needs to be done, unless a file's span or plating is wrong: say it in a drill block."},
		{"placement-side", w, "The placement file says on which side parts are.",
			"Parts taken for the wrong side are placed mirrored. Where no column says the side, pads tell it. Say side in a placement block, or have the column written."},
		{"placement-unit", n, "The placement file says the unit of its places.",
			"Places in the wrong unit are off by 25 times. What was taken is what lets parts lie on pads. Say unit in a placement block."},
		{"placement-origin", w, "The placement file's places agree with pads as they are written.",
			"Placement files often have an origin of their own. The shift was taken at which most parts lie on pads; the message says how many do. Say shift in a placement block."},
		{"placement-outside", w, "Every part of the placement file lies on the board.",
			"Parts beside the board are those of another board, or have another origin. Counted is what lies beyond the edge. Mend the placement file, or say its shift; see part-inside-board."},
		{"refdes-twice", w, "Every reference designator is there once.",
			"Two parts of one name cannot both be right: one may be of another variant. Have the placement file written anew for one variant."},
		{"parts-not-placed", n, "Every part of the parts list is placed.",
			"Lines that say that a part is not to be placed place none. Look whether that is the variant that you build."},
		{"package-not-listed", n, "The table of packages knows every package.",
			"Of a package that the table does not list, size, height and class are not known: rules about bodies pass over it, or take its place alone. Add a row to the table of packages."},
		{"parts-fragile", n, "No part is fragile or tall.",
			"Parts that break easily, or stand high, want care near edges where boards are parted. Listed is what the table calls fragile and what is 10 mm high or more. The rules about parts near breaks judge them."},
		{"part-stands-out", w, "No part stands out over the edge of its board that is not made to.",
			"What stands out over a board's edge is in the way of cutters and neighbours. Measured is how far its body reaches over the outer edge. Say overhang in the table of packages if it is made so; part-over-edge judges it on the panel."},
	} {
		all = append(all, pipeline.Rule{Name: r.name, Family: pipeline.DataFamily, Severity: r.severity, Summary: r.summary, Help: r.help, JudgedBy: "stage board", Place: "gauge"})
	}
	return all
}
