package mechanics

import (
	"math"

	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
)

// lines tells how the webs of score lines are strained: the plate's moment across the line over the web's section modulus
// web²/6, times the notch factor, where it is greatest along the line. The moment is that in the middle of each triangle
// in the line's strip.
func (m *model) lines(r *solved) []Line {
	out := make([]Line, len(m.strips))
	for k, x := range m.strips {
		out[k] = Line{Score: x.id, Modulus: float64(x.web*x.web) / 6, Least: highest}
	}
	for _, s := range r.states {
		system, hot := r.cold, s.kind == Hot
		if hot {
			system = r.hot
		}
		for k, x := range m.strips {
			strength := laminate.Strength(m.stacks.laminate, x.along.y, -x.along.x, hot)
			out[k].Loads = append(out[k].Loads, RowLoad{Strength: strength, Reserve: highest})
		}
		moments := system.Moments(s.state)
		for i := range m.mesh.Triangles {
			for _, k := range m.strip[i] {
				x := &m.strips[k]
				moment := x.across(moments[i])
				l := &out[k].Loads[len(out[k].Loads)-1]
				if math.Abs(moment) <= math.Abs(l.Moment) {
					continue
				}
				l.Moment = moment
				l.Stress = m.stacks.laminate.Notch.Value * math.Abs(moment) / out[k].Modulus
				l.settle()
				if l.Reserve < out[k].Least {
					out[k].Least, out[k].At = l.Reserve, m.middle(m.mesh.Triangles[i])
				}
			}
		}
	}
	return out
}

// weakestWeb is the least reserve of all score lines' webs, cold; see lines.
func (m *model) weakestWeb(system *plate.System, state plate.State) float64 {
	least := highest
	if len(m.strips) == 0 {
		return least
	}
	moments := system.Moments(state)
	for i := range m.mesh.Triangles {
		for _, k := range m.strip[i] {
			x := &m.strips[k]
			l := RowLoad{Strength: laminate.Strength(m.stacks.laminate, x.along.y, -x.along.x, false)}
			l.Stress = m.stacks.laminate.Notch.Value * math.Abs(x.across(moments[i])) / (float64(x.web*x.web) / 6)
			l.settle()
			least = math.Min(least, l.Reserve)
		}
	}
	return least
}

// across is the mean moment of a triangle across the line, from those at its nodes.
func (x strip) across(nodes [3][3]float64) float64 {
	n := vector{x.along.y, -x.along.x}
	sum := 0.0
	for _, v := range nodes {
		sum += float64(v[0]*float64(n.x*n.x)) + float64(v[1]*float64(n.y*n.y)) + float64(2*v[2]*float64(n.x*n.y))
	}
	return sum / 3
}
