package returned

import "panelwright/pipeline/geom"

// place is where something lies, seen from elsewhere: mirrored perhaps (x becomes −x), then turned, then shifted.
type place struct {
	mirrored bool
	t        geom.Transform
}

func flip(p geom.Point) geom.Point { return geom.Pt(-p.X, p.Y) }

func (p place) point(q geom.Point) geom.Point {
	if p.mirrored {
		q = flip(q)
	}
	return p.t.Apply(q)
}

// Edge places an edge.
func (p place) Edge(e geom.Edge) geom.Edge {
	if p.mirrored {
		e.From, e.To = flip(e.From), flip(e.To)
		if e.Sense != geom.Straight {
			e.Center, e.Sense = flip(e.Center), -e.Sense
		}
	}
	return p.t.Edge(e)
}

// Box places a box.
func (p place) Box(b geom.Box) geom.Box {
	if b.Empty() {
		return b
	}
	return geom.BoxOf(p.point(b.Min), p.point(b.Max), p.point(geom.Pt(b.Min.X, b.Max.Y)), p.point(geom.Pt(b.Max.X, b.Min.Y)))
}

func (p place) path(q geom.Path) geom.Path {
	out := make(geom.Path, len(q))
	for i, e := range q {
		out[i] = p.Edge(e)
	}
	return out
}

// then gives the place that does p first and a shift after it.
func (p place) then(by geom.Point) place {
	p.t.Shift = p.t.Shift.Add(by)
	return p
}

func (p place) inverse() place {
	back := p.t.Inverse()
	if p.mirrored { // to mirror after a turn is to turn the other way after mirroring
		return place{true, geom.Transform{Turn: (-back.Turn).Normal(), Shift: flip(back.Shift)}}
	}
	return place{false, back}
}

// ways are the eight ways in which a panel may lie without being scaled.
func ways() (out []place) {
	for _, m := range []bool{false, true} {
		for n := range 4 {
			out = append(out, place{m, geom.Transform{Turn: geom.Angle(n) * geom.Quarter}})
		}
	}
	return out
}
