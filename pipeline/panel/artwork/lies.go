package artwork

import (
	"math"

	"panelwright/pipeline/geom"
)

// LiesOn tells whether the object covers some of the outline's inside, by more than a touch along its
// edge. edges are the outline's, handed in so that many objects need not list them again. Where the
// object crosses an edge it is looked at in steps of a fraction of its size, 2 µm inside the edge.
func (m *Image) LiesOn(o Object, outline geom.Outline, edges []geom.Edge) bool {
	box := m.Box(o)
	if !box.Overlaps(outline.Box()) {
		return false
	}
	d := m.Drawn(o)
	if q := anchor(m, o); outline.Locate(q) == geom.Inside && d.DistanceToPoint(q) == 0 {
		return true
	}
	if q := box.Center(); outline.Locate(q) == geom.Inside && d.DistanceToPoint(q) == 0 {
		return true
	}
	step := max(float64(min(box.Width(), box.Height()))/8, float64(20*geom.UM))
	for _, e := range edges {
		if !e.Box().Overlaps(box) || d.DistanceToEdge(e) > 0 {
			continue
		}
		n := max(2, min(int(e.Length()/step), 4000))
		for i := range n {
			if q := inside(e, (float64(i)+0.5)/float64(n)); box.HoldsPoint(q) && d.DistanceToPoint(q) == 0 {
				return true
			}
		}
	}
	return false
}

// anchor is a point that a flash or stroke surely covers, unless it has a hole there; of a region, a
// point of its edge.
func anchor(m *Image, o Object) geom.Point {
	if o.Kind == Fill {
		for _, c := range m.Regions[o.Region].Contours {
			if len(c) > 0 {
				return c[0].From
			}
		}
	}
	return o.Edge.From
}

// inside gives the point 2 µm to the left of the edge at fraction f: inside an outline, whose outer path
// runs counter-clockwise and whose cut-outs run clockwise.
func inside(e geom.Edge, f float64) geom.Point {
	at := e.At(f)
	d := e.To.Sub(e.From)
	if e.Sense != geom.Straight {
		r := at.Sub(e.Center)
		d = geom.Pt(-r.Y*geom.Length(e.Sense), r.X*geom.Length(e.Sense))
	}
	n := d.Norm()
	if n == 0 || math.IsNaN(n) {
		return at
	}
	const in = float64(2 * geom.UM)
	return geom.Pt(at.X-geom.Round(float64(d.Y)/n*in), at.Y+geom.Round(float64(d.X)/n*in))
}
