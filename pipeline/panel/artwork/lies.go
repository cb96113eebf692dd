package artwork

import "panelwright/pipeline/geom"

// LiesOn tells whether the object covers some of the outline's inside, by more than a touch along its
// edge. edges are the outline's, handed in so that many objects need not list them again. Where the
// object crosses an edge it is looked at in steps of a fraction of its size, 2 µm inside the edge.
func (m *Image) LiesOn(o Object, outline geom.Outline, edges []geom.Edge) bool {
	box := m.Box(o)
	if !box.Overlaps(outline.Box()) {
		return false
	}
	d := m.Drawn(o)
	if q := m.Anchor(o); outline.Locate(q) == geom.Inside && d.DistanceToPoint(q) == 0 {
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
			if q := e.Beside((float64(i)+0.5)/float64(n), 2*geom.UM); box.HoldsPoint(q) && d.DistanceToPoint(q) == 0 {
				return true
			}
		}
	}
	return false
}

// Anchor is a point that a flash or stroke surely covers, unless it has a hole there; of a region, a
// point of its edge.
func (m *Image) Anchor(o Object) geom.Point {
	if o.Kind == Fill {
		for _, c := range m.Regions[o.Region].Contours {
			if len(c) > 0 {
				return c[0].From
			}
		}
	}
	return o.Edge.From
}
