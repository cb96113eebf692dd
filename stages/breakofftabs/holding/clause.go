package holding

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A clause says: at least one of these places must be taken. Both conditions that concern all tabs of a
// board together are sets of clauses, one for each direction: of all tabs one must point away from it,
// and one must stand on the other side of the centre of mass.
type clause struct {
	kind Kind
	hits []bool
}

// opposed is the cosine of 120°, with room for rounding.
const opposed = -0.5 + 1e-6

func dot(a, b [2]float64) float64 { return float64(a[0]*b[0]) + float64(a[1]*b[1]) }

// onOpposite tells whether two of the places point at least 120° apart.
func (r *ring) onOpposite(set []int) bool {
	for k, i := range set {
		for _, j := range set[:k] {
			if dot(r.places[i].out, r.places[j].out) <= opposed {
				return true
			}
		}
	}
	return false
}

// away gives the clause that a set breaks which is not on opposite sides. Directions no two of which are
// 120° apart lie within less than 120°; of two that are, one lies at least 60° from the middle of that.
func (r *ring) away(set []int) clause {
	mid := r.places[set[0]].out
	least := 2.0
	for _, i := range set {
		for _, j := range set {
			a, b := r.places[i].out, r.places[j].out
			if d := dot(a, b); d < least {
				least = d
				m := [2]float64{a[0] + b[0], a[1] + b[1]}
				l := math.Sqrt(dot(m, m))
				mid = [2]float64{m[0] / l, m[1] / l}
			}
		}
	}
	c := clause{OppositeSides, make([]bool, len(r.places))}
	for i, p := range r.places {
		c.hits[i] = dot(p.out, mid) <= 0.5+0.5e-6
	}
	for _, i := range set {
		c.hits[i] = false
	}
	return c
}

// apart gives a direction from the centre of mass in which all feet of a set lie wholly; there is none
// when the centre lies in or on their hull.
func (r *ring) apart(set []int) (u [2]float64, ok bool) {
	vs := make([]geom.Point, 0, 2*len(set))
	for _, i := range set {
		for _, e := range r.places[i].ends {
			v := e.Sub(r.mass)
			if v == (geom.Point{}) {
				return u, false
			}
			vs = append(vs, v)
		}
	}
	upper := func(p geom.Point) bool { return p.Y > 0 || p.Y == 0 && p.X > 0 }
	slices.SortFunc(vs, func(a, b geom.Point) int {
		if ua, ub := upper(a), upper(b); ua != ub {
			if ua {
				return -1
			}
			return 1
		}
		switch c := a.Cross(b); {
		case c > 0:
			return -1
		case c < 0:
			return 1
		}
		return 0
	})
	// The widest angle without a foot in it, when it is more than half a turn.
	first, last := vs[0], vs[len(vs)-1]
	found := len(vs) > 0 && (last.Cross(first) < 0 || last.Cross(first) == 0 && last.Dot(first) > 0)
	for i := 1; i < len(vs) && !found; i++ {
		if vs[i-1].Cross(vs[i]) < 0 {
			first, last, found = vs[i], vs[i-1], true
		}
	}
	if !found {
		return u, false
	}
	a, b := first.Norm(), last.Norm()
	u = [2]float64{float64(first.X)/a + float64(last.X)/b, float64(first.Y)/a + float64(last.Y)/b}
	for _, v := range vs {
		if along(v, u) <= 0 {
			return u, false // no farther outside than rounding can tell
		}
	}
	return u, true
}

func along(v geom.Point, u [2]float64) float64 {
	return float64(float64(v.X)*u[0]) + float64(float64(v.Y)*u[1])
}

// beyond gives the clause that a set breaks whose feet all lie in direction u from the centre of mass.
func (r *ring) beyond(u [2]float64) clause {
	c := clause{CentreOfMass, make([]bool, len(r.places))}
	for i, p := range r.places {
		for _, e := range p.ends {
			if along(e.Sub(r.mass), u) <= 0 {
				c.hits[i] = true
			}
		}
	}
	return c
}

// penalty is what a missed condition counts beside nm over the limits: more than the whole way round.
func (r *ring) penalty() int64 { return int64(r.length + r.lim.FreeSpan) }

// unheld is what a board without any tab counts: more than whatever else can be wrong with it.
func (r *ring) unheld() int64 { return 8 * r.penalty() }
