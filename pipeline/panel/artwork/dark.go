package artwork

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Dark gives what is dark on a layer when all of it has been drawn in order. How long it takes grows with
// Work. An error means that ctx is done, or a fault of the geometry.
func (m *Image) Dark(ctx context.Context) (geom.Region, error) {
	c := drawing{image: m, flashes: map[int32]geom.Region{}}
	one := single // layers are measured beside each other
	var out geom.Region
	for i := 0; i < len(m.Objects); {
		clear := m.Objects[i].Clear
		var batch overlay.Operand
		for ; i < len(m.Objects) && m.Objects[i].Clear == clear; i++ {
			if i%1024 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			paths, err := c.paths(ctx, m.Objects[i])
			if err != nil {
				return nil, err
			}
			batch.Paths = append(batch.Paths, paths...)
		}
		var err error
		switch {
		case !clear:
			out, err = overlay.Union(ctx, one, overlay.Of(out...), batch)
		case len(out) > 0:
			out, err = overlay.Difference(ctx, one, overlay.Of(out...), batch)
		}
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Work is about how many straight pieces what is dark on the layer is made of, times how often all that has been
// drawn so far is gone through.
func (m *Image) Work() int {
	const round = 40 // pieces of a small circle
	pieces, sum := 0, 0
	for i, o := range m.Objects {
		switch o.Kind {
		case Fill:
			for _, p := range m.Regions[o.Region].Contours {
				pieces += len(p)
			}
		default:
			a := m.Apertures[o.Aperture]
			n := round
			if a.Shape == Rectangle {
				n = 4
			}
			for _, p := range a.Primitives {
				n += len(p.Points) + round*max(1, p.Vertices)
			}
			pieces += n
		}
		if i+1 == len(m.Objects) || m.Objects[i+1].Clear != o.Clear {
			sum += pieces
		}
	}
	return sum
}

// drawing gives the outlines of a layer's objects. Flashes of one aperture are worked out once.
type drawing struct {
	image   *Image
	flashes map[int32]geom.Region
}

// paths gives what an object covers, as counter-clockwise paths with clockwise holes.
func (c *drawing) paths(ctx context.Context, o Object) ([]geom.Path, error) {
	switch {
	case o.Kind == Flash:
		r, ok := c.flashes[o.Aperture]
		if !ok {
			at := o
			at.Edge = geom.Line(geom.Point{}, geom.Point{})
			var err error
			if r, err = c.image.Area(ctx, at); err != nil {
				return nil, err
			}
			c.flashes[o.Aperture] = r
		}
		t := geom.Transform{Shift: o.Edge.From}
		var out []geom.Path
		for _, p := range r.Paths() {
			out = append(out, t.Path(p))
		}
		return out, nil
	case o.Kind == Stroke && o.Edge.Sense == geom.Straight && c.image.Apertures[o.Aperture].Shape == Circle:
		return stadium(o.Edge, c.image.Apertures[o.Aperture].Width), nil
	}
	r, err := c.image.Area(ctx, o)
	return r.Paths(), err
}

// stadium is the outline of a straight stroke with a round pen.
func stadium(e geom.Edge, width geom.Length) []geom.Path {
	if width <= 0 {
		return nil
	}
	if e.From == e.To {
		p := e.From.Add(geom.Pt(width/2, 0))
		return []geom.Path{{geom.Arc(p, p, e.From, geom.CounterClockwise)}}
	}
	d := e.To.Sub(e.From)
	k := float64(width) / 2 / d.Norm()
	left := geom.Pt(-geom.Round(float64(d.Y)*k), geom.Round(float64(d.X)*k))
	a, b := e.From.Sub(left), e.To.Sub(left)
	f, g := e.To.Add(left), e.From.Add(left)
	return []geom.Path{{geom.Line(a, b), geom.Arc(b, f, e.To, geom.CounterClockwise), geom.Line(f, g), geom.Arc(g, a, e.From, geom.CounterClockwise)}}
}
