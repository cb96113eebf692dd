package plate

import "math"

// Boards are stiff along their faces and soft in shear between them, and tabs are hardly longer than they are thick: there
// a plate gives way to shear forces too. I. Katili's extension of the discrete Kirchhoff triangle ("A new discrete
// Kirchhoff–Mindlin element based on Mindlin–Reissner plate theory and assumed shear strain fields. Part I: an extended
// DKT element for thick-plate bending analysis", Int. J. Numer. Meth. Engng 36, 1993) has the same unknowns, of which the
// slopes are then −1 times the rotations of the plate's normals, and becomes the thin plate's where nothing yields in
// shear: φ → 0 below.

// sheared is how shear follows from the corners' unknowns.
type sheared struct {
	stiff   float64          // N/mm
	corners [3][2][9]float64 // (γx, γy) in each corner; even in between
}

// under gives the triangle as it bends with stiffness d and sheared by stiff N/mm (0: not at all). Along a side of length l
// the turning in its middle beyond that of its ends is 1/(1 + φ) of the thin plate's, φ = 12 D / (stiff l²) with D along the side;
// the shear along it is what that leaves. Katili's plate is alike in all directions; that D along the side stands for a
// woven one is our own choice.
func (s *shape) under(d *Bending, stiff float64) (shape, *sheared) {
	out := *s
	if stiff <= 0 {
		return out, nil
	}
	var along [3][9]float64 // shear along each side
	var way [3][2]float64
	for i := range 3 {
		j := next[i]
		dx, dy := s.x[j]-s.x[i], s.y[j]-s.y[i]
		l := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		dx, dy = dx/l, dy/l
		way[i] = [2]float64{dx, dy}
		v := [3]float64{dx * dx, dy * dy, 2 * dx * dy}
		m := timesD(d, v[0], v[1], v[2])
		phi := 12 * (float64(v[0]*m[0]) + float64(v[1]*m[1]) + float64(v[2]*m[2])) / (stiff * float64(l*l))
		c := 1 / (1 + phi)
		out.sides[i] = side{
			wx: 1.5 * c * dx / l,
			wy: 1.5 * c * dy / l,
			xx: float64(0.75*c*float64(dx*dx)) - 0.5,
			xy: 0.75 * c * dx * dy,
			yy: float64(0.75*c*float64(dy*dy)) - 0.5,
		}
		f := phi * c
		along[i][3*i], along[i][3*j] = -f/l, f/l
		along[i][3*i+1], along[i][3*j+1] = -f*dx/2, -f*dx/2
		along[i][3*i+2], along[i][3*j+2] = -f*dy/2, -f*dy/2
	}
	g := &sheared{stiff: stiff}
	for i := range 3 { // a corner's shear is that whose parts along its two sides are theirs
		a, b := i, (i+2)%3
		det := float64(way[a][0]*way[b][1]) - float64(way[a][1]*way[b][0])
		for u := range 9 {
			g.corners[i][0][u] = (float64(along[a][u]*way[b][1]) - float64(along[b][u]*way[a][1])) / det
			g.corners[i][1][u] = (float64(way[a][0]*along[b][u]) - float64(way[b][0]*along[a][u])) / det
		}
	}
	return out, g
}

// add adds the stiffness against shear to the upper half of a triangle's 9 × 9 stiffness.
func (g *sheared) add(k *[81]float64, area float64) {
	for _, l := range middles {
		for e := range 2 {
			var v [9]float64
			for i := range 3 {
				for u := range 9 {
					v[u] += float64(l[i] * g.corners[i][e][u])
				}
			}
			for r := range 9 {
				for c := r; c < 9; c++ {
					k[9*r+c] += float64(float64(v[r]*v[c]) * (g.stiff * area / 3))
				}
			}
		}
	}
}
