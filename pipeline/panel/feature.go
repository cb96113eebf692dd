package panel

import (
	"math"

	"panelwright/pipeline/geom"
)

// Copy is one board placed on the panel.
type Copy struct {
	ID     string // "A1"; "left.A1" where there are several arrays
	Board  *Board
	Place  geom.Transform // board coordinates to panel coordinates
	Column int            // from 0, within its array
	Row    int
	Array  string // the array's name; empty for placed copies and single arrays
}

// Outline is the copy's edge on the panel.
func (c Copy) Outline() geom.Outline { return c.Place.Outline(c.Board.Outline) }

// Box is the bounding box of the copy's outline on the panel.
func (c Copy) Box() geom.Box { return c.Place.Path(c.Board.Outline.Outer).Box() }

// RailSide is where a rail lies.
type RailSide string

// The four rails.
const (
	Upper RailSide = "upper"
	Lower RailSide = "lower"
	Left  RailSide = "left"
	Right RailSide = "right"
)

// Rail is a strip of waste material along one side of the panel.
type Rail struct {
	ID   string // "rail/upper"
	Side RailSide
	Box  geom.Box
	Gap  geom.Length // between the rail and what it runs along
	// Derived is set where no width was asked for: the marks that the rail carries settle it (see
	// Builder.FitRail). Needed is the widest need so far, 0 while it carries nothing.
	Derived bool
	Needed  geom.Length
}

// Width is the rail's width across its length.
func (r Rail) Width() geom.Length {
	if r.Side == Upper || r.Side == Lower {
		return r.Box.Height()
	}
	return r.Box.Width()
}

// MarkKind says what a Mark is.
type MarkKind string

// The kinds of marks.
const (
	Fiducial    MarkKind = "fiducial"
	ToolingHole MarkKind = "tooling_hole"
)

// Mark is a fiducial or a tooling hole.
type Mark struct {
	ID       string // "fiducial/1", "tooling_hole/1"
	Kind     MarkKind
	At       geom.Point
	Diameter geom.Length // fiducial: copper; tooling hole: finished, non-plated
	Mask     geom.Length // fiducial: diameter of the mask opening
	Clear    geom.Length // fiducial: diameter kept free of copper, legend, holes and edges
	Sides    []Side      // fiducial: the sides it is on
}

// Slot is one opening routed through the panel, as the cutters leave it: its outer path counter-clockwise,
// arcs kept. An opening that runs out of the panel ends at the panel's outline.
type Slot struct {
	ID      string // "slot/1", numbered from the lower left
	Outline geom.Outline
}

// Unreached is material that should be cut away and that no cutter reaches: a fillet in a board's inner
// corner, or a notch too narrow. It stays on the copy.
type Unreached struct {
	ID      string // "A1/unreached/1"
	Copy    string
	At      geom.Point   // the corner's place on the copy's edge, or the middle of what stays
	Radius  geom.Length  // that remains: the smallest cutter's
	Outline geom.Outline // of what stays
}

// Blank is laminate beside a copy's edge that stays on it when the panel is parted along score lines: it
// belongs to the board as it is expected to come off.
type Blank struct {
	ID      string // "A1/blank/1"
	Copy    string
	Outline geom.Outline
}

// Tab is a bridge of material left in a slot.
type Tab struct {
	ID     string      // "A1/tab/upper/2"
	Copies []string    // the copies it holds: one (the other side is waste) or two
	Rail   string      // id of the rail or piece of waste it holds to ("waste/2"), empty between copies
	Width  geom.Length // at its waist, between the round ends of the slots
	// Feet are the middles of the tab on the edges of what it joins, the first on Copies[0].
	Feet [2]geom.Point
	// Along is the direction of the board's edge at the first foot, counter-clockwise round the board; a
	// unit vector in millionths.
	Along  geom.Point
	Pinned bool
	Rows   []Row
}

// Row is one row of perforations across a tab: the line along which it breaks, and its figures.
// Figures are lengths; those at worst have every hole off its place and of another diameter by the
// tolerances of the stage, to the worse side.
type Row struct {
	Copies []string    // whose edge the row follows; two where boards share one row
	Inset  geom.Length // how far the row lies towards the board from where it touches the edge from outside
	// Line runs through the holes' centres from slot to slot, parallel to the board's edge.
	Line geom.Path
	// Web is the narrowest material between two holes, Shoulder that between an end hole and the slot.
	Web, WorstWeb           geom.Length
	Shoulder, WorstShoulder geom.Length
	// Stub is how far what stays on the board stands out of its edge after breaking: what must be filed.
	Stub, WorstStub geom.Length
}

// Perforation is one small non-plated hole of a row that lets a tab break.
type Perforation struct {
	ID       string // "A1/tab/upper/2/hole/3", numbered along the edge
	Tab      string
	Row      int    // index into the tab's Rows
	Copy     string // the copy whose edge its row follows
	At       geom.Point
	Diameter geom.Length
}

// Score is one V-score line, cut alike from both sides: straight through the whole panel, or, where it
// jumps, from From to To at its full depth.
type Score struct {
	ID            string // "score/y1", "score/x2"
	From, To      geom.Point
	RemainingWeb  geom.Length
	Depth         geom.Length // a side
	IncludedAngle geom.Angle  // the whole angle of the blade, flank to flank
	Leave         geom.Length // blank laminate between the line and each board's edge
	WebTolerance  geom.Length // of RemainingWeb, either way
	// BladeOffsetTolerance is how far the cut of one face may lie beside that of the other, PositionTolerance
	// how far both may lie beside the line; either way.
	BladeOffsetTolerance, PositionTolerance geom.Length
	// RunOut is how far a groove that jumps may go on past From and To, getting shallower: the blade is
	// round. 0 for lines that run from edge to edge.
	RunOut        geom.Length
	BladeDiameter geom.Length // 0 where nobody says it
	Source        string      // where the section comes from
}

// Jumps tells whether the line begins or ends within the panel.
func (s Score) Jumps() bool { return s.RunOut > 0 }

// Groove is where the line is cut at all: with its run-outs, where it jumps. At an end at which the line runs out of
// the panel it may reach beyond it.
func (s Score) Groove() geom.Edge {
	d := s.To.Sub(s.From)
	n := d.Norm()
	if s.RunOut == 0 || n == 0 {
		return geom.Line(s.From, s.To)
	}
	by := geom.Pt(geom.Round(float64(float64(d.X)/n)*float64(s.RunOut)), geom.Round(float64(float64(d.Y)/n)*float64(s.RunOut)))
	return geom.Line(s.From.Sub(by), s.To.Add(by))
}

// HalfWidth is how far the groove reaches to either side of its line at the surface: depth × tan(half
// the included angle), rounded up to the nanometre.
func (s Score) HalfWidth() geom.Length {
	sin, cos := geom.SinCos(s.IncludedAngle.Degrees() / 2 * math.Pi / 180)
	return geom.Length(math.Ceil(float64(float64(s.Depth) * sin / cos)))
}
