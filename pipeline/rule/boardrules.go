package rule

import "panelwright/pipeline"

// boardRules lists what stage board tells of a board's files while it reads them: what it had to assume or
// leave out, and what does not fit together.
func boardRules() []pipeline.Rule {
	const e, w, n = pipeline.Error, pipeline.Warning, pipeline.Note
	var all []pipeline.Rule
	for _, r := range []struct {
		name     string
		severity pipeline.Severity
		summary  string
	}{
		{"file-cut-short", e, "Every file ends with its end code."},
		{"read-in-doubt", w, "Every file can be read in one way only."},
		{"number-format-guessed", w, "Every drill file says how its numbers are to be read."},
		{"layer-off-board", w, "Every layer lies on the board."},
		{"board-nearly-bare", w, "Copper covers a good part of the board."},
		{"copper-layer-missing", w, "There is a file for every copper layer."},
		{"copper-may-be-negative", w, "Every inner copper layer is plainly drawn as a positive or as a negative."},
		{"negative-inverted", w, "Layers are drawn as positives."},
		{"layer-not-carried", w, "Every layer is carried to the panel."},
		{"function-overridden", w, "The recipe takes layers for what their files say they are."},
		{"job-file-differs", w, "The job file says the same as the files."},
		{"part-number", w, "The files are of the part number that the recipe says."},
		{"outline-chosen", w, "One loop alone can be the board's outline."},
		{"outline-outside", w, "Holes and pads lie within the outline."},
		{"outline-joined", n, "The outline's strokes meet exactly."},
		{"drawing-ignored", w, "All that the outline's drawing holds counts towards the outline."},
		{"profile-clear", w, "The profile holds no objects of clear polarity."},
		{"profile-regions", w, "The profile is drawn in strokes alone, or in regions alone."},
		{"profile-flashes", n, "The profile holds no flashes."},
		{"routed-outline", e, "No drill file routs along the board's own outline."},
		{"holes-off-board", e, "Holes are in the coordinates of the outline."},
		{"holes-beyond-edge", w, "No hole lies beyond the board's edge."},
		{"holes-off-pads", w, "Plated holes lie on pads."},
		{"hole-drilled-twice", w, "No hole is in two drill files."},
		{"span-assumed", w, "Every drill file says which layers it joins."},
		{"plating-assumed", w, "Every drill file says whether its holes are plated."},
		{"tool-list-taken", n, "Every drill file has its tools' diameters itself."},
		{"tool-list-differs", w, "A tool list counts as many holes as its drill file has."},
		{"drill-data-as-layer", n, "Drill data come as drill files."},
		{"drill-layer-differs", w, "Drill data that come twice are the same."},
		{"drill-files-joined", n, "There is one drill file for each span and plating."},
		{"placement-side", w, "The placement file says on which side parts are."},
		{"placement-unit", n, "The placement file says the unit of its places."},
		{"placement-origin", w, "The placement file's places agree with pads as they are written."},
		{"placement-outside", w, "Every part of the placement file lies on the board."},
		{"refdes-twice", w, "Every reference designator is there once."},
		{"parts-not-placed", n, "Every part of the parts list is placed."},
		{"package-not-listed", n, "The table of packages knows every package."},
		{"parts-fragile", n, "No part is fragile or tall."},
		{"part-stands-out", w, "No part stands out over the edge of its board that is not made to."},
	} {
		all = append(all, pipeline.Rule{Name: r.name, Family: pipeline.DataFamily, Severity: r.severity, Summary: r.summary, JudgedBy: "stage board"})
	}
	return all
}
