// Package offset moves outlines inwards and outwards, gives strokes their outline, and tells what a
// disc can reach.
package offset

import (
	"context"
	"errors"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Join says how an offset goes round a corner that opens away from it.
type Join uint8

// The joins.
const (
	Round  Join = iota // an arc about the corner
	Mitre              // straight on to a point, within MitreLimit; beyond it as Square
	Square             // cut off square at the offset distance from the corner
)

// End says how the outline of an open stroke ends.
type End uint8

// The ends.
const (
	RoundEnd  End = iota // half a disc
	SquareEnd            // half the width further
	ButtEnd              // at the last point
)

// Options are the choices of an offset. The zero value is a good one.
type Options struct {
	Join       Join
	MitreLimit float64 // how far a mitre may reach from the corner, as a multiple of the distance; 0 stands for 2
	End        End
	Overlay    overlay.Options
}

// By moves the border of a region outwards by d, or inwards by −d.
func By(ctx context.Context, r geom.Region, d geom.Length, o Options) (geom.Region, error) {
	return nil, errors.New("not yet")
}

// Stroke gives the area that a pen of the given width covers along paths, open or closed.
func Stroke(ctx context.Context, paths []geom.Path, width geom.Length, o Options) (geom.Region, error) {
	return nil, errors.New("not yet")
}

// Reach is what a disc reaches without leaving a region.
type Reach struct {
	Region geom.Region // what it covers, without the channels below
	Lines  []geom.Path // centre lines of channels exactly as wide as the disc
}

// Opening gives what a disc of the given radius can reach inside a region.
func Opening(ctx context.Context, r geom.Region, radius geom.Length, o Options) (Reach, error) {
	return Reach{}, errors.New("not yet")
}

// Closing gives the region with all filled that a disc of the given radius cannot reach from outside.
func Closing(ctx context.Context, r geom.Region, radius geom.Length, o Options) (geom.Region, error) {
	return nil, errors.New("not yet")
}
