package panel

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Material gives what of the panel stays when it has been routed: its outline without the slots and
// the boards' cut-outs. Its contours are the profile, the one truth for every cut; holes are not taken
// from it. Arcs are kept.
func (p Panel) Material(ctx context.Context, workers int) (geom.Region, error) {
	d := p.get()
	whole := overlay.Operand{Paths: append([]geom.Path{d.outline.Outer}, d.outline.CutOuts...), Rule: overlay.NonZero}
	away := overlay.Operand{Rule: overlay.NonZero}
	for _, s := range d.slots {
		away.Paths = append(append(away.Paths, s.Outline.Outer), s.Outline.CutOuts...)
	}
	for _, c := range d.copies {
		for _, cut := range c.Board.Outline.CutOuts {
			path := c.Place.Path(cut)
			if path.Area() < 0 { // a cut-out is cut whichever way it runs
				path = path.Reverse()
			}
			away.Paths = append(away.Paths, path)
		}
	}
	return overlay.Difference(ctx, overlay.Options{Workers: workers}, whole, away)
}
