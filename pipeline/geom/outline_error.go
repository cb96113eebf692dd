package geom

import (
	"fmt"
	"strconv"
)

// OutlineFault says what is wrong with an outline.
type OutlineFault uint8

// The faults.
const (
	OutlineEmpty      OutlineFault = iota // nothing that closes
	OutlineOpen                           // a chain that does not close: At and Other are the ends of the gap
	OutlineCrossing                       // a loop crosses or touches itself at At
	OutlineLoopsMeet                      // two loops cross or touch at At
	OutlineTwoBoards                      // two loops side by side: Boxes
	OutlineIsland                         // a loop within a cut-out: Boxes are the cut-out's and the island's
	OutlineTooComplex                     // too many edges lie across one another to be judged
)

// OutlineError is why edges do not make an outline, with the place.
type OutlineError struct {
	Kind      OutlineFault
	At, Other Point
	Boxes     [2]Box
	Gap       Length // of OutlineOpen: the distance from At to Other
	Tolerance Length // of OutlineOpen: what the ends were joined with
	Chains    int    // of OutlineOpen: how many chains stay open
}

// Error says what is wrong and where, in millimetres.
func (e *OutlineError) Error() string {
	switch e.Kind {
	case OutlineOpen:
		s := fmt.Sprintf("the outline is open: a gap of %s between %s and %s", e.Gap, e.At, e.Other)
		if e.Gap == 0 {
			s = fmt.Sprintf("the outline branches at %s: edges lie there that belong to no loop", e.At)
		}
		if e.Chains > 1 {
			s += "; " + strconv.Itoa(e.Chains) + " chains of edges stay open"
		}
		return s + " (ends are joined up to " + e.Tolerance.String() + " apart)"
	case OutlineCrossing:
		return fmt.Sprintf("the outline crosses or touches itself at %s", e.At)
	case OutlineLoopsMeet:
		return fmt.Sprintf("two loops of the outline cross or touch at %s", e.At)
	case OutlineTwoBoards:
		return fmt.Sprintf("there are two boards side by side: %s and %s; one outline was expected", boxWords(e.Boxes[0]), boxWords(e.Boxes[1]))
	case OutlineIsland:
		return fmt.Sprintf("a loop lies within a cut-out and would fall out: %s within the cut-out %s", boxWords(e.Boxes[1]), boxWords(e.Boxes[0]))
	case OutlineTooComplex:
		return fmt.Sprintf("the outline has too many edges lying across one another near %s to be checked", e.At)
	}
	return "there is no closed outline"
}

func boxWords(b Box) string {
	return fmt.Sprintf("%s × %s from %s to %s", b.Width().Decimal(), b.Height(), b.Min, b.Max)
}
