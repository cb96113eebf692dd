package geom

import "math"

// Along gives how far along the edge a point of it lies, in nm; a point beside it counts as the nearest on
// its line or circle.
func (e Edge) Along(p Point) float64 {
	if e.Sense == Straight {
		return e.From.Distance(p)
	}
	start, sweep := e.Angles()
	r := p.Sub(e.Center)
	turn := Atan2(float64(r.Y), float64(r.X)) - start
	if sweep < 0 {
		turn, sweep = -turn, -sweep
	}
	for turn < 0 {
		turn += 2 * math.Pi
	}
	for turn >= 2*math.Pi {
		turn -= 2 * math.Pi
	}
	if turn > sweep { // a rounding before the beginning or past the end
		if turn-sweep < 2*math.Pi-turn {
			turn = sweep
		} else {
			turn = 0
		}
	}
	return float64(e.Radius() * turn)
}

// Compare orders edges by their ends, then by centre and sense: -1, 0 or +1, for an order that does not depend on
// how they were found.
func (e Edge) Compare(f Edge) int {
	for _, c := range [3]int{e.From.Compare(f.From), e.To.Compare(f.To), e.Center.Compare(f.Center)} {
		if c != 0 {
			return c
		}
	}
	return int(e.Sense) - int(f.Sense)
}

// Thicker tells whether an outline is anywhere about thicker than d: neither its box nor area against perimeter
// say that it is a sliver.
func (o Outline) Thicker(d Length) bool {
	b := o.Box()
	return min(b.Width(), b.Height()) > d && o.Area() > float64(d)*o.Perimeter()/2
}
