package bounds

import (
	"fmt"
	"strings"

	"panelwright/pipeline/geom"
)

// scored is one board between two rails that abut, with a score line along its lower edge, y = 10, and one along
// its upper edge. The board's own y is 10 less.
func scored(s sheet, options, rules string) setup {
	return setup{Boards: []sheet{s}, Rules: rules, Stages: array("gauge", 1, 1, 0) +
		"stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  gap   = 0\n  width = 10\n}\nstage \"score_lines\" {\n" + options + "\n}\n"}
}

// nearLower is a board with copper on a layer whose rim comes to within v of the lower edge: a dot of 1 mm.
func nearLower(layer int, v float64, options string) sheet {
	return sheet{Layers: 4, Copper: map[int][]drawn{layer: {dot(15, v+0.5, 1)}}, Options: options}
}

var _ = judged(
	bound{
		// The left boards are 20 mm high, so that their line lies at y = 20; the board beside them is 20 + v high.
		Rule: "score-through-board",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}, {Name: "modem", Width: 10, Height: 20 + v}},
				Stages: "stage \"array\" {\n  name = \"left\"\n  board = \"gauge\"\n  columns = 1\n  rows = 2\n  gap = 0\n}\n" +
					"stage \"array\" {\n  name = \"right\"\n  board = \"modem\"\n  columns = 1\n  rows = 1\n  beside = \"right\"\n  beside_gap = 2\n}\n" +
					"stage \"score_lines\" {\n  between = [\"rows\"]\n}\n"}
		},
		Inside: -um, Outside: um,
		Measured: 0.001, Limit: 0, Feature: "score/y1", Copies: []string{"right.A1"},
	},
	bound{
		// A fabricator's table: 0.50 mm for 1.6 mm. The groove asks for less: depth (1.6 - 0.3)/2 = 0.65,
		// 0.65 x tan 15° = 0.174, and 0.15 for the line's place.
		Rule: "copper-to-score", Name: "1.6 mm",
		Make:   func(v float64) setup { return scored(nearLower(1, v, ""), "", "") },
		Inside: 0.5 + um, Outside: 0.5 - um,
		Measured: 0.499, Limit: 0.5, Feature: "score/y1", Copies: []string{"A1"}, At: "(15, 10)",
	},
	bound{
		Rule: "copper-to-score", Name: "0.8 mm",
		Make:   func(v float64) setup { return scored(nearLower(4, v, "thickness = 0.8"), "", "") },
		Inside: 0.4 + um, Outside: 0.4 - um,
		Measured: 0.399, Limit: 0.4, Feature: "score/y1",
	},
	bound{
		Rule: "copper-to-score", Name: "1.2 mm counts as 1.6",
		Make:   func(v float64) setup { return scored(nearLower(1, v, "thickness = 1.2"), "", "") },
		Inside: 0.5 + um, Outside: 0.5 - um,
		Measured: 0.499, Limit: 0.5, Feature: "score/y1",
	},
	bound{
		Rule: "copper-to-score", Name: "2.0 mm",
		Make:   func(v float64) setup { return scored(nearLower(1, v, "thickness = 2"), "", "") },
		Inside: 0.6 + um, Outside: 0.6 - um,
		Measured: 0.599, Limit: 0.6, Feature: "score/y1",
	},
	bound{
		Rule: "copper-to-score", Name: "2.4 mm",
		Make:   func(v float64) setup { return scored(nearLower(1, v, "thickness = 2.4"), "", "") },
		Inside: 0.7 + um, Outside: 0.7 - um,
		Measured: 0.699, Limit: 0.7, Feature: "score/y1",
	},
	bound{
		// Depth (2.4 - 0.4)/2 = 1 mm, 60° whole: 1 x tan 30° = 0.577351 at the surface, rounded up to the nanometre, and
		// 0.15 for the line's place: 0.727351, more than the limit that the recipe sets.
		Rule: "copper-to-score", Name: "the groove asks for more than the limit",
		Make: func(v float64) setup {
			return scored(nearLower(1, v, "thickness = 2.4"), "included_angle = \"60 deg\"", "limit \"copper-to-score\" {\n  at_least = 0.2\n}")
		},
		Inside: 0.727351 + um, Outside: 0.727351 - um,
		Measured: 0.726351, Limit: 0.727351, Feature: "score/y1", Says: "half of the groove, 0.577351 mm",
	},
	bound{
		// The line lies 0.889 mm (35 mil) below the board's edge: copper is v - 0.889 from that edge.
		Rule: "copper-to-score", Name: "blank laminate counts",
		Make: func(v float64) setup {
			s := scored(nearLower(1, v-0.889, ""), "leave = \"35 mil\"", "limit \"copper-to-score\" {\n  at_least = 1\n}")
			s.Stages = array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  gap   = \"35 mil\"\n  width = 10\n}\nstage \"score_lines\" {\n  leave = \"35 mil\"\n}\n"
			return s
		},
		Inside: 1 + um, Outside: 1 - um,
		Measured: 0.999, Limit: 1, Feature: "score/y1", At: "(15, 10)",
	},
	bound{
		Rule: "inner-copper-to-score", Name: "table",
		Make:   func(v float64) setup { return scored(nearLower(2, v, ""), "", "") },
		Inside: 0.5 + um, Outside: 0.5 - um,
		Measured: 0.499, Limit: 0.5, Feature: "score/y1", Copies: []string{"A1"},
	},
	bound{
		Rule: "inner-copper-to-score", Name: "not less than outside",
		Make: func(v float64) setup {
			return scored(nearLower(3, v, ""), "", "limit \"copper-to-score\" {\n  at_least = 0.6\n}\nlimit \"inner-copper-to-score\" {\n  at_least = 0.2\n}")
		},
		Inside: 0.6 + um, Outside: 0.6 - um,
		Measured: 0.599, Limit: 0.6, Feature: "score/y1",
	},
	bound{
		// A hole of 2 mm whose middle lies 1 + v above the lower edge.
		Rule: "hole-to-score",
		Make: func(v float64) setup {
			return scored(sheet{NonPlated: []bore{{X: 15, Y: 1 + v, D: 2}}}, "", "")
		},
		Inside: 0.5 + um, Outside: 0.5 - um,
		Measured: 0.499, Limit: 0.5, Feature: "score/y1", Copies: []string{"A1"},
	},
	bound{
		// 60° and a web of 0.2 in 2.4 mm: depth 1.1, half width 1.1 x tan 30° = 0.635086 rounded up, and 0.15.
		Rule: "hole-to-score", Name: "the groove asks for more",
		Make: func(v float64) setup {
			return scored(sheet{NonPlated: []bore{{X: 15, Y: 1 + v, D: 2}}, Options: "thickness = 2.4"}, "included_angle = \"60 deg\"\n  remaining_web = 0.2", "")
		},
		Inside: 0.785086 + um, Outside: 0.785086 - um,
		Measured: 0.784086, Limit: 0.785086, Feature: "score/y1",
	},
	bound{
		// Three plated holes of 1 mm on the lower edge, from x = 10 to x = 15.08: from the first's rim to the last's, 9.5
		// to 15.58 mm.
		Rule: "score-on-edge-class",
		Make: func(v float64) setup {
			up := 5 * (1 - v) // in the middle of the board they are holes like others
			return scored(sheet{Plated: []bore{{X: 10, Y: up, D: 1}, {X: 12.54, Y: up, D: 1}, {X: 15.08, Y: up, D: 1}},
				Copper: map[int][]drawn{1: {dot(10, up, 1.6), dot(12.54, up, 1.6), dot(15.08, up, 1.6)}, 2: {dot(10, up, 1.6), dot(12.54, up, 1.6), dot(15.08, up, 1.6)}}}, "", "")
		},
		Coarse:   "panels that differ in kind; the limit itself is another case's",
		Measured: 6.08, Limit: 0, Feature: "score/y1", Copies: []string{"A1"}, Says: "castellated",
	},
	bound{
		// The same three, the last one v from the first: v + 1 mm from rim to rim, of which the recipe allows 6.08.
		Rule: "score-on-edge-class", Name: "length",
		Make: func(v float64) setup {
			row := []float64{10, 12.54, 9 + v}
			s := sheet{Copper: map[int][]drawn{}}
			for _, x := range row {
				s.Plated = append(s.Plated, bore{X: x, D: 1})
				for layer := 1; layer <= 2; layer++ {
					s.Copper[layer] = append(s.Copper[layer], dot(x, 0, 1.6))
				}
			}
			return scored(s, "", set("score-on-edge-class", "at_most", "6.08"))
		},
		Inside: 6.08 - um, Outside: 6.08 + um,
		Measured: 6.081, Limit: 6.08, Feature: "score/y1", Says: "castellated",
	},
	bound{
		// The lower corners cut off: of 30 mm v are left between them, from x = 12.5 on.
		Rule: "edge-on-score",
		Make: func(v float64) setup {
			return scored(sheet{Outline: []geom.Path{polygon(12.5, 0, 12.5+v, 0, 30, 12.5, 30, 20, 0, 20, 0, 12.5)}}, "", "")
		},
		Inside: 5 + um, Outside: 5 - um,
		Measured: 4.999, Limit: 5, Feature: "A1", Copies: []string{"A1"},
	},
	bound{
		// A round board touches the line in a point: of its two lines each has a finding.
		Rule: "edge-on-score", Name: "a round board",
		Make: func(v float64) setup {
			outline := box(0, 0, 20, 20)
			if v > 0 {
				outline = disc(10, 10, 10)
			}
			return scored(sheet{Outline: []geom.Path{outline}}, "", "")
		},
		Coarse:   "panels that differ in kind; the limit itself is another case's",
		Measured: 0, Limit: 5, Feature: "A1", Findings: 2,
	},
	bound{
		// A board that stands on the end of a line that jumps: nothing is left ahead.
		Rule: "score-run-out", Name: "a board begins where the line ends",
		Make: func(v float64) setup {
			s := jumping(v, "lead_in = 0")
			s.Stages = strings.Replace(s.Stages, "between = [\"rows\"]", "between = [\"columns\"]", 1)
			s.Boards[1] = sheet{Name: "modem", Width: 10, Height: 20}
			s.Stages = "stage \"place\" {\n  copy \"P1\" {\n    board = \"gauge\"\n    x = 0\n    y = 0\n  }\n" +
				"  copy \"P2\" {\n    board = \"gauge\"\n    x = 30\n    y = 0\n  }\n" +
				fmt.Sprintf("  copy \"P3\" {\n    board = \"modem\"\n    x = 25\n    y = %s\n  }\n}\n", digits(20+v)) +
				"stage \"score_lines\" {\n  between = [\"columns\"]\n  jump = true\n  lead_in = 0\n}\n"
			return s
		},
		Inside: 15 + um, Outside: 0.0, Coarse: "a board that stands on the line's end is told of in words of its own; the limit itself is the next case's",
		Measured: 0, Limit: 15, Feature: "score/x1", At: "(30, 20)", Says: "P3",
	},
	bound{
		// Two boards v apart, a line along each of their edges.
		Rule: "score-spacing",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}}, Stages: array("gauge", 2, 1, v) + "stage \"score_lines\" {\n  between = [\"columns\"]\n  least_strip = 1\n}\n"}
		},
		Inside: 5 + um, Outside: 5 - um,
		Measured: 4.999, Limit: 5, Feature: "score/x2",
	},
	bound{
		Rule:   "score-thickness",
		Make:   func(v float64) setup { return scored(sheet{Options: fmt.Sprintf("thickness = %s", digits(v))}, "", "") },
		Inside: 0.8 + um, Outside: 0.8 - um,
		Measured: 0.799, Limit: 0.8, Feature: "panel",
	},
	bound{
		// The web may come out thinner by its tolerance of 0.1 mm.
		Rule: "score-web",
		Make: func(v float64) setup {
			return scored(sheet{}, fmt.Sprintf("remaining_web = %s\n  web_tolerance = 0.1", digits(v+0.1)), "")
		},
		Inside: 0.2 + um, Outside: 0.2 - um, // depths are half of 1.6 mm less the web: 649.5 and 650.5 um
		Measured: 0.199, Limit: 0.2, Feature: "score/y1",
	},
	bound{
		// The line along the left board's upper edge ends with it, at x = 30; the board beside it is higher and begins
		// at 30 + v. Depth 0.65, blade 100 mm: √(0.65 x 99.35) = 8.037 mm, rounded up to the micrometre; no margin.
		Rule: "score-run-out", Name: "a board ahead",
		Make:   func(v float64) setup { return jumping(v, "lead_in = 0") },
		Inside: 15 + um, Outside: 15 - um,
		Measured: 14.999, Limit: 15, Feature: "score/y1", At: "(30, 20)", Says: "right.A1",
	},
	bound{
		// The same with a margin of 8 mm: 8.037 + 8 = 16.037 mm.
		Rule: "score-run-out", Name: "blade and margin ask for more",
		Make:   func(v float64) setup { return jumping(v, "lead_in = 8") },
		Inside: 16.037 + um, Outside: 16.037 - um,
		Measured: 16.036, Limit: 16.037, Feature: "score/y1",
	},
	bound{
		// The board's height and two rails of 10 mm.
		Rule: "scored-panel-side",
		Make: func(v float64) setup {
			return scored(sheet{Width: 130, Height: v - 20}, "", "")
		},
		Inside: 100 + um, Outside: 100 - um,
		Measured: 99.999, Limit: 100, Feature: "panel",
	},
)

// jumping is a board below another, and a higher one v beside them: the line between the two may jump.
func jumping(v float64, options string) setup {
	return setup{Boards: []sheet{{}, {Name: "modem", Width: 10, Height: 40}},
		Stages: "stage \"array\" {\n  name = \"left\"\n  board = \"gauge\"\n  columns = 1\n  rows = 2\n  gap = 0\n}\n" +
			fmt.Sprintf("stage \"array\" {\n  name = \"right\"\n  board = \"modem\"\n  columns = 1\n  rows = 1\n  beside = \"right\"\n  beside_gap = %s\n}\n", digits(v)) +
			"stage \"score_lines\" {\n  between = [\"rows\"]\n  jump = true\n" + options + "\n}\n"}
}
