// Package holding chooses which of the tabs that may be are made: the fewest that hold every board of a
// panel as well as the limits ask.
//
// For each board, its tabs taken in order round the outline:
//
//   - free span: a string drawn tight round the board from the middle of one tab to that of the next is
//     no longer than Limits.FreeSpan. On a convex board that is the length along the edge; notches and
//     the gaps of combs are bridged. With a single tab it is the whole way round.
//   - free corner: where convex corners lie between two neighbouring tabs, the tight ways from the one
//     tab to the first corner and from the last corner to the other tab are no longer than
//     Limits.Overhang. A corner at a tab's very middle is held.
//   - opposite sides: two of its tabs point at least 120° apart.
//   - centre of mass: it lies in or on the convex hull of the feet, which have width.
//   - room: feet come no nearer to each other than Limits.Between. This is never given up, save between
//     tabs that are pinned.
//
// A tab between two boards serves both and counts once. Of the choices with the fewest tabs that were
// found, one with the same places on each copy is taken, if there is such, then the more even one: that
// with the least sum of the squares of spans and of ways to corners. That is the evenest there is on one
// board; on a panel it may not be.
//
// Where not all can be kept, limits are broken by little and Choice.Lacks names where; that this is the
// least is not proven.
//
// One board alone is solved exactly: spans, corners and room concern neighbouring tabs only, so that a
// choice is a cycle through places and the best a shortest one (cycle.go). So do the other two conditions
// on a convex board (turn.go); else they join as clauses when a solution breaks them (clause.go). A panel is a branch and bound over the tabs that
// two boards share, with a Lagrangian bound (search.go), after a choice that takes the same places on
// each copy (pattern.go).
//
// The rules are common practice, no published source.
package holding

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
)

// Board is one board to be held. Positions along its outline are lengths from the outline's start.
type Board struct {
	ID      string
	Outline geom.Path     // closed, counter-clockwise, simple
	Corners []geom.Length // where its convex corners lie
	Mass    geom.Point    // centre of mass
}

// Candidate is a place where a tab may be: one foot on Board, the other on Other or, with Other < 0, on
// waste or a rail.
type Candidate struct {
	Board   int
	At      geom.Length // position along the board's outline
	Foot    geom.Point  // the foot's middle
	Outward [2]float64  // unit normal at the foot, away from the board
	Half    geom.Length // half of what the tab takes up along the edge, flares included
	Width   geom.Length // of the waist: how wide the foot counts for the centre of mass

	Other        int
	OtherAt      geom.Length
	OtherFoot    geom.Point
	OtherOutward [2]float64
	OtherHalf    geom.Length

	Pinned     bool // must be chosen
	Preference int  // smaller is better, after number and evenness
}

// Limits are what a board may be left with.
type Limits struct {
	FreeSpan geom.Length // longest free span
	Overhang geom.Length // longest way from a tab to a free corner
	Between  geom.Length // least stretch of edge left free between two feet, so that a cutter can plunge
}

// Options bound the search on panels whose boards want different things of their shared tabs.
type Options struct {
	MaxNodes int   // nodes of the branch and bound; 0 means 20,000
	MaxSteps int64 // pairs of places looked at after the first round, or as much other work; 0 means 10 million, some 0.2 s
}

// Choice is what is chosen.
type Choice struct {
	Chosen     []int  // candidates, ascending
	Lacks      []Lack // what cannot be kept, by board, then stretch; empty when all is kept
	LowerBound int    // no choice that keeps all has fewer tabs, boards without candidates left out; 0 where none was found
	Proven     bool   // LowerBound is the number chosen
}

// Kind says which condition is not kept.
type Kind uint8

// The conditions.
const (
	FreeSpan      Kind = iota // Measured is the span
	Overhang                  // Measured is the way to the corner
	OppositeSides             // no two tabs on opposite sides; the stretch is the longest free one
	CentreOfMass              // Measured is how far it lies outside the tabs; the stretch is the longest free one
	NoCandidate               // there is no candidate that what is pinned leaves room for, so no tab; the stretch is the whole outline
	Room                      // two pinned tabs are nearer than Limits.Between, which keeps no choice from being proven; Measured is what is left between them
)

// String names the condition.
func (k Kind) String() string {
	switch k {
	case FreeSpan:
		return "free span"
	case Overhang:
		return "overhang"
	case OppositeSides:
		return "opposite sides"
	case CentreOfMass:
		return "centre of mass"
	case NoCandidate:
		return "no candidate"
	case Room:
		return "room between tabs"
	}
	return fmt.Sprintf("kind %d", uint8(k))
}

