package writeassembly

import (
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// badBoardMarks lists where each copy's bad-board mark is, one row a side, in the order in which they were placed.
func badBoardMarks(p panel.Panel) [][]string {
	out := [][]string{{"copy", "mark", "side", "x_mm", "y_mm", "diameter_mm", "made_of"}}
	for _, x := range p.Prints() {
		if x.Use != panel.BadBoard {
			continue
		}
		for _, f := range x.Layers {
			if f.Kind != panel.Copper && f.Kind != panel.Legend {
				continue // the opening round it
			}
			for _, d := range x.Dots {
				out = append(out, []string{x.Copy, x.ID, string(f.Side), d.At.X.Decimal(), d.At.Y.Decimal(), d.Diameter.Decimal(), string(f.Kind)})
			}
		}
	}
	return out
}

// badBoardRemarks says what stands above the table: what the marks are for, and how many copies may be bad.
func badBoardRemarks(env *pipeline.Env, p panel.Panel) []string {
	out := []string{"bad-board marks of panel " + env.Panel, "unit: mm", "origin: lower left corner of the panel outline, x right, y up, seen from the top",
		"a copy whose mark is blacked out is bad: leave it out"}
	return append(out, agreed(p)...)
}

// agreed says how many copies may be bad; nothing where nobody has said it.
func agreed(p panel.Panel) []string {
	x, ok := p.XOut()
	if !ok {
		return nil
	}
	source := ""
	if x.Source != "" {
		source = "; " + x.Source
	}
	n := len(p.Copies())
	if x.Copies == 0 || x.Panels == 0 {
		return []string{fmt.Sprintf("agreed (X-out): none of the %d copies of a panel may be bad%s", n, source)}
	}
	return []string{fmt.Sprintf("agreed (X-out): at most %d of the %d copies of a panel may be bad, in at most %s of the panels delivered%s", x.Copies, n, x.Panels.Percent(), source)}
}

// remarks gives what stands above a table, by the table's name.
func remarks(env *pipeline.Env, p panel.Panel, name string) []string {
	switch name {
	case "bad-board-marks":
		return badBoardRemarks(env, p)
	case "copies":
		return agreed(p)
	case "prints":
		return printRemarks(env)
	}
	return nil
}
