package artwork

import (
	"context"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// ClearBeside gives the image with the outlines, each as far as its outer path, cut out of every clear
// object that reaches into them: what is left is a clear region, or nothing. count is how many were cut; the
// image is m itself where none was. Outside the outlines the picture stays the same.
func (m *Image) ClearBeside(ctx context.Context, outlines []geom.Outline) (clipped *Image, count int, err error) {
	var index geom.Index[int]
	for i, o := range outlines {
		index.Insert(o.Box(), i)
	}
	out := *m
	out.Regions = slices.Clip(out.Regions)
	out.Objects = make([]Object, 0, len(m.Objects))
	for _, o := range m.Objects {
		var near []int
		if o.Clear {
			index.Search(m.Box(o), func(_ geom.Box, i int) bool {
				near = append(near, i)
				return true
			})
		}
		if len(near) == 0 {
			out.Objects = append(out.Objects, o)
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, 0, err
		}
		slices.Sort(near)
		var away overlay.Operand
		for _, i := range near {
			away.Paths = append(away.Paths, outlines[i].Outer)
		}
		area, err := m.Area(ctx, o)
		if err != nil {
			return nil, 0, err
		}
		common, err := overlay.Intersection(ctx, single, overlay.Of(area...), away)
		if err != nil {
			return nil, 0, err
		}
		if len(common) == 0 {
			out.Objects = append(out.Objects, o)
			continue
		}
		count++
		left, err := overlay.Difference(ctx, single, overlay.Of(area...), away)
		if err != nil {
			return nil, 0, err
		}
		contours, err := WithoutHoles(ctx, left)
		if err != nil {
			return nil, 0, err
		}
		if len(contours) == 0 {
			continue
		}
		set := o.AperSet
		if o.Kind != Fill {
			set = m.Apertures[o.Aperture].Set
		}
		out.Regions = append(out.Regions, Region{Contours: contours})
		out.Objects = append(out.Objects, Object{Kind: Fill, Clear: true, Aperture: -1, Region: int32(len(out.Regions) - 1), Set: o.Set, AperSet: set})
	}
	if count == 0 {
		return m, 0, nil
	}
	return &out, count, nil
}

// WithoutHoles gives a region as contours of which each encloses an area of its own, without holes: where
// there is a hole, the region is parted by a line through it, upright.
func WithoutHoles(ctx context.Context, r geom.Region) ([]geom.Path, error) {
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
			contours, err := WithoutHoles(ctx, part)
			if err != nil {
				return nil, err
			}
			out = append(out, contours...)
		}
	}
	return out, nil
}
