package bounds

import (
	"fmt"
	"strings"
)

// Two boards of 30 x 20 mm, v mm apart.
func pair(b sheet, v float64, more string) setup {
	return setup{Boards: []sheet{b}, Stages: array("gauge", 2, 1, v) + more}
}

var _ = judged(
	// Abutted copies hang together along 20 mm, unless a score line lies there.
	bound{Rule: "board-not-free", Make: func(v float64) setup {
		return pair(sheet{}, 0, map[bool]string{true: "stage \"score_lines\" {\n  between = [\"columns\"]\n}\n"}[v == 0])
	}, Measured: 20, Feature: "A1", Copies: []string{"A1", "B1"}, At: "(30, 0.125)",
		Findings: 3}, // the proof, which looks at what was written, tells of each copy

	// The slot between two boards 2 mm apart, from x = 30 to 32, but for v at its left.
	bound{Rule: "slot-in-board", Make: func(v float64) setup {
		return pair(sheet{}, 2, fmt.Sprintf("stage \"gauge_cuts\" {\n  slot {\n    x = %s\n    y = 0\n    width = 2\n    height = 20\n  }\n}\n", digits(30-v))).
			with(limited("slot-in-board", "at_most", "0.1 mm"))
	}, Inside: 0.1 + um, Outside: 0.101001, Coarse: "the rule allows a micrometre for roundings: a nanometre more is told of",
		Measured: 0.101001, Limit: 0.1, Feature: "slot/1", Copies: []string{"A1"}},

	// Two boards v mm apart, and a rail as far below: the slots are as wide.
	bound{Rule: "slot-width", Make: func(v float64) setup {
		return pair(sheet{Width: 40, Height: 30}, v, fmt.Sprintf("stage \"rails\" {\n  sides = [\"lower\"]\n  width = 10\n  gap = %s\n}\nstage \"breakoff_tabs\" {}\n", digits(v)))
	}, Inside: 1.2, Outside: 1.2 - um, Measured: 1.199, Close: 2e-6, Limit: 1.2, Says: "mm wide; at least 1.2 mm are asked for, the same for "},
	// The gap is 2 mm; a notch in the board is narrower, and a cutter of 1 mm goes in.
	bound{Rule: "slot-width", Name: "notch", Make: func(v float64) setup {
		s := tabbed(nil, "", "  cutters = [\"2 mm\", \"1 mm\"]")
		s.Boards[0].Outline = append(s.Boards[0].Outline, polygon(0, 0, 10, 0, 10, 4, 10+v, 4, 10+v, 0, 40, 0, 40, 30, 0, 30))
		return s
	}, Inside: 1.2, Outside: 1.2 - um, Measured: 1.199, Close: 2e-6, Limit: 1.2},
	bound{Rule: "cutter-diameter", Make: func(v float64) setup {
		return tabbed(nil, "", fmt.Sprintf("  cutters = [\"2 mm\", \"%s mm\"]", digits(v)))
	}, Inside: 0.8, Outside: 0.8 - um, Measured: 0.799, Limit: 0.8},

	// The inner corner of an L keeps the radius of the cutter.
	bound{Rule: "cutter-reach", Make: func(v float64) setup {
		s := tabbed(nil, "", fmt.Sprintf("  cutters = [\"%s mm\"]", digits(2*v))).with(limited("cutter-reach", "at_most", "0.5 mm"))
		s.Boards[0].Outline = append(s.Boards[0].Outline, polygon(0, 0, 40, 0, 40, 15, 25, 15, 25, 30, 0, 30))
		return s
	}, Inside: 0.5, Outside: 0.5 + um, Measured: 0.501, Limit: 0.5, Feature: "A1/unreached/1", Copies: []string{"A1"}},

	// A pad of 1 mm on an inner layer, v from the panel's left edge.
	bound{Rule: "inner-copper-to-edge", Make: func(v float64) setup {
		return one(sheet{Layers: 4, Copper: map[int][]drawn{2: {dot(0.5+v, 10, 1)}}}, "")
	}, Inside: 0.4, Outside: 0.4 - um, Measured: 0.399, Limit: 0.4, Copies: []string{"A1"}, Says: "copper-2-inner"},
	// The middle hole of the tab's row touches the board's edge at (20, 0); a pad of 1 mm v above it.
	bound{Rule: "copper-to-perforation", Make: func(v float64) setup {
		s := tabbed(nil, "", "")
		s.Boards[0].Copper = map[int][]drawn{1: {dot(20, 0.5+v, 1)}}
		return s
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Feature: "A1/tab/lower/1", Copies: []string{"A1"}, Says: "copper-1-top"},
	bound{Rule: "inner-copper-to-perforation", Make: func(v float64) setup {
		s := tabbed(nil, "", "")
		s.Boards[0].Layers, s.Boards[0].Copper = 4, map[int][]drawn{3: {dot(20, 0.5+v, 1)}}
		return s
	}, Inside: 0.4, Outside: 0.4 - um, Measured: 0.399, Limit: 0.4, Feature: "A1/tab/lower/1", Copies: []string{"A1"}, Says: "copper-3-inner"},

	// A hole of 0.5 mm whose middle lies v - 0.25 above the board's lower edge, which lies at y = 12: it reaches v into the board.
	bound{Rule: "perforation-in-board", Make: perforated, Inside: 0, Outside: um, Measured: 0.001, Limit: 0, Feature: "own/hole/1", Copies: []string{"A1"}},
	// At the worst 0.05 mm of place and half of 0.05 mm of diameter deeper: v + 0.075.
	bound{Rule: "perforation-in-board-at-worst", Make: perforated, Inside: 0.025, Outside: 0.025 + um, Measured: 0.101, Limit: 0.1, Feature: "own/hole/1", Copies: []string{"A1"}},

	// between_holes less 2 x 0.05 mm of place and 0.076 mm of diameter (the stage's defaults): 0.276 - 0.176 = 0.1, to the
	// micrometre below. Holes are laid to the nanometre, so that a micrometre is left for rounding.
	bound{Rule: "perforation-web-at-worst", Make: func(v float64) setup {
		return tabbed(nil, "", fmt.Sprintf("  between_holes = %s\n  position_tolerance = 0.05\n  diameter_tolerance = 0.076", digits(v)))
	}, Inside: 0.276 + um, Outside: 0.276 - um, Measured: 0.099, Limit: 0.1, Copies: []string{"A1"}},
	// A row set out by 0.25 mm from where holes of 0.5 mm touch the edge runs 0.5 mm outside of it.
	bound{Rule: "stub-height", Make: func(v float64) setup {
		return tabbed(nil, "", fmt.Sprintf("  inset = %s", digits(0.25-v)))
	}, Inside: 0.5, Outside: 0.5 + um, Measured: 0.501, Limit: 0.5, Copies: []string{"A1"}},
	// One tab on the side that has a rail, or two.
	bound{Rule: "tabs-per-board", Make: func(v float64) setup {
		second := map[bool]string{true: "  pinned {\n    copy = \"A1\"\n    edge = \"lower\"\n    position = 35\n  }\n"}[v == 0]
		s := tabbed(nil, "", second+"  between = [\"rails\"]\n  forbidden {\n    copy = \"A1\"\n    edge = \"lower\"\n    from = 0\n    to = 18\n  }\n"+
			"  forbidden {\n    copy = \"A1\"\n    edge = \"lower\"\n    from = 22\n    to = 40\n  }\n")
		s.Stages = strings.ReplaceAll(s.Stages, "\"upper\", \"lower\"", "\"lower\"")
		return s
	}, Measured: 1, Limit: 2, Feature: "A1", Copies: []string{"A1"}, Says: "A1 (board gauge) is held by 1 tab; at least 2 are asked for"},

	// A pad of 1 mm on the board's right edge reaches 0.5 mm beyond.
	bound{Rule: "cut-at-neighbour", Make: func(v float64) setup {
		return pair(sheet{Copper: map[int][]drawn{1: {dot(30, 10, 1)}}}, v, "")
	}, Inside: 0.5, Outside: 0.5 - um, NoFigure: true, Copies: []string{"A1"}, Says: "layer copper-1-top of board gauge has objects that reach a neighbouring copy: 1 is cut half-way"},
	// A hole of 3 mm whose middle lies on the board's right edge reaches 1.5 mm beyond.
	bound{Rule: "reach-into-neighbour", Make: func(v float64) setup {
		return pair(sheet{NonPlated: []bore{{X: 30, Y: 10, D: 3}}}, v, "")
	}, Inside: 1.5, Outside: 1.5 - um, NoFigure: true, Copies: []string{"A1", "B1"}, Says: "a hole of A1 lies on B1"},
)

// perforated is a board above a lower rail with one hole beside its edge.
func perforated(v float64) setup {
	return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"lower\"]\n  width = 10\n  gap = 2\n}\n" +
		fmt.Sprintf("stage \"gauge_cuts\" {\n  hole {\n    x = 10\n    y = %s\n    diameter = 0.5\n  }\n}\n", digits(11.75+v))}
}
