package overlay

import (
	"context"

	"panelwright/pipeline/geom"
)

// Rule says which winding numbers of its paths count as inside an operand.
type Rule uint8

// The winding rules.
const (
	NonZero  Rule = iota // run round at all, either way
	EvenOdd              // run round an odd number of times
	Positive             // run round more often counter-clockwise than clockwise
)

// Operand is one shape of an overlay: closed paths in any order, which may cross and touch
// themselves and each other, and the rule that says what lies inside.
type Operand struct {
	Paths []geom.Path
	Rule  Rule
}

// Of makes an operand of outlines, each with its cut-outs: where outlines overlap is inside, too.
func Of(shapes ...geom.Outline) Operand { return Operand{Paths: geom.Region(shapes).Paths()} }

// Chords says on which side of an arc the chords run that stand for it inside an overlay.
type Chords uint8

// The ways to flatten an arc. None strays from it by more than the chord error.
const (
	Inscribed     Chords = iota // corners on the arc: a disc gets smaller, a round hole too
	Circumscribed               // sides touch the arc: a disc gets larger, a round hole too
	Shrinking                   // what lies left of the path never gets larger
	Growing                     // what lies left of the path never gets smaller
)

// Options are the choices of an overlay. The zero value is a good one.
type Options struct {
	ChordError geom.Length // how far chords may stray from their arc; 0 stands for 1 µm
	Chords     Chords
	KeepChords bool // leave the chords in the result instead of giving arcs back
	Workers    int  // how many goroutines may look for crossings; 0 stands for one a processor
}

// Union gives what lies in any operand.
func Union(ctx context.Context, o Options, operands ...Operand) (geom.Region, error) {
	return compute(ctx, o, operands, func(c Cover) bool { return c.Len() > 0 })
}

// Intersection gives what lies in all operands. Of none it is empty.
func Intersection(ctx context.Context, o Options, operands ...Operand) (geom.Region, error) {
	n := len(operands)
	return compute(ctx, o, operands, func(c Cover) bool { return n > 0 && c.Len() == n })
}

// Difference gives what lies in from and in none of the others.
func Difference(ctx context.Context, o Options, from Operand, less ...Operand) (geom.Region, error) {
	operands := append([]Operand{from}, less...)
	return compute(ctx, o, operands, func(c Cover) bool { return c.Len() == 1 && c.Has(0) })
}

// SymmetricDifference gives what lies in an odd number of operands.
func SymmetricDifference(ctx context.Context, o Options, operands ...Operand) (geom.Region, error) {
	return compute(ctx, o, operands, func(c Cover) bool { return c.Len()%2 == 1 })
}

func compute(ctx context.Context, o Options, operands []Operand, inside func(Cover) bool) (geom.Region, error) {
	if r, ok, err := untouched(ctx, o, operands, inside); ok || err != nil {
		return r, err
	}
	a, err := Arrange(ctx, o, operands...)
	if err != nil {
		return nil, err
	}
	return a.Region(ctx, inside)
}
