package offset

import (
	"context"
	"fmt"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// By moves the border of a region outwards by d, or inwards by −d: with round joins the result is all
// that lies within d of the region, or all of it that lies at least −d from its border. By 0 gives the
// region itself. The result is in canonical order; it is empty where nothing is left.
//
// The region is put in order first by a union of its outlines: those that overlap or touch count as
// one, whichever way round their paths run.
//
// Ends of moved edges are rounded to the nanometre, and arcs are moved as arcs: the border of the
// result lies within 2 nm of the true one. Only where an arc crosses something does the chord error of
// the overlay come in: what is no wider than that may be missed or closed there. So may a piece of the
// region or a gap in it that is bounded by arcs and no wider: make the chord error less than what counts.
//
// It is an error if the moved border leaves the limits of ±geom.Limit, or d itself does.
func By(ctx context.Context, r geom.Region, d geom.Length, o Options) (geom.Region, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if d == 0 || len(r) == 0 {
		return r, nil
	}
	if d.Abs() > geom.Limit {
		return nil, fmt.Errorf("offset: a distance of %v; at most %v can be done", d, geom.Limit)
	}
	order := o.Overlay
	order.KeepChords = false
	clean, err := overlay.Union(ctx, order, overlay.Of(r...))
	if err != nil {
		return nil, err
	}
	b := builder{o: o}
	for _, out := range clean {
		if d < 0 {
			if box := out.Box(); -2*d > min(box.Width(), box.Height()) {
				continue // no place in it is so far from its border
			}
			if o.Join != Round {
				b.divide() // a mitre that reaches beyond an outline takes nothing from the others
			}
		}
		b.ring(out.Outer, d)
		for _, c := range out.CutOuts {
			b.ring(c, d)
		}
	}
	return b.union(ctx)
}
