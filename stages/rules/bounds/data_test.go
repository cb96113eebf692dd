package bounds

import "fmt"

// beside is two boards, one to the right of the other, abutted.
func beside(a, b sheet) setup {
	return setup{Boards: []sheet{a, b}, Stages: fmt.Sprintf("stage \"array\" {\n  name    = \"left\"\n  board   = %q\n  columns = 1\n  rows    = 1\n}\n"+
		"stage \"array\" {\n  name    = \"right\"\n  board   = %q\n  columns = 1\n  rows    = 1\n  beside  = \"right\"\n}\n", a.name(), b.name())}
}

// either gives one of two panels: the first at 0.
func either(inside, outside setup) func(float64) setup {
	return func(v float64) setup {
		if v == 0 {
			return inside
		}
		return outside
	}
}

var via = []drawn{dot(10, 10, 1)}

var _ = judged(
	bound{
		Rule: "layers-complete", Name: "copper",
		Make: either(one(sheet{Layers: 4, Options: "  copper_layers = 4"}, ""),
			one(sheet{Layers: 4, Options: "  copper_layers = 4", Leave: []string{"copper-2.gbr"}}, "")),
		NoFigure: true, Feature: "boards.gauge", Copies: []string{"A1"}, Says: "4 copper layers, and no file for copper layer 2",
	},
	bound{
		Rule: "layers-complete", Name: "mask of the other side",
		Make: either(one(sheet{Copper: map[int][]drawn{2: via}}, ""),
			one(sheet{Copper: map[int][]drawn{2: via}, Leave: []string{"mask-bottom.gbr"}}, "")),
		NoFigure: true, Feature: "boards.gauge", Says: "no file for the mask there, but its top has one",
	},
	bound{
		// The side without a mask has no copper: nothing lacks.
		Rule: "layers-complete", Name: "mask of another board",
		Make: either(beside(sheet{}, sheet{Name: "relay", Copper: map[int][]drawn{1: via}, Leave: []string{"mask-bottom.gbr"}}),
			beside(sheet{}, sheet{Name: "relay", Copper: map[int][]drawn{1: via}, Leave: []string{"mask-bottom.gbr", "mask-top.gbr"}})),
		NoFigure: true, Feature: "boards.relay", Copies: []string{"right.A1"}, Says: "board gauge has one",
	},
	bound{
		// Pads say by their attribute that a hole is in them.
		Rule: "layers-complete", Name: "plated holes",
		Make: func(v float64) setup {
			s := sheet{Copper: map[int][]drawn{1: {{aperture: "C,0.8", path: via[0].path, kind: 'f', function: "ViaPad"}}}}
			if v == 0 {
				s.Plated = []bore{{X: 10, Y: 10, D: 0.4}}
			}
			return one(s, "")
		},
		NoFigure: true, Says: "layer copper-1-top says of 1 pad that a hole is in it",
	},
	bound{
		Rule: "revision-identity", Name: "revision",
		Make:     either(one(sheet{Options: "  part_number = \"RG-1042\"\n  revision = \"C\""}, ""), one(sheet{Options: "  part_number = \"RG-1042\""}, "")),
		NoFigure: true, Feature: "boards.gauge", Says: "the revision of board gauge",
	},
	bound{
		// The files state the revision where the recipe does not.
		Rule: "revision-identity", Name: "both",
		Make:     either(one(sheet{Project: "RG-1042,C", Options: "  part_number = \"RG-1042\""}, ""), one(sheet{}, "")),
		NoFigure: true, Feature: "boards.gauge", Says: "the part number and revision of board gauge",
	},
	bound{
		Rule: "revisions-mixed",
		Make: func(v float64) setup {
			return beside(sheet{Options: "  part_number = \"RG-1042\"\n  revision = \"C\""},
				sheet{Name: "gauge_new", Options: fmt.Sprintf("  part_number = \"rg-1042\"\n  revision = %q", []string{"C", "D"}[int(v)])})
		},
		NoFigure: true, Feature: "boards.gauge_new", Says: "of revision C and D",
	},
	bound{
		// A place v to the right of the edge at x = 30; parts on the edge lie on the board.
		Rule: "part-inside-board",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{Parts: []part{{Refdes: "U1", Package: "SO8", X: 30 + v, Y: 7}}}}, Stages: array("gauge", 2, 1, 0)}
		},
		Inside: 0, Outside: um,
		Measured: 0.001, Limit: 0, Feature: "boards.gauge/part/U1", Copies: []string{"A1", "B1"}, At: "(30.001, 7)",
	},
	bound{
		// Beyond the corner (30, 20): 0.3 to the right and 0.4 above are 0.5 away.
		Rule: "part-inside-board", Name: "at a corner, limit 0.5",
		Make: func(v float64) setup {
			return one(sheet{Parts: []part{{Refdes: "J1", Package: "USB", X: 30 + 0.6*v, Y: 20 + 0.8*v}}}, "  limit \"part-inside-board\" {\n    at_most = 0.5\n  }")
		},
		Inside: 0.5, Outside: 0.501, // 0.3006, 0.4008
		Measured: 0.501, Limit: 0.5, Feature: "boards.gauge/part/J1",
	},
	bound{
		// Nine parts are told of as one: their origin is another.
		Rule: "part-inside-board", Name: "many",
		Make: func(v float64) setup {
			s := sheet{}
			for i := range 9 {
				s.Parts = append(s.Parts, part{Refdes: fmt.Sprintf("R%d", i+1), Package: "0603", X: 29 + v*float64(i+2), Y: 10})
			}
			return one(s, "")
		},
		Inside: 0, Outside: 1, Coarse: "the parts lie in a row, and the figure is the last one's; the limit itself is another case's",
		Measured: 9, // 29 + 10 - 30
		Limit:    0, Feature: "boards.gauge", Says: "9 parts of board gauge",
	},
	bound{
		// A non-plated hole of 1 mm whose middle lies 0.5 - v from the lower edge: its rim reaches v over it.
		Rule: "hit-inside-board",
		Make: func(v float64) setup {
			return one(sheet{NonPlated: []bore{{X: 15, Y: 0.5 - v, D: 1}}}, "")
		},
		Inside: 0, Outside: um,
		Measured: 0.001, Limit: 0, Feature: "boards.gauge/nonplated-1-2", Copies: []string{"A1"}, At: "(15, 0.499)",
	},
	bound{
		// A slot of 1 mm that runs from within to 29.5 + v: its round end reaches v over the edge at x = 30.
		Rule: "hit-inside-board", Name: "slot",
		Make: func(v float64) setup {
			return one(sheet{NonPlated: []bore{{X: 20, Y: 10, D: 1, To: &[2]float64{29.5 + v, 10}}}}, "")
		},
		Inside: 0, Outside: um,
		Measured: 0.001, Limit: 0, Feature: "boards.gauge/nonplated-1-2", At: "(29.501, 10)",
	},
	bound{
		// Plated holes in a row that the edge cuts in half belong there; those without plating do not.
		Rule: "hit-inside-board", Name: "castellated",
		Make: func(v float64) setup {
			s := sheet{Copper: map[int][]drawn{1: {dot(15, 10, 2)}, 2: nil}}
			var row []bore
			for i := range 5 {
				x := 10 + 2*float64(i)
				row = append(row, bore{X: x, D: 1})
				for layer := 1; layer <= 2; layer++ {
					s.Copper[layer] = append(s.Copper[layer], dot(x, 0, 1.6))
				}
			}
			if s.Plated = row; v == 1 {
				s.Plated, s.NonPlated = nil, row
			}
			return one(s, "")
		},
		Coarse:   "panels that differ in kind; the limit itself is another case's",
		Measured: 0.5, Limit: 0, Feature: "boards.gauge/nonplated-1-2", Says: "5 holes and slots reach",
	},
	bound{
		// A hole of 1 mm in the gap of 2 mm: its rim touches the neighbour's edge at x = 32 when its middle is at 31.5.
		Rule: "reach-into-neighbour",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{NonPlated: []bore{{X: 31.5 + v, Y: 10, D: 1}}}}, Stages: array("gauge", 2, 1, 2)}
		},
		Inside: -um, Outside: um,
		NoFigure: true, Feature: "A1", Copies: []string{"A1", "B1"}, At: "(31.501, 10)", Says: "a hole of A1 lies on B1",
	},
	bound{
		// A legend dot of 1 mm in the gap of 2 mm, likewise.
		Rule: "cut-at-neighbour",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{Legend: map[string][]drawn{"top": {dot(31.5+v, 10, 1)}}}}, Stages: array("gauge", 2, 1, 2)}
		},
		Inside: -um, Outside: um,
		NoFigure: true, Feature: "A1", Says: "layer legend-top of board gauge",
	},
)
