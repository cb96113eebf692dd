package writeassembly

import (
	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// prints lists what the panel prints for people and machines to read, and the room that it keeps for labels, one row a
// layer, in the order in which they were placed. Bad-board marks have a table of their own.
func prints(p panel.Panel) [][]string {
	out := [][]string{{"print", "use", "side", "made_of", "text", "left_mm", "lower_mm", "width_mm", "height_mm", "letter_height_mm", "symbology", "square_mm"}}
	for _, x := range p.Prints() {
		if x.Use != panel.Lettering && x.Use != panel.Code && x.Use != panel.LabelArea {
			continue
		}
		for _, f := range x.Layers {
			out = append(out, []string{x.ID, string(x.Use), string(f.Side), string(f.Kind), x.Text,
				x.Area.Min.X.Decimal(), x.Area.Min.Y.Decimal(), x.Area.Width().Decimal(), x.Area.Height().Decimal(),
				some(x.LetterHeight), x.Symbology, some(x.Square)})
		}
	}
	return out
}

func some(l geom.Length) string {
	if l == 0 {
		return ""
	}
	return l.Decimal()
}

// printRemarks says what stands above the table of prints.
func printRemarks(env *pipeline.Env) []string {
	return []string{"what panel " + env.Panel + " prints beside its boards, and room for labels", "unit: mm",
		"origin: lower left corner of the panel outline, x right, y up, seen from the top, on both sides",
		"left, lower, width, height: of all that a print takes up; a code's quiet zone and a label area's frame belong to it"}
}
