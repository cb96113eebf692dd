package sparse

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// plateLike is a matrix like that of thin-plate elements over nx × ny squares cut in two: three unknowns a node, the second and
// third of quite another size.
func plateLike(nx, ny int) (*Matrix, []float64, []float64) {
	rnd := rand.New(rand.NewPCG(1, 2))
	n := (nx + 1) * (ny + 1)
	b := NewBuilder(3 * n)
	x, y := make([]float64, 3*n), make([]float64, 3*n)
	for i := range n {
		for j := range 3 {
			x[3*i+j], y[3*i+j] = float64(i%(nx+1)), float64(i/(nx+1))
		}
	}
	for j := range ny {
		for i := range nx {
			a := int32(j*(nx+1) + i)
			c := []int32{a, a + 1, a + int32(nx) + 2, a + int32(nx) + 1}
			for _, t := range [][3]int32{{c[0], c[1], c[2]}, {c[0], c[2], c[3]}} {
				var at []int32
				for _, v := range t {
					at = append(at, 3*v, 3*v+1, 3*v+2)
				}
				b.Add(at, positive(rnd, 9))
			}
		}
	}
	return b.Matrix(), x, y
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
				out[i*n+j] += g[i*n+k] * g[j*n+k]
			}
		}
		out[i*n+i] += 1e-3
	}
	return out
}

func TestSolves(t *testing.T) {
	m, x, y := plateLike(40, 30)
	p := NewPlan(m, Order(m, x, y))
	f, err := p.Factor(context.Background(), m, 1)
	require.NoError(t, err)
	b := make([]float64, m.N)
	for i := range b {
		b[i] = math.Sqrt(float64(i))
	}
	s := append([]float64(nil), b...)
	f.Solve(s)
	r := make([]float64, m.N)
	m.Multiply(r, s)
	for i := range r {
		require.InDelta(t, b[i], r[i], 1e-6)
	}
	f2, err := p.Factor(context.Background(), m, 3)
	require.NoError(t, err)
	require.Equal(t, f.l, f2.l)
	fmt.Println(p.Entries(), p.Products())
}

func BenchmarkParts(b *testing.B) {
	m, x, y := plateLike(100, 99)
	var order []int32
	b.Run("order", func(b *testing.B) {
		for b.Loop() {
			order = Order(m, x, y)
		}
	})
	var p *Plan
	b.Run("plan", func(b *testing.B) {
		for b.Loop() {
			p = NewPlan(m, order)
		}
		b.ReportMetric(float64(p.Entries()), "entries")
		b.ReportMetric(p.Products(), "products")
		b.ReportMetric(float64(len(p.fronts)), "fronts")
	})
	var f *Factor
	b.Run("factor", func(b *testing.B) {
		for b.Loop() {
			f, _ = p.Factor(context.Background(), m, 1)
		}
		b.ReportMetric(p.Products()/float64(b.Elapsed().Seconds()/float64(b.N))/1e9, "Gproducts/s")
	})
	s := make([]float64, 4*m.N)
	b.Run("solve1", func(b *testing.B) {
		for b.Loop() {
			s[1] = 1
			f.Solve(s[:m.N])
		}
	})
	b.Run("solve4", func(b *testing.B) {
		for b.Loop() {
			s[1] = 1
			f.Solve(s)
		}
	})
	var cs []Column
	for i := range 220 {
		var c Column
		at := (i * 977) % (m.N/3 - 1)
		for j := range 12 {
			c.At = append(c.At, int32((3*at+j)%m.N))
			c.Val = append(c.Val, 1)
		}
		cs = append(cs, c)
	}
	b.Run("gram", func(b *testing.B) {
		for b.Loop() {
			f.Gram(context.Background(), cs)
		}
	})
}
