package sparse

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

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

func TestLowestOfLaplacians(t *testing.T) {
	for _, c := range []struct{ nx, ny, copies, count int }{
		{1, 1, 1, 1}, {2, 1, 1, 5}, {1, 1, 9, 9}, {10, 10, 1, 12}, {31, 31, 1, 20}, {12, 12, 5, 17}, {40, 1, 1, 40}, {200, 1, 1, 60}, {3, 3, 30, 31},
	} {
		t.Run(fmt.Sprint(c), func(t *testing.T) {
			k := laplacian(c.nx, c.ny, c.copies)
			values, vectors, err := Lowest(t.Context(), k.factor(t), identity(k.N), c.count)
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

// A rod of n + 1 linear elements held at both ends, its mass consistent: K = (−1 2 −1), M = (1 4 1)/6, both with the vectors sin iθj, so
// λ = 6 (1 − cos iθ) / (2 + cos iθ) with θ = π/(n+1).
func TestLowestOfARodWithConsistentMass(t *testing.T) {
	const n, count = 150, 8
	kb, mb := NewBuilder(n), NewBuilder(n)
	for i := range int32(n) {
		kb.Add([]int32{i}, []float64{2})
		mb.Add([]int32{i}, []float64{4. / 6})
		if i > 0 {
			kb.Add([]int32{i, i - 1}, []float64{0, -1, -1, 0})
			mb.Add([]int32{i, i - 1}, []float64{0, 1. / 6, 1. / 6, 0})
		}
	}
	k, m := model{Matrix: kb.Matrix()}, mb.Matrix()
	values, vectors, err := Lowest(t.Context(), k.factor(t), m, count)
	require.NoError(t, err)
	require.Len(t, values, count)
	y := make([]float64, n)
	for i, v := range vectors {
		c := math.Cos(float64(i+1) * math.Pi / (n + 1))
		assert.InEpsilon(t, 6*(1-c)/(2+c), values[i], 1e-9)
		m.Multiply(y, v)
		assert.InDelta(t, 1, dot(v, y), 1e-12)
		greatest := slices.MaxFunc(v, func(a, b float64) int { return cmp.Compare(math.Abs(a), math.Abs(b)) })
		assert.Positive(t, greatest)
	}
}

// Mass at two unknowns only: there are two eigenvalues, those of the inverse of what Gram gives.
func TestLowestWhereMassHasASmallRank(t *testing.T) {
	k := laplacian(9, 8, 1)
	f := k.factor(t)
	b := NewBuilder(k.N)
	b.Add([]int32{20}, []float64{1})
	b.Add([]int32{51}, []float64{1})
	values, vectors, err := Lowest(t.Context(), f, b.Matrix(), 5)
	require.NoError(t, err)
	g, err := f.Gram(t.Context(), []Column{{[]int32{20}, []float64{1}}, {[]int32{51}, []float64{1}}})
	require.NoError(t, err)
	mean, half := (g[0]+g[3])/2, (g[0]-g[3])/2
	root := math.Sqrt(half*half + g[1]*g[1])
	require.Len(t, values, 2)
	assert.InEpsilon(t, 1/(mean+root), values[0], 1e-9)
	assert.InEpsilon(t, 1/(mean-root), values[1], 1e-9)
	for i, v := range vectors {
		y := make([]float64, k.N)
		k.Multiply(y, v)
		for u := range y {
			want := 0.0
			if u == 20 || u == 51 {
				want = values[i] * v[u]
			}
			require.InDelta(t, want, y[u], 1e-9)
		}
	}

	values, vectors, err = Lowest(t.Context(), f, NewBuilder(k.N).Matrix(), 5)
	assert.NoError(t, err)
	assert.Empty(t, values)
	assert.Empty(t, vectors)
}

// Three loose paths: each may go as it likes, so with K shifted by s the value s comes three times, and all others, 2 − 2 cos(kπ/n) + s, too.
func TestLowestOfLoosePieces(t *testing.T) {
	const n, copies, shift = 40, 3, 1e-3
	b := NewBuilder(n * copies)
	for i := range int32(n * copies) {
		b.Add([]int32{i}, []float64{shift})
		if i%n > 0 {
			b.Add([]int32{i, i - 1}, []float64{1, -1, -1, 1})
		}
	}
	k := model{Matrix: b.Matrix()}
	values, _, err := Lowest(t.Context(), k.factor(t), identity(k.N), 8)
	require.NoError(t, err)
	for i, v := range values {
		assert.InEpsilon(t, 2-2*math.Cos(float64(i/copies)*math.Pi/n)+shift, v, 1e-9)
	}
}

func TestLowestRefuses(t *testing.T) {
	k := laplacian(3, 3, 1)
	_, _, err := Lowest(t.Context(), k.factor(t), identity(8), 3)
	assert.Error(t, err)
	for _, count := range []int{0, -1} {
		values, vectors, err := Lowest(t.Context(), k.factor(t), identity(9), count)
		assert.NoError(t, err)
		assert.Empty(t, values)
		assert.Empty(t, vectors)
	}
}

func TestSymmetricEigen(t *testing.T) {
	for n := range 25 {
		for kind := range 3 {
			a := make([]float64, n*n)
			r := numbers(n * n)
			for i := range n {
				for j := range i + 1 {
					switch {
					case kind == 0:
						a[i*n+j] = r[i*n+j]
					case kind == 1 && i == j: // as often multiple as can be
						a[i*n+j] = 3
					case kind == 2 && i-j == n/2: // few entries
						a[i*n+j] = 1
					}
					a[j*n+i] = a[i*n+j]
				}
			}
			values, v := symmetricEigen(slices.Clone(a), n)
			require.Len(t, values, n)
			for i := range n {
				if i > 0 {
					require.GreaterOrEqual(t, values[i-1], values[i])
				}
				for j := range n {
					require.InDelta(t, values[i]*v[i*n+j], dot(a[j*n:j*n+n], v[i*n:i*n+n]), 1e-12)
					want := 0.0
					if i == j {
						want = 1
					}
					require.InDelta(t, want, dot(v[i*n:i*n+n], v[j*n:j*n+n]), 1e-12)
				}
			}
		}
	}
}
