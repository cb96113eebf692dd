package main

import (
	"cmp"
	"slices"

	"panelwright/pipeline/mechanics/sparse"
)

// plate is a thin plate of squares, each node with a deflection and two slopes.
type plate struct {
	name    string
	squares [][4]int32
	unknown []int32   // of each node's three; −1: held
	x, y    []float64 // of the unknowns
	near    [][]int32 // the nodes that each one shares a square with
}

func square(name string, nx, ny int) plate {
	return newPlate(name, nx, ny, func(i, j int) bool { return true })
}

// boards are columns × rows of boards of w × h squares between two rails, parted by gaps but for tabs two squares wide.
func boards(name string, columns, rows, w, h, gap int) plate {
	const rail = 5
	nx, ny := columns*w+(columns-1)*gap, rows*h+(rows+1)*gap+2*rail
	return newPlate(name, nx, ny, func(i, j int) bool {
		if j < rail || j >= ny-rail {
			return true
		}
		j -= rail
		between, across := j%(h+gap) < gap, i%(w+gap) >= w
		switch {
		case between && across:
			return false
		case between:
			k := i % (w + gap) % (w / 2)
			return k >= w/4 && k < w/4+2
		case across:
			k := (j%(h+gap) - gap) % (h / 2)
			return k >= h/4 && k < h/4+2
		}
		return true
	})
}

// newPlate makes a plate of those of nx × ny squares that are solid, its deflection held along its lower and upper edge.
func newPlate(name string, nx, ny int, solid func(i, j int) bool) plate {
	p := plate{name: name}
	node := make(map[[2]int]int32)
	at := func(i, j int) int32 {
		n, ok := node[[2]int{i, j}]
		if !ok {
			n = int32(len(node))
			node[[2]int{i, j}] = n
			for k := range 3 {
				if k == 0 && (j == 0 || j == ny) {
					p.unknown = append(p.unknown, -1)
					continue
				}
				p.unknown = append(p.unknown, int32(len(p.x)))
				p.x, p.y = append(p.x, float64(i)), append(p.y, float64(j))
			}
			p.near = append(p.near, nil)
		}
		return n
	}
	for j := range ny {
		for i := range nx {
			if solid(i, j) {
				s := [4]int32{at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)}
				p.squares = append(p.squares, s)
				for _, a := range s {
					for _, b := range s {
						if a != b && !slices.Contains(p.near[a], b) {
							p.near[a] = append(p.near[a], b)
						}
					}
				}
			}
		}
	}
	return p
}

func (p plate) stiffness() *sparse.Matrix {
	e := element()
	b := sparse.NewBuilder(len(p.x))
	for _, s := range p.squares {
		at := make([]int32, 0, 12)
		for _, n := range s {
			at = append(at, p.unknown[3*n:3*n+3]...)
		}
		b.Add(at, e)
	}
	return b.Matrix()
}

// reversedCuthillMcKee gives each unknown's place. Source: E. Cuthill, J. McKee, Proc. 24th Nat. Conf. ACM, 1969; start at a node that is as
// far as any from another: A. George, J. W. H. Liu, ACM Trans. Math. Softw. 5, 1979.
func (p plate) reversedCuthillMcKee() []int32 {
	n := len(p.near)
	var list []int32
	var far int32
	for range 4 {
		list = append(list[:0], far)
		seen := make([]bool, n)
		seen[far] = true
		for i := 0; i < len(list); i++ {
			from := len(list)
			for _, b := range p.near[list[i]] {
				if !seen[b] {
					seen[b] = true
					list = append(list, b)
				}
			}
			slices.SortStableFunc(list[from:], func(a, b int32) int { return cmp.Compare(len(p.near[a]), len(p.near[b])) })
		}
		far = list[len(list)-1]
	}
	place := make([]int32, len(p.x))
	k := int32(0)
	for i := n - 1; i >= 0; i-- {
		for _, u := range p.unknown[3*list[i] : 3*list[i]+3] {
			if u >= 0 {
				place[u] = k
				k++
			}
		}
	}
	return place
}

// element is the stiffness of a square of side 1 with D = 1 and ν = 0.3: twelve terms of a polynomial, whose values and slopes at the corners are the
// unknowns. Source: A. Adini, R. W. Clough, 1960, and R. J. Melosh, J. Struct. Div. ASCE 89, 1963; here by quadrature.
func element() []float64 {
	powers := [12][2]int{{0, 0}, {1, 0}, {0, 1}, {2, 0}, {1, 1}, {0, 2}, {3, 0}, {2, 1}, {1, 2}, {0, 3}, {3, 1}, {1, 3}}
	// term differentiates x^i y^j.
	term := func(k, dx, dy int, x, y float64) float64 {
		v := 1.0
		for q, d, at := 0, dx, x; q < 2; q, d, at = q+1, dy, y {
			e := powers[k][q]
			for range d {
				v *= float64(e)
				e--
			}
			for range max(e, 0) {
				v *= at
			}
		}
		return v
	}
	var c [12][24]float64 // unknowns by terms, and beside it the identity: then terms by unknowns
	for n, at := range [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		for k := range 12 {
			c[3*n][k] = term(k, 0, 0, at[0], at[1])
			c[3*n+1][k] = term(k, 1, 0, at[0], at[1])
			c[3*n+2][k] = term(k, 0, 1, at[0], at[1])
		}
	}
	for i := range 12 {
		c[i][12+i] = 1
	}
	for i := range 12 {
		best := i
		for r := i; r < 12; r++ {
			if c[r][i]*c[r][i] > c[best][i]*c[best][i] {
				best = r
			}
		}
		c[i], c[best] = c[best], c[i]
		for k := 23; k >= i; k-- {
			c[i][k] /= c[i][i]
		}
		for r := range 12 {
			if h := c[r][i]; r != i {
				for k := range 24 {
					c[r][k] -= h * c[i][k]
				}
			}
		}
	}
	const nu = 0.3
	out := make([]float64, 144)
	gauss := [3]float64{0.5 - 0.3872983346207417, 0.5, 0.5 + 0.3872983346207417} // ½ √0.6
	weight := [3]float64{5. / 18, 8. / 18, 5. / 18}
	for a, x := range gauss {
		for b, y := range gauss {
			var k [3][12]float64 // curvatures of each unknown
			for u := range 12 {
				for t := range 12 {
					k[0][u] += term(t, 2, 0, x, y) * c[t][12+u]
					k[1][u] += term(t, 0, 2, x, y) * c[t][12+u]
					k[2][u] += 2 * term(t, 1, 1, x, y) * c[t][12+u]
				}
			}
			for u := range 12 {
				for v := range 12 {
					out[12*u+v] += weight[a] * weight[b] * (k[0][u]*(k[0][v]+nu*k[1][v]) + k[1][u]*(k[1][v]+nu*k[0][v]) + (1-nu)/2*k[2][u]*k[2][v])
				}
			}
		}
	}
	return out
}
