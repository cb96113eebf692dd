package dxf

import "math"

// ellipse is an ELLIPSE, in the file's numbers.
type ellipse conic

func (l ellipse) draw(p *pen, m affine) bool {
	k := conic(l).under(m)
	first, last := k.ends(p)
	p.moveTo(first)
	return k.drawTo(p, last)
}

// readEllipse reads an ELLIPSE: centre 10, 20, the larger half axis 11, 21 as a direction from it, 40 how
// much of that the smaller has, and 41 and 42 the parameters in radians that it runs between,
// counter-clockwise about its extrusion direction. All are the drawing's own coordinates.
func readEllipse(t *text, e *entity) error {
	var x, y, ux, uy, uz, ratio, from float64
	to := 2 * math.Pi
	if err := t.numbers(e, field{10, &x, true}, field{20, &y, true}, field{11, &ux, true}, field{21, &uy, true}, field{31, &uz, false},
		field{40, &ratio, true}, field{41, &from, false}, field{42, &to, false}); err != nil {
		return err
	}
	if err := t.extrusion(e); err != nil {
		return err
	}
	if math.Abs(uz) > (math.Abs(ux)+math.Abs(uy))/1e6 {
		return t.fault(e.at, "draw the outline in the plane of x and y", "ELLIPSE whose plane leans (group 31)")
	}
	if ratio <= 0 {
		return t.fault(e.at, "export the file again", "ELLIPSE whose half axes are not in a proportion above zero (group 40)")
	}
	k := conic{x: x, y: y, ux: ux, uy: uy, vx: float64(-uy * ratio), vy: float64(ux * ratio), from: from, sweep: sweepOf(from, to)}
	if e.flip {
		k.vx, k.vy = -k.vx, -k.vy
		e.flip = false // there is nothing else to mirror
	}
	if k.whole() {
		k.from = math.Mod(from, 2*math.Pi)
	}
	e.shape = ellipse(k)
	return nil
}
