package offset

import (
	"fmt"

	"panelwright/pipeline/geom/overlay"
)

// Join says how an offset goes round a corner that opens away from it.
type Join uint8

// The joins.
const (
	Round  Join = iota // an arc about the corner
	Mitre              // straight on to a point, within MitreLimit; beyond it as Square
	Square             // cut off square to the corner's middle, at the offset distance from the corner
)

// End says how the outline of an open stroke ends.
type End uint8

// The ends.
const (
	RoundEnd  End = iota // half a disc
	SquareEnd            // half the width further
	ButtEnd              // at the last point
)

// Options are the choices of an offset. The zero value is a good one: round joins and ends.
type Options struct {
	Join       Join
	MitreLimit float64 // how far a mitre may reach from its corner, as a multiple of the distance (half the width of a stroke); 0 stands for 2
	End        End
	Overlay    overlay.Options
}

func (o Options) check() error {
	switch {
	case o.Join > Square:
		return fmt.Errorf("offset: there is no join %d", o.Join)
	case o.End > ButtEnd:
		return fmt.Errorf("offset: there is no end %d", o.End)
	case o.MitreLimit != 0 && !(o.MitreLimit >= 1 && o.MitreLimit <= 1000):
		return fmt.Errorf("offset: a mitre limit of %v; it must lie between 1 and 1000", o.MitreLimit)
	}
	return nil
}

func (o Options) mitreLimit() float64 {
	if o.MitreLimit == 0 {
		return 2
	}
	return o.MitreLimit
}
