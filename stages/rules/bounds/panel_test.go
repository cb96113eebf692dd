package bounds

import "fmt"

// one is a panel of one board, abutted by nothing: its outline is the panel's.
func one(b sheet, rules string) setup {
	return setup{Boards: []sheet{b}, Stages: array(b.name(), 1, 1, 0), Rules: rules}
}

var _ = judged(
	bound{
		// Two boards side by side, abutted: 2 x 205 mm = 410 mm, the limit's own default.
		Rule: "panel-size",
		Make: func(v float64) setup {
			b := sheet{Width: v / 2, Height: 100}
			return setup{Boards: []sheet{b}, Stages: array("gauge", 2, 1, 0)}
		},
		Inside: 410, Outside: 410 + 2*um,
		Measured: 410 + 2*um, // 2 x 205.001
		Limit:    410, Feature: "panel",
	},
	bound{
		// Rails of the width asked for, above and below; the recipe's own limit of 6.35 mm, 250 mil.
		Rule: "rail-width",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0) +
				fmt.Sprintf("stage \"rails\" {\n  sides = [\"upper\"]\n  width = %s\n}\n", digits(v)),
				Rules: "  limit \"rail-width\" {\n    at_least = \"250 mil\"\n  }"}
		},
		Inside: 6.35 + um, Outside: 6.35 - um,
		Measured: 6.349, Limit: 6.35, Feature: "rail/upper",
		At: "(15, 25.1745)", // 30/2; 20 + 2 of gap + 6.349/2
	},
)
