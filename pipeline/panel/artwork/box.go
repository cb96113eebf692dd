package artwork

import (
	"math"

	"panelwright/pipeline/geom"
)

// Reach is how far the aperture extends from its origin in any direction, rounded up.
func (a Aperture) Reach() geom.Length {
	half := func(x, y geom.Length) geom.Length {
		return geom.Length(math.Ceil(geom.Pt(x, y).Norm() / 2))
	}
	switch a.Shape {
	case Circle, Polygon:
		return half(a.Width, 0)
	case Rectangle:
		return half(a.Width, a.Height)
	case Obround:
		return half(max(a.Width, a.Height), 0)
	}
	var r geom.Length
	for _, p := range a.Primitives {
		r = max(r, p.reach())
	}
	return r
}

func (p Primitive) reach() geom.Length {
	var far float64
	for _, q := range p.Points {
		far = max(far, q.Norm())
	}
	var own float64
	switch p.Kind {
	case PrimCircle, PrimVectorLine, PrimPolygon, PrimThermal:
		own = float64(p.Size[0]) / 2
	case PrimCenterLine:
		own = geom.Pt(p.Size[0], p.Size[1]).Norm() / 2
	case PrimMoire:
		own = max(float64(p.Size[0]), geom.Pt(p.Size[3], p.Size[4]).Norm()) / 2
	}
	return geom.Length(math.Ceil(far + own))
}

// halfExtent is how far the aperture reaches along x and y; exact for unturned standard shapes,
// an upper bound for the others.
func (a Aperture) halfExtent() (x, y geom.Length) {
	switch a.Shape {
	case Circle:
		return (a.Width + 1) / 2, (a.Width + 1) / 2
	case Rectangle, Obround:
		return (a.Width + 1) / 2, (a.Height + 1) / 2
	}
	r := a.Reach()
	return r, r
}

// Box is the smallest box known to hold the object: exact for the standard apertures, an upper
// bound for macros and polygons.
func (m *Image) Box(o Object) geom.Box {
	if o.Kind == Fill {
		b := geom.EmptyBox()
		for _, c := range m.Regions[o.Region].Contours {
			b = b.Union(c.Box())
		}
		return b
	}
	x, y := m.Apertures[o.Aperture].halfExtent()
	b := geom.BoxOf(o.Edge.From)
	if o.Kind == Stroke {
		b = o.Edge.Box()
	}
	b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = b.Min.X-x, b.Min.Y-y, b.Max.X+x, b.Max.Y+y
	return b
}

// Extent is the smallest box known to hold every object of the image.
func (m *Image) Extent() geom.Box {
	b := geom.EmptyBox()
	for _, o := range m.Objects {
		b = b.Union(m.Box(o))
	}
	return b
}
