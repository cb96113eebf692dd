package boardset

// Mode says how a board is held on the panel.
type Mode string

// The modes.
const (
	Held    Mode = "held"    // by tabs in the slot round it
	Refused Mode = "refused" // no choice of tabs holds it as the limits ask
)

// Tabs is what a practitioner expects of a board alone in a frame of four rails, with slots of 2 mm and
// the defaults of stage breakoff_tabs but for the options here. It was reasoned from outline, copper and
// limits before any program had placed a tab on it.
//
// The reasoning counts so: no tab's middle comes nearer than 8 mm to a corner (5 mm from_corner, and half
// of a foot). A side w long between two corners takes one tab to 60 mm, two to 120 mm, three to 180 mm,
// for no corner may overhang by more than 30 mm; none does where w and the ways to its neighbours' tabs
// make no more than 60 mm. Holes touch the edge, so that with copper_clearance 0.25 mm and the worst of
// place (0.05 mm) and diameter (0.025 mm) copper must keep 0.325 mm from the edge below a tab; with
// 0.15 mm it must keep 0.225 mm. (Inner layers were given a limit of their own after the table was written.)
type Tabs struct {
	Options string // of stage breakoff_tabs, beside the defaults
	Mode    Mode
	Number  int    // of tabs, where it is held: the fewest
	Rule    string // that refuses it
	Why     string
}

// closer lets tabs stand where copper on any layer keeps 0.225 mm from the edge.
const closer = "copper_clearance = \"0.15 mm\"\ninner_copper_clearance = \"0.15 mm\""

var expected = map[string][]Tabs{
	"control-2l-regions": {
		{"", Refused, 0, "board-not-held", "a plane runs 0.254 mm from 80 mm of the upper edge: the upper right corner is 90 mm from the nearest tab there"},
		{closer, Held, 10, "", "99.8 x 137.95 mm: two on each short side, three on each long one"},
	},
	"daughter-2l-arcs74": {
		{"", Refused, 0, "board-not-held", "a plane runs 0.267 mm from the edge all the way round: no tab at all"},
		{closer, Held, 8, "", "between the middles of round corners of 4.445 mm: 98.0 x 68.1 mm, two on each side"},
	},
	"half-2l-manyslots": {
		{"", Held, 11, "", "top 128 mm: three; left 79.5 mm: two; lower left stretch of 38 mm: one, which reaches the corners to both sides; the sloping stretch: one within 30 mm of the step at 62 mm, one within 30 mm of the lowest corner; thumb, 48 mm: one; its back, 27.5 mm: one, for round the inward corner it is more than 30 mm to the next place; right side above it, 66 mm: one, near its upper end"},
	},
	"module-6l-slots": {
		{"", Refused, 0, "board-not-held", "castellated holes along both long edges, copper 0.15 mm from both short ones"},
		{closer, Refused, 0, "board-not-held", "the same"},
	},
	"node-4l-x2": {
		{"", Refused, 0, "board-not-held", "copper 0.255 mm from the upper edge and the upper 25 mm of both sides: 79 mm round them without a tab"},
		{closer, Held, 5, "", "80 mm sides: two each, the upper two within 32 mm of the upper corners together, so that the upper side of 28 mm needs none; below, the notch keeps the left side's tab 25.5 mm from the corner, and the lower side needs one"},
	},
	"notched-2l-large": {
		{"", Refused, 0, "board-not-held", "contacts 0.318 mm from the 80 mm of the card edge: 100 mm without a tab"},
		{closer, Refused, 0, "board-not-held", "the 81 mm of the card edge have contact fingers on both sides: no tab may stand there, and 103 mm are free"},
	},
	"pilot-2l-mil": {
		{"", Held, 4, "", "76 mm between bevels: two on each long side, for one would leave corners 38 mm off; with these 8 to 9.3 mm from the bevels it is less than 60 mm round the short sides, which need none"},
	},
	"plate-cutouts": {
		{"", Held, 9, "", "left 58.5 mm: one, 28.5 to 30 mm from both its corners; lower left: two, for the corner below the thumb keys is 41 mm from any place within 30 mm of the lower left corner; below the thumb keys 57 mm: one; right of them, 89 mm round a flat bend: two; top, a stair of shallow steps: one within 30 mm of each end, and one on the left, for else 77 mm were free round the upper left corner"},
	},
	"square-10l-inch": {
		{"", Refused, 0, "board-not-held", "planes 0.318 mm from the edge all the way round: no tab at all"},
		{closer, Held, 12, "", "170 mm sides: three each"},
	},
	"tiny-4l-blind": {
		{"", Refused, 0, "board-not-held", "13 x 9.4 mm: no place is 8 mm from both corners of its side; and copper lies 0.025 mm from the edge"},
		{closer, Refused, 0, "board-not-held", "the same"},
	},
	"watch-2l-loops": {
		{"", Refused, 0, "board-not-held", "round, 24.4 mm, with notches: no stretch between two corners is as long as 16 mm"},
		{closer, Refused, 0, "board-not-held", "the same"},
	},
}
