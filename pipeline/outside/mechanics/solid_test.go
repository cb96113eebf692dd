package mechanics

// solid is the upper half of a panel, from its middle plane at z = 0 upwards, cut into finite elements: wedges of fifteen
// nodes (over triangles) or bricks of twenty (over rectangles). Half is enough: where laminate and cuts are alike above
// and below, what bends the panel deflects both halves alike and stretches one as it shortens the other, so that nothing
// slides in the middle plane. Lengths are in mm.
type solid struct {
	nodes    [][3]float64
	elements []element
	levels   [][3]int32 // of wedges: of each node of the plan those in the middle plane, half way up, on top; −1: none
}

// element is one wedge or brick, its nodes in the outside program's order: the lower face's corners counter-clockwise
// from above, the upper face's, the middles of the lower face's edges, of the upper's, and of those that stand.
type element struct {
	nodes []int32
	kind  int32 // which of the laminates it is of
}

// middle tells whether a node lies in the middle plane.
func (s *solid) middle(n int) bool { return s.nodes[n][2] == 0 }

// flat is a plan cut into triangles of six nodes: corners counter-clockwise, then the middles of the edges 0–1, 1–2, 2–0.
type flat struct {
	x, y []float64
	tri  [][6]int32
	kind []int32            // of each triangle; nil: all are of the first laminate
	edge map[[2]int32]int32 // the middle of the edge between two corners, the lower number first
}

// quadratic gives the middles of edges to triangles of three nodes.
func quadratic(x, y []float64, tri [][3]int32) *flat {
	f := &flat{x: x, y: y, edge: map[[2]int32]int32{}}
	for _, t := range tri {
		six := [6]int32{t[0], t[1], t[2]}
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			edge := [2]int32{min(a, b), max(a, b)}
			m, ok := f.edge[edge]
			if !ok {
				m = int32(len(f.x))
				f.x, f.y = append(f.x, (x[a]+x[b])/2), append(f.y, (y[a]+y[b])/2)
				f.edge[edge] = m
			}
			six[3+k] = m
		}
		f.tri = append(f.tri, six)
	}
	return f
}

// rectangle is a rectangle in columns × rows fields of two triangles each, whose diagonals alternate.
func rectangle(width, height float64, columns, rows int) *flat {
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
	return quadratic(x, y, tri)
}

// raise makes wedges of triangles, from the middle plane to half the thickness, in one layer. Quadratic wedges of two
// corners' height bend as plates do and shear as they do.
func raise(f *flat, thickness float64) *solid {
	s := &solid{}
	corner := make([]bool, len(f.x))
	for _, t := range f.tri {
		corner[t[0]], corner[t[1]], corner[t[2]] = true, true, true
	}
	s.levels = make([][3]int32, len(f.x))
	for i := range f.x {
		for k := range 3 {
			if k == 1 && !corner[i] {
				s.levels[i][k] = -1
				continue
			}
			s.levels[i][k] = int32(len(s.nodes))
			s.nodes = append(s.nodes, [3]float64{f.x[i], f.y[i], thickness / 4 * float64(k)})
		}
	}
	for i, t := range f.tri {
		w := make([]int32, 15)
		for k := range 3 {
			c, m := s.levels[t[k]], s.levels[t[3+k]]
			w[k], w[3+k], w[6+k], w[9+k], w[12+k] = c[0], c[2], m[0], m[2], c[1]
		}
		e := element{nodes: w}
		if f.kind != nil {
			e.kind = f.kind[i]
		}
		s.elements = append(s.elements, e)
	}
	return s
}
