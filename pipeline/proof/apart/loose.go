package apart

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Loose gives the pieces of the material that do not hang together with the largest, holes cut out: what
// would fall out of the panel. Pieces nobody could see are left out.
func Loose(ctx context.Context, p Panel) (geom.Region, error) {
	pieces := p.Material
	if cuts := p.parting(); len(cuts) > 0 {
		var err error
		if pieces, err = overlay.Difference(ctx, overlay.Options{}, overlay.Of(p.Material...), overlay.Operand{Paths: cuts}); err != nil {
			return nil, err
		}
	}
	if len(pieces) < 2 {
		return nil, nil
	}
	largest := 0
	for i, o := range pieces {
		if o.Area() > pieces[largest].Area() {
			largest = i
		}
	}
	var out geom.Region
	for i, o := range pieces {
		if i != largest && o.Thicker(thin) {
			out = append(out, o)
		}
	}
	return out, nil
}

// parting gives the holes that could part the material: those that touch one another or a contour. A
// hole that touches nothing cannot.
func (p Panel) parting() []geom.Path {
	holes := slices.Concat(p.Rows, p.Holes)
	var discs geom.Index[int]
	for i, h := range holes {
		discs.Insert(h.box(), i)
	}
	var walls geom.Index[geom.Edge]
	for _, o := range append(slices.Clone(p.Material), p.Routs...) {
		for _, e := range o.Edges() {
			walls.Insert(e.Box(), e)
		}
	}
	var out []geom.Path
	for i, h := range holes {
		touches := false
		r := float64(h.Diameter) / 2
		discs.Search(h.box(), func(_ geom.Box, k int) bool {
			touches = k != i && h.At.Distance(holes[k].At) <= r+float64(holes[k].Diameter)/2+1
			return !touches
		})
		if !touches {
			walls.Search(h.box(), func(_ geom.Box, e geom.Edge) bool {
				d, _ := geom.PointEdgeDistance(h.At, e)
				touches = d <= r+1
				return !touches
			})
		}
		if touches {
			out = append(out, h.path())
		}
	}
	for _, o := range p.Routs {
		touches := false
		for _, e := range o.Outer {
			discs.Search(e.Box(), func(_ geom.Box, k int) bool {
				d, _ := geom.PointEdgeDistance(holes[k].At, e)
				touches = d <= float64(holes[k].Diameter)/2+1
				return !touches
			})
			if touches {
				break
			}
		}
		if !touches {
			touches = p.routTouches(o)
		}
		if touches {
			out = append(out, o.Outer)
		}
	}
	return out
}

// routTouches tells whether a routed slot reaches a contour.
func (p Panel) routTouches(o geom.Outline) bool {
	box := o.Box()
	for _, m := range p.Material {
		for _, path := range append([]geom.Path{m.Outer}, m.CutOuts...) {
			if !path.Box().Overlaps(box) {
				continue
			}
			if d, _, _ := geom.PathDistance(o.Outer, path); d <= 1 || math.IsNaN(d) {
				return true
			}
		}
	}
	return false
}
