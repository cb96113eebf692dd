// Package verify holds the mechanics against solutions that others published or that follow from series and
// closed forms, and writes the result as a table. "make verification" writes VERIFICATION.md in the folder above.
package verify

import (
	"context"
	"fmt"
	"math"
)

// Row is one figure held against what it should be.
type Row struct {
	Case      string  // what is loaded how
	Quantity  string  // what of it, and how it is made free of units
	Reference float64 // what it should be
	Got       float64
	Bound     float64 // how far it may be off: a share of the reference; of a reference of 0 the figure itself
	Source    Source  // of the reference
}

// Off is how far the figure is off, in the way that Bound counts.
func (r Row) Off() float64 {
	if r.Reference == 0 {
		return r.Got
	}
	return r.Got/r.Reference - 1
}

// Within says whether the row keeps its bound.
func (r Row) Within() bool { return math.Abs(r.Off()) <= r.Bound }

// Group is rows that are reckoned in one way.
type Group struct {
	Title string
	Text  string // how, in a sentence or two
	Rows  []Row
	Steps []Step // of convergence: what is above the rows
}

// Bound is how far a row may be off unless exceptions says otherwise.
const Bound = 0.01

// exception is a row with a bound of its own, and why: stated here, before anything is reckoned.
type exception struct {
	quantity string // of the row; the case too where it is not empty
	of       string
	bound    float64
	reason   string
}

var exceptions = []exception{
	{patchOff, "", 1e-9, "must be right to rounding: the element holds moments that are the same everywhere exactly"},
	{orderLeast, "", 0.15, "an observed order is a limit, which coarse meshes only come near"},
	{quoted45, "", 0.04, "the quoted moduli are rounded, to 4 % as they combine, and come without the contraction along the weave"},
}

// bound finds a row's bound.
func bound(of, quantity string) float64 {
	for _, e := range exceptions {
		if e.quantity == quantity && (e.of == "" || e.of == of) {
			return e.bound
		}
	}
	return Bound
}

// Groups reckons the whole table.
func Groups(ctx context.Context) ([]Group, error) {
	s := &sheets{open: open}
	var out []Group
	for _, reckon := range []func(context.Context, *sheets) (Group, error){
		supported, clamped, corners, rails, cantilever, frequencies, orthotropic, askew, composite, ligaments, thick, patch, convergence,
	} {
		g, err := reckon(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", g.Title, err)
		}
		out = append(out, g)
	}
	return out, nil
}
