package sparse

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// laplacian is that of copies of a grid of nx × ny nodes with four neighbours, whose border is held.
func laplacian(nx, ny, copies int) (m *Matrix, x, y []float64) {
	b := NewBuilder(nx * ny * copies)
	for c := range copies {
		for j := range ny {
			for i := range nx {
				a := int32((c*ny+j)*nx + i)
				x, y = append(x, float64(i+c*(nx+3))), append(y, float64(j))
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
	return b.Matrix(), x, y
}

// laplacianValues are its eigenvalues: 4 sin²(iπ / 2(nx+1)) + 4 sin²(jπ / 2(ny+1)). Source: e.g. G. H. Golub, C. F. Van Loan, "Matrix
// Computations", 4th ed., section 4.8.
func laplacianValues(nx, ny, copies int) (out []float64) {
	for i := 1; i <= nx; i++ {
		for j := 1; j <= ny; j++ {
			a, b := math.Sin(float64(i)*math.Pi/float64(2*(nx+1))), math.Sin(float64(j)*math.Pi/float64(2*(ny+1)))
			for range copies {
				out = append(out, 4*a*a+4*b*b)
			}
		}
	}
	slices.Sort(out)
	return out
}

func identity(n int) *Matrix {
	b := NewBuilder(n)
	for i := range n {
		b.Add([]int32{int32(i)}, []float64{1})
	}
	return b.Matrix()
}

func TestLowestOfLaplacians(t *testing.T) {
	for _, c := range []struct{ nx, ny, copies, count int }{
		{1, 1, 1, 1}, {2, 1, 1, 5}, {1, 1, 9, 9}, {10, 10, 1, 12}, {31, 31, 1, 20}, {12, 12, 5, 17}, {40, 1, 1, 40}, {200, 1, 1, 60}, {3, 3, 30, 31},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			k, x, y := laplacian(c.nx, c.ny, c.copies)
			f, err := NewPlan(k, Order(k, x, y)).Factor(context.Background(), k, 1)
			require.NoError(t, err)
			m := identity(k.N)
			values, vectors, err := Lowest(context.Background(), f, m, c.count)
			require.NoError(t, err)
			want := laplacianValues(c.nx, c.ny, c.copies)
			want = want[:min(len(want), c.count)]
			require.Len(t, values, len(want))
			for i := range want {
				assert.InEpsilon(t, want[i], values[i], 1e-9, i)
			}
			kv := make([]float64, k.N)
			for i, v := range vectors {
				k.Multiply(kv, v)
				for j := range v {
					require.InDelta(t, values[i]*v[j], kv[j], 1e-6)
				}
				for j := range i + 1 {
					want := 0.0
					if i == j {
						want = 1
					}
					require.InDelta(t, want, dot(v, vectors[j]), 1e-12)
				}
			}
		})
	}
}
