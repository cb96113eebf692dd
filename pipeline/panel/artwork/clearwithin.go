package artwork

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// ClearWithin gives the image with every clear object that reaches over the outline's outer edge clipped
// to it: what is left is a clear region, or nothing. count is how many were clipped or left out; the image
// is m itself where none was. Within the outline the picture stays the same.
func (m *Image) ClearWithin(ctx context.Context, outline geom.Outline) (clipped *Image, count int, err error) {
	board := geom.Outline{Outer: outline.Outer}
	edge := geom.Prepare(outline.Outer)
	where := geom.NewLocator(geom.Region{board})
	limit := board.Box()
	out := *m
	out.Regions = slices.Clip(out.Regions)
	out.Objects = make([]Object, 0, len(m.Objects))
	for _, o := range m.Objects {
		box := m.Box(o)
		if !o.Clear || limit.Holds(box) && apart(edge, box) && where.Locate(box.Center()) == geom.Inside {
			out.Objects = append(out.Objects, o)
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, 0, err
		}
		area, err := m.Area(ctx, o)
		if err != nil {
			return nil, 0, err
		}
		over, err := overlay.Difference(ctx, single, overlay.Of(area...), overlay.Of(board))
		if err != nil {
			return nil, 0, err
		}
		if len(over) == 0 {
			out.Objects = append(out.Objects, o)
			continue
		}
		count++
		left, err := overlay.Intersection(ctx, single, overlay.Of(area...), overlay.Of(board))
		if err != nil {
			return nil, 0, err
		}
		contours, err := withoutHoles(ctx, left)
		if err != nil {
			return nil, 0, err
		}
		if len(contours) == 0 {
			continue
		}
		set := int32(0)
		if o.Kind != Fill {
			set = m.Apertures[o.Aperture].Set
		} else {
			set = o.AperSet
		}
		out.Regions = append(out.Regions, Region{Contours: contours})
		out.Objects = append(out.Objects, Object{Kind: Fill, Clear: true, Aperture: -1, Region: int32(len(out.Regions) - 1), Set: o.Set, AperSet: set})
	}
	if count == 0 {
		return m, 0, nil
	}
	return &out, count, nil
}

// apart tells whether a box meets none of a path's edges.
func apart(edge *geom.Prepared, box geom.Box) bool {
	d, _, _ := edge.Distance(geom.Rectangle(box))
	return d > 0
}

// withoutHoles gives a region as contours of which each encloses an area of its own, without holes: where
// there is a hole, the region is parted by a line through it, upright.
func withoutHoles(ctx context.Context, r geom.Region) ([]geom.Path, error) {
	var out []geom.Path
	for _, o := range r {
		if len(o.CutOuts) == 0 {
			out = append(out, o.Outer)
			continue
		}
		box := o.Box().Grow(geom.UM)
		x := o.CutOuts[0].Box().Center().X
		for _, half := range []geom.Box{{Min: box.Min, Max: geom.Pt(x, box.Max.Y)}, {Min: geom.Pt(x, box.Min.Y), Max: box.Max}} {
			part, err := overlay.Intersection(ctx, single, overlay.Of(o), overlay.Operand{Paths: []geom.Path{geom.Rectangle(half)}})
			if err != nil {
				return nil, err
			}
			contours, err := withoutHoles(ctx, part)
			if err != nil {
				return nil, err
			}
			out = append(out, contours...)
		}
	}
	return out, nil
}
