package rule

import "panelwright/pipeline"

// elsewhere lists the rules that are judged by a stage while it plans, or by the proof on what was written.
func elsewhere() []pipeline.Rule {
	const tabs, proof = "stage breakoff_tabs", "the proof"
	return append(boardRules(), []pipeline.Rule{
		{Name: pipeline.WaiverRule, Family: pipeline.DataFamily, Severity: pipeline.Warning, JudgedBy: "the end of the run",
			Summary: "Every waiver covers a finding, at every place that it names."},
		{Name: "thickness-assumed", Family: pipeline.DataFamily, Severity: pipeline.Warning, JudgedBy: "stage score_lines",
			Summary: "Somebody says how thick scored boards are."},
		{Name: "no-placement", Family: pipeline.DataFamily, Severity: pipeline.Note, JudgedBy: "stage write_assembly",
			Summary: "Every board comes with a placement file."},
		{Name: "legend-date", Family: pipeline.DataFamily, Severity: pipeline.Note, JudgedBy: "stage legend",
			Summary: "A legend that prints the date is told one."},
		{Name: "board-not-held", Family: pipeline.CutsFamily, Severity: pipeline.Error, JudgedBy: tabs,
			Summary: "Tabs hold every board: no free span or corner is too long, tabs lie on opposite sides, the centre of mass within them.",
			Source:  "the stage's own longest_free_span and longest_overhang"},
		{Name: "part-not-known", Family: pipeline.CutsFamily, Severity: pipeline.Warning, JudgedBy: tabs,
			Summary: "Every name in fragile and overhanging means a part of a placed board."},
		{Name: "loose-piece", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Before it is broken, the panel as written is one piece."},
		{Name: "board-damaged", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Every board comes off the panel as written with nothing of it cut away."},
		{Name: "tab-missing", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Every tab has material between the slots as written."},
		{Name: "open-contour", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Every contour of the profile as written closes."},
		{Name: "written-profile", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "The contours as written are those planned."},
		{Name: "written-layer", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Every layer as written is that of the boards, each copy in its place, object by object."},
		{Name: "written-holes", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Holes and slots as written are those of the boards and the plan, in place and diameter."},
		{Name: "written-score", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "Score lines and their table as written are those planned: place, web, depth, angle and tolerances of each."},
		{Name: "written-file", Family: pipeline.ProofFamily, Severity: pipeline.Error, JudgedBy: proof,
			Summary: "The files that should be written are there, and no others."},
	}...)
}
