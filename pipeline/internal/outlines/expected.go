package outlines

// Expected is what a practitioner expects of the break-off tabs of a named outline, alone in a frame of
// four rails with slots of 2 mm and the defaults of stage breakoff_tabs: longest_free_span 60 mm,
// longest_overhang 30 mm, from_corner 5 mm. It was reasoned from the limits before any program had placed
// a tab, and holds for cutters of 2 mm and of 1 mm alike, but for Corners.
//
// The reasoning counts so: no tab's middle comes nearer than 8 mm to a corner (from_corner and half of a
// foot). A side w long between two corners takes one tab to 60 mm, two to 120 mm; none where w and the
// ways to the tabs on its neighbours make no more than 60 mm. Notches are bridged by a tight string. An
// edge that bends by less than 20 degrees in 2 mm is no corner.
//
// Array was added after the first run: before the back of the next comb lie tips of teeth too narrow for a
// tab, and between them tongues of waste that the two combs shut in. There the planner was right.
type Expected struct {
	Tabs    int    // the fewest that hold the board; 0 where Rule refuses it
	Rule    string // that must refuse it
	Corners [2]int // inner corners in which a cutter of 2 mm, of 1 mm leaves material on the board
	Why     string
	Array   string // a rule that refuses 2 x 2 of them, 2 mm apart, though one alone is held
}

// Table gives what is expected of each named outline.
func Table() map[string]Expected {
	return map[string]Expected{
		"round":             {3, "", [2]int{}, "157 mm round without a corner: three make 52 mm each", ""},
		"rectangle":         {8, "", [2]int{}, "110 x 70 mm: two on each side", ""},
		"rounded rectangle": {5, "", [2]int{}, "286 mm round, and a radius of 8 mm is no corner: five make 57 mm each", ""},
		"L":                 {5, "", [2]int{1, 1}, "70 mm below: two; each inner stretch one, for from a tab on the one it is 31 mm to the far corner of the other; left 50 mm: one, 20 to 22 mm from the top, which then needs none", ""},
		"U":                 {6, "", [2]int{2, 2}, "70 mm below: two; sides of 50 mm: one each, no nearer than 20 mm to the top; from there it is 70 mm and more over a prong, the notch and the other: two", ""},
		"T":                 {5, "", [2]int{2, 2}, "70 mm on top: two, near the corners; stem: one on each side, within 30 mm of its foot and of the bar's corner; between them 46 mm and the foot of 20 mm: one on the foot", ""},
		"comb":              {6, "", [2]int{6, 6}, "90 mm below: two; sides of 45 mm: one each, 15 mm and more from the top; over the tips it is 120 mm from the one to the other, and the tips of 15 mm take none: two on teeth's flanks", "board-not-held"},
		"star":              {6, "", [2]int{6, 6}, "points 40 mm apart: from a flank one point is less than 17 mm off, the other 28 mm and more: one in each notch; to leave a notch out, both its neighbours would need two", ""},
		"ring":              {4, "", [2]int{}, "188 mm round: four make 47 mm each; the cut-out needs none", ""},
		"two lobes":         {3, "", [2]int{4, 4}, "174 mm by a tight string over the neck: three, one at the far end of a lobe, two on the other; that the neck is weak no limit says", ""},
		"blob":              {4, "", [2]int{}, "about 210 mm round, without a corner: four make 53 mm each", ""},
		"crescent":          {5, "", [2]int{}, "130 mm along the outside between the horns: three; inside, from the middle both horns are 36 mm off: two", ""},
		"strip":             {4, "", [2]int{}, "100 mm: two on each long side; none on the ends of 6 mm", ""},
		"slit":              {4, "", [2]int{1, 2}, "50 x 40 mm: one on each side; a cutter of 2 mm does not enter a slit of 1.2 mm", ""},
		"small":             {0, "board-not-held", [2]int{}, "12 mm: no place is 8 mm from both corners", ""},
		"button":            {0, "board-not-held", [2]int{}, "a radius of 4 mm is a corner all the way round", ""},
	}
}
