package verify

import (
	"context"

	"panelwright/pipeline/mechanics/plate"
)

// lattice is a rectangle from (0, 0) to (a, b) in nx × ny fields of two triangles each, with diagonals that alternate.
type lattice struct {
	plate.Model
	nx, ny int
}

// grid makes a lattice. Nodes within are moved by up to half the share jolt of a field, each its own way.
func grid(a, b float64, nx, ny int, d plate.Bending, jolt float64) *lattice {
	g := &lattice{nx: nx, ny: ny}
	random := uint64(1)
	move := func() float64 { // between −½ and ½; Knuth's MMIX generator
		random = random*6364136223846793005 + 1442695040888963407
		return float64(float64(random>>40)/(1<<24)) - 0.5
	}
	for i := range nx + 1 {
		for j := range ny + 1 {
			x, y := float64(i), float64(j)
			if jolt > 0 && i > 0 && j > 0 && i < nx && j < ny {
				x, y = x+float64(jolt*move()), y+float64(jolt*move())
			}
			g.X, g.Y = append(g.X, a*x/float64(nx)), append(g.Y, b*y/float64(ny))
		}
	}
	for i := range nx {
		for j := range ny {
			p, q, r, s := g.node(i, j), g.node(i+1, j), g.node(i+1, j+1), g.node(i, j+1)
			two := [2][3]int32{{p, q, r}, {p, r, s}}
			if (i+j)%2 == 1 {
				two = [2][3]int32{{p, q, s}, {q, r, s}}
			}
			for _, t := range two {
				g.Triangles = append(g.Triangles, plate.Triangle{Nodes: t, D: d, Mass: mass})
			}
		}
	}
	return g
}

func (g *lattice) node(i, j int) int32 { return int32(i*(g.ny+1) + j) }

// bent solves the lattice under moments Mx, My, Mxy that are the same all along its border, carried at three corners. On a
// border with the outward normal n they work on −∂w/∂n by Mn and on −∂w/∂s by Mns.
func (g *lattice) bent(ctx context.Context, m [3]float64) (plate.State, [][3][3]float64, error) {
	for _, n := range []int32{g.node(0, 0), g.node(g.nx, 0), g.node(0, g.ny)} {
		g.Held = append(g.Held, plate.Held{Node: n, Deflection: true})
	}
	s, err := plate.New(ctx, &g.Model, 1)
	if err != nil {
		return plate.State{}, nil, err
	}
	rhs := make([]float64, 3*len(g.X))
	alongX := func(j int, n float64) { // a border with the normal (0, n)
		for i := range g.nx {
			p, q := g.node(i, j), g.node(i+1, j)
			l := g.X[q] - g.X[p]
			for _, k := range []int32{p, q} {
				rhs[3*k+2] -= float64(n * m[1] * l / 2)
			}
			rhs[3*q] -= n * m[2]
			rhs[3*p] += n * m[2]
		}
	}
	alongY := func(i int, n float64) {
		for j := range g.ny {
			p, q := g.node(i, j), g.node(i, j+1)
			l := g.Y[q] - g.Y[p]
			for _, k := range []int32{p, q} {
				rhs[3*k+1] -= float64(n * m[0] * l / 2)
			}
			rhs[3*q] -= n * m[2]
			rhs[3*p] += n * m[2]
		}
	}
	alongX(0, -1)
	alongX(g.ny, 1)
	alongY(0, -1)
	alongY(g.nx, 1)
	x := s.Solve(rhs)[0]
	return x, s.Moments(x), nil
}
