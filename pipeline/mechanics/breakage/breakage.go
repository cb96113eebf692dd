// Package breakage estimates, by formulas and without finite elements, what it takes to part a panel: the moment and the
// hand force that break each row of perforations, each edge of a board and each score line, as a range; and how much the board is
// strained at the parts nearby while that breaks. Begin with Of.
//
// All of it is an estimate and uncalibrated: no published figures of strain against distance from a break were found to
// hold it against. What is assumed:
//   - A section breaks when its moment over its section modulus, Σ b·t²/6, reaches the laminate's flexural strength. Weak
//     material has the least strength that it must have and feels the notches of holes and grooves in full (the laminate's
//     notch factor); strong material has the highest strength and feels none. Copper and mask are not in the section.
//   - The line is bent as a whole, like a hinge: for a board's edge all of its rows at once, with whatever holds the board
//     on other sides gone already. Twisting tabs off, or taking pliers to them, is another matter.
//   - The hand presses in the middle of its grip, Grip from the far edge of the piece that is bent, and no nearer to the line
//     than half of that piece. For tabs that is the copy. For a score line it is the wider of the strips on either side, as far as
//     the next line beside it or the panel's edge: the panel is taken apart line by line, and what is narrow, as a
//     rail, is held down along its whole length (from memory, no published source). Beside the line a board is bent the most, and
//     less and less towards the middle of the grip on that side's strip; there it is not bent, nor beyond the next line.
//   - A row's moment spreads into the board as into half of an infinite plate, its strip evenly loaded, rows mirrored at the board's ends:
//     see spreading and bend. On a board of 60 × 40 mm that says 0.9 to 1.5 times what plate elements say, aside of a row up to
//     1.8 times. A score line bends the board alike along its whole length. The board is as stiff as bare laminate unless it is told otherwise.
//
// Units: N, mm, MPa, unless said.
package breakage

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// Grip is half of how much of a piece a hand takes hold of: a thumb's breadth is some 20 mm (from memory).
const Grip = 10 * geom.MM

// Reach is how far from a break parts are looked at, unless another is asked for: beyond, the estimate says less than
// how the panel is held (common practice, no published source).
const Reach = 25 * geom.MM

// Kind is what is broken.
type Kind string

// The kinds.
const (
	OneTab    Kind = "tab"        // one row of a tab
	BoardEdge Kind = "board_edge" // all rows along one straight side of a board, where there are several
	ScoreLine Kind = "score_line"
)

// Break is what it takes to part something.
type Break struct {
	Kind    Kind
	Feature string // id of the tab, the score line; of a board edge the copy's
	Row     int    // of the tab
	Tabs    []string
	Copies  []string
	At      geom.Point
	Moment  [2]float64 // N·mm, from weak material to strong
	Lever   float64    // mm, from the line to where a hand presses
	Force   [2]float64 // N
	// Cut: there are no holes, or not in every row. It is meant to be cut off; the figures are what it would take to break it.
	Cut bool
}

// Strained is a part near a break, and the break that strains it most.
type Strained struct {
	Copy, Refdes string
	At           geom.Point  // on the part, nearest to the break
	Break        string      // id of the nearest tab, or of the score line
	Distance     geom.Length // from the part's body, or its place where nobody says its body, to the row or line
	// Strain is the greatest of the board's surface beside the part, in µε, while strong material breaks; Least
	// while weak material does. Estimates, uncalibrated.
	Strain, Least float64
}

// Options say how it is reckoned.
type Options struct {
	Reach geom.Length // 0: Reach
	// Bending gives the stiffness at a place on the panel, in its axes, copper included. nil: bare laminate, the
	// most yielding. Copies that lie alike are asked for at the first of them.
	Bending func(geom.Point) plate.Bending
	// Wants chooses parts. nil: all but those that are only drawn.
	Wants func(panel.Part) bool
}

// Result is what was estimated.
type Result struct {
	Breaks []Break    // tabs in the panel's order, edges in that of its copies, score lines
	Parts  []Strained // worst first; each part of each copy once
}

// Of estimates a panel's breaks. l must pass laminate.Check. It takes no more than one thread. The only error is ctx's.
func Of(ctx context.Context, p panel.Panel, l panel.Laminate, o Options) (Result, error) {
	if o.Reach <= 0 {
		o.Reach = Reach
	}
	s := newSurvey(p, l)
	for _, step := range []func(context.Context) error{s.findRows, s.findEdges, s.findScores} {
		if err := step(ctx); err != nil {
			return Result{}, err
		}
	}
	parts, err := s.strained(ctx, o)
	return Result{Breaks: slices.Concat(s.ofRows(), s.ofEdges(), s.ofScores()), Parts: parts}, err
}

// survey is what is known of a panel.
type survey struct {
	p      panel.Panel
	l      panel.Laminate
	copies []panel.Copy
	byID   map[string]int // copies
	tabs   []panel.Tab
	rows   []row
	sides  [][]side // of each copy
	scores []score
	boards map[*panel.Board]*boardFacts
}

func newSurvey(p panel.Panel, l panel.Laminate) *survey {
	s := &survey{p: p, l: l, copies: p.Copies(), byID: map[string]int{}, tabs: p.Tabs(), boards: map[*panel.Board]*boardFacts{}}
	for i, c := range s.copies {
		s.byID[c.ID] = i
	}
	return s
}

// over gives what a moment range takes at a lever; nothing where there is no lever.
func over(moment [2]float64, lever float64) (force [2]float64) {
	if lever > 0 {
		force = [2]float64{moment[0] / lever, moment[1] / lever}
	}
	return force
}

// lever is how far from the line a hand presses on a piece that reaches so far beyond it.
func lever(reach float64) float64 { return max(reach-Grip.MM(), reach/2, 0) }
