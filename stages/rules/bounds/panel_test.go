package bounds

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// one is a panel of one board, abutted by nothing: its outline is the panel's.
func one(b sheet, rules string) setup {
	return setup{Boards: []sheet{b}, Stages: array(b.name(), 1, 1, 0), Rules: rules}
}

// sized is a panel that is one board of a size.
func sized(width, height float64) setup { return one(sheet{Width: width, Height: height}, "") }

// set is a limit block.
func set(rule, bound, value string) string {
	return fmt.Sprintf("  limit %q {\n    %s = %s\n  }\n", rule, bound, value)
}

var _ = judged(
	bound{
		// Copies 30 mm wide whose pitch is v less. An overlap of one micrometre passes for touching, as the rule's help says; one by a nanometre more does not.
		Rule: "copies-overlap",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}}, Stages: fmt.Sprintf("stage \"array\" {\n  board   = \"gauge\"\n  columns = 2\n  rows    = 1\n  pitch_x = %s\n}\n", digits(30-v))}
		},
		Inside: um, Outside: um + 1e-6,
		NoFigure: true, Copies: []string{"A1", "B1"},
	},
	bound{
		Rule: "stackup-mismatch", Name: "thickness",
		Make: func(v float64) setup {
			return beside(sheet{Options: "  thickness = 1.6"}, sheet{Name: "relay", Options: "  thickness = " + digits(1.6+v)})
		},
		Inside: 0, Outside: um,
		NoFigure: true, Feature: "boards.relay", Says: "relay has a thickness of 1.601 mm, but gauge has 1.6 mm",
	},
	bound{
		Rule: "stackup-mismatch", Name: "layers",
		Make:     either(beside(sheet{}, sheet{Name: "relay"}), beside(sheet{}, sheet{Name: "relay", Layers: 4})),
		NoFigure: true, Feature: "boards.relay", Says: "a copper layer count of 4",
	},
	bound{
		// 35 and 36 um of copper, by the boards' job files.
		Rule: "stackup-mismatch", Name: "copper",
		Make: func(v float64) setup {
			s := beside(sheet{}, sheet{Name: "relay"})
			s.Files = map[string]string{"gauge/gauge.gbrjob": jobFile(2, 0.035), "relay/relay.gbrjob": jobFile(2, 0.035+v)}
			return s
		},
		Inside: 0, Outside: um,
		NoFigure: true, Feature: "boards.relay", Says: "relay has on copper layer 1 a thickness of 0.036 mm, but gauge has 0.035 mm",
	},
	bound{
		// A finish that only one of them states is no contradiction.
		Rule: "stackup-mismatch", Name: "finish",
		Make: either(beside(sheet{Options: "  finish = \"tin\""}, sheet{Name: "relay"}),
			beside(sheet{Options: "  finish = \"tin\""}, sheet{Name: "relay", Options: "  finish = \"gold\""})),
		NoFigure: true, Feature: "boards.relay", Says: "the finish gold",
	},
	bound{
		// A colour that only one of them states is no contradiction.
		Rule: "stackup-mismatch", Name: "mask colour",
		Make: either(beside(sheet{Options: "  mask_color = \"green\""}, sheet{Name: "relay"}),
			beside(sheet{Options: "  mask_color = \"green\""}, sheet{Name: "relay", Options: "  mask_color = \"black\""})),
		NoFigure: true, Feature: "boards.relay", Says: "relay has the mask colour black, but gauge has green",
	},
	bound{
		// Two boards side by side: 2 x 204 mm and a gap of 2 mm are 410 mm, the limit's own default.
		Rule: "panel-size",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{Width: 204, Height: 100}}, Stages: array("gauge", 2, 1, v-408)}
		},
		Inside: 410 - um, Outside: 410 + um,
		Measured: 410.001, Limit: 410, Feature: "panel",
	},
	bound{
		Rule: "panel-breadth", Make: func(v float64) setup { return sized(400, v) },
		Inside: 310 - um, Outside: 310 + um, Measured: 310.001, Limit: 310, Feature: "panel",
	},
	bound{
		Rule: "panel-long-side", Make: func(v float64) setup { return sized(20, v) },
		Inside: 50 + um, Outside: 50 - um, Measured: 49.999, Limit: 50, Feature: "panel",
	},
	bound{
		Rule: "panel-short-side", Make: func(v float64) setup { return sized(v, 80) },
		Inside: 50 + um, Outside: 50 - um, Measured: 49.999, Limit: 50, Feature: "panel",
	},
	bound{
		Rule:   "panel-thickness-least",
		Make:   func(v float64) setup { return one(sheet{Options: "  thickness = " + digits(v)}, "") },
		Inside: 0.3 + um, Outside: 0.3 - um, Measured: 0.299, Limit: 0.3, Feature: "panel",
	},
	bound{
		Rule:   "panel-thickness-most",
		Make:   func(v float64) setup { return one(sheet{Options: "  thickness = " + digits(v)}, "") },
		Inside: 4 - um, Outside: 4 + um, Measured: 4.001, Limit: 4, Feature: "panel",
	},
	// The line's limits are set wide: only the fabricator's has anything to say.
	bound{
		Rule: "fabricator-panel-size", Make: func(v float64) setup { return one(sheet{Width: v, Height: 200}, set("panel-size", "at_most", "600")) },
		Inside: 558.8 - um, Outside: 558.8 + um, Measured: 558.801, Limit: 558.8, Feature: "panel",
	},
	bound{
		Rule: "fabricator-panel-breadth", Make: func(v float64) setup {
			return one(sheet{Width: 420, Height: v}, set("panel-breadth", "at_most", "600"))
		},
		Inside: 406.4 - um, Outside: 406.4 + um, Measured: 406.401, Limit: 406.4, Feature: "panel",
	},
	bound{
		Rule: "fabricator-panel-long-side", Make: func(v float64) setup { return sized(20, v) },
		Inside: 46 + um, Outside: 46 - um, Measured: 45.999, Limit: 46, Feature: "panel",
	},
	bound{
		Rule: "fabricator-panel-short-side", Make: func(v float64) setup { return sized(v, 80) },
		Inside: 36 + um, Outside: 36 - um, Measured: 35.999, Limit: 36, Feature: "panel",
	},
	bound{
		Rule:   "fabricator-thickness-least",
		Make:   func(v float64) setup { return one(sheet{Options: "  thickness = " + digits(v)}, "") },
		Inside: 0.3 + um, Outside: 0.3 - um, Measured: 0.299, Limit: 0.3, Feature: "panel",
	},
	bound{
		Rule:   "fabricator-thickness-most",
		Make:   func(v float64) setup { return one(sheet{Options: "  thickness = " + digits(v)}, "") },
		Inside: 4 - um, Outside: 4 + um, Measured: 4.001, Limit: 4, Feature: "panel",
	},
	// What the fabricator can make does not widen the line: the recipe takes a fabricator of 600 mm.
	bound{
		Rule: "panel-size", Name: "with a fabricator of large panels",
		Make: func(v float64) setup {
			return one(sheet{Width: v, Height: 200}, set("fabricator-panel-size", "at_most", "600"))
		},
		Inside: 410 - um, Outside: 410 + um, Measured: 410.001, Limit: 410, Feature: "panel",
	},
	bound{
		Rule: "panel-aspect", Make: func(v float64) setup { return sized(v, 25) },
		Inside: 100 - um, Outside: 100 + um,
		Measured: 4.00004, // 100.001 / 25
		Limit:    4, Feature: "panel",
	},
	bound{
		// Laminate: (100 x 50 - 10 x 10 cut out) x 1.6 mm = 7840 mm3 x 1.9 mg/mm3 = 14.896 g.
		// Copper: 40 x 20 mm on top, and everything of the bottom, drawn twice but counted once: 800 + 5000 mm2,
		// x 0.035 mm = 203 mm3 x 8.96 mg/mm3 = 1.81888 g. One part of 1 g; the other's mass nobody says.
		// Together 17.71488 g, stated to the milligram.
		Rule: "panel-weight",
		Make: func(v float64) setup {
			whole := area(box(0, 0, 100, 50))
			return one(sheet{Outline: []geom.Path{box(0, 0, 100, 50), box(80, 20, 90, 30)},
				Copper:   map[int][]drawn{1: {area(box(10, 10, 50, 30))}, 2: {whole, whole}},
				Parts:    []part{{Refdes: "T1", Package: "COIL", X: 10, Y: 10}, {Refdes: "R1", Package: "0603", X: 20, Y: 10}},
				Packages: "COIL,12,12,9,1000,,\n"}, set("panel-weight", "at_most", fmt.Sprintf("\"%v g\"", v)))
		},
		Inside: 17.715, Outside: 17.714,
		LimitInside: 17.715, Measured: 17.715, Limit: 17.714, Feature: "panel", Says: "14.896 g of laminate, at most 1.819 g of copper (35 um a layer, where nobody says it), 1 g of the 1 parts of 2 whose weight is known",
	},
	bound{
		// 30 x 20 x 1.6 mm of laminate are 960 mm3, 1.824 g; 20 x 10 mm of copper, by the job file 0.07 mm thick, are
		// 14 mm3, 0.12544 g: 1.94944 g.
		Rule: "panel-weight", Name: "foil by the job file",
		Make: func(v float64) setup {
			s := one(sheet{Copper: map[int][]drawn{1: {area(box(5, 5, 25, 15))}}}, set("panel-weight", "at_most", fmt.Sprintf("\"%v g\"", v)))
			s.Files = map[string]string{"gauge/gauge.gbrjob": jobFile(2, 0.07)}
			return s
		},
		Inside: 1.949, Outside: 1.948,
		LimitInside: 1.949, Measured: 1.949, Limit: 1.948, Feature: "panel", Says: "1.824 g of laminate, at most 0.125 g of copper; no parts are known",
	},
	bound{
		// A rail of 5 mm along a board of 20: 30 x 20 of 30 x 25 mm are 80 %.
		Rule: "panel-utilisation",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\"]\n  width = 5\n  gap   = 0\n}\n",
				Rules: set("panel-utilisation", "at_least", fmt.Sprintf("\"%v %%\"", v))}
		},
		Inside: 80, Outside: 80.0001,
		Measured: 80, Limit: 80.0001, Feature: "panel",
	},
	bound{
		// Usable (v - 10) x 290, between panels 2.5. At v = 212.5 two of 100 and one distance between just fit across,
		// and 5 of 50 with 4 between, 260, up: 10. A micrometre less, and the best is a column of 5 upright and, in the
		// 99.999 mm beside it, one of 2 turned: 7; as many as a row of 1 upright under two rows of 3 turned.
		Rule: "panels-per-production-panel",
		Make: func(v float64) setup {
			s := sized(100, 50)
			s.Rules = set("panels-per-production-panel", "at_least", "10") +
				fmt.Sprintf("  production_panel \"large\" {\n    width = %s\n    height = 300\n    border = 5\n    between = 2.5\n  }\n", digits(v)) +
				"  production_panel \"small\" {\n    width = 90\n    height = 90\n  }\n"
			return s
		},
		Inside: 212.5, Outside: 212.5 - um,
		Measured: 7, Limit: 10, Feature: "panel", Says: "large (202.499 x 290 mm usable): 5 upright, 6 turned by a quarter, 7 with rows of both",
	},
	bound{
		// The same sheet: 10 panels of 100 x 50 take 50 000 of 212.5 x 300 = 63 750 mm2, 78.43 %.
		Rule: "production-panel-use",
		Make: func(v float64) setup {
			s := sized(100, 50)
			s.Rules = set("production-panel-use", "at_least", fmt.Sprintf("\"%v %%\"", v)) +
				"  production_panel \"large\" {\n    width = 212.5\n    height = 300\n    border = 5\n    between = 2.5\n  }\n"
			return s
		},
		Inside: 78.43, Outside: 78.44,
		LimitInside: 78.43, Measured: 78.43, Limit: 78.44, Feature: "panel",
	},
)
