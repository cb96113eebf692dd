package mechanics

// wedge's nine places of integration, in the program's order: those of one height one after the other.
var (
	placesHeight = [3]float64{-0.774596669241483, 0, 0.774596669241483}
	weightHeight = [3]float64{5.0 / 9, 8.0 / 9, 5.0 / 9}
	placesPlane  = [3][2]float64{{1.0 / 6, 1.0 / 6}, {2.0 / 3, 1.0 / 6}, {1.0 / 6, 2.0 / 3}}
)

// shape gives the functions of a wedge's nodes and their slopes along its own three coordinates: g, h along two edges
// from 0 to 1, r from the bottom −1 to the top 1.
func shape(g, h, r float64) (n [15]float64, d [15][3]float64) {
	a := 1 - g - h
	l := [3]float64{a, g, h}
	slope := [3][2]float64{{-1, -1}, {1, 0}, {0, 1}}
	for k := range 3 {
		m := (k + 1) % 3
		n[k] = l[k] * (1 - r) * (2*l[k] - 2 - r) / 2
		n[3+k] = l[k] * (1 + r) * (2*l[k] - 2 + r) / 2
		n[6+k] = 2 * l[k] * l[m] * (1 - r)
		n[9+k] = 2 * l[k] * l[m] * (1 + r)
		n[12+k] = l[k] * (1 - r*r)
		for x := range 2 {
			d[k][x] = slope[k][x] * (1 - r) * (4*l[k] - 2 - r) / 2
			d[3+k][x] = slope[k][x] * (1 + r) * (4*l[k] - 2 + r) / 2
			both := slope[k][x]*l[m] + slope[m][x]*l[k]
			d[6+k][x] = 2 * both * (1 - r)
			d[9+k][x] = 2 * both * (1 + r)
			d[12+k][x] = slope[k][x] * (1 - r*r)
		}
		d[k][2] = l[k] * (1 + 2*r - 2*l[k]) / 2
		d[3+k][2] = l[k] * (2*l[k] - 1 + 2*r) / 2
		d[6+k][2] = -2 * l[k] * l[m]
		d[9+k][2] = 2 * l[k] * l[m]
		d[12+k][2] = -2 * r * l[k]
	}
	return n, d
}

// section is what is passed on through a cut: the force and the moment about a point, N and N·mm.
type section struct{ force, moment [3]float64 }

// through gives what the wedges on one side of a cut receive through it: the sum over the cut's nodes of what holds these
// wedges' stresses in balance, less what their own weight brings. That is what the finite elements themselves balance, so
// a cut through a statically determinate body gives the loads beyond it to the digits printed.
func (j *job) through(a *answer, about [3]float64) (out section) {
	for _, e := range j.stresses {
		w := j.wedges[e]
		for i := range 9 {
			at := placesPlane[i%3]
			n, d := shape(at[0], at[1], placesHeight[i/3])
			var jacobian [3][3]float64 // rows: own coordinates
			for k, node := range w {
				for r := range 3 {
					for c := range 3 {
						jacobian[r][c] += d[k][r] * j.nodes[node][c]
					}
				}
			}
			inverse, volume := invert(jacobian)
			volume *= weightHeight[i/3] / 6
			s := a.stress[e][i]
			tensor := [3][3]float64{{s[0], s[3], s[4]}, {s[3], s[1], s[5]}, {s[4], s[5], s[2]}}
			weight := 0.0
			if !j.weightless {
				weight = gravity * j.laminates[j.kindOf(int(e)/j.layers)].density
			}
			for k, node := range w {
				if !j.cut[node] {
					continue
				}
				var grad, f [3]float64
				for c := range 3 {
					grad[c] = inverse[c][0]*d[k][0] + inverse[c][1]*d[k][1] + inverse[c][2]*d[k][2]
				}
				for r := range 3 {
					f[r] = volume * (tensor[r][0]*grad[0] + tensor[r][1]*grad[1] + tensor[r][2]*grad[2])
				}
				f[2] += volume * n[k] * weight
				out.add(f, minus(j.nodes[node], about))
			}
		}
	}
	return out
}

func (s *section) add(f, arm [3]float64) {
	for k := range 3 {
		l, m := (k+1)%3, (k+2)%3
		s.force[k] += f[k]
		s.moment[k] += arm[l]*f[m] - arm[m]*f[l]
	}
}

func minus(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// invert gives a matrix's inverse and determinant.
func invert(m [3][3]float64) (out [3][3]float64, determinant float64) {
	minor := func(r, c int) float64 {
		r1, r2, c1, c2 := (r+1)%3, (r+2)%3, (c+1)%3, (c+2)%3
		return m[r1][c1]*m[r2][c2] - m[r1][c2]*m[r2][c1]
	}
	determinant = m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	for r := range 3 {
		for c := range 3 {
			out[c][r] = minor(r, c) / determinant
		}
	}
	return out, determinant
}
