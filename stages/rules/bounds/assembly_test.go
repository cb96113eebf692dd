package bounds

import "fmt"

// tabbed is one board of 40 x 30 mm between rails above and below, 10 mm wide and 2 mm away, with a tab pinned on
// the middle of its lower edge. On the panel the board's lower left corner lies at (0, 12). The tab's row of holes, 0.5 mm wide, touches
// the edge from outside, so that the row's line lies 0.25 mm below the edge.
func tabbed(parts []part, packages, more string) setup {
	return setup{Boards: []sheet{{Width: 40, Height: 30, Parts: parts, Packages: packages}},
		Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  width = 10\n  gap = 2\n}\n" +
			"stage \"breakoff_tabs\" {\n  pinned {\n    copy = \"A1\"\n    edge = \"lower\"\n    position = 20\n  }\n" + more + "\n}\n"}
}

// scoredPair is two abutted boards of 30 x 20 mm with a score line between them, at x = 30.
func scoredPair(parts []part, packages string) setup {
	return setup{Boards: []sheet{{Parts: parts, Packages: packages}}, Stages: array("gauge", 2, 1, 0) + "stage \"score_lines\" {\n  between = [\"columns\"]\n}\n"}
}

const classed = "CHIP2,2,1.25,0.8,,,,ceramic_capacitor,\nCHIP1,1.6,0.8,0.8,,,,ceramic_capacitor,\nXTAL,3.2,2.5,0.7,,,,crystal,\n" +
	"PINS,10,4,8,,,,connector,\nBALLS,10,10,1.4,,,,ball_grid_array,\nPLAIN,2,1,1,,,,,\nCOIL,6,6,10,,,,,\n"

// above puts a part on the middle axis, turned, so that its body begins v above the tab's row of holes: half is half of the
// body's size along y. 0.25 mm of v lie below the board's edge.
func above(refdes, pack string, turn, half float64) func(v float64) setup {
	return func(v float64) setup {
		return tabbed([]part{{Refdes: refdes, Package: pack, X: 20, Y: v - 0.25 + half, Turn: turn}}, classed, "")
	}
}

// overhung is two copies side by side with a gap, between rails at left and right 2 mm away, whose connector stands out over
// the right edge by some millimetres at half height. Bodies are 4 x 4 mm, 3 mm high.
func overhung(by, gap float64, rails bool, more string) setup {
	s := setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "OUT", X: 28 + by, Y: 10}}, Packages: "OUT,4,4,3,,yes,,connector,\n"}}, Stages: array("gauge", 2, 1, gap)}
	if rails {
		s.Stages += "stage \"rails\" {\n  sides = [\"left\", \"right\"]\n  width = 10\n  gap = 2\n}\n"
	}
	s.Stages += more
	return s
}

