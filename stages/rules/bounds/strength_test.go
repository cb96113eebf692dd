package bounds

import "fmt"

// Beside each case stands what beam theory says; the rules reckon with finite elements, so figures may differ by the
// share that Close allows. The laminate is the usual one: 24 GPa along x, 21 GPa along y, 1900 kg/m3, 0.4 of both stiffness
// and strength in the oven, 345 MPa along y, notch factor 1.6. A board of 1.6 mm has two foils of 35 um, of which nothing is left here, so the
// laminate is 1.53 mm thick and weighs 1900 x 0.00153 x 9.80665 = 28.508 N/m2.

// strip is one board of 100 x 20 mm that lies on its two short edges, 100 mm apart.
func strip(support, rules string) setup {
	return setup{Boards: []sheet{{Width: 100, Height: 20}}, Stages: array("gauge", 1, 1, 0) + "stage \"support\" {\n  sides = [\"left\", \"right\"]\n" + support + "}\n", Rules: rules}
}

// hung is a board of 40 x 30 mm that hangs on one tab below and one above, between rails of 10 mm that are carried at their outer
// edges, 54 mm apart.
func hung(support, rules string, tabs ...float64) setup {
	pins := ""
	for _, x := range tabs {
		for _, edge := range [2]string{"lower", "upper"} {
			pins += fmt.Sprintf("  pinned {\n    copy = \"A1\"\n    edge = %q\n    position = %s\n  }\n", edge, digits(x))
		}
	}
	for _, edge := range [2]string{"lower", "upper"} {
		pins += fmt.Sprintf("  forbidden {\n    copy = \"A1\"\n    edge = %q\n    from = 0\n    to = 40\n  }\n", edge)
	}
	s := tabbed(nil, "", "")
	s.Stages = array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  width = 10\n  gap = 2\n}\nstage \"breakoff_tabs\" {\n" + pins + "}\nstage \"support\" {\n" + support + "}\n"
	return s.with(rules)
}

// cut is the strip with a slot across its middle that leaves v of 20 mm.
func cut(v float64) setup {
	s := strip("", "")
	s.Stages = array("gauge", 1, 1, 0) + fmt.Sprintf("stage \"gauge_cuts\" {\n  slot {\n    x = 49\n    y = 0\n    width = 2\n    height = %s\n  }\n}\n", digits(20-v)) +
		s.Stages[len(array("gauge", 1, 1, 0)):]
	return s
}

