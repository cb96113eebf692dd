package plate

// Reactions gives the forces and moments by which held unknowns are kept at rest against right side b: stiffness times state less
// b there, 0 elsewhere; three a node, N and N·mm, positive along the unknown. A plate that lies on something is pushed
// upwards by it: its reaction on the deflection is negative.
func (s *System) Reactions(x State, b []float64) []float64 {
	out := make([]float64, 3*len(s.m.X))
	held := func(n int32) bool {
		return s.place[3*n] < 0 || s.place[3*n+1] < 0 || s.place[3*n+2] < 0
	}
	for i := range s.m.Triangles {
		t := &s.m.Triangles[i]
		if !held(t.Nodes[0]) && !held(t.Nodes[1]) && !held(t.Nodes[2]) {
			continue
		}
		k := s.shapes[i].stiffness(&t.D, t.Shear)
		v := s.values(int32(i), x)
		for r := range 9 {
			sum := 0.0
			for c := range 9 {
				sum += float64(k[9*r+c] * v[c])
			}
			out[3*t.Nodes[r/3]+int32(r%3)] += sum
		}
	}
	for j := range s.m.Joints {
		f := s.JointForces(j, x)
		for e, side := range [2][]Share{s.m.Joints[j].A, s.m.Joints[j].B} {
			for _, h := range side {
				for u := range 3 {
					out[3*h.Node+int32(u)] += float64(h.Weight * f[3*e+u])
				}
			}
		}
	}
	for u := range out {
		if s.place[u] < 0 {
			out[u] -= b[u]
		} else {
			out[u] = 0
		}
	}
	return out
}
