package waste

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

// slack in nm is what the rounding of a distance may come to.
const slack = 1e-3

// Off keeps things at their distances.
type Off struct {
	list  []kept
	index geom.Index[int]
	most  geom.Length
}

type kept struct {
	Thing
	shape *geom.Prepared
	keep  geom.Length // from the thing's own border
}

// KeepOff makes ready what is to be kept off: keep says by how much from a thing's border, and false for a
// thing that does not count.
func KeepOff(things []Thing, keep func(Thing) (geom.Length, bool)) *Off {
	o := &Off{}
	for _, t := range things {
		d, ok := keep(t)
		if !ok {
			continue
		}
		o.index.Insert(t.Shape.Box().Grow(d+t.Half), len(o.list))
		o.list = append(o.list, kept{t, geom.Prepare(t.Shape), d})
		o.most = max(o.most, d+t.Half)
	}
	return o
}

// Free tells whether a round pen of that width may follow the edge; a dot is an edge of no length.
func (o *Off) Free(e geom.Edge, width geom.Length) bool {
	free := true
	pen := float64(width) / 2
	o.index.Search(e.Box().Grow((width+1)/2), func(_ geom.Box, i int) bool {
		x := o.list[i]
		d, _, _ := x.shape.Distance(e)
		free = d-pen-float64(x.Half) >= float64(x.keep)-slack
		return free
	})
	return free
}

// FreeShape tells whether all of an area keeps off.
func (o *Off) FreeShape(s geom.Shape) bool {
	free := true
	o.index.Search(s.Box(), func(_ geom.Box, i int) bool {
		x := o.list[i]
		d, _, _ := x.shape.Distance(s)
		free = d-float64(x.Half) >= float64(x.keep)-slack
		return free
	})
	return free
}

// Nearest names what keeps a shape from its place, the first in order; empty when nothing does.
func (o *Off) Nearest(s geom.Shape) string {
	first := len(o.list)
	o.index.Search(s.Box(), func(_ geom.Box, i int) bool {
		x := o.list[i]
		if d, _, _ := x.shape.Distance(s); d-float64(x.Half) < float64(x.keep)-slack {
			first = min(first, i)
		}
		return true
	})
	if first == len(o.list) {
		return ""
	}
	return o.list[first].ID
}

// Room gives where in a region the middle of a round pen of that width may be. Its border is exact to about a
// nanometre but where arcs cross, there to a micrometre.
func (o *Off) Room(ctx context.Context, in geom.Region, width geom.Length, workers int) (geom.Region, error) {
	if len(in) == 0 {
		return nil, nil
	}
	opt := offset.Options{Overlay: overlay.Options{Workers: workers}}
	box := in.Box().Grow((width + 1) / 2)
	areas, lines := map[geom.Length]geom.Region{}, map[geom.Length][]geom.Path{}
	var grows []geom.Length
	var hits []int
	o.index.Search(box, func(_ geom.Box, i int) bool {
		hits = append(hits, i)
		return true
	})
	slices.Sort(hits)
	for _, i := range hits {
		x := o.list[i]
		d := x.keep + x.Half + (width+1)/2
		if !slices.Contains(grows, d) {
			grows = append(grows, d)
		}
		switch s := x.Shape.(type) {
		case geom.Outline:
			areas[d] = append(areas[d], s)
		case geom.Edge:
			lines[d] = append(lines[d], geom.Path{s})
		case geom.Path:
			lines[d] = append(lines[d], s)
		case geom.Point:
			lines[d] = append(lines[d], geom.Path{geom.Line(s, s)})
		}
	}
	slices.Sort(grows)
	var away overlay.Operand
	for _, d := range grows {
		if list := areas[d]; len(list) > 0 {
			grown := list
			if d > 0 {
				var err error
				if grown, err = offset.By(ctx, list, d, opt); err != nil {
					return nil, err
				}
			}
			away.Paths = append(away.Paths, grown.Paths()...)
		}
		if list := lines[d]; len(list) > 0 && d > 0 {
			grown, err := offset.Stroke(ctx, list, 2*d, opt)
			if err != nil {
				return nil, err
			}
			away.Paths = append(away.Paths, grown.Paths()...)
		}
	}
	return overlay.Difference(ctx, opt.Overlay, overlay.Of(in...), away)
}

// Pulled gives an edge with its ends drawn in as far as is needed for the pen to keep off, by at most 4 µm; false
// where that is not enough.
func (o *Off) Pulled(e geom.Edge, width geom.Length) (geom.Edge, bool) {
	if o.Free(e, width) {
		return e, true
	}
	d := e.To.Sub(e.From)
	n := d.Norm()
	for by := 1.0; by <= 4096 && 2*by < n; by *= 2 {
		in := geom.Pt(geom.Length(math.Round(float64(d.X)*by/n)), geom.Length(math.Round(float64(d.Y)*by/n)))
		if short := geom.Line(e.From.Add(in), e.To.Sub(in)); o.Free(short, width) {
			return short, true
		}
	}
	return e, false
}
