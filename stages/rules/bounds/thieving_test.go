package bounds

import "strings"

// thieved is a board of 60 x 40 mm below one rail of 10 mm, from y = 40 to 50, with more stages, and crossed lines
// 0.5 mm wide: the panel's middle is (30, 25), so that upright lines lie at x = 30, 32 … and level ones at y = 25, 27
// …. They end just where an option of the stage says, so that this is the figure that the rule measures.
func thieved(b sheet, before, options string) setup {
	b.Width, b.Height = 60, 40
	if b.Copper == nil {
		b.Copper = map[int][]drawn{1: {dot(30, 20, 1)}, 2: {dot(30, 20, 1)}}
	}
	return setup{Boards: []sheet{b}, Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\"]\n  width = 10\n  gap   = 0\n}\n" +
		before + "stage \"thieving\" {\n  pattern = \"crossed_lines\"\n" + options + "\n}\n"}
}

var _ = judged(
	bound{
		// Upright lines from the board's edge at y = 40, the first of them at x = 2.
		Rule: "thieving-clearance", Name: "board",
		Make:   func(v float64) setup { return thieved(sheet{}, "", "  from_board = "+digits(v)) },
		Inside: 0.4, Outside: 0.4 - um,
		Measured: 0.399, Limit: 0.4, Feature: "thieving/rail/upper", At: "(2, 40.649)", // 40 + 0.399 + 0.25
		Says: "comes within 0.399 mm of A1; at least 0.4 mm is asked for",
	},
	bound{
		Rule: "thieving-clearance", Name: "the panel's edge",
		Make:   func(v float64) setup { return thieved(sheet{}, "", "  from_panel_edge = "+digits(v)) },
		Inside: 0.4, Outside: 0.4 - um,
		Measured: 0.399, Limit: 0.4, Feature: "thieving/rail/upper", Says: "of the panel's edge",
	},
	bound{
		// A hole of 4 mm at (10, 45): the upright line at x = 10 ends just above and below it.
		Rule: "thieving-clearance", Name: "hole",
		Make: func(v float64) setup {
			return thieved(sheet{}, pinned("  corners = [\"upper_left\"]\n  inward_x = 10"), "  from_hole = "+digits(v))
		},
		Inside: 0.4, Outside: 0.4 - um,
		Measured: 0.399, Limit: 0.4, Feature: "thieving/rail/upper", Says: "of tooling_hole/1",
	},
	bound{
		// A line at y = 40, 0.6 mm deep at 60 degrees: its groove ends at 40 + 0.6 x tan 30 = 40.346411 mm.
		Rule: "thieving-clearance", Name: "score",
		Make: func(v float64) setup {
			return thieved(sheet{}, "stage \"score_lines\" {\n  remaining_web = 0.4\n  included_angle = 60\n}\n", "  from_board = 0\n  from_break = "+digits(v))
		},
		Inside: 0.4, Outside: 0.4 - um,
		Measured: 0.399, Limit: 0.4, Feature: "thieving/rail/upper", Says: "of score/y1", Findings: 1,
	},
	bound{
		// The panel is 60 x 50 mm = 3000 mm2. A pad of 50 x h mm on the first layer alone is h/60 of it more; thieving is
		// the same on both.
		Rule: "copper-balance",
		Make: func(v float64) setup {
			return thieved(sheet{Copper: map[int][]drawn{1: {pad(30, 20, 50, v/100*60)}, 2: {}}}, "", "")
		},
		Inside: 25, Outside: 25.01,
		Measured: 25.01, Close: 2e-4, Limit: 25, Says: "of copper-1-top and ",
	},
	bound{
		// 10 mm less 1 mm to the board and 0.5 mm to the panel's edge leave 8.5 mm.
		Rule: "no-thieving",
		Make: func(v float64) setup {
			s := thieved(sheet{}, "", "  dot_pitch = 20\n  dot_diameter = "+digits(v))
			s.Stages = strings.Replace(s.Stages, "crossed_lines", "dots", 1)
			return s
		},
		Inside: 8.5, Outside: 8.5 + um,
		NoFigure: true, Says: "nowhere on the waste is there room for dots",
	},
)
