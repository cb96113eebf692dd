package sparse

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// model is a matrix and the places of its unknowns.
type model struct {
	*Matrix
	x, y []float64
}

// plateLike is a matrix like that of thin-plate elements over nx × ny squares cut in two: three unknowns a node, the first one of
// quite another size.
func plateLike(nx, ny int) model {
	rnd := rand.New(rand.NewPCG(1, 2))
	n := (nx + 1) * (ny + 1)
	b := NewBuilder(3 * n)
	m := model{x: make([]float64, 3*n), y: make([]float64, 3*n)}
	for i := range 3 * n {
		m.x[i], m.y[i] = float64(i/3%(nx+1)), float64(i/3/(nx+1))
	}
	var blocks [][]float64
	for range 20 {
		blocks = append(blocks, positive(rnd, 9))
	}
	for j := range ny {
		for i := range nx {
			a := int32(j*(nx+1) + i)
			c := []int32{a, a + 1, a + int32(nx) + 2, a + int32(nx) + 1}
			for k, t := range [][3]int32{{c[0], c[1], c[2]}, {c[0], c[2], c[3]}} {
				var at []int32
				for _, v := range t {
					at = append(at, 3*v, 3*v+1, 3*v+2)
				}
				b.Add(at, blocks[(2*i+7*j+k)%len(blocks)])
			}
		}
	}
	m.Matrix = b.Matrix()
	return m
}

// positive is a random positive definite block.
func positive(rnd *rand.Rand, n int) []float64 {
	g := make([]float64, n*n)
	for i := range g {
		g[i] = rnd.Float64() - 0.5
		if i/n%3 == 0 {
			g[i] *= 30
		}
	}
	out := make([]float64, n*n)
	for i := range n {
		for j := range n {
			for k := range n {
				out[i*n+j] += float64(g[i*n+k] * g[j*n+k])
			}
		}
		out[i*n+i] += 1e-2
	}
	return out
}

// laplacian is that of copies of a grid of nx × ny nodes with four neighbours, whose border is held.
func laplacian(nx, ny, copies int) model {
	b := NewBuilder(nx * ny * copies)
	var m model
	for c := range copies {
		for j := range ny {
			for i := range nx {
				a := int32((c*ny+j)*nx + i)
				m.x, m.y = append(m.x, float64(i+c*(nx+3))), append(m.y, float64(j))
				b.Add([]int32{a}, []float64{4})
				if i+1 < nx {
					b.Add([]int32{a, a + 1}, []float64{0, -1, -1, 0})
				}
				if j+1 < ny {
					b.Add([]int32{a, a + int32(nx)}, []float64{0, -1, -1, 0})
				}
			}
		}
	}
	m.Matrix = b.Matrix()
	return m
}

// coupled is a random positive definite matrix with blocks at the given unknowns; what is in none has a diagonal.
func coupled(n int, blocks [][]int32, x, y []float64) model {
	rnd := rand.New(rand.NewPCG(3, uint64(n)))
	b := NewBuilder(n)
	for i := range n {
		b.Add([]int32{int32(i)}, []float64{0.1})
	}
	for _, at := range blocks {
		b.Add(at, positive(rnd, len(at)))
	}
	return model{b.Matrix(), x, y}
}

// models are of many shapes.
func models() map[string]model {
	rnd := rand.New(rand.NewPCG(5, 6))
	span := func(from, to int) (out []int32) {
		for i := from; i < to; i++ {
			out = append(out, int32(i))
		}
		return out
	}
	row := func(n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = float64(i)
		}
		return out
	}
	nan := func(n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	pairs := func(n, count int, other func(i int) int) (out [][]int32) {
		for k := range count {
			if i := k % n; other(i) != i && other(i) < n {
				out = append(out, []int32{int32(i), int32(other(i))})
			}
		}
		return out
	}
	chance := func(n int) func(int) int { return func(int) int { return rnd.IntN(n) } }
	out := map[string]model{
		"nothing":                {Matrix: NewBuilder(0).Matrix()},
		"one":                    coupled(1, nil, nil, nil),
		"diagonal":               coupled(300, nil, nil, nil),
		"path":                   coupled(400, pairs(400, 400, func(i int) int { return i + 1 }), row(400), row(400)),
		"path without places":    coupled(400, pairs(400, 400, func(i int) int { return i + 1 }), nil, nil),
		"star":                   coupled(500, pairs(500, 500, func(int) int { return 250 }), row(500), row(500)),
		"complete":               coupled(150, [][]int32{span(0, 150)}, row(150), row(150)),
		"complete, no places":    coupled(150, [][]int32{span(0, 150)}, nil, nil),
		"two complete":           coupled(300, [][]int32{span(0, 150), span(150, 300)}, row(300), row(300)),
		"places say nothing":     coupled(300, pairs(300, 700, chance(300)), make([]float64, 300), make([]float64, 300)),
		"places are no numbers":  coupled(300, pairs(300, 400, chance(300)), nan(300), nan(300)),
		"random":                 coupled(400, pairs(400, 1000, chance(400)), row(400), nan(400)),
		"random, thin":           coupled(600, pairs(600, 500, chance(600)), nil, nil),
		"wheel":                  coupled(301, append(pairs(300, 300, func(i int) int { return (i + 1) % 300 }), pairs(300, 300, func(int) int { return 300 })...), nil, nil),
		"plate":                  plateLike(13, 17),
		"grids far apart":        laplacian(11, 9, 4),
		"grid with far joints":   farJoints(),
		"plate with held nodes":  someHeld(),
		"two dense rows, a grid": denseRows(),
	}
	return out
}

