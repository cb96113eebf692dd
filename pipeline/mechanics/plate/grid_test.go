package plate_test

import (
	"panelwright/pipeline/mechanics/plate"
)

// grid cuts a rectangle from (0, 0) to (a, b) into nx × ny fields of two triangles, with diagonals that alternate. Node (i, j)
// is number i·(ny+1) + j. move, where given, shifts nodes within.
func grid(a, b float64, nx, ny int, d plate.Bending, mass float64, move func(i, j int) (dx, dy float64)) *plate.Model {
	m := &plate.Model{}
	for i := range nx + 1 {
		for j := range ny + 1 {
			x, y := a*float64(i)/float64(nx), b*float64(j)/float64(ny)
			if move != nil && i > 0 && j > 0 && i < nx && j < ny {
				dx, dy := move(i, j)
				x, y = x+dx, y+dy
			}
			m.X, m.Y = append(m.X, x), append(m.Y, y)
		}
	}
	for i := range nx {
		for j := range ny {
			n := func(di, dj int) int32 { return int32((i+di)*(ny+1) + j + dj) }
			t := [2][3]int32{{n(0, 0), n(1, 0), n(1, 1)}, {n(0, 0), n(1, 1), n(0, 1)}}
			if (i+j)%2 == 1 {
				t = [2][3]int32{{n(0, 0), n(1, 0), n(0, 1)}, {n(1, 0), n(1, 1), n(0, 1)}}
			}
			for _, nodes := range t {
				m.Triangles = append(m.Triangles, plate.Triangle{Nodes: nodes, D: d, Mass: mass})
			}
		}
	}
	return m
}
