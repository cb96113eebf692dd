package plan

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// slanting tells whether a copy is turned by other than quarter turns: its box's sides are no edges of it, and what lies
// between two boxes is no slot.
func slanting(c panel.Copy) bool {
	_, exact := c.Place.Turn.Quarters()
	return !exact
}

// extreme gives the point of a copy's edge that lies furthest to a side; of several the one next to where the dimension
// stands.
func extreme(c panel.Copy, side, toward panel.RailSide) geom.Point {
	far := func(p geom.Point, s panel.RailSide) geom.Length {
		if level(s) {
			return outward(s) * p.Y
		}
		return outward(s) * p.X
	}
	var best geom.Point
	found := false
	for _, e := range c.Outline().Outer {
		b := e.Box()
		points := []geom.Point{e.From, e.To}
		if e.Sense != geom.Straight { // where the arc bulges out to its box
			for _, p := range []geom.Point{{X: b.Min.X, Y: e.Center.Y}, {X: b.Max.X, Y: e.Center.Y}, {X: e.Center.X, Y: b.Min.Y}, {X: e.Center.X, Y: b.Max.Y}} {
				if off := p.Distance(e.Center) - e.Radius(); off > -5 && off < 5 {
					points = append(points, p)
				}
			}
		}
		for _, p := range points {
			d := far(p, side) - far(best, side)
			if !found || d > 0 || d == 0 && far(p, toward) > far(best, toward) {
				best, found = p, true
			}
		}
	}
	// A box is rounded outwards: the point lies on its side to the nanometre that the panel's data state.
	switch b := c.Box(); side {
	case panel.Upper:
		best.Y = b.Max.Y
	case panel.Lower:
		best.Y = b.Min.Y
	case panel.Left:
		best.X = b.Min.X
	default:
		best.X = b.Max.X
	}
	return best
}
