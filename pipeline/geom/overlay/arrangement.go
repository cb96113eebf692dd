package overlay

import (
	"context"
	"errors"

	"panelwright/pipeline/geom"
)

// Cover is the set of operands that cover a place, by their position among the arguments.
type Cover struct{ operands []int32 }

// Len is how many operands cover the place.
func (c Cover) Len() int { return len(c.operands) }

// Has tells whether operand i covers the place.
func (c Cover) Has(i int) bool {
	for _, o := range c.operands {
		if int(o) == i {
			return true
		}
	}
	return false
}

// Patch is all of the plane that exactly these operands cover.
type Patch struct {
	Operands []int // ascending
	Region   geom.Region
}

// Arrangement is the plane cut along the edges of all operands.
type Arrangement struct{}

// Arrange cuts the plane along the edges of all operands.
func Arrange(ctx context.Context, o Options, operands ...Operand) (*Arrangement, error) {
	return nil, errors.New("not yet")
}

// Region gives the union of the places whose cover is inside, which is not asked about the empty
// cover.
func (a *Arrangement) Region(ctx context.Context, inside func(Cover) bool) (geom.Region, error) {
	return nil, nil
}

// Patches tells which operands cover what: one patch for each set of operands that occurs.
func (a *Arrangement) Patches(ctx context.Context) ([]Patch, error) { return nil, nil }
