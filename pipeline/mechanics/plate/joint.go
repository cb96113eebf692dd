package plate

import (
	"math"

	"panelwright/pipeline/mechanics/sparse"
)

// means gives the nodes that a joint's ends lie on, each once, and how the six means follow from their unknowns.
func (j *Joint) means() (nodes []int32, rows [6][]float64) {
	at := map[int32]int{}
	for _, side := range [2][]Share{j.A, j.B} {
		for _, s := range side {
			if _, ok := at[s.Node]; !ok {
				at[s.Node] = len(nodes)
				nodes = append(nodes, s.Node)
			}
		}
	}
	for r := range rows {
		rows[r] = make([]float64, 3*len(nodes))
	}
	for e, side := range [2][]Share{j.A, j.B} {
		for _, s := range side {
			for u := range 3 {
				rows[3*e+u][3*at[s.Node]+u] += s.Weight
			}
		}
	}
	return nodes, rows
}

// spread gives Tᵀ S T row by row: the stiffness S between means as stiffness between the nodes they are taken of.
func spread(t [6][]float64, s *[6][6]float64) []float64 {
	n := len(t[0])
	out := make([]float64, n*n)
	for c := range n {
		var v [6]float64
		for i := range v {
			for j := range v {
				v[i] += float64((s[i][j] + s[j][i]) / 2 * t[j][c])
			}
		}
		for r := range c + 1 {
			sum := 0.0
			for i := range v {
				sum += float64(t[i][r] * v[i])
			}
			out[r*n+c], out[c*n+r] = sum, sum
		}
	}
	return out
}

// JointForces gives the generalised forces on a joint's ends: Stiffness times the ends' means.
func (s *System) JointForces(j int, x State) (f [6]float64) {
	joint := &s.m.Joints[j]
	var u [6]float64
	for e, side := range [2][]Share{joint.A, joint.B} {
		for _, h := range side {
			u[3*e] += float64(h.Weight * x.W[h.Node])
			u[3*e+1] += float64(h.Weight * x.P[h.Node])
			u[3*e+2] += float64(h.Weight * x.Q[h.Node])
		}
	}
	for r := range f {
		for c := range u {
			f[r] += float64(joint.Stiffness[r][c] * u[c])
		}
	}
	return f
}

// Release gives the relative motions that a joint resists, as columns c over the nodes' unknowns such that its share of
// the stiffness is Σ c cᵀ: three for a beam. So for the columns C of joints that are left out, with K still holding them,
//
//	(K − C Cᵀ)⁻¹ = K⁻¹ + K⁻¹ C (1 − G)⁻¹ Cᵀ K⁻¹, where G = Cᵀ K⁻¹ C is what Gram gives,
//
// and G has an eigenvalue of 1 where without them something comes loose.
func (s *System) Release(j int) []sparse.Column {
	joint := &s.m.Joints[j]
	nodes, rows := joint.means()
	var out []sparse.Column
	for _, v := range roots(joint.Stiffness) {
		var c sparse.Column
		for i, n := range nodes {
			for u := range 3 {
				sum := 0.0
				for r := range v {
					sum += float64(v[r] * rows[r][3*i+u])
				}
				if sum != 0 {
					c.At = append(c.At, 3*n+int32(u))
					c.Val = append(c.Val, sum)
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// roots takes a stiffness apart as Σ v vᵀ, largest pivot first, until nothing but rounding is left. Deflections and slopes
// have different units, so that pivots are compared with where they began.
func roots(s [6][6]float64) [][6]float64 {
	var begun [6]float64
	for i := range s {
		begun[i] = s[i][i]
	}
	var out [][6]float64
	for range s {
		p, best := -1, 1e-11
		for i := range s {
			if begun[i] > 0 && s[i][i]/begun[i] > best {
				p, best = i, s[i][i]/begun[i]
			}
		}
		if p < 0 {
			break
		}
		var v [6]float64
		for i := range v {
			v[i] = s[i][p] / math.Sqrt(s[p][p])
		}
		for i := range s {
			for k := range s {
				s[i][k] -= float64(v[i] * v[k])
			}
			s[i][p], s[p][i] = 0, 0
		}
		out = append(out, v)
	}
	return out
}
