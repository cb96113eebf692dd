package mechanics

import "math"

// A wedge's nine places of integration, in the program's order: those of one height one after the other.
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

// cut is where the force through a section is asked for: the wedges on one side of it that have nodes on it, and these
// nodes.
type cut struct {
	side []int32
	on   map[int32]bool
}

// beside makes a cut of nodes on a run of straight lines through points in mm: the elements lie to its left. Their edges
// must follow the lines.
func (s *solid) beside(run [][2]float64, on map[int32]bool) cut {
	c := cut{on: on}
	for e, x := range s.elements {
		touches := false
		var middle [2]float64
		for _, n := range x.nodes {
			touches = touches || on[n]
			middle[0] += s.nodes[n][0] / float64(len(x.nodes))
			middle[1] += s.nodes[n][1] / float64(len(x.nodes))
		}
		if touches && leftOf(run, middle) {
			c.side = append(c.side, int32(e))
		}
	}
	return c
}

// leftOf tells whether a place lies to the left of a run of lines: of that which is nearest.
func leftOf(run [][2]float64, at [2]float64) (left bool) {
	nearest := math.Inf(1)
	for i := 1; i < len(run); i++ {
		a, b := run[i-1], run[i]
		ux, uy, dx, dy := b[0]-a[0], b[1]-a[1], at[0]-a[0], at[1]-a[1]
		along := min(max((ux*dx+uy*dy)/(ux*ux+uy*uy), 0), 1)
		if d := math.Hypot(dx-along*ux, dy-along*uy); d < nearest {
			nearest, left = d, ux*dy-uy*dx > 0
		}
	}
	return left
}

// section is what is passed on through a cut: the force and the moment about a point, N and N·mm, of the whole thickness.
type section struct{ force, moment [3]float64 }

// through gives what the wedges on one side of a cut receive through it: the sum over the cut's nodes of what holds these
// wedges' stresses in balance, less what their own weight brings. That is what the finite elements themselves balance, so
// a cut through a statically determinate body gives the loads beyond it to the digits printed. about lies in the middle plane.
func (j *job) through(a *answer, c cut, about [2]float64) (out section) {
	for _, e := range c.side {
		w := j.elements[e]
		for i := range 9 {
			at := placesPlane[i%3]
			n, d := shape(at[0], at[1], placesHeight[i/3])
			var jacobian [3][3]float64 // rows: own coordinates
			for k, node := range w.nodes {
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
				weight = gravity * j.laminates[w.kind].density
			}
			for k, node := range w.nodes {
				if !c.on[node] {
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
				p := j.nodes[node]
				out.addBoth(f, [3]float64{p[0] - about[0], p[1] - about[1], p[2]})
			}
		}
	}
	return out
}

// addBoth adds a force in the upper half and what answers it in the lower: there forces in the plane are the other way,
// those across it the same.
func (s *section) addBoth(f, arm [3]float64) {
	s.force[2] += 2 * f[2]
	s.moment[0] += 2 * (arm[1]*f[2] - arm[2]*f[1])
	s.moment[1] += 2 * (arm[2]*f[0] - arm[0]*f[2])
}

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