// farJoints is a grid with blocks of nodes from opposite ends, as means over stretches of border couple them.
func farJoints() model {
	m := laplacian(20, 20, 1)
	b := NewBuilder(m.N)
	add(b, m.Matrix)
	rnd := rand.New(rand.NewPCG(8, 8))
	for range 6 {
		var at []int32
		for i := range 4 {
			at = append(at, int32(rnd.IntN(100)*4+i), int32(399-rnd.IntN(90)*4-i))
		}
		b.Add(at, positive(rnd, len(at)))
	}
	return model{b.Matrix(), m.x, m.y}
}

func someHeld() model {
	full := plateLike(9, 9)
	var m model
	number := make([]int32, full.N)
	n := int32(0)
	for i := range number {
		number[i] = -1
		if i%7 != 0 {
			number[i] = n
			n++
			m.x, m.y = append(m.x, full.x[i]), append(m.y, full.y[i])
		}
	}
	b := NewBuilder(int(n))
	for c := range full.N {
		for k := full.Ptr[c]; k < full.Ptr[c+1]; k++ {
			addOne(b, number[full.Row[k]], number[c], full.Val[k])
		}
	}
	m.Matrix = b.Matrix()
	return m
}

func denseRows() model {
	m := laplacian(30, 30, 1)
	b := NewBuilder(m.N + 2)
	add(b, m.Matrix)
	for r := range int32(2) {
		b.Add([]int32{900 + r}, []float64{1000})
		for i := range int32(900) {
			b.Add([]int32{900 + r, i}, []float64{0, 0.01, 0.01, 0})
		}
	}
	return model{b.Matrix(), append(m.x, 0, 1), append(m.y, 0, 0)}
}

func add(b *Builder, m *Matrix) {
	for c := range m.N {
		for k := m.Ptr[c]; k < m.Ptr[c+1]; k++ {
			addOne(b, m.Row[k], int32(c), m.Val[k])
		}
	}
}

func addOne(b *Builder, r, c int32, v float64) {
	if r == c {
		b.Add([]int32{r}, []float64{v})
	} else {
		b.Add([]int32{r, c}, []float64{0, v, v, 0})
	}
}

func identity(n int) *Matrix {
	b := NewBuilder(n)
	for i := range n {
		b.Add([]int32{int32(i)}, []float64{1})
	}
	return b.Matrix()
}

// dense writes out a matrix.
func (m model) dense() [][]float64 {
	out := make([][]float64, m.N)
	for i := range out {
		out[i] = make([]float64, m.N)
	}
	for c := range m.N {
		for k := m.Ptr[c]; k < m.Ptr[c+1]; k++ {
			out[m.Row[k]][c], out[c][m.Row[k]] = m.Val[k], m.Val[k]
		}
	}
	return out
}

// solveDense solves by a dense Cholesky factorization, as every textbook has it.
func solveDense(a [][]float64, b []float64) []float64 {
	n := len(b)
	for j := range n {
		for k := range j {
			a[j][j] -= a[j][k] * a[j][k]
		}
		a[j][j] = math.Sqrt(a[j][j])
		for i := j + 1; i < n; i++ {
			for k := range j {
				a[i][j] -= a[i][k] * a[j][k]
			}
			a[i][j] /= a[j][j]
		}
	}
	x := make([]float64, n)
	for i := range n {
		x[i] = b[i]
		for k := range i {
			x[i] -= a[i][k] * x[k]
		}
		x[i] /= a[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= a[k][i] * x[k]
		}
		x[i] /= a[i][i]
	}
	return x
}

func (m model) plan() *Plan { return NewPlan(m.Matrix, Order(m.Matrix, m.x, m.y)) }

func (m model) factor(t testing.TB) *Factor {
	f, err := m.plan().Factor(t.Context(), m.Matrix, 1)
	require.NoError(t, err)
	return f
}

// numbers are some right sides.
func numbers(n int) []float64 {
	rnd := rand.New(rand.NewPCG(7, uint64(n)))
	out := make([]float64, n)
	for i := range out {
		out[i] = rnd.Float64() - 0.5
	}
	return out
}