var _ = judged(
	// 2 x 1.25 mm, turned a quarter: half of 2 mm across.
	bound{Rule: "ceramic-capacitor-across-break", Make: above("C1", "CHIP2", 90, 1), Inside: 6.4, Outside: 6.4 - um,
		Measured: 6.399, Limit: 6.4, Feature: "A1/part/C1", Copies: []string{"A1"},
		Says: "C1 (CHIP2, ceramic capacitor) of board gauge lies 6.399 mm from A1/tab/lower/1, a row of perforations, its long axis across it; at least 6.4 mm are asked for"},
	// The same on two copies in a row of two: one finding.
	bound{Rule: "ceramic-capacitor-across-break", Name: "two copies", Make: func(v float64) setup {
		s := tabbed([]part{{Refdes: "C1", Package: "CHIP2", X: 20, Y: v - 0.25 + 1, Turn: 90}}, classed, "  pinned {\n    copy = \"B1\"\n    edge = \"lower\"\n    position = 20\n  }")
		s.Stages = array("gauge", 2, 1, 2) + s.Stages[len(array("gauge", 1, 1, 0)):]
		return s
	}, Inside: 6.4, Outside: 6.4 - um, Measured: 6.399, Limit: 6.4, Copies: []string{"A1", "B1"}},
	// Turned by 44 degrees it lies along, by 45 across: the lowest corner lies (2 sin a + 1.25 cos a)/2 below the middle, for 45 degrees
	// 3.25/2 x 0.70711 = 1.149049 mm. Cases of 44 degrees belong to the rule below.
	bound{Rule: "ceramic-capacitor-across-break", Name: "45 degrees", Make: above("C1", "CHIP2", 45, 1.149049), Inside: 6.4, Outside: 6.4 - um,
		Measured: 6.399, Close: 2e-6, Limit: 6.4},
	// 44 degrees: (2 x 0.69465837 + 1.25 x 0.71933980)/2 = 1.144245745.
	bound{Rule: "ceramic-capacitor-along-break", Name: "44 degrees", Make: above("C1", "CHIP2", 44, 1.144245745), Inside: 5, Outside: 5 - um,
		Measured: 4.999, Close: 2e-6, Limit: 5, Says: "its long axis along it"},
	// Half of 1.25 mm.
	bound{Rule: "ceramic-capacitor-along-break", Make: above("C1", "CHIP2", 0, 0.625), Inside: 5, Outside: 5 - um,
		Measured: 4.999, Limit: 5, Feature: "A1/part/C1", Says: "its long axis along it"},
	// No table: the place itself counts, and the class is a guess.
	bound{Rule: "ceramic-capacitor-along-break", Name: "guessed", Make: func(v float64) setup {
		return tabbed([]part{{Refdes: "C7", Package: "C_0805_2012Metric", X: 20, Y: v - 0.25, Turn: 90}}, "", "")
	}, Inside: 5, Outside: 5 - um, Measured: 4.999, Limit: 5,
		Says: "C7 (C_0805_2012Metric, taken for a ceramic capacitor by its name) of board gauge has its place 4.999 mm from A1/tab/lower/1, a row of perforations; " +
			"at least 5 mm are asked for (its body is not known and reaches nearer)"},
	// 1.6 x 0.8 mm.
	bound{Rule: "small-ceramic-capacitor-across-break", Make: above("C1", "CHIP1", 90, 0.8), Inside: 5, Outside: 5 - um, Measured: 4.999, Limit: 5, Says: "across it"},
	bound{Rule: "small-ceramic-capacitor-along-break", Make: above("C1", "CHIP1", 0, 0.4), Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2, Says: "along it"},
	bound{Rule: "crystal-near-break", Make: above("U9", "XTAL", 0, 1.25), Inside: 5, Outside: 5 - um, Measured: 4.999, Limit: 5, Says: "U9 (XTAL, crystal)"},
	bound{Rule: "connector-near-break", Make: above("J1", "PINS", 0, 2), Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2},
	bound{Rule: "ball-grid-near-break", Make: above("U1", "BALLS", 0, 5), Inside: 6.4, Outside: 6.4 - um, Measured: 6.399, Limit: 6.4,
		Says: "U1 (BALLS, ball-grid array) of board gauge lies 6.399 mm from"}, // square: no long axis
	bound{Rule: "part-near-break", Make: above("R1", "PLAIN", 0, 0.5), Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2},
	// Without holes the tab is cut along the board's edge itself: 0.25 mm nearer to the part.
	bound{Rule: "part-near-break", Name: "cut by hand", Make: func(v float64) setup {
		return tabbed([]part{{Refdes: "R1", Package: "PLAIN", X: 20, Y: v + 0.5}}, classed, "  perforate = \"none\"")
	}, Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2, Says: "the end of a tab that is cut off by hand"},
	// At a score line at x = 30: the body ends at 30 - v. B1's part lies 30 mm further, at the panel's own edge.
	bound{Rule: "part-near-break", Name: "score", Make: func(v float64) setup {
		return scoredPair([]part{{Refdes: "R1", Package: "PLAIN", X: 30 - v - 1, Y: 10}}, classed)
	}, Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2, Copies: []string{"A1"}, Says: "a score line, its long axis across it"},
	bound{Rule: "tall-part-near-score", Make: func(v float64) setup {
		return scoredPair([]part{{Refdes: "L1", Package: "COIL", X: 30 - v - 3, Y: 10}}, classed)
	}, Inside: 5, Outside: 5 - um, Measured: 4.999, Limit: 5, Copies: []string{"A1"}},
	// From which height: 10 mm is tall, a micrometre less is not.
	bound{Rule: "tall-part-near-score", Name: "height", Make: func(h float64) setup {
		return scoredPair([]part{{Refdes: "L1", Package: "COIL", X: 25, Y: 10}}, fmt.Sprintf("COIL,6,6,%s,,,,,\n", digits(h)))
	}, Inside: 10 - um, Outside: 10, Measured: 2, Limit: 5,
		Coarse: "the height lies at its bound, and not the distance"},

	// 2.001 mm reach a micrometre over the neighbour 2 mm away, and B1's over the rail.
	bound{Rule: "part-over-edge", Make: func(v float64) setup { return overhung(v, 2, true, "") }, Inside: 2, Outside: 2 + um, NoFigure: true, Findings: 2,
		Feature: "A1/part/J1", Copies: []string{"A1"}, Says: "J1 (OUT) of board gauge on A1 stands out over the neighbouring board B1: "},
	bound{Rule: "part-over-edge", Name: "rail", Make: func(v float64) setup { return overhung(v, 2, true, "") }, Inside: 2, Outside: 2 + um, NoFigure: true, Findings: 2,
		Copies: []string{"B1"}, Says: "stands out over a rail, rail/right: "},
	// Without rails B1's connector stands out over the panel's own edge as soon as it does over the board's.
	bound{Rule: "part-over-edge", Name: "panel's edge", Make: func(v float64) setup { return overhung(v, 2, false, "") }, Inside: 0, Outside: um, NoFigure: true,
		Copies: []string{"B1"}, Says: "stands out over the panel's edge: conveyors, stacks and hands strike what stands out there (by 0.001 mm)"},
	// One score line in the middle of a gap of 1 mm. The groove is (1.6 - 0.3)/2 = 0.65 mm deep and reaches 0.65 tan 15 = 0.174167 mm
	// to both sides: from 0.325833 mm on the body lies over it.
	bound{Rule: "part-over-edge", Name: "score", Make: func(v float64) setup {
		return overhung(v, 1, true, "stage \"score_lines\" {\n  between = [\"columns\"]\n  leave = 0.5\n  remaining_web = 0.3\n}\n")
	}, Inside: 0.325833, Outside: 0.325833 + um, NoFigure: true, Copies: []string{"A1"}, Says: "stands out over a score line, score/x1: "},
	// A tab pinned below the connector.
	bound{Rule: "part-over-edge", Name: "tab", Make: func(v float64) setup {
		return overhung(1, 2, true, fmt.Sprintf("stage \"breakoff_tabs\" {\n  tab_width = 4\n  pinned {\n    copy = \"A1\"\n    edge = \"right\"\n    position = %s\n  }\n}\n", digits(10+v)))
	}, Inside: 4, Outside: 4 - um, NoFigure: true, Copies: []string{"A1"}, Says: "stands out over a tab, A1/tab/right/"},

	// Bodies that end at their boards' edges are as far apart as the boards.
	bound{Rule: "part-collision", Make: func(v float64) setup {
		return setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "BOX", X: 28, Y: 10}, {Refdes: "J2", Package: "BOX", X: 2, Y: 10}}, Packages: "BOX,4,4,3,,,,,\n"}},
			Stages: array("gauge", 3, 1, v)}
	}, Inside: 0.5, Outside: 0.5 - um, Measured: 0.499, Limit: 0.5, Feature: "A1/part/J1", Copies: []string{"A1", "B1", "C1"},
		Says: "J1 (BOX) of board gauge on A1 comes within 0.499 mm of J2 (BOX) of board gauge on B1"},
	// On the other side of the board nothing is met.
	bound{Rule: "part-collision", Name: "side", Make: func(v float64) setup {
		return setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "BOX", X: 28, Y: 10}, {Refdes: "J2", Package: "BOX", X: 2, Y: 10, Bottom: v == 0}}, Packages: "BOX,4,4,3,,,,,\n"}},
			Stages: array("gauge", 2, 1, 0.1)}
	}, Inside: 0, Outside: 1, Measured: 0.1, Limit: 0.5, Coarse: "panels that differ in kind; the limit itself is another case's"},
	// Nothing is known of the underside: J1, 3 mm over the edge and 1 mm over the neighbour, takes the room of R1.
	bound{Rule: "part-collision", Name: "no underside", Make: func(v float64) setup {
		under := map[bool]string{true: "2.5", false: ""}[v == 0]
		return setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "OUT", X: 31, Y: 10}, {Refdes: "R1", Package: "CHIP", X: 0.5, Y: 10}},
			Packages: "OUT,4,4,8,,yes,,," + under + "\nCHIP,1,1,1,,,,,\n"}}, Stages: array("gauge", 2, 1, 2)}
	}, Inside: 0, Outside: 1, Coarse: "panels that differ in kind; the limit itself is another case's", Measured: 0, Limit: 0.5, Says: "takes the room of R1"},
	// R1 is 1 mm high, the underside lies at 1 + v.
	bound{Rule: "part-over-part", Make: func(v float64) setup {
		return setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "OUT", X: 31, Y: 10}, {Refdes: "R1", Package: "CHIP", X: 0.5, Y: 10}},
			Packages: "OUT,4,4,8,,yes,,," + digits(1+v) + "\nCHIP,1,1,1,,,,,\n"}}, Stages: array("gauge", 2, 1, 2)}
	}, Inside: 0.5, Outside: 0.5 - um, Measured: 0.499, Limit: 0.5, Feature: "A1/part/J1", Copies: []string{"A1", "B1"},
		Says: "J1 (OUT) of board gauge on A1 hangs over R1 (CHIP) of board gauge on B1: its underside lies 1.499 mm above the board, and that is 1 mm high"},
	// Over the slot between two boards J1, 1.5 mm over its edge, meets R1, 1 mm over its own, whose height nobody says.
	bound{Rule: "part-over-edge", Name: "no height", Make: func(v float64) setup {
		height := map[bool]string{true: "1", false: ""}[v == 0]
		return setup{Boards: []sheet{{Parts: []part{{Refdes: "J1", Package: "OUT", X: 29.5, Y: 10}, {Refdes: "R1", Package: "CHIP", X: 0, Y: 10}},
			Packages: "OUT,4,4,8,,yes,,,2\nCHIP,2,1," + height + ",,,,,\n"}},
			Stages: array("gauge", 2, 1, 2) + "stage \"rails\" {\n  sides = [\"left\", \"right\"]\n  width = 10\n  gap = 2\n}\n"}
	}, NoFigure: true, Copies: []string{"A1", "B1"},
		Says: "J1 (OUT) of board gauge on A1 hangs over R1 (CHIP) of board gauge on B1, whose height the table of bodies does not say"},
	// On the bottom x is mirrored: the body's middle lies 1 mm left of the part's place, and its right edge at the place itself.
	bound{Rule: "part-near-break", Name: "bottom", Make: func(v float64) setup {
		return scoredPair([]part{{Refdes: "R1", Package: "OFF", X: 30 - v, Y: 10, Bottom: true}}, "OFF,2,1,1,,,,,,1,0\n")
	}, Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2, Copies: []string{"A1"}},
	// The same on the top ends 2 mm further right.
	bound{Rule: "part-near-break", Name: "offset", Make: func(v float64) setup {
		return scoredPair([]part{{Refdes: "R1", Package: "OFF", X: 28 - v, Y: 10}}, "OFF,2,1,1,,,,,,1,0\n")
	}, Inside: 3.2, Outside: 3.2 - um, Measured: 3.199, Limit: 3.2, Copies: []string{"A1"}},
)
