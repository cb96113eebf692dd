package artwork

import (
	"math"

	"panelwright/pipeline/geom"
)

// Turned gives the aperture turned counter-clockwise about its origin. Quarter turns of rectangles
// and obrounds swap their sides; any other angle makes them macros. Everything else stays in kind.
func (a Aperture) Turned(by geom.Angle) Aperture {
	by = by.Normal()
	if by == 0 {
		return a
	}
	n, exact := by.Quarters()
	switch a.Shape {
	case Circle:
	case Rectangle, Obround:
		switch {
		case exact && n%2 == 1:
			a.Width, a.Height = a.Height, a.Width
		case !exact:
			a = a.asMacro()
			return a.Turned(by)
		}
	case Polygon:
		a.Turn = (a.Turn + by).Normal()
		if step := geom.FullTurn / geom.Angle(max(a.Vertices, 1)); geom.FullTurn%geom.Angle(max(a.Vertices, 1)) == 0 {
			a.Turn %= step // the same picture, written the same way on every copy
		}
	case Macro:
		prims := make([]Primitive, len(a.Primitives))
		copy(prims, a.Primitives)
		for i := range prims {
			prims[i] = prims[i].turned(by)
		}
		a.Primitives = prims
	}
	return a
}

// asMacro gives a rectangle or obround as a macro of the same picture.
func (a Aperture) asMacro() Aperture {
	m := Aperture{Shape: Macro, Set: a.Set}
	bar := func(w, h geom.Length) Primitive {
		return Primitive{Kind: PrimCenterLine, Size: [5]geom.Length{w, h}, Points: []geom.Point{{}}}
	}
	disc := func(x, y, d geom.Length) Primitive {
		return Primitive{Kind: PrimCircle, Size: [5]geom.Length{d}, Points: []geom.Point{{X: x, Y: y}}}
	}
	switch d := min(a.Width, a.Height); {
	case a.Shape == Rectangle:
		m.Name = "TurnedRectangle"
		m.Primitives = []Primitive{bar(a.Width, a.Height)}
	default:
		m.Name = "TurnedObround"
		x, y := (a.Width-d)/2, (a.Height-d)/2
		m.Primitives = []Primitive{disc(x, y, d), disc(-x, -y, d)}
		if a.Width > d {
			m.Primitives = append(m.Primitives, bar(a.Width-d, d))
		} else if a.Height > d {
			m.Primitives = append(m.Primitives, bar(d, a.Height-d))
		}
	}
	if a.Hole > 0 {
		hole := disc(0, 0, a.Hole)
		hole.Off = true
		m.Primitives = append(m.Primitives, hole)
	}
	return m
}

// turned gives the primitive turned about the macro's origin. A polygon, moiré or thermal that lies off
// the origin is not left to the format's turn: older readers, and a common viewer, turn those about
// their own middle. A polygon becomes an outline; the other two look the same after quarter turns, so
// that only their middle moves, and keep what is left of the turn at other angles.
func (p Primitive) turned(by geom.Angle) Primitive {
	total := (p.Turn + by).Normal()
	off := len(p.Points) > 0 && p.Points[0] != geom.Point{}
	switch {
	case p.Kind == PrimPolygon && off:
		out := Primitive{Kind: PrimOutline, Off: p.Off}
		for i := range p.Vertices {
			sin, cos := geom.SinCos(2 * math.Pi * float64(i) / float64(p.Vertices))
			r := float64(p.Size[0]) / 2
			v := p.Points[0].Add(geom.Pt(geom.Round(r*cos), geom.Round(r*sin)))
			out.Points = append(out.Points, geom.Transform{Turn: total}.Apply(v))
		}
		out.Points = append(out.Points, out.Points[0])
		return out
	case (p.Kind == PrimMoire || p.Kind == PrimThermal) && off:
		n, _ := total.Quarters()
		p.Points = []geom.Point{geom.Transform{Turn: geom.Angle(n) * geom.Quarter}.Apply(p.Points[0])}
		p.Turn = total - geom.Angle(n)*geom.Quarter
		return p
	}
	p.Turn = total
	return p
}
