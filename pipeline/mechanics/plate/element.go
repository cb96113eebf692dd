package plate

import "math"

// shape is a triangle's corners, and what of it comes up again and again. Corner i's share of a place (its area
// coordinate) changes by bx[i] per mm along x and by by[i] along y. Side k runs from corner k to the next.
type shape struct {
	x, y   [3]float64
	area   float64
	bx, by [3]float64
	sides  [3]side
}

// side is how the rotations in the middle of a side follow from its ends. Along the side the deflection is a cubic, and
// across it the slope changes evenly. With βx = −∂w/∂x and βy = −∂w/∂y that gives, in the middle,
//
//	βx = wx (w₀ − w₁) + xx (p₀ + p₁) + xy (q₀ + q₁)
//	βy = wy (w₀ − w₁) + xy (p₀ + p₁) + yy (q₀ + q₁)
type side struct{ wx, wy, xx, xy, yy float64 }

// next is the corner at a side's other end.
var next = [3]int{1, 2, 0}

// measure fills in what follows from the corners. It tells whether the triangle has an area and runs counter-clockwise.
func (s *shape) measure() bool {
	s.area = (float64((s.x[1]-s.x[0])*(s.y[2]-s.y[0])) - float64((s.x[2]-s.x[0])*(s.y[1]-s.y[0]))) / 2
	if !(s.area > 0) || !finite(1/s.area) {
		return false
	}
	for i := range 3 {
		j, k := next[i], next[next[i]]
		s.bx[i] = (s.y[j] - s.y[k]) / (2 * s.area)
		s.by[i] = (s.x[k] - s.x[j]) / (2 * s.area)
		dx, dy := s.x[j]-s.x[i], s.y[j]-s.y[i]
		l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		dx, dy = dx/l, dy/l
		s.sides[i] = side{
			wx: 1.5 * dx / l,
			wy: 1.5 * dy / l,
			xx: float64(0.25*dx*dx) - float64(0.5*dy*dy),
			xy: 0.75 * dx * dy,
			yy: float64(0.25*dy*dy) - float64(0.5*dx*dx),
		}
	}
	return true
}

// curvatures gives the three rows by which (κx, κy, κxy) at the place with area coordinates l follow from the
// corners' unknowns: βx and βy are complete quadratics with their values in corners and middles of sides.
func (s *shape) curvatures(l [3]float64) (b [3][9]float64) {
	for i := range 3 {
		corner := float64(4*l[i]) - 1
		hx, hy := float64(corner*s.bx[i]), float64(corner*s.by[i])
		b[0][3*i+1] -= hx
		b[1][3*i+2] -= hy
		b[2][3*i+1] -= hy
		b[2][3*i+2] -= hx
		j := next[i]
		gx := 4 * (float64(l[i]*s.bx[j]) + float64(l[j]*s.bx[i]))
		gy := 4 * (float64(l[i]*s.by[j]) + float64(l[j]*s.by[i]))
		e := &s.sides[i]
		for r, v := range [3][3]float64{
			{gx * e.wx, gx * e.xx, gx * e.xy},
			{gy * e.wy, gy * e.xy, gy * e.yy},
			{float64(gy*e.wx) + float64(gx*e.wy), float64(gy*e.xx) + float64(gx*e.xy), float64(gy*e.xy) + float64(gx*e.yy)},
		} {
			b[r][3*i] += v[0]
			b[r][3*j] -= v[0]
			b[r][3*i+1] += v[1]
			b[r][3*j+1] += v[1]
			b[r][3*i+2] += v[2]
			b[r][3*j+2] += v[2]
		}
	}
	return b
}

// middles are the middles of the sides: what is sampled there with equal weight integrates quadratics exactly.
var middles = [3][3]float64{{0.5, 0.5, 0}, {0, 0.5, 0.5}, {0.5, 0, 0.5}}

// stiffness is the 9 × 9 stiffness of a triangle, row by row: the integral of Bᵀ D B, exactly, and that of shear where the
// plate yields to it.
func (s *shape) stiffness(d *Bending, shear float64) (k [81]float64) {
	bent, g := s.under(d, shear)
	if g != nil {
		g.add(&k, s.area)
	}
	s = &bent
	for _, l := range middles {
		b := s.curvatures(l)
		for c := range 9 {
			m := timesD(d, b[0][c], b[1][c], b[2][c])
			for i := range m {
				m[i] *= s.area / 3
			}
			for r := range c + 1 {
				k[9*r+c] += float64(b[0][r]*m[0]) + float64(b[1][r]*m[1]) + float64(b[2][r]*m[2])
			}
		}
	}
	for c := range 9 {
		for r := range c {
			k[9*c+r] = k[9*r+c]
		}
	}
	return k
}

func timesD(d *Bending, x, y, xy float64) (m [3]float64) {
	for i := range m {
		m[i] = float64(d[i][0]*x) + float64(d[i][1]*y) + float64(d[i][2]*xy)
	}
	return m
}
