package bounds

import (
	"fmt"
	"strings"
)

// legend is a stage legend with its options, one a line.
func legend(options ...string) string {
	return "stage \"legend\" {\n  " + strings.Join(options, "\n  ") + "\n}\n"
}

// A board of 30 x 20 mm, or two abutted, above a rail of 10 mm and a gap: the rail reaches from (0, 0) to
// (30, 10), and what the cases print has its middle at y = 5.
func onRail(columns int, gap float64, stages ...string) setup {
	return setup{Boards: []sheet{{}}, Stages: array("gauge", columns, 1, 0) +
		fmt.Sprintf("stage \"rails\" {\n  sides = [\"lower\"]\n  width = 10\n  gap = %s\n}\n", digits(gap)) + strings.Join(stages, "")}
}

// keptFree is a label area of 4 x 4 mm without a frame, whose left end's middle lies at a point.
func keptFree(x, y float64) string {
	return legend(fmt.Sprintf("at = [%s, %s]", digits(x), digits(y)), "label_area {\n width = 4\n height = 4\n frame = false\n}")
}

var _ = judged(
	bound{
		Rule: "legend-stroke", Name: "letters",
		Make: func(v float64) setup {
			return onRail(1, 2, legend(`text = "A-1"`, "stroke_width = "+digits(v)))
		},
		Inside: 0.15, Outside: 0.15 - um,
		Measured: 0.149, Limit: 0.15, Feature: "legend/text", Says: "a stroke of legend/text is 0.149 mm wide",
	},
	bound{
		// A dot is a third wider than the pen, and never the narrowest; squares are as wide as module says.
		Rule: "legend-stroke", Name: "squares of a code, in copper",
		Make: func(v float64) setup {
			s := onRail(1, 2, legend("code {\n content = \"RG\"\n made_of = \"copper\"\n module = "+digits(v)+"\n}"))
			s.Rules = "  limit \"legend-stroke\" {\n    at_least = \"12 mil\"\n  }"
			return s
		},
		Inside: 0.3048, Outside: 0.3048 - um,
		Measured: 0.3038, Limit: 0.3048, Feature: "legend/code", Says: "a square of legend/code is 0.3038 mm wide",
	},
	bound{
		Rule: "legend-height",
		Make: func(v float64) setup {
			return onRail(1, 2, legend(`text = "A-1"`, "stroke_width = 0.15", "letter_height = "+digits(v)))
		},
		Inside: 1, Outside: 1 - um,
		Measured: 0.999, Limit: 1, Feature: "legend/text",
	},
	bound{
		// The hole's rim is at x = 5 + 4/2.
		Rule: "legend-overlap", Name: "a label area at a hole",
		Make: func(v float64) setup {
			return onRail(1, 2, "stage \"tooling_holes\" {\n corners = [\"lower_left\"]\n}\n", keptFree(v, 5))
		},
		Inside: 7 + um, Outside: 7 - um, NoFigure: true,
		Feature: "legend/label_area", Says: "legend/label_area lies on tooling_hole/1", At: "(6.999, 5)",
	},
	bound{
		// A dash lies half-way up the letters, and its stroke begins at the point.
		Rule: "legend-overlap", Name: "letters at a hole",
		Make: func(v float64) setup {
			return onRail(1, 2, "stage \"tooling_holes\" {\n corners = [\"lower_left\"]\n}\n", legend(`text = "-"`, fmt.Sprintf("at = [%s, 5]", digits(v))))
		},
		Inside: 7, Outside: 7 - um, NoFigure: true,
		Feature: "legend/text", Says: "legend/text lies on tooling_hole/1", At: "(7.099, 5)", // the pen's middle
	},
	bound{
		// The mask opening of 2 mm round a fiducial at (15, 6.25): its rim is at x = 16.
		Rule: "legend-overlap", Name: "a code's quiet zone at a fiducial",
		Make: func(v float64) setup {
			return onRail(1, 2, "stage \"fiducials\" {\n corners = [\"lower_left\"]\n}\n",
				legend(fmt.Sprintf("at = [%s, 6.25]", digits(v)), "code {\n content = \"RG\"\n}"))
		},
		Inside: 16 + um, Outside: 16 - um, NoFigure: true,
		Feature: "legend/code", Says: "legend/code lies on fiducial/1",
	},
	bound{
		// On the bottom there is no such fiducial.
		Rule: "legend-overlap", Name: "a fiducial of one side",
		Make: func(v float64) setup {
			return onRail(1, 2, "stage \"fiducials\" {\n corners = [\"lower_left\"]\n sides = [\"top\"]\n}\n",
				legend("at = [15, 6.25]", `text = "-"`, `align = "centre"`, fmt.Sprintf("side = %q", []string{"bottom", "top"}[int(v)])))
		},
		NoFigure: true, Feature: "legend/text", Says: "legend/text lies on fiducial/1",
	},
	bound{
		// A score line at x = 30: 0.6 mm deep a side at 30 degrees, half of its groove is 0.6 x tan 15 = 0.160770 mm
		// (rounded up to the nanometre).
		Rule: "legend-overlap", Name: "a score line",
		Make: func(v float64) setup {
			return onRail(2, 0, "stage \"score_lines\" {\n between = [\"columns\", \"rails\"]\n remaining_web = 0.4\n included_angle = 30\n}\n", keptFree(v, 5))
		},
		Inside: 30.160770 + um, Outside: 30.160770 - um, NoFigure: true,
		Feature: "legend/label_area", Says: "legend/label_area lies on score/x1",
	},
	bound{
		// The slot between rail and board begins at y = 10.
		Rule: "legend-overlap", Name: "a slot",
		Make: func(v float64) setup {
			return onRail(2, 2, "stage \"breakoff_tabs\" {\n between = [\"rails\"]\n}\n", keptFree(1, v))
		},
		Inside: 8 - um, Outside: 8 + um, NoFigure: true,
		Feature: "legend/label_area", Says: "legend/label_area lies on slot/",
	},
	bound{
		// Without a gap the board begins at y = 10. Which of the panel's features is nearer does not matter.
		Rule: "legend-overlap", Name: "a board",
		Make:   func(v float64) setup { return onRail(2, 0, keptFree(8, v)) },
		Inside: 8, Outside: 8 + um, NoFigure: true,
		Feature: "legend/label_area", Says: "legend/label_area lies on A1", Copies: []string{"A1"},
	},
	bound{
		// The first area reaches from x = 4 to x = 8.
		Rule: "legend-overlap", Name: "another print",
		Make:   func(v float64) setup { return onRail(1, 2, keptFree(4, 5), keptFree(v, 5)) },
		Inside: 8, Outside: 8 - um, NoFigure: true,
		Feature: "legend/label_area/2", Says: "legend/label_area/2 lies on legend/label_area",
	},
	bound{
		// Beyond a corner of radius 5 mm: a corner of the area lies at its middle, 2.5 mm from either edge, 5 (1 − 1/√2) =
		// 1.464466 mm from the corner along each axis.
		Rule: "legend-overlap", Name: "the panel's edge",
		Make: func(v float64) setup {
			s := onRail(1, 2, keptFree(v, v+2))
			s.Stages = strings.Replace(s.Stages, "sides = [\"lower\"]\n", "sides = [\"lower\", \"upper\"]\n  corner_radius = 5\n", 1)
			return s
		},
		Inside: 1.464467 + um, Outside: 1.464466 - um, NoFigure: true,
		Feature: "legend/label_area", Says: "legend/label_area reaches beyond the panel's edge",
	},
)
