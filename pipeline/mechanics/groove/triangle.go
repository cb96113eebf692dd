package groove

// stiffness is that of a triangle with straight edges and six nodes, unknowns (u, w) of each: corners first, then middles
// of the edges 1–2, 2–3, 3–1. Three points inside integrate it exactly (O. C. Zienkiewicz, R. L. Taylor, The Finite
// Element Method).
func stiffness(k *[144]float64, x, z [3]float64, e elastic) {
	// Slopes of the corners' weights, times twice the area.
	gx := [3]float64{z[1] - z[2], z[2] - z[0], z[0] - z[1]}
	gz := [3]float64{x[2] - x[1], x[0] - x[2], x[1] - x[0]}
	twice := float64(gz[2]*gx[1]) - float64(gz[1]*gx[2])
	for i := range gx {
		gx[i] /= twice
		gz[i] /= twice
	}
	*k = [144]float64{}
	weight := twice / 6
	for p := range 3 {
		l := [3]float64{1.0 / 6, 1.0 / 6, 1.0 / 6}
		l[p] = 2.0 / 3
		var dx, dz [6]float64
		for i := range 3 {
			f := float64(4*l[i]) - 1
			dx[i], dz[i] = f*gx[i], f*gz[i]
			n := (i + 1) % 3
			dx[i+3] = 4 * (float64(l[i]*gx[n]) + float64(l[n]*gx[i]))
			dz[i+3] = 4 * (float64(l[i]*gz[n]) + float64(l[n]*gz[i]))
		}
		for a := range 6 {
			// Stress for u and w of node a, times the weight.
			xu, zu, tu := float64(weight*e.xx*dx[a]), float64(weight*e.xz*dx[a]), float64(weight*e.shear*dz[a])
			xw, zw, tw := float64(weight*e.xz*dz[a]), float64(weight*e.zz*dz[a]), float64(weight*e.shear*dx[a])
			for b := range 6 {
				k[24*a+2*b] += float64(xu*dx[b]) + float64(tu*dz[b])
				k[24*a+2*b+1] += float64(zu*dz[b]) + float64(tu*dx[b])
				k[24*a+12+2*b] += float64(xw*dx[b]) + float64(tw*dz[b])
				k[24*a+13+2*b] += float64(zw*dz[b]) + float64(tw*dx[b])
			}
		}
	}
}
