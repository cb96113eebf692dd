package mechanics

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
)

// highest is the reserve told of what bears next to nothing.
const highest = 9999.0

// motion is how the ends of a joint move: (w, ∂w/∂x, ∂w/∂y) in the middle of either side, mm and ratios.
type motion [6]float64

// motionOf takes the means over a joint's sides.
func motionOf(j joint, x plate.State) (u motion) {
	for side, shares := range [2][]plate.Share{j.a, j.b} {
		for _, s := range shares {
			u[3*side] += float64(s.Weight * x.W[s.Node])
			u[3*side+1] += float64(s.Weight * x.P[s.Node])
			u[3*side+2] += float64(s.Weight * x.Q[s.Node])
		}
	}
	return u
}

// relative is how the second side moves beyond what it would if it were fast to the first.
func (j joint) relative(u motion) [3]float64 {
	dx, dy := j.middle[1][0]-j.middle[0][0], j.middle[1][1]-j.middle[0][1]
	return [3]float64{u[3] - u[0] - float64(u[1]*dx) - float64(u[2]*dy), u[4] - u[1], u[5] - u[2]}
}

// moved is a motion with the first side at rest: ligaments bear the same as in every other with that relative motion.
func moved(relative [3]float64) motion { return motion{3: relative[0], 4: relative[1], 5: relative[2]} }

// rowLoad reckons what the ligaments of a joint bear in a motion.
func (m *model) rowLoad(j joint, ligaments [][6][6]float64, u motion, hot bool) RowLoad {
	b := &m.bands[j.band]
	g := b.groups[j.group]
	var out RowLoad
	out.Strength = laminate.Strength(m.stacks.laminate, b.across.x, b.across.y, hot)
	notch := m.stacks.laminate.Notch.Value
	if !b.ligaments.Holes {
		notch = 1
	}
	for n := g.first; n <= g.last; n++ {
		t := m.reach(j, n)
		var ends, f [6]float64
		for i := range 6 {
			for k := range 6 {
				ends[i] += float64(t[i][k] * u[k])
			}
		}
		for i := range 6 {
			for k := range 6 {
				f[i] += float64(ligaments[n][i][k] * ends[k])
			}
		}
		// Moments about the row's line and about the direction across it, in the middle between both ends.
		first := float64(f[1]*b.across.x) + float64(f[2]*b.across.y)
		last := float64(f[4]*b.across.x) + float64(f[5]*b.across.y)
		out.Moment += (last - first) / 2
		out.Twist += float64(f[4]*b.along.x) + float64(f[5]*b.along.y)
		out.Shear += f[3]
		out.Stress = math.Max(out.Stress, float64(notch*b.stress(n, -first, last)))
	}
	out.settle()
	return out
}

// stress is the greatest bending stress along a ligament, in MPa, from the moments at its ends: section moment over
// section modulus b·t²/6, where b widens from the neck as the holes do.
func (b *band) stress(n int, first, last float64) float64 {
	l := &b.ligaments
	d := l.Diameter
	most := 0.0
	for _, x := range [...]float64{-0.4, -0.25, 0, 0.25, 0.4} { // of the diameter, from the neck
		width := l.Webs[n]
		if l.Holes {
			width += float64(float64(b.circles[n]) / 2 * d * (1 - math.Sqrt(1-float64(4*x*x))))
		}
		moment := first + float64((last-first)*(x+0.5))
		most = math.Max(most, math.Abs(moment)/(width*float64(l.Thickness*l.Thickness)/6))
	}
	return most
}

// settle works the reserve out.
func (r *RowLoad) settle() {
	r.Reserve = highest
	if r.Stress > 0 {
		r.Reserve = math.Min(highest, r.Strength/r.Stress)
	}
}

// and adds what another stretch of the same row bears.
func (r *RowLoad) and(x RowLoad) {
	r.Moment += x.Moment
	r.Twist += x.Twist
	r.Shear += x.Shear
	r.Stress = math.Max(r.Stress, x.Stress)
	r.Strength = x.Strength
	r.settle()
}

// center is the middle of a band's row.
func (b *band) center() geom.Point {
	return geom.Pt((b.from.X+b.to.X)/2, (b.from.Y+b.to.Y)/2)
}