var _ = judged(
	// Each half lies on one edge alone: it tips.
	bound{Rule: "panel-carried", Make: func(v float64) setup { return cut(4 - 4*v) }, NoFigure: true, Feature: "A1", Says: "is carried along one line only and turns about it"},

	// A beam on two supports: 5 q L^4 / 384 E I, per breadth 5 x 28.508 x 0.1^4 / (384 x 24e9 x 0.00153^3 / 12) = 5.182 um, 0.005182 % of the
	// span; in the oven over 0.4, 0.01296 %.
	bound{Rule: "panel-sag", Make: func(v float64) setup { return strip("  force = 0\n", set("panel-sag", "at_most", digits(v))) },
		Inside: 0.0133, LimitInside: 0.0133, Outside: 0.0126, Limit: 0.0126, Measured: 0.01296, Close: 0.00013, Feature: "panel", Says: "in the oven: "},
	// 5 N on its middle are F L^3 / 48 E I = 5 x 0.1^3 / (48 x 24e9 x 0.020 x 0.00153^3 / 12) = 0.7271 mm more than its own 0.0052 mm.
	bound{Rule: "panel-sag", Name: "pressed", Make: func(v float64) setup { return strip("  force = 5\n", set("panel-sag", "at_most", digits(v))) },
		Inside: 0.75, LimitInside: 0.75, Outside: 0.71, Limit: 0.71, Measured: 0.7323, Close: 0.015, Feature: "panel", Says: "cold, 5 N pressing on A1: "},
	// The limit of stage support.
	bound{Rule: "panel-sag", Name: "most_sag", Make: func(v float64) setup { return strip("  force = 0\n  most_sag = "+digits(v)+"\n", "") },
		Inside: 0.0133, LimitInside: 0.0133, Outside: 0.0126, Limit: 0.0126, Measured: 0.01296, Close: 0.00013, Feature: "panel"},
	// pi / 2 L^2 times the root of E I over the mass per length: 157.08 x root of (7.163 N m / 2.907 kg/m2) = 246.6 Hz.
	bound{Rule: "panel-frequency", Make: func(v float64) setup { return strip("", set("panel-frequency", "at_least", digits(v))) },
		Inside: 240, LimitInside: 240, Outside: 252, Limit: 252, Measured: 246.6, Close: 3, Feature: "panel"},

	// A rail weighs 400 mm2 x 2.8508e-5 N/mm2 = 0.01140 N, half the board 0.01711 N, a tab of 2 x 4.4 mm 0.00025 N: each edge of the panel
	// bears 0.02876 N. The row lies 11.75 mm from it: its moment is 0.02876 x 11.75 - 0.01140 x 6.75 - 0.00025 x 0.8 = 0.2608 N mm.
	// The row has four webs of 0.3 mm and, where the round slot ends, two of 0.445 mm: 2.090 x 1.53^2 / 6 = 0.8155 mm3. With the notch
	// factor that is a stress of 0.5117 MPa, were all ligaments strained alike; the rule goes by the one that is strained most, some 3 %
	// more. In the oven 0.4 x 345 / 0.5117 = 269.7 times.
	bound{Rule: "tab-strength", Make: func(v float64) setup { return hung("  force = 0\n", set("tab-strength", "at_least", digits(v)), 20) },
		Inside: 255, LimitInside: 255, Outside: 265, Limit: 265, Measured: 269.7, Close: 10, Feature: "A1/tab/lower/1", Copies: []string{"A1"},
		Says: ", in the oven: a moment of 0.26 N·mm over 0.81"},
	// At rest and cold 345 / 0.5117 = 674.2 times.
	bound{Rule: "transport-shock", Make: func(v float64) setup { return hung("", set("transport-shock", "at_least", digits(v)), 20) },
		Inside: 640, LimitInside: 640, Outside: 665, Limit: 665, Measured: 674.2, Close: 25, Feature: "A1/tab/lower/1", Copies: []string{"A1"}},
	// Of two tabs on each side one may be missing, of one on each side none.
	bound{Rule: "tab-left-out", Make: func(v float64) setup { return hung("", "", []float64{12, 28}[:2-int(v)]...) },
		Measured: 0, Limit: 1, Copies: []string{"A1"}, Says: "without A1/tab/lower/1 a piece comes loose or turns freely"},

	// The same row, broken by strong material: 540 MPa x 0.8155 mm3 = 440.4 N mm, by a hand 10 mm from the board's far edge, 20.25 mm
	// from the row. The board's edge has no other, so the tab alone is told.
	bound{Rule: "break-force", Make: func(v float64) setup { return hung("", set("break-force", "at_most", digits(v)), 20) },
		Inside: 22, LimitInside: 22, Outside: 21.5, Limit: 21.5, Measured: 21.75, Close: 0.05, Feature: "A1/tab/lower/1", Copies: []string{"A1"},
		Says: "breaking A1/tab/lower/1 takes about 7.47 to 21.7 N, "},
	// A web of 0.4 mm, at most 0.5, over 20 mm: 0.5^2 / 6 x 720 x 20 = 600 N mm, by a hand 20 mm from it. Weak: 0.3^2 / 6 x 415 / 1.6 x 20 = 77.8.
	bound{Rule: "break-force", Name: "score line", Make: func(v float64) setup {
		return webbed(nil, set("break-force", "at_most", digits(v)))
	}, Inside: 30.2, LimitInside: 30.2, Outside: 29.8, Limit: 29.8, Measured: 30, Close: 0.01, Feature: "score/x1", Says: "takes about 3.89 to 30 N, from weak material to strong, of a hand 20 mm from the line"},
	// Along the line the moment is 600 N mm / 20 mm = 30 N; at a body that begins 3 mm from it, and 17 mm from the hand, 25.5 N. Bare
	// laminate of 1.53 mm is bent by 25.5 / (24000 MPa x 1.53^3 / 12), and on the face, 0.8 mm from the middle, strained by 2848 microstrain.
	bound{Rule: "part-strain", Make: func(v float64) setup {
		return webbed([]part{{Refdes: "R1", Package: "PLAIN", X: 26, Y: 10}}, set("part-strain", "at_most", digits(v)))
	}, Inside: 2860, LimitInside: 2860, Outside: 2840, Limit: 2840, Measured: 2848, Close: 1, Feature: "A1/part/R1"},
)

// webbed is two abutted boards of 30 x 20 mm with a score line between them whose web is 0.4 mm, more or less 0.1.
func webbed(parts []part, rules string) setup {
	s := scoredPair(parts, classed)
	s.Stages = array("gauge", 2, 1, 0) + "stage \"score_lines\" {\n  between = [\"columns\"]\n  remaining_web = 0.4\n  web_tolerance = 0.1\n}\n"
	return s.with(rules)
}
