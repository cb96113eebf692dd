// Package apart proves by geometry that a panel holds together before it is broken, and that every
// board comes off it whole and by itself afterwards.
//
// It knows shapes only: the material that the profile leaves, holes, and the lines along which the panel
// breaks. Before breaking, material without the holes must be one piece (Loose). Breaking is cutting
// along the lines: then each board must be a piece of its own, equal to its outline but for the stubs
// of tabs, the fillets that a cutter leaves in inner corners, and blank laminate beside score lines
// (Judge).
//
// A board is looked at in a window a little larger than itself. What hangs on to it and is larger than
// the window's margin shows as a piece that reaches the window's border.
package apart

import (
	"panelwright/pipeline/geom"
)

// Disc is a drilled hole.
type Disc struct {
	At       geom.Point
	Diameter geom.Length
}

// path is the disc's border, counter-clockwise.
func (d Disc) path() geom.Path {
	from := geom.Pt(d.At.X+d.Diameter/2, d.At.Y)
	return geom.Path{geom.Arc(from, from, d.At, geom.CounterClockwise)}
}

func (d Disc) box() geom.Box { return geom.BoxOf(d.At).Grow(d.Diameter/2 + 1) }

// Break is a line along which the panel breaks: a row of perforations or a score line.
type Break struct {
	Line geom.Path
	// Stubs say for which boards, by index, what lies between the board's edge and the line belongs to
	// the board as it is expected to come off, and how far it may stand out.
	Stubs []Stub
}

// Stub is what may stay on a board along a break, or break out of it where the break runs inside of the
// board's edge.
type Stub struct {
	Board  int
	Height geom.Length // of what may stand out
	Depth  geom.Length // of what may be lost
}

// Board is a board as it should come off.
type Board struct {
	ID      string
	Outline geom.Outline // the source's, on the panel, with the blank laminate that stays on it beside score lines
	Stays   geom.Region  // what may come off with it besides: no cutter reaches it, as the plan tells
}

// Panel is what is to be proved.
type Panel struct {
	Material geom.Region // what the profile leaves
	Rows     []Disc      // perforations
	Holes    []Disc      // other round holes
	Routs    geom.Region // slots of the boards' own drill files
	Breaks   []Break
	Boards   []Board
	Cutter   geom.Length // diameter of the thinnest cutter, 0 where nothing is routed
}

// Fault says what is wrong with how a board comes off.
type Fault uint8

// The faults.
const (
	HangsOn   Fault = iota // the board does not part from the rest
	Waste                  // it comes off with waste on it
	Damaged                // part of it is cut away
	CutInTwo               // it comes off in several pieces
	SlugStays              // a cut-out of it is not cut out
)

// Finding is one fault of one board.
type Finding struct {
	Fault Fault
	Board int
	At    geom.Point
	Area  float64     // of what is too much or missing, nm²
	Depth geom.Length // how far it reaches out of the board or into it
	To    []int       // HangsOn: boards that it stays with; none: the frame
}

// What the proof cannot see, and nobody else can: borders are rounded to the nanometre, arcs cut by
// something are straight within a micrometre, and a break is a cut of a certain width here.
const (
	thin      = 5 * geom.UM // what lies no deeper than this is no difference
	kerf      = 4 * geom.UM // width of a break
	filletTol = 10 * geom.UM
)
