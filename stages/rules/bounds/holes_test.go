package bounds

import "fmt"

func limited(name, bound, value string) string {
	return fmt.Sprintf("  limit %q {\n    %s = %q\n  }", name, bound, value)
}

var _ = judged(
	// A hole of 0.6 mm that touches the panel's left edge at x = 0.3.
	bound{Rule: "hole-off-panel", Make: func(v float64) setup {
		return one(sheet{Plated: []bore{{X: v, Y: 10, D: 0.6}}}, "")
	}, Inside: 0.3, Outside: 0.3 - um, NoFigure: true, Feature: "A1", Copies: []string{"A1"}, At: "(0.299, 10)",
		Says: "holes of A1 that do not lie wholly on the panel: 1"},

	// A tooling hole of 3 mm at (5, 5) in the lower rail, 10 mm wide with a gap of 2 mm to the board, and a hole of 1 mm in the board
	// at (5, y) of its own coordinates: 10 + 2 + y - 5 - 1.5 - 0.5 = y + 5 of material. The recipe asks for 6 mm.
	bound{Rule: "hole-spacing", Make: func(v float64) setup {
		return setup{Boards: []sheet{{NonPlated: []bore{{X: 5, Y: v - 5, D: 1}}}}, Rules: limited("hole-spacing", "at_least", "6 mm"),
			Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"lower\"]\n  width = 10\n  gap = 2\n}\nstage \"tooling_holes\" {\n  diameter = 3\n  corners = [\"lower_left\"]\n}\n"}
	}, Inside: 6, Outside: 6 - um, Measured: 5.999, Limit: 6, Feature: "tooling_hole/1", Says: "5.999 mm of material between tooling_hole/1 and A1/hole"},
	// Two perforations of 0.5 mm whose middles lie 0.5 + v apart, in the lower rail.
	bound{Rule: "hole-spacing", Name: "perforations", Make: func(v float64) setup {
		return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"lower\"]\n  width = 10\n  gap = 2\n}\n" +
			fmt.Sprintf("stage \"gauge_cuts\" {\n  hole {\n    x = 10\n    y = 5\n    diameter = 0.5\n  }\n  hole {\n    x = %s\n    y = 5\n    diameter = 0.5\n  }\n}\n", digits(10.5+v))}
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Feature: "own/hole/1"},

	// between_holes itself, which is 0.25 mm by the recipe: three holes of two copies' tabs make two gaps a row, a lower and an upper one, told once for both copies.
	bound{Rule: "hole-spacing", Name: "tabs", Make: func(v float64) setup {
		s := tabbed(nil, "", fmt.Sprintf("  holes_per_tab = 3\n  between_holes = %s\n  between = [\"rails\"]\n  longest_free_span = 200\n  longest_overhang = 200\n", digits(v)))
		s.Stages = array("gauge", 2, 1, 2) + s.Stages[len(array("gauge", 1, 1, 0)):]
		return s
	}, Inside: 0.25 + um, Outside: 0.25 - um, Measured: 0.249, Close: 2e-6, Limit: 0.25, Copies: []string{"A1", "B1"}, Findings: 4},

	// Holes of 0.6 and 0.4 mm whose middles lie v + 0.5 apart, on each of two copies.
	bound{Rule: "hole-to-hole", Make: func(v float64) setup {
		return setup{Boards: []sheet{{Plated: []bore{{X: 10, Y: 10, D: 0.6}}, NonPlated: []bore{{X: 10.5 + v, Y: 10, D: 0.4}}}}, Stages: array("gauge", 2, 1, 2)}
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Feature: "A1/hole", Copies: []string{"A1", "B1"},
		Says: "1 pair of holes of board gauge: a hole of 0.4 mm and a hole of 0.6 mm have 0.249 mm between them; at least 0.25 mm are asked for"},
	// A slot of 1 mm from (10, 10) to (15, 10) and a hole of 0.6 mm beyond its end: 0.5 + v + 0.3 from the end.
	bound{Rule: "hole-to-hole", Name: "slot", Make: func(v float64) setup {
		return one(sheet{Plated: []bore{{X: 10, Y: 10, D: 1, To: &[2]float64{15, 10}}, {X: 15.8 + v, Y: 10, D: 0.6}}}, "")
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25},
	// Holes 0.3 mm within their boards' edges, 0.3 mm of radius less: nothing at the edge; between two copies the gap alone. Three
	// copies in a row meet in one way.
	bound{Rule: "hole-to-hole", Name: "copies", Make: func(v float64) setup {
		return setup{Boards: []sheet{{Plated: []bore{{X: 0.3, Y: 10, D: 0.6}, {X: 29.7, Y: 10, D: 0.6}}}}, Stages: array("gauge", 3, 1, v)}
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Feature: "A1/hole", Copies: []string{"A1", "B1", "C1"},
		Says: "1 pair of holes of A1 and B1"},
	// What belongs together: one place in two files, a slot of overlapping holes, holes at a slot's ends and in its middle, spans above one
	// another. Outside: a second tool beside the slot of holes.
	bound{Rule: "hole-to-hole", Name: "meant", Make: func(v float64) setup {
		b := sheet{Layers: 4, Plated: []bore{{X: 5, Y: 5, D: 1}, {X: 10, Y: 5, D: 0.8}, {X: 10.4, Y: 5, D: 0.8}, {X: 10.8, Y: 5, D: 0.8},
			{X: 15, Y: 5, D: 1, To: &[2]float64{18, 5}}, {X: 15, Y: 5, D: 0.9}, {X: 16.5, Y: 5, D: 0.9}, {X: 18, Y: 5, D: 0.9},
			{X: 22, Y: 5, D: 0.3, From: 1, Up: 2}, {X: 22.1, Y: 5, D: 0.3, From: 2, Up: 3}},
			NonPlated: []bore{{X: 5, Y: 5, D: 1.1}}}
		if v > 0 {
			b.Plated = append(b.Plated, bore{X: 11.5, Y: 5, D: 0.6}) // 0.7 - 0.4 - 0.3
		}
		return one(b, "")
	}, Outside: 1, Measured: 0, Limit: 0.25, Coarse: "panels that differ in kind; the limit itself is another case's"},

	// A hole of 0.6 mm v from the panel's left edge; on a second copy that edge is a slot's.
	bound{Rule: "hole-to-slot", Make: func(v float64) setup {
		return one(sheet{Plated: []bore{{X: v + 0.3, Y: 10, D: 0.6}}}, "")
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Feature: "A1/hole", Copies: []string{"A1"}, At: "(0.549, 10)",
		Says: "a hole of 0.6 mm of board gauge lies 0.249 mm from the panel's edge"},
	bound{Rule: "hole-to-slot", Name: "slot", Make: func(v float64) setup {
		s := tabbed(nil, "", "")
		s.Boards[0].Plated = []bore{{X: 5, Y: v + 0.3, D: 0.6}, {X: 6, Y: v + 0.3, D: 0.6}}
		return s
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Says: "2 holes of board gauge lie too near to what is routed, the nearest: a hole of 0.6 mm lies 0.249 mm from slot/"},
	bound{Rule: "hole-to-slot", Name: "cut-out", Make: func(v float64) setup {
		b := sheet{NonPlated: []bore{{X: 9.7 - v, Y: 10, D: 0.6}}}
		b.Outline = append(b.contours(), box(10, 5, 20, 15))
		return setup{Boards: []sheet{b}, Stages: array("gauge", 2, 1, 0)}
	}, Inside: 0.25, Outside: 0.25 - um, Measured: 0.249, Limit: 0.25, Copies: []string{"A1", "B1"}, Says: "A1/cut_out/1"},
	// Castellated holes are meant to be cut; one that is not plated and lies so is cut by 0.3 mm.
	bound{Rule: "hole-to-slot", Name: "castellated", Make: func(v float64) setup {
		b := sheet{}
		for i := range 4 {
			h := bore{X: 0, Y: 6 + 2*float64(i), D: 0.6}
			b.Plated = append(b.Plated, h)
			b.Copper = map[int][]drawn{1: append(b.Copper[1], dot(h.X, h.Y, 1))}
		}
		b.Copper[2] = b.Copper[1]
		if v > 0 {
			b.NonPlated = []bore{{X: 30, Y: 10, D: 0.6}}
		}
		return one(b, "")
	}, Outside: 1, Coarse: "panels that differ in kind; the limit itself is another case's", Measured: -0.3, Limit: 0.25, Says: "is cut by the panel's edge"},

	// 1.6 mm / 0.2 mm = 8; 1.6 / 0.199 = 8.0402010.
	bound{Rule: "hole-aspect", Make: func(v float64) setup {
		return one(sheet{Plated: []bore{{X: 10, Y: 10, D: v}, {X: 20, Y: 10, D: 0.5}}, NonPlated: []bore{{X: 25, Y: 10, D: 0.1}}}, "")
	}, Inside: 0.2, Outside: 0.2 - um, Measured: 8.040201, Limit: 8, Feature: "A1/hole", Copies: []string{"A1"},
		Says: "board gauge is 1.6 mm thick, 8.04 times as much as its narrowest plated hole of 0.199 mm; at most 8 times are asked for"},
	bound{Rule: "smallest-hole", Make: func(v float64) setup {
		// A blind hole between two layers may be a laser's.
		return one(sheet{Layers: 4, Plated: []bore{{X: 10, Y: 10, D: v}, {X: 20, Y: 10, D: 0.1, From: 1, Up: 2}}}, "")
	}, Inside: 0.2, Outside: 0.2 - um, Measured: 0.199, Limit: 0.2, Feature: "A1/hole", Says: "board gauge has a hole of 0.199 mm"},
	bound{Rule: "smallest-hole", Name: "perforations", Make: func(v float64) setup {
		return tabbed(nil, "", fmt.Sprintf("  hole_diameter = %s", digits(v))).with(limited("smallest-hole", "at_least", "0.45 mm"))
	}, Inside: 0.45, Outside: 0.45 - um, Measured: 0.449, Limit: 0.45, Says: "perforations are 0.449 mm wide"},
)

// with gives the same panel with more in stage rules.
func (s setup) with(rules string) setup {
	s.Rules += rules
	return s
}
