package panel

import "panelwright/pipeline/geom"

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

// Slot is one stroke of a cutter: a band of Width along Path, ends round.
type Slot struct {
	ID    string // "slot/y2/1"
	Width geom.Length
	Path  geom.Path
}

// Tab is a bridge of material left in a slot.
type Tab struct {
	ID     string      // "A1/tab/upper/2"
	Copies []string    // the copies it holds: one (the other side is a rail) or two
	Rail   string      // id of the rail it holds to, empty between copies
	Width  geom.Length // at its waist, between the round ends of the slots
	// Feet are the middles of the tab on the edges of what it joins, the first on Copies[0].
	Feet [2]geom.Point
	// Along is the unit direction of the board edge scaled to whole numbers: (1,0) or (0,1) for
	// edges along the axes.
	Along  geom.Point
	Pinned bool
}

// Perforation is one small non-plated hole of a row that lets a tab break.
type Perforation struct {
	ID       string // "A1/tab/upper/2/hole/3", numbered along the edge
	Tab      string
	Copy     string // the copy whose edge its row follows
	At       geom.Point
	Diameter geom.Length
}

// Score is one V-score line, cut from both sides, straight through the whole panel.
type Score struct {
	ID            string // "score/y1", "score/x2"
	From, To      geom.Point
	RemainingWeb  geom.Length
	Depth         geom.Length // a side
	IncludedAngle geom.Angle  // the whole angle of the blade
	Leave         geom.Length // blank laminate between the line and each board's edge
}