// Lack is a condition that the choice does not keep on a stretch of a board's outline, From to To in the
// outline's direction; To may lie before From where the stretch passes the outline's start.
type Lack struct {
	Board    int
	Kind     Kind
	From, To geom.Length
	Measured geom.Length
}

// Choose chooses the tabs. The result does not hang on the candidates' order, but for candidates that are
// alike in everything. An error means that the input makes no sense or that ctx was done.
func Choose(ctx context.Context, boards []Board, cands []Candidate, lim Limits, opt Options) (Choice, error) {
	if opt.MaxNodes <= 0 {
		opt.MaxNodes = 20_000
	}
	if opt.MaxSteps <= 0 {
		opt.MaxSteps = 10_000_000
	}
	if err := check(boards, cands, lim); err != nil {
		return Choice{}, err
	}
	m := newModel(boards, cands, lim)
	p := m.problem()
	s := newSearch(ctx, p, opt)
	best, bound, proven, err := s.run(m.pattern)
	if err != nil {
		return Choice{}, err
	}
	out := Choice{Proven: proven, LowerBound: bound}
	for v, in := range best {
		if in {
			out.Chosen = append(out.Chosen, m.order[v])
		}
	}
	slices.Sort(out.Chosen)
	out.Lacks = m.lacks(best)
	return out, nil
}

// Lacks tells what boards lack that all of the candidates hold: by board, then stretch. An error means that the
// input makes no sense.
func Lacks(boards []Board, cands []Candidate, lim Limits) ([]Lack, error) {
	if err := check(boards, cands, lim); err != nil {
		return nil, err
	}
	all := slices.Clone(cands)
	for i := range all {
		all[i].Pinned = true // they are there, whatever room they leave
	}
	m := newModel(boards, all, lim)
	set := make([]bool, len(all))
	for i := range set {
		set[i] = true
	}
	return m.lacks(set), nil
}

func check(boards []Board, cands []Candidate, lim Limits) error {
	if lim.FreeSpan <= 0 || lim.Overhang <= 0 || lim.Between < 0 {
		return fmt.Errorf("limits: free span %s, overhang %s, between %s: the first two must be more than 0, the third not less", lim.FreeSpan, lim.Overhang, lim.Between)
	}
	lengths := make([]geom.Length, len(boards))
	for i, b := range boards {
		if !b.Outline.Closed() {
			return fmt.Errorf("board %s: the outline is not closed", b.ID)
		}
		lengths[i] = geom.Round(b.Outline.Length())
		if lengths[i] <= 0 {
			return fmt.Errorf("board %s: the outline has no length", b.ID)
		}
		if b.Outline.Area() <= 0 {
			return fmt.Errorf("board %s: the outline does not run counter-clockwise round an area", b.ID)
		}
		for _, c := range b.Corners {
			if c < 0 || c > lengths[i] {
				return fmt.Errorf("board %s: corner at %s, but the outline is %s long", b.ID, c, lengths[i])
			}
		}
	}
	side := func(i, b int, at, half geom.Length, out [2]float64) error {
		if b < 0 || b >= len(boards) {
			return fmt.Errorf("candidate %d: there is no board %d", i, b)
		}
		if at < 0 || at > lengths[b] {
			return fmt.Errorf("candidate %d on board %s: position %s, but the outline is %s long", i, boards[b].ID, at, lengths[b])
		}
		if half < 0 {
			return fmt.Errorf("candidate %d on board %s: half width %s is negative", i, boards[b].ID, half)
		}
		if n := float64(out[0]*out[0]) + float64(out[1]*out[1]); !(n > 0.99 && n < 1.01) {
			return fmt.Errorf("candidate %d on board %s: the outward direction (%g, %g) has not length 1", i, boards[b].ID, out[0], out[1])
		}
		return nil
	}
	for i, c := range cands {
		if err := side(i, c.Board, c.At, c.Half, c.Outward); err != nil {
			return err
		}
		if c.Other < 0 {
			continue
		}
		if err := side(i, c.Other, c.OtherAt, c.OtherHalf, c.OtherOutward); err != nil {
			return err
		}
		if c.Other == c.Board {
			return fmt.Errorf("candidate %d: both feet are on board %s, which holds nothing", i, boards[c.Board].ID)
		}
	}
	return nil
}
