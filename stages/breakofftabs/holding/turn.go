package holding

import (
	"math"

	"panelwright/pipeline/geom"
)

// On a board whose places follow each other in the order of their directions, opposite sides is a
// condition on neighbouring tabs too: all directions lie within less than 120° just when one step from
// tab to tab is more than 240°. So is the centre of mass, where feet follow each other in the order in
// which they are seen from it: it lies outside their hull just when one step is more than 180°. No
// clause is needed then.

// directions gives the places' outward directions in radians, never falling, when they go round once;
// nil otherwise.
func (r *ring) directions() []float64 {
	return rising(len(r.places), func(i int) (y, x float64) { return r.places[i].out[1], r.places[i].out[0] })
}

// sights gives where each place's foot begins and ends as seen from the centre of mass, in radians,
// neither of them falling, when they go round once; nil otherwise.
func (r *ring) sights() (begin, end []float64) {
	at := func(side int) []float64 {
		return rising(len(r.places), func(i int) (y, x float64) {
			v := r.places[i].ends[side].Sub(r.mass)
			return float64(v.Y), float64(v.X)
		})
	}
	begin, end = at(0), at(1)
	if begin == nil || end == nil {
		return nil, nil
	}
	for i, p := range r.places {
		a, b := p.ends[0].Sub(r.mass), p.ends[1].Sub(r.mass)
		if a.Cross(b) < 0 || a.Cross(b) == 0 && (a.Dot(b) <= 0) {
			return nil, nil // the foot runs backwards or through the centre
		}
		end[i] = begin[i] + geom.Atan2(float64(a.Cross(b)), float64(a.Dot(b)))
	}
	return begin, end
}

// rising unwraps directions so that none is less than the one before; nil when that takes more than one
// turn. Steps back of less than a millionth of a radian are rounding.
func rising(n int, of func(i int) (y, x float64)) []float64 {
	a := make([]float64, n)
	for i := range n {
		y, x := of(i)
		a[i] = geom.Atan2(y, x)
		if i == 0 {
			continue
		}
		step := math.Mod(a[i]-a[i-1]+float64(4*math.Pi), 2*math.Pi)
		if step > 2*math.Pi-1e-6 {
			step = 0
		}
		if a[i] = a[i-1] + step; a[i] > a[0]+2*math.Pi {
			return nil
		}
	}
	return a
}

// broken tells of a step from a place to the off-th after it whether it shows that no tabs are on
// opposite sides, and whether it shows that the centre of mass lies outside all feet. Both are false
// where clauses must tell.
func (r *ring) broken(i, off int) (opposite, centre bool) {
	n := len(r.places)
	j, turn := i+off, 0.0
	if j >= n {
		j, turn = j-n, 2*math.Pi
	}
	if r.facing != nil {
		step := r.facing[j] + turn - r.facing[i]
		opposite = step > math.Pi && dot(r.places[i].out, r.places[j].out) > opposed
	}
	if r.begin != nil {
		step := r.begin[j] + turn - r.end[i]
		centre = step > math.Pi
		if math.Abs(step-math.Pi) < 0.1 {
			a, b := r.places[i].ends[1].Sub(r.mass), r.places[j].ends[0].Sub(r.mass)
			centre = a.Cross(b) < 0
		}
	}
	return opposite, centre
}
