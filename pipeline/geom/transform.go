package geom

import "math"

// Transform turns about the origin by Turn, counter-clockwise, then shifts by Shift. The zero value
// changes nothing. There is no mirror: turned-over copies are not carried.
type Transform struct {
	Turn  Angle
	Shift Point
}

// Identity tells whether t changes nothing.
func (t Transform) Identity() bool { return t.Turn.Normal() == 0 && t.Shift == Point{} }

// Apply maps p. Quarter turns are exact; any other angle rounds once, to the nearest nanometre.
func (t Transform) Apply(p Point) Point { return rotate(p, t.Turn).Add(t.Shift) }

// Then gives the transform that does t first and u after it.
func (t Transform) Then(u Transform) Transform {
	return Transform{(t.Turn + u.Turn).Normal(), u.Apply(t.Shift)}
}

// Inverse undoes t: exactly for quarter turns, to the nanometre otherwise.
func (t Transform) Inverse() Transform {
	back := (-t.Turn).Normal()
	s := rotate(t.Shift, back)
	return Transform{back, Point{-s.X, -s.Y}}
}

// Rotate turns p about the origin.
func rotate(p Point, a Angle) Point {
	if n, exact := a.Quarters(); exact {
		switch n {
		case 1:
			return Point{-p.Y, p.X}
		case 2:
			return Point{-p.X, -p.Y}
		case 3:
			return Point{p.Y, -p.X}
		}
		return p
	}
	sin, cos := a.SinCos()
	x, y := float64(p.X), float64(p.Y)
	// The conversions keep the compiler from fusing a product with the sum, which some
	// processors do and others do not: bytes must not depend on that.
	return Point{
		Length(math.Round(float64(x*cos) - float64(y*sin))),
		Length(math.Round(float64(x*sin) + float64(y*cos))),
	}
}

// Edge maps an edge; senses stay as they are, since there is no mirror.
func (t Transform) Edge(e Edge) Edge {
	e.From, e.To = t.Apply(e.From), t.Apply(e.To)
	if e.Sense != Straight {
		e.Center = t.Apply(e.Center)
	}
	return e
}

// Path maps a path into a new one.
func (t Transform) Path(p Path) Path {
	out := make(Path, len(p))
	for i, e := range p {
		out[i] = t.Edge(e)
	}
	return out
}

// Outline maps an outline into a new one.
func (t Transform) Outline(o Outline) Outline {
	out := Outline{Outer: t.Path(o.Outer)}
	for _, c := range o.CutOuts {
		out.CutOuts = append(out.CutOuts, t.Path(c))
	}
	return out
}

// Box maps a box: the smallest box round the turned corners.
func (t Transform) Box(b Box) Box {
	if b.Empty() {
		return b
	}
	return BoxOf(t.Apply(b.Min), t.Apply(b.Max), t.Apply(Point{b.Min.X, b.Max.Y}), t.Apply(Point{b.Max.X, b.Min.Y}))
}
