package mechanics

// flat is a plate's plan cut into triangles of six nodes: corners counter-clockwise, then the middles of the edges 0–1, 1–2,
// 2–0. Lengths are in mm.
type flat struct {
	x, y  []float64
	tri   [][6]int32
	kind  []int32   // of each triangle: which of the laminates it is of; nil: all of the first
	thick []float64 // of each node
}

// add adds a node.
func (f *flat) add(x, y, thick float64) int32 {
	f.x, f.y, f.thick = append(f.x, x), append(f.y, y), append(f.thick, thick)
	return int32(len(f.x) - 1)
}

// corner tells for each node whether it is a corner of a triangle.
func (f *flat) corner() []bool {
	out := make([]bool, len(f.x))
	for _, t := range f.tri {
		out[t[0]], out[t[1]], out[t[2]] = true, true, true
	}
	return out
}

// quadratic gives the middles of edges to triangles of three nodes. thick tells the thickness at a place.
func quadratic(x, y []float64, tri [][3]int32, thick func(x, y float64) float64) *flat {
	f := &flat{}
	for i := range x {
		f.add(x[i], y[i], thick(x[i], y[i]))
	}
	middles := map[[2]int32]int32{}
	for _, t := range tri {
		six := [6]int32{t[0], t[1], t[2]}
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			edge := [2]int32{min(a, b), max(a, b)}
			m, ok := middles[edge]
			if !ok {
				mx, my := (x[a]+x[b])/2, (y[a]+y[b])/2
				m = f.add(mx, my, thick(mx, my))
				middles[edge] = m
			}
			six[3+k] = m
		}
		f.tri = append(f.tri, six)
	}
	return f
}

// rectangle is a rectangle in columns × rows fields of two triangles each, whose diagonals alternate.
func rectangle(width, height float64, columns, rows int, thick float64) *flat {
	var x, y []float64
	var tri [][3]int32
	for j := range rows + 1 {
		for i := range columns + 1 {
			x, y = append(x, width*float64(i)/float64(columns)), append(y, height*float64(j)/float64(rows))
		}
	}
	at := func(i, j int) int32 { return int32(j*(columns+1) + i) }
	for j := range rows {
		for i := range columns {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if (i+j)%2 == 0 {
				tri = append(tri, [3]int32{a, b, c}, [3]int32{a, c, d})
			} else {
				tri = append(tri, [3]int32{a, b, d}, [3]int32{b, c, d})
			}
		}
	}
	return quadratic(x, y, tri, func(_, _ float64) float64 { return thick })
}

// laminate is a homogeneous orthotropic material, axes along x, y and z: MPa and tonnes per mm³.
type laminate struct {
	ex, ey, ez    float64
	xy, xz, yz    float64 // contraction along the second where the first is pulled
	gxy, gxz, gyz float64
	density       float64
}

// Across the plane the constants are those of trade-facts [44]; a plate in bending hardly feels them.
const (
	elasticAcross = 8000 // MPa
	poissonAcross = 0.30
	shearAcross   = 3500 // MPa
)

// solid is a flat with its thickness: wedges of fifteen nodes, in layers.
type solid struct {
	*flat
	layers int
	nodes  [][3]float64
	wedges [][15]int32 // layer by layer within each triangle
	level  [][]int32   // of each node of the plan: its nodes from the bottom up, 2·layers+1; −1 where there is none
}

// raise makes wedges of triangles.
func raise(f *flat, layers int) *solid {
	s := &solid{flat: f, layers: layers}
	corner := f.corner()
	for i := range f.x {
		level := make([]int32, 2*layers+1)
		for k := range level {
			level[k] = -1
			if corner[i] || k%2 == 0 {
				level[k] = int32(len(s.nodes))
				s.nodes = append(s.nodes, [3]float64{f.x[i], f.y[i], f.thick[i] * (float64(k)/float64(2*layers) - 0.5)})
			}
		}
		s.level = append(s.level, level)
	}
	for _, t := range f.tri {
		for l := range layers {
			var w [15]int32
			for k := range 3 {
				c, m := s.level[t[k]], s.level[t[3+k]]
				w[k], w[3+k] = c[2*l], c[2*l+2]
				w[6+k], w[9+k] = m[2*l], m[2*l+2]
				w[12+k] = c[2*l+1]
			}
			s.wedges = append(s.wedges, w)
		}
	}
	return s
}

// middle is a node's deflection read at half the thickness: of corners its node there; of others, which have
// none, the lowest.
func (s *solid) middle(i int32) int32 {
	if m := s.level[i][s.layers]; m >= 0 {
		return m
	}
	return s.level[i][0]
}
