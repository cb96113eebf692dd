package mechanics

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
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
	out := RowLoad{Strength: b.strength(m.stacks.laminate, hot)}
	for n := g.first; n <= g.last; n++ {
		f := m.ends(j, ligaments, n, u)
		// Moments about the row's line and about the direction across it, in the middle between both ends.
		first := float64(f[1]*b.across.x) + float64(f[2]*b.across.y)
		last := float64(f[4]*b.across.x) + float64(f[5]*b.across.y)
		out.Moment += float64((last - first) / 2)
		out.Twist += float64(f[4]*b.along.x) + float64(f[5]*b.along.y)
		out.Shear += f[3]
		for _, at := range stations {
			out.Stress = math.Max(out.Stress, math.Abs(m.stressAt(b, n, at, -first, last)))
		}
	}
	out.settle()
	return out
}

// ends gives the generalised forces on both ends of a ligament in a motion of its joint.
func (m *model) ends(j joint, ligaments [][6][6]float64, n int, u motion) (f [6]float64) {
	t := m.reach(j, n)
	var ends [6]float64
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
	return f
}

// stations are the places along a ligament, in diameters from its neck, at which its stress is looked at.
var stations = [...]float64{-0.4, -0.25, 0, 0.25, 0.4}

// stressAt is the bending stress at a place along a ligament, in MPa, from the moments at its ends: section moment over
// section modulus b·t²/6, where b widens from the neck as the holes do, times the notch factor.
func (m *model) stressAt(b *band, n int, at, first, last float64) float64 {
	l := &b.ligaments
	width, notch := l.Webs[n], 1.0
	if l.Holes {
		width += float64(float64(l.Beside[n]) / 2 * l.Diameter * (1 - math.Sqrt(1-float64(4*at*at))))
		notch = m.stacks.laminate.Notch.Value
	}
	moment := first + float64((last-first)*(at+0.5))
	return notch * moment / (width * float64(l.Thickness*l.Thickness) / 6)
}

// stressRows gives rows that turn a joint's relative motion into the stresses of rowLoad.
func (m *model) stressRows(j joint, ligaments [][6][6]float64) [][3]float64 {
	b := &m.bands[j.band]
	g := b.groups[j.group]
	var out [][3]float64
	for n := g.first; n <= g.last; n++ {
		var rows [len(stations)][3]float64
		for k := range 3 {
			var unit [3]float64
			unit[k] = 1
			f := m.ends(j, ligaments, n, moved(unit))
			first := float64(f[1]*b.across.x) + float64(f[2]*b.across.y)
			last := float64(f[4]*b.across.x) + float64(f[5]*b.across.y)
			for i, at := range stations {
				rows[i][k] = m.stressAt(b, n, at, -first, last)
			}
		}
		out = append(out, rows[:]...)
	}
	return out
}

// strength is the laminate's for bending across the row.
func (b *band) strength(l panel.Laminate, hot bool) float64 {
	return laminate.Strength(l, b.across.x, b.across.y, hot)
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
