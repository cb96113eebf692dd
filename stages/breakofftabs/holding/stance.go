package holding

import (
	"math"

	"panelwright/pipeline/geom"
)

// Stance is how a board stands on its tabs, spans and corners apart.
type Stance struct {
	Opposite bool        // two of its tabs lie on opposite sides
	Outside  geom.Length // how far its centre of mass lies outside of the hull of its feet; 0 within it
}

// StanceOf tells how a board with the given centre of mass stands on feet, of each of which At, Foot, Outward and Width count.
func StanceOf(mass geom.Point, feet []Candidate) Stance {
	if len(feet) == 0 {
		return Stance{false, math.MaxInt64}
	}
	r := &ring{mass: mass, places: make([]place, len(feet))}
	set := make([]int, len(feet))
	for i := range feet {
		c := &feet[i]
		r.places[i] = place{ends: footEnds(c.Foot, c.Outward, c.Width), out: c.Outward}
		set[i] = i
	}
	out := Stance{Opposite: r.onOpposite(set)}
	if _, apart := r.apart(set); apart {
		out.Outside = r.outside(set)
	}
	return out
}

// AsGood tells whether a board stands as well as in another stance.
func (s Stance) AsGood(as Stance) bool {
	const rounding = geom.UM
	return (s.Opposite || !as.Opposite) && (s.Outside <= as.Outside || s.Outside-as.Outside <= rounding)
}

// footEnds are the ends of a foot.
func footEnds(foot geom.Point, out [2]float64, width geom.Length) [2]geom.Point {
	w := float64(width) / 2
	d := geom.Pt(geom.Round(-float64(out[1]*w)), geom.Round(float64(out[0]*w)))
	return [2]geom.Point{foot.Sub(d), foot.Add(d)}
}
