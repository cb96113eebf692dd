package artwork

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// Exact tells whether Drawn covers just what the object draws: it does not where an aperture has a hole or
// a macro erases part of itself.
func (m *Image) Exact(o Object) bool {
	if o.Kind == Fill {
		return true
	}
	a := m.Apertures[o.Aperture]
	if a.Hole > 0 {
		return false
	}
	for _, p := range a.Primitives {
		if p.Off || p.Kind == PrimThermal || p.Kind == PrimMoire {
			return false
		}
	}
	return true
}

// Area gives what one object draws as a region: arcs kept, holes in apertures open, macros with what they
// erase of themselves. Polarity is not looked at.
func (m *Image) Area(ctx context.Context, o Object) (geom.Region, error) {
	if o.Kind == Fill {
		return fill(ctx, m.Regions[o.Region].Contours)
	}
	a := m.Apertures[o.Aperture]
	if o.Kind == Stroke || a.Shape != Macro {
		r, err := m.Drawn(o).region(ctx)
		if err != nil || a.Hole == 0 || o.Kind == Stroke {
			return r, err
		}
		return without(ctx, r, o.Edge.From, a.Hole)
	}
	var out geom.Region
	for _, p := range a.Primitives {
		var d Drawn
		d.primitive(p, o.Edge.From)
		r, err := d.region(ctx)
		if err != nil {
			return nil, err
		}
		if p.Kind == PrimMoire {
			if r, err = moire(ctx, p, o.Edge.From); err != nil {
				return nil, err
			}
		}
		if p.Kind == PrimThermal {
			if r, err = thermal(ctx, r, p, o.Edge.From); err != nil {
				return nil, err
			}
		}
		if p.Off {
			out, err = overlay.Difference(ctx, single, overlay.Of(out...), overlay.Of(r...))
		} else {
			out, err = overlay.Union(ctx, single, overlay.Of(out...), overlay.Of(r...))
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// fill unites what each contour runs round, in whichever direction: two that overlap, one run each way, do not
// cancel.
func fill(ctx context.Context, contours []geom.Path) (geom.Region, error) {
	var all overlay.Operand
	for _, c := range contours {
		r, err := overlay.Union(ctx, single, overlay.Operand{Paths: []geom.Path{c}})
		if err != nil || len(contours) == 1 {
			return r, err
		}
		all.Paths = append(all.Paths, r.Paths()...)
	}
	return overlay.Union(ctx, single, all)
}

// single keeps overlays of small things to one goroutine.
var single = overlay.Options{Workers: 1}

// thermal takes the inner circle and the gaps out of a thermal's outer circle.
func thermal(ctx context.Context, outer geom.Region, p Primitive, at geom.Point) (geom.Region, error) {
	var c geom.Point
	if len(p.Points) > 0 {
		c = p.Points[0]
	}
	var away Drawn
	away.disc(placed(float64(c.X), float64(c.Y), p.Turn, at), p.Size[1])
	long, gap := float64(p.Size[0])/2+1, float64(p.Size[2])/2
	for _, half := range [2][2]float64{{long, gap}, {gap, long}} {
		x, y := half[0], half[1]
		away.polygon([]geom.Point{
			placed(float64(c.X)-x, float64(c.Y)-y, p.Turn, at), placed(float64(c.X)+x, float64(c.Y)-y, p.Turn, at),
			placed(float64(c.X)+x, float64(c.Y)+y, p.Turn, at), placed(float64(c.X)-x, float64(c.Y)+y, p.Turn, at)})
	}
	r, err := away.region(ctx)
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ctx, single, overlay.Of(outer...), overlay.Of(r...))
}

// moire gives the rings and the cross of a moiré.
func moire(ctx context.Context, p Primitive, at geom.Point) (geom.Region, error) {
	var cross Drawn
	bars := p
	bars.Size[0] = 0
	cross.primitive(bars, at)
	out, err := cross.region(ctx)
	if err != nil {
		return nil, err
	}
	var c geom.Point
	if len(p.Points) > 0 {
		c = p.Points[0]
	}
	middle := placed(float64(c.X), float64(c.Y), p.Turn, at)
	outer := p.Size[0]
	for range p.Vertices {
		if outer <= 0 {
			break
		}
		var d Drawn
		d.disc(middle, outer)
		ring, err := d.region(ctx)
		if err != nil {
			return nil, err
		}
		if inner := outer - 2*p.Size[1]; inner > 0 {
			if ring, err = without(ctx, ring, middle, inner); err != nil {
				return nil, err
			}
		}
		if out, err = overlay.Union(ctx, single, overlay.Of(out...), overlay.Of(ring...)); err != nil {
			return nil, err
		}
		outer -= 2 * (p.Size[1] + p.Size[2])
	}
	return out, nil
}

func without(ctx context.Context, r geom.Region, at geom.Point, diameter geom.Length) (geom.Region, error) {
	var d Drawn
	d.disc(at, diameter)
	hole, err := d.region(ctx)
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ctx, single, overlay.Of(r...), overlay.Of(hole...))
}

// region gives the area as a region.
func (d Drawn) region(ctx context.Context) (geom.Region, error) {
	var paths []geom.Path
	for _, p := range d.pieces {
		if p.filled {
			if p.path.Area() < 0 {
				paths = append(paths, p.path.Reverse())
			} else {
				paths = append(paths, p.path)
			}
		}
		if p.pad > 0 {
			r, err := offset.Stroke(ctx, []geom.Path{p.path}, geom.Round(2*p.pad), offset.Options{Overlay: single})
			if err != nil {
				return nil, err
			}
			paths = append(paths, r.Paths()...)
		}
	}
	return overlay.Union(ctx, single, overlay.Operand{Paths: paths})
}

// RegionIn gives what is dark within a box when all objects have been drawn in their order: what a later
// clear object takes away is not there, what is drawn over that is.
func (m *Image) RegionIn(ctx context.Context, box geom.Box, objects []int) (geom.Region, error) {
	window := overlay.Operand{Paths: []geom.Path{geom.Rectangle(box)}}
	var out geom.Region
	var batch overlay.Operand
	clear := false
	flush := func() error {
		if len(batch.Paths) == 0 {
			return nil
		}
		var err error
		if clear {
			out, err = overlay.Difference(ctx, single, overlay.Of(out...), batch)
		} else {
			out, err = overlay.Union(ctx, single, overlay.Of(out...), batch)
		}
		batch = overlay.Operand{}
		return err
	}
	for _, i := range objects {
		o := m.Objects[i]
		if o.Clear != clear {
			if err := flush(); err != nil {
				return nil, err
			}
			clear = o.Clear
		}
		if clear && len(out) == 0 {
			continue
		}
		r, err := m.Area(ctx, o)
		if err != nil {
			return nil, err
		}
		batch.Paths = append(batch.Paths, r.Paths()...)
	}
	if err := flush(); err != nil {
		return nil, err
	}
	return overlay.Intersection(ctx, single, overlay.Of(out...), window)
}
