// Package mechanics answers by calculation whether a panel holds and how it breaks: how far it sags on the conveyor,
// cold and hot, how it swings, how its tabs are strained, what happens when one is missing, and what it takes to part it.
// Begin with Of.
package mechanics

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/breakage"
	"panelwright/pipeline/panel"
)

// Answers is what was reckoned of a panel.
type Answers struct {
	Support                    panel.Support
	Constants                  []Named     // all that was reckoned with, in order
	Span                       geom.Length // between supports, that sag is held against
	Nodes, Triangles, Unknowns int
	Rows                       int // of tabs, with holes or without, that beams bridge
	Joints                     int // pieces of at most 6 mm of them that move as one
	// Problems keep the panel from being reckoned; then nothing below is set but Breaks.
	Problems []Problem
	IdlePins []geom.Point // pins under no material: they carry nothing
	Mass     float64      // of all that was reckoned, g: laminate, copper, and the parts whose mass is known
	States   []State      // cold, hot, pressed
	Hertz    []float64    // the lowest natural frequencies, cold
	Tabs     []Tab
	Lines    []Line // score lines
	Breaks   []Break
	Parts    []Strained // worst first
	Shapes   []Shape    // fields to be drawn
}

// Named is a constant with its name in words, and shortly.
type Named struct {
	Name, Short string
	panel.Constant
}

// Problem is why a panel cannot be reckoned.
type Problem struct {
	Kind    ProblemKind
	Message string // a sentence with what to do
	At      geom.Point
	Feature string
	Copies  []string // all that it is told of, the first of them Feature; nil where it is no copy
}

// ProblemKind is what is wrong.
type ProblemKind string

// The kinds.
const (
	LoosePiece  ProblemKind = "loose_piece"  // a piece that hangs on to nothing
	NotCarried  ProblemKind = "not_carried"  // the supports leave the panel free to fall or tip
	NotReckoned ProblemKind = "not_reckoned" // a score line whose section cannot be
	Tips        ProblemKind = "tips"         // its centre of mass lies outside of its supports
	NoLaminate  ProblemKind = "no_laminate"  // nothing to reckon: no boards, no thickness
)

// StateKind is one way of loading the panel.
type StateKind string

// The states.
const (
	Cold    StateKind = "cold"    // its own weight, and parts
	Hot     StateKind = "hot"     // the same in the oven
	Pressed StateKind = "pressed" // cold, and the force on one copy
)

// State is how the panel lies under one load.
type State struct {
	Kind    StateKind
	Sag     float64 // mm, the furthest
	SagAt   geom.Point
	SagCopy string // the copy that it lies on; empty on waste
	Pressed string // the copy that the force presses on
	// Pull is the greatest force, in N, by which a support would have to hold the panel down, and PullAt where: a panel that only lies there
	// lifts off, and the figures are too good. 0: it lies on all of its supports.
	Pull    float64
	PullAt  geom.Point
	Percent float64 // of Span
}

// Tab is how one row of one tab is strained.
type Tab struct {
	Tab     string
	Row     int
	Copies  []string
	At      geom.Point
	Modulus float64   // mm³
	Loads   []RowLoad // one for each of Answers.States, in the same order
	Least   float64   // the least reserve of all Loads: strength over stress
	// Without is what happens when this tab is left out.
	Without Without
}

// Line is how the web of one score line is strained where it is strained most.
type Line struct {
	Score   string
	At      geom.Point // in the state with the least reserve
	Modulus float64    // of the web, mm³ for each mm of the line
	Loads   []RowLoad  // one for each of Answers.States; Moment in N·mm for each mm, Twist and Shear are not told
	Least   float64
}

// RowLoad is what a row bears in one state.
type RowLoad struct {
	Moment, Twist float64 // N·mm, about the row's line and about the direction across it
	Shear         float64 // N
	Stress        float64 // MPa, at the worst ligament, with the notch factor
	Strength      float64 // MPa
	Reserve       float64 // Strength / Stress
}

// Without is what happens when a tab is left out.
type Without struct {
	Falls   bool    // a piece comes loose or is free to turn
	Sag     float64 // mm, cold
	Reserve float64 // least of all other tabs, cold
	Worst   string  // the tab that bears it
}

// Break is what it takes to part something, Strained a part near a break; see package breakage.
type (
	Break     = breakage.Break
	BreakKind = breakage.Kind
	Strained  = breakage.Strained
)

// The kinds of breaks.
const (
	OneTab    = breakage.OneTab
	BoardEdge = breakage.BoardEdge
	ScoreLine = breakage.ScoreLine
)

// Shape is a field of a figure at the nodes of triangles.
type Shape struct {
	ID, Title, Unit string
	Hot             bool
	Values          []float64 // by grid square, see pipeline.Field
	Origin          geom.Point
	Step            geom.Length
	Columns, Rows   int
	Source          string
}

// Keeps tells whether the panel keeps limits: of sag unloaded, cold and hot; of strength in every state.
func (a *Answers) Keeps(l Limits) bool {
	if len(a.Hertz) > 0 && a.Hertz[0] < l.LeastFrequency {
		return false
	}
	for _, s := range a.States {
		if s.Kind != Pressed && s.Percent > l.MostSag {
			return false
		}
	}
	for _, t := range a.Tabs {
		if t.Least < l.LeastReserve {
			return false
		}
	}
	for _, t := range a.Lines {
		if t.Least < l.LeastReserve {
			return false
		}
	}
	return true
}
