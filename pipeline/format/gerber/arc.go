package gerber

import (
	"fmt"
	"math"

	"panelwright/pipeline/format"
	"panelwright/pipeline/geom"
)

// arc makes the arc from the current point, with its centre by the offsets i and j.
func (p *parser) arc(at int, from, to geom.Point, i, j geom.Length) (geom.Edge, error) {
	mode := p.quadrant
	if mode == 0 {
		p.note(warnQuadrant, at)
		mode = 75
		if i >= 0 && j >= 0 && from != to {
			if _, ok := p.singleQuadrant(from, to, i, j); ok {
				mode = 74
			}
		}
	}
	if from == to && (mode == 74 || i == 0 && j == 0) {
		if mode == 75 {
			p.note(warnPointArc, at)
		}
		return geom.Line(from, to), nil
	}
	if i == 0 && j == 0 {
		if from.Distance(to) <= float64(p.arcSlack) {
			p.note(warnPointArc, at)
			return geom.Line(from, to), nil
		}
		return geom.Edge{}, p.fault(at, "arc without a centre", "add I and J, or draw a straight line with G01")
	}
	if mode == 74 {
		if i < 0 || j < 0 {
			p.note(warnNegativeOffset, at)
		}
		e, ok := p.singleQuadrant(from, to, i.Abs(), j.Abs())
		if !ok {
			return e, p.fault(at, "single-quadrant arc (G74) that fits none of the four centres its offsets allow",
				"an arc in this mode turns at most 90 degrees; check I and J, or whether the file means G75")
		}
		return p.fit(at, e)
	}
	return p.fit(at, geom.Arc(from, to, from.Add(geom.Point{X: i, Y: j}), p.sense))
}

// singleQuadrant tries the four signs of the offsets and takes the centre at which the arc turns at
// most a quarter and the radii differ least.
func (p *parser) singleQuadrant(from, to geom.Point, i, j geom.Length) (best geom.Edge, ok bool) {
	off := math.Inf(1)
	for k := range 4 {
		d := geom.Point{X: i, Y: j}
		if k&1 != 0 {
			d.X = -d.X
		}
		if k&2 != 0 {
			d.Y = -d.Y
		}
		e := geom.Arc(from, to, from.Add(d), p.sense)
		r := d.Norm()
		miss := math.Abs(r - to.Distance(e.Center))
		_, sweep := e.Angles()
		slack := 2 * float64(p.arcSlack) / max(r, 1)
		if miss <= float64(p.arcSlack) && miss < off && math.Abs(sweep) <= math.Pi/2+slack {
			best, off, ok = e, miss, true
		}
	}
	return best, ok
}

// fit checks that the radii at both ends agree, and brings them together when they are off by more
// than rounding explains.
func (p *parser) fit(at int, e geom.Edge) (geom.Edge, error) {
	r, q := e.Radius(), e.To.Distance(e.Center)
	miss := math.Abs(r - q)
	if miss > float64(p.arcSlack) {
		f := format.At(p.name, p.data, at, fmt.Sprintf("arc whose radii disagree: %s from the centre to its start, %s to its end",
			geom.Round(r), geom.Round(q)), "check I and J, and whether G74 or G75 is right for this file")
		if f.Enough = enough(miss); f.Enough != "" {
			f.Lacks = format.LacksTolerance
		}
		return e, f
	}
	if miss > float64(baseArc) {
		moved, ok := recentred(e)
		about := e
		about.Center = moved
		switch {
		case ok && moved.Distance(e.Center) <= 4*float64(p.arcSlack):
		case short(e) && e.From.Distance(e.To) <= 2*float64(p.arcSlack):
			p.note(warnShortArc, at)
			return geom.Line(e.From, e.To), nil
		case ok && short(e) && short(about): // through the same ends, about as round
		default:
			return e, p.fault(at, fmt.Sprintf("arc whose radii disagree: %s from the centre to its start, %s to its end, which are too close to tell where it goes",
				geom.Round(r), geom.Round(q)), "export the file again with more digits")
		}
		p.note(warnRecentred, at)
		e = about
	}
	if e.Center.Within() {
		return e, nil
	}
	if _, sweep := e.Angles(); math.Abs(sweep) < 1 {
		if _, cos := geom.SinCos(sweep / 2); r*(1-cos) <= float64(p.arcSlack-baseArc+geom.UM) {
			p.note(warnFlatArc, at)
			return geom.Line(e.From, e.To), nil
		}
	}
	return e, p.fault(at, "arc with its centre beyond 1 m from the origin", "draw it as straight lines; export the file again")
}

// enough gives the round tolerance that covers a miss; none does where it is more than careless drawing.
func enough(miss float64) string {
	for _, t := range []geom.Length{10, 20, 50, 100, 200, 500, 1000} {
		if miss < float64(t*geom.UM) {
			return (t * geom.UM).String()
		}
	}
	return ""
}

// short tells whether an arc turns less than a radian.
func short(e geom.Edge) bool {
	_, sweep := e.Angles()
	return math.Abs(sweep) < 1
}

// recentred moves the centre along the chord's direction onto the line where both radii are equal.
func recentred(e geom.Edge) (geom.Point, bool) {
	c := e.To.Sub(e.From)
	n := c.Norm()
	if n < 1 {
		return e.Center, false
	}
	ux, uy := float64(c.X)/n, float64(c.Y)/n
	m := e.Center.Sub(e.From)
	along := float64(float64(m.X)*ux) + float64(float64(m.Y)*uy)
	d := n/2 - along
	return e.Center.Add(geom.Point{X: geom.Round(d * ux), Y: geom.Round(d * uy)}), true
}

// refit brings the radii of an arc together again after scaling has drawn them apart.
func refit(e geom.Edge) (geom.Edge, bool) {
	if e.Sense == geom.Straight || math.Abs(e.Radius()-e.To.Distance(e.Center)) <= float64(baseArc) {
		return e, true
	}
	moved, ok := recentred(e)
	if !ok || moved.Distance(e.Center) > e.Radius()/10 {
		return e, false
	}
	e.Center = moved
	return e, true
}
