package dxf

import (
	"math"

	"panelwright/pipeline/geom"
)

// A vertex is a corner of a polyline. Its bulge says how the edge after it is bent: the tangent of a
// quarter of the angle that the arc turns by, counter-clockwise positive, 0 for a straight edge.
type vertex struct{ x, y, bulge float64 }

// polyline is a LINE, LWPOLYLINE or POLYLINE.
type polyline struct {
	corners []vertex
	closed  bool
}

func (l *polyline) draw(p *pen, m affine) bool {
	if len(l.corners) == 0 {
		return true
	}
	first := p.point(m.apply(l.corners[0].x, l.corners[0].y))
	p.moveTo(first)
	for i, a := range l.corners {
		next := i + 1
		if next == len(l.corners) {
			if !l.closed {
				break
			}
			next = 0
		}
		if p.spent() {
			break
		}
		b := l.corners[next]
		to := p.point(m.apply(b.x, b.y))
		if a.bulge == 0 || a.x == b.x && a.y == b.y {
			p.lineTo(to)
			continue
		}
		if !bulge(p, m, a, b, to) {
			return false
		}
	}
	return true
}

// bulge draws the arc from a to b, whose rounded place is to.
func bulge(p *pen, m affine, a, b vertex, to geom.Point) bool {
	hx, hy := float64((b.x-a.x)/2), float64((b.y-a.y)/2) // half the chord
	half := math.Sqrt(sum2(hx, hx, hy, hy)) * m.stretch()
	if half*math.Abs(a.bulge) < 1 { // the arc's height over its chord, in nm
		p.lineTo(to)
		return true
	}
	// The centre lies square to the chord, cot(θ/2) half chords from its middle.
	cot := (1/a.bulge - a.bulge) / 2
	ox, oy := float64(-hy*cot), float64(hx*cot)
	// Seen from the centre a lies at −h − o.
	ux, uy := -hx-ox, -hy-oy
	k := conic{
		x: a.x + hx + ox, y: a.y + hy + oy,
		ux: ux, uy: uy, vx: -uy, vy: ux,
		sweep: 4 * geom.Atan2(a.bulge, 1),
	}.under(m)
	const limit = float64(geom.Limit)
	if math.Abs(a.bulge) < 0.5 && !(math.Abs(k.x) <= limit && math.Abs(k.y) <= limit) {
		// A flat arc whose centre is far away, where its places would not be exact: the same arc is a
		// rational curve of degree 2 whose middle point is where the end tangents meet.
		tan := 2 * a.bulge / (1 - float64(a.bulge*a.bulge))
		w := (1 - float64(a.bulge*a.bulge)) / (1 + float64(a.bulge*a.bulge)) // cos(θ/2)
		curve := bezier{homogeneous(m, a.x, a.y, 1), homogeneous(m, a.x+hx+float64(hy*tan), a.y+hy-float64(hx*tan), w), homogeneous(m, b.x, b.y, 1)}
		return curve.draw(p, to)
	}
	return k.drawTo(p, to)
}

// readLWPolyline reads an LWPOLYLINE: corners 10, 20, each perhaps with a bulge 42 and widths 40 and 41;
// 90 is their number, bit 1 of 70 closes it, 43 is the width of all.
func readLWPolyline(t *text, e *entity) error {
	l := &polyline{}
	count := -1
	for _, p := range e.group {
		switch p.code {
		case 10, 20, 42, 40, 41, 43:
			v, err := t.number(p)
			if err != nil {
				return err
			}
			if p.code == 43 {
				e.width = max(e.width, v)
				continue
			}
			if p.code == 10 {
				l.corners = append(l.corners, vertex{x: v, y: math.NaN()})
				continue
			}
			if len(l.corners) == 0 {
				return t.fault(p.at, "export the file again", "group %d of a corner stands before group 10", p.code)
			}
			c := &l.corners[len(l.corners)-1]
			switch p.code {
			case 20:
				c.y = v
			case 42:
				c.bulge = v
			default:
				e.width = max(e.width, v)
			}
		case 70, 90:
			v, err := t.whole(p)
			if err != nil {
				return err
			}
			if p.code == 90 {
				count = v
			} else {
				l.closed = v&1 != 0
			}
		}
	}
	for _, c := range l.corners {
		if math.IsNaN(c.y) {
			return t.fault(e.at, "export the file again", "LWPOLYLINE with a corner that has no group 20")
		}
	}
	if count >= 0 && count != len(l.corners) {
		return t.fault(e.at, doAgain, "LWPOLYLINE that should have %d corners but has %d", count, len(l.corners))
	}
	e.shape = l
	return t.extrusion(e)
}

// The bits of group 70 of a POLYLINE, and of its corners.
const (
	lineClosed    = 1
	lineInSpace   = 8
	lineMesh      = 16 | 64
	cornerOfFrame = 16 // of the frame that a smoothed line follows, which is not drawn
)

// readPolyline reads a POLYLINE with its corners: bit 1 of 70 closes it. One in space (bit 8) has its
// corners in the drawing's own coordinates. Where its corners were smoothed the smooth ones are among
// them.
func readPolyline(t *text, e *entity) error {
	l := &polyline{}
	flags := 0
	var wide [2]float64
	for _, p := range e.group {
		var err error
		switch p.code {
		case 70:
			flags, err = t.whole(p)
		case 40, 41:
			wide[p.code-40], err = t.number(p)
		}
		if err != nil {
			return err
		}
	}
	if flags&lineMesh != 0 {
		e.mesh = true
		return nil
	}
	if e.open {
		e.note = "POLYLINE that is not ended by SEQEND"
	}
	l.closed = flags&lineClosed != 0
	var level float64
	for rest := e.corners; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].code != 0 {
			n++
		}
		v := &entity{kind: "VERTEX", at: rest[0].at, group: rest[1:n]}
		rest = rest[n:]
		var c vertex
		var z float64
		own := 0
		for _, p := range v.group {
			if p.code == 70 {
				var err error
				if own, err = t.whole(p); err != nil {
					return err
				}
			}
		}
		if own&cornerOfFrame != 0 {
			continue
		}
		wide := [2]float64{wide[0], wide[1]} // the corner's own, where it has some
		if err := t.numbers(v, field{10, &c.x, true}, field{20, &c.y, true}, field{30, &z, false}, field{42, &c.bulge, false}, field{40, &wide[0], false}, field{41, &wide[1], false}); err != nil {
			return err
		}
		e.width = max(e.width, wide[0], wide[1])
		if flags&lineInSpace != 0 {
			c.bulge = 0
			if len(l.corners) > 0 && z != level {
				e.sloped = true
			}
			level = z
		}
		l.corners = append(l.corners, c)
	}
	e.shape = l
	if flags&lineInSpace != 0 {
		return nil
	}
	return t.extrusion(e)
}
