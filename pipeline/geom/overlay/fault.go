package overlay

import (
	"fmt"

	"panelwright/pipeline/geom"
)

// A Fault says that an invariant of the overlay failed: an error in this package, never in the
// shapes. No result is given then.
type Fault struct {
	What string     // the invariant
	At   geom.Point // where it failed
	Case []Operand  // a small set of operands with which it fails, too; flattened to straight lines

	place place
	known bool // place is where
}

// Error says what failed, where, and what to do.
func (f *Fault) Error() string {
	return fmt.Sprintf("overlay failed at %v: %s; no result is given. This is an error in the program: please report it with these paths, in nanometres: %s",
		f.At, f.What, listing(f.Case))
}

// listing writes operands as lists of corners, the first few hundred of them.
func listing(ops []Operand) string {
	const most = 400
	s, n := "", 0
	for i, op := range ops {
		s += fmt.Sprintf("operand %d (%v):", i, op.Rule)
		for _, p := range op.Paths {
			s += " ["
			for k, e := range p {
				if n++; n > most {
					return s + " …]"
				}
				if k > 0 {
					s += " "
				}
				s += fmt.Sprintf("%d,%d", int64(e.From.X), int64(e.From.Y))
			}
			s += "]"
		}
		s += "; "
	}
	return s
}

// A PathError says what is wrong with a path of an operand.
type PathError struct {
	Operand, Path, Edge int // by position among the arguments, from 0
	At                  geom.Point
	What                string
}

// Error says what is wrong and where.
func (e *PathError) Error() string {
	return fmt.Sprintf("overlay: operand %d, path %d, edge %d, at %v: %s", e.Operand, e.Path, e.Edge, e.At, e.What)
}

// String names the rule.
func (r Rule) String() string {
	switch r {
	case EvenOdd:
		return "even-odd"
	case Positive:
		return "positive"
	}
	return "non-zero"
}
