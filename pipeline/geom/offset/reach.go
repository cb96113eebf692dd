package offset

import (
	"context"
	"errors"

	"panelwright/pipeline/geom"
)

// Reach is what a disc reaches without leaving a region.
type Reach struct {
	Region geom.Region // what it covers, without the channels below
	Lines  []geom.Path // centre lines of channels exactly as wide as the disc
}

// Opening gives what a disc of the given radius can reach inside a region.
func Opening(ctx context.Context, r geom.Region, radius geom.Length, o Options) (Reach, error) {
	return Reach{}, errors.New("not yet")
}
