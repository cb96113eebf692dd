package dxf

import "math"

// round is an ARC or a CIRCLE.
type round struct {
	x, y, radius float64
	whole        bool
	start, end   float64 // degrees, counter-clockwise
}

// readArc reads an ARC or a CIRCLE: centre 10, 20, radius 40, and the arc's angles 50 and 51 in degrees,
// which it runs between counter-clockwise. Equal ones are a whole turn (common practice, no published
// source).
func readArc(t *text, e *entity) error {
	c := round{whole: e.kind == "CIRCLE"}
	if err := t.numbers(e, field{10, &c.x, true}, field{20, &c.y, true}, field{40, &c.radius, true}, field{50, &c.start, !c.whole}, field{51, &c.end, !c.whole}); err != nil {
		return err
	}
	if c.radius < 0 {
		return t.fault(e.at, "export the file again", "%s with a radius below zero", e.kind)
	}
	e.shape = &c
	return t.extrusion(e)
}

func (c *round) draw(p *pen, m affine) bool {
	k := conic{x: c.x, y: c.y, ux: c.radius, vy: c.radius, sweep: 2 * math.Pi}
	if c.whole {
		k = k.under(m)
		first, last := k.ends(p)
		p.moveTo(first)
		return k.drawTo(p, last)
	}
	// Quarter turns are exact in degrees, so the half axes are turned rather than the parameter begun
	// elsewhere.
	sin, cos := sinCosDegrees(c.start)
	k.ux, k.uy = float64(c.radius*cos), float64(c.radius*sin)
	k.vx, k.vy = -k.uy, k.ux
	turned := math.Mod(c.end-c.start, 360)
	if turned < 0 {
		turned += 360
	}
	k.sweep = sweepOf(0, turned*(math.Pi/180))
	sin, cos = sinCosDegrees(c.end)
	ex, ey := m.apply(c.x+float64(c.radius*cos), c.y+float64(c.radius*sin))
	k = k.under(m)
	first, last := k.ends(p)
	if !k.whole() {
		last = p.point(ex, ey)
	}
	p.moveTo(first)
	return k.drawTo(p, last)
}
