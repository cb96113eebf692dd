package bounds

import "fmt"

// railed is a board of 60 x 40 mm between two rails of 10 mm without a gap, from y = 10 to 50 on a panel of
// 60 x 60 mm, with more stages.
func railed(b sheet, more ...string) setup {
	b.Width, b.Height = 60, 40
	s := setup{Boards: []sheet{b}, Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  width = 10\n  gap   = 0\n}\n"}
	for _, x := range more {
		s.Stages += x
	}
	return s
}

// marked is the stage that places fiducials, with options.
func marked(options string) string { return "stage \"fiducials\" {\n" + options + "\n}\n" }

// corner is one fiducial in the lower left corner, with more options.
func corner(options string) string { return marked("  corners = [\"lower_left\"]\n" + options) }

// pinned is the stage that drills tooling holes, with options.
func pinned(options string) string { return "stage \"tooling_holes\" {\n" + options + "\n}\n" }

var _ = judged(
	bound{
		// Rails of the width asked for, above and below; the recipe's own limit of 6.35 mm, 250 mil.
		Rule: "rail-width",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{}}, Stages: array("gauge", 1, 1, 0) +
				fmt.Sprintf("stage \"rails\" {\n  sides = [\"upper\"]\n  width = %s\n}\n", digits(v)), Rules: set("rail-width", "at_least", "\"250 mil\"")}
		},
		Inside: 6.35 + um, Outside: 6.35 - um,
		Measured: 6.349, Limit: 6.35, Feature: "rail/upper",
		At: "(15, 25.1745)", // 30/2; 20 + 2 of gap + 6.349/2
	},
	bound{
		// Without rails the longer sides are carried; of a part whose body nobody knows the place counts.
		Rule: "conveyor-edge", Name: "place",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{Parts: []part{{Refdes: "U1", Package: "SO8", X: 1, Y: v}}}}, Stages: array("gauge", 2, 1, 0)}
		},
		Inside: 3 + um, Outside: 3 - um,
		Measured: 2.999, Limit: 3, Feature: "A1/part/U1", Copies: []string{"A1", "B1"}, Says: "from the lower edge",
	},
	bound{
		// A body of 4 x 2 mm, turned by a quarter: 2 mm of it lie above its place.
		Rule: "conveyor-edge", Name: "body",
		Make: func(v float64) setup {
			return one(sheet{Parts: []part{{Refdes: "U1", Package: "SO8", X: 15, Y: 20 - 2 - v, Turn: 90}}, Packages: "SO8,4,2,1,,,\n"}, "")
		},
		Inside: 3 + um, Outside: 3 - um,
		Measured: 2.999, Limit: 3, Feature: "A1/part/U1", Says: "from the upper edge",
	},
	bound{
		// Only rails at the left and right: 2.5 mm of rail and 0.5 mm of board before the part.
		Rule: "conveyor-edge", Name: "upright rails",
		Make: func(v float64) setup {
			return setup{Boards: []sheet{{Width: 40, Height: 20, Parts: []part{{Refdes: "U1", Package: "SO8", X: v - 2.5, Y: 1}}}},
				Stages: array("gauge", 1, 1, 0) + "stage \"rails\" {\n  sides = [\"left\", \"right\"]\n  width = 2.5\n  gap   = 0\n}\n"}
		},
		Inside: 3 + um, Outside: 3 - um,
		Measured: 2.999, Limit: 3, Feature: "A1/part/U1", Says: "from the left edge",
	},
	bound{
		// A hole whose rim just stays within the board's lower edge, or breaks through it.
		Rule: "conveyor-edge", Name: "open edge",
		Make:   func(v float64) setup { return one(sheet{NonPlated: []bore{{X: 15, Y: 0.5 + v, D: 1}}}, "") },
		Inside: um, Outside: -um, Coarse: "an edge that is open counts as none, however little of it is",
		Measured: 0, Limit: 3, Feature: "A1", Says: "1 hole or slot of A1 opens the lower edge",
	},
	bound{
		Rule:   "fiducial-size-least",
		Make:   func(v float64) setup { return railed(sheet{}, corner("  copper_diameter = "+digits(v))) },
		Inside: 1 + um, Outside: 1 - um,
		Measured: 0.999, Limit: 1, Feature: "fiducial/1", At: "(15, 6.25)",
	},
	bound{
		Rule: "fiducial-size-most",
		Make: func(v float64) setup {
			return railed(sheet{}, corner("  mask_diameter = 4\n  clear_diameter = 6\n  copper_diameter = "+digits(v)))
		},
		Inside: 3 - um, Outside: 3 + um,
		Measured: 3.001, Limit: 3, Feature: "fiducial/1",
	},
	bound{
		Rule: "fiducial-size-spread",
		Make: func(v float64) setup {
			return railed(sheet{}, corner(""), marked("  corners = [\"upper_right\"]\n  copper_diameter = "+digits(1+v)))
		},
		Inside: 0.025 - um, Outside: 0.025 + um,
		Measured: 0.026, Limit: 0.025, Feature: "fiducial/2",
	},
	bound{
		// The fiducial lies at (15, 6.25) on the panel, (15, -3.75) on the board, clear over a radius of 1.5. A dot of
		// 1 mm at y = -3.75 + 1.5 + 0.5 = -1.75 just touches that.
		Rule: "fiducial-clear-area", Name: "legend",
		Make: func(v float64) setup {
			return railed(sheet{Legend: map[string][]drawn{"top": {dot(15, -1.75+v, 1)}}}, corner(""))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "print on layer legend-top of A1",
	},
	bound{
		Rule: "fiducial-clear-area", Name: "mask",
		Make: func(v float64) setup {
			return railed(sheet{Mask: map[string][]drawn{"bottom": {dot(15, -1.75+v, 1)}}}, corner(""))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "an opening of layer mask-bottom of A1",
	},
	bound{
		Rule: "fiducial-clear-area", Name: "copper",
		Make: func(v float64) setup {
			return railed(sheet{Copper: map[int][]drawn{2: {dot(15, -1.75+v, 1)}}}, corner(""))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "copper on layer copper-2-bottom of A1",
	},
	bound{
		// Copper from y = -5 to 0 over the dot, of which all within 1.5 + v of the dot's middle is erased again.
		Rule: "fiducial-clear-area", Name: "erased copper",
		Make: func(v float64) setup {
			r := 1.5 + v
			return railed(sheet{Copper: map[int][]drawn{1: {area(box(5, -5, 25, 0)), erased(box(15-r, -3.75-r, 15+r, -3.75+r))}}}, corner(""))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "copper on layer copper-1-top of A1",
	},
	bound{
		// What the fiducial's side does not show does not count.
		Rule: "fiducial-clear-area", Name: "its own sides",
		Make: func(v float64) setup {
			sides := []string{"  sides = [\"top\"]", "  sides = [\"top\", \"bottom\"]"}
			return railed(sheet{Copper: map[int][]drawn{2: {dot(15, -2, 1)}}}, corner(sides[int(v)]))
		},
		Inside: 0, Outside: 1,
		Measured: 1.25, // -2 - 0.5 + 3.75
		Feature:  "fiducial/1",
	},
	bound{
		Rule: "fiducial-clear-area", Name: "hole",
		Make: func(v float64) setup {
			return railed(sheet{NonPlated: []bore{{X: 15, Y: -1.75 + v, D: 1}}}, corner(""))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "a hole of A1",
	},
	bound{
		// A tooling hole of 4 mm at (5, 6.25): 15 - ... its rim is at x = 7, the clear area begins 1.5 left of the dot.
		Rule: "fiducial-clear-area", Name: "tooling hole",
		Make: func(v float64) setup {
			return railed(sheet{}, pinned("  corners = [\"lower_left\"]\n  inward_y = 6.25"), corner("  inward_x = "+digits(8.5+v)))
		},
		Inside: um, Outside: -um,
		Measured: 1.499, Feature: "fiducial/1", Says: "tooling_hole/1",
	},
	bound{
		// The groove of a line at y = 10: (1.6 - 0.4) / 2 = 0.6 deep, 0.6 x tan 15 deg = 0.160 769 5, up to 0.160 770 mm
		// to either side. A dot at 10 - 0.16077 - 1.5 = 8.33923 is just clear of it.
		Rule: "fiducial-clear-area", Name: "score groove",
		Make: func(v float64) setup {
			return railed(sheet{}, corner("  inward_y = "+digits(8.33923+v)), "stage \"score_lines\" {\n  remaining_web = 0.4\n  included_angle = 30\n}\n")
		},
		Inside: -um, Outside: um,
		Measured: 1.499, Feature: "fiducial/1", Says: "score/y1",
	},
	bound{
		// 1 mm beyond a dot of 1 mm would be twice its radius; 0.5 mm is once.
		Rule: "fiducial-clear-size",
		Make: func(v float64) setup {
			return railed(sheet{}, corner("  mask_diameter = 1.5\n  clear_diameter = "+digits(v)))
		},
		Inside: 2 + um, Outside: 2 - um,
		Measured: 0.999, // (1.999 - 1) / 1
		Limit:    1, Feature: "fiducial/1",
	},
	bound{
		// 6.25 - 1.5 = 4.75
		Rule:   "fiducial-to-edge",
		Make:   func(v float64) setup { return railed(sheet{}, corner("  inward_y = "+digits(v+1.5))) },
		Inside: 4.75 + um, Outside: 4.75 - um,
		Measured: 4.749, Limit: 4.75, Feature: "fiducial/1",
	},
	bound{
		// Parts on the bottom only: fiducials on top do not help.
		Rule: "fiducial-count",
		Make: func(v float64) setup {
			more := []string{"top", "bottom"}
			return railed(sheet{Parts: []part{{Refdes: "U1", Package: "SO8", X: 30, Y: 20, Bottom: true}}},
				marked("  corners = [\"lower_left\", \"lower_right\"]"), marked(fmt.Sprintf("  corners = [\"upper_left\"]\n  sides = [%q]", more[int(v)-2])))
		},
		Inside: 3, Outside: 2,
		Measured: 2, Limit: 3, Feature: "panel", Says: "2 fiducials on its bottom",
	},
	bound{
		// Four corners, of which one is offset by v: turned by half, that one and the opposite one are off by v, and
		// so are two of them when the panel is turned over.
		Rule: "fiducial-symmetry",
		Make: func(v float64) setup {
			s := railed(sheet{}, marked("  corners = [\"lower_left\", \"lower_right\", \"upper_right\", \"upper_left\"]\n  offset_corner = \"upper_right\"\n  offset = "+digits(v)))
			s.Boards[0].Width, s.Boards[0].Height = 80, 40
			return s
		},
		Inside: 5 + um, Outside: 5 - um,
		Measured: 4.999, Limit: 5, Feature: "fiducial/1",
		Says: "the fiducials of either side look alike with the panel turned by 180 deg, turned over about its upright middle or turned over about its level middle",
	},
	bound{
		// Two in opposite corners pass for one another; three in an L do not.
		Rule: "fiducial-symmetry", Name: "L",
		Make: func(v float64) setup {
			corners := []string{"\"lower_left\", \"lower_right\", \"upper_left\"", "\"lower_left\", \"upper_right\""}
			s := railed(sheet{}, marked("  sides = [\"top\"]\n  corners = ["+corners[int(v)]+"]"))
			s.Boards[0].Width = 80
			return s
		},
		Coarse:   "panels that differ in kind; the limit itself is another case's",
		Measured: 0, Limit: 5, Feature: "fiducial/1", Says: "the fiducials of the panel's top look alike with the panel turned by 180 deg:",
	},
	bound{
		Rule: "tooling-hole-count",
		Make: func(v float64) setup {
			corners := []string{"", ", \"upper_right\""}
			return railed(sheet{}, pinned("  corners = [\"lower_left\", \"lower_right\", \"upper_left\""+corners[int(v)-3]+"]"))
		},
		Inside: 4, Outside: 3,
		Measured: 3, Limit: 4, Feature: "panel",
	},
	bound{
		Rule: "tooling-hole-diameter",
		Make: func(v float64) setup {
			return railed(sheet{}, pinned("  corners = [\"upper_left\"]\n  diameter = "+digits(v)))
		},
		Inside: 3 + um, Outside: 3 - um,
		Measured: 2.999, Limit: 3, Feature: "tooling_hole/1", At: "(5, 55)",
	},
	bound{
		// The rim of a hole of 4 mm lies 2 nearer to the edge than its middle.
		Rule: "tooling-hole-to-edge",
		Make: func(v float64) setup {
			return railed(sheet{}, pinned("  corners = [\"upper_left\"]\n  inward_x = "+digits(v+2)))
		},
		Inside: 2 + um, Outside: 2 - um,
		Measured: 1.999, Limit: 2, Feature: "tooling_hole/1",
	},
)
