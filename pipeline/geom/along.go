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
