package bounds

var _ = judged(
	bound{
		// A pad 1 mm wide whose middle lies 0.5 + v from the panel's left edge.
		Rule: "copper-to-edge",
		Make: func(v float64) setup {
			return one(sheet{Copper: map[int][]drawn{1: {dot(0.5+v, 10, 1)}}}, "")
		},
		Inside: 0.25 + um, Outside: 0.25 - um,
		Measured: 0.249, Limit: 0.25, Feature: "the panel's edge", Copies: []string{"A1"},
		At: "(0, 10)",
	},
)
