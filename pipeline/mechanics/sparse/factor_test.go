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

func TestSolvesAsADenseFactorizationDoes(t *testing.T) {
	for name, m := range models() {
		t.Run(name, func(t *testing.T) {
			f := m.factor(t)
			b := numbers(m.N)
			x := slices.Clone(b)
			f.Solve(x)
			r := make([]float64, m.N)
			m.Multiply(r, x)
			for i := range r {
				require.InDelta(t, b[i], r[i], 1e-9)
			}
			if m.N > 450 { // too dear
				return
			}
			greatest := 0.0
			for _, v := range x {
				greatest = max(greatest, math.Abs(v))
			}
			for i, want := range solveDense(m.dense(), b) {
				require.InDelta(t, want, x[i], 1e-9*greatest)
			}
		})
	}
}

// What is solved together has the same digits as what is solved by itself.
func TestSolvesTogether(t *testing.T) {
	m := plateLike(12, 9)
	f := m.factor(t)
	for many := range 8 {
		all := numbers(m.N * many)
		each := slices.Clone(all)
		f.Solve(all)
		for j := range many {
			f.Solve(each[j*m.N : (j+1)*m.N])
		}
		assert.True(t, slices.Equal(each, all), many)
	}
}

func TestWorkersChangeNoDigit(t *testing.T) {
	for name, m := range models() {
		p := m.plan()
		one, err := p.Factor(t.Context(), m.Matrix, 1)
		require.NoError(t, err)
		for _, workers := range []int{0, 2, 3, 8} {
			more, err := p.Factor(t.Context(), m.Matrix, workers)
			require.NoError(t, err)
			require.True(t, slices.Equal(one.l, more.l) && slices.Equal(one.inverse, more.inverse), "%s, %d workers", name, workers)
		}
	}
}

func TestOnePlanForManyMatrices(t *testing.T) {
	m := plateLike(7, 7)
	p := m.plan()
	twice := &Matrix{N: m.N, Ptr: slices.Clone(m.Ptr), Row: slices.Clone(m.Row), Val: slices.Clone(m.Val)}
	for i := range twice.Val {
		twice.Val[i] *= 2
	}
	f, err := p.Factor(t.Context(), m.Matrix, 1)
	require.NoError(t, err)
	g, err := p.Factor(t.Context(), twice, 1)
	require.NoError(t, err)
	x := numbers(m.N)
	y := slices.Clone(x)
	f.Solve(x)
	g.Solve(y)
	for i := range x {
		require.InEpsilon(t, x[i], 2*y[i], 1e-9)
	}

	other := laplacian(3, 3, 1)
	_, err = p.Factor(t.Context(), other.Matrix, 1)
	assert.ErrorContains(t, err, "pattern")
	twice.Val = twice.Val[1:]
	_, err = p.Factor(t.Context(), twice, 1)
	assert.ErrorContains(t, err, "pattern")
}

func TestNotDefinite(t *testing.T) {
	pair := func(n int, blocks ...[]float64) model { // a block for every two unknowns
		b := NewBuilder(n)
		for i, block := range blocks {
			b.Add([]int32{int32(2 * i), int32(2*i + 1)}, block)
		}
		return model{Matrix: b.Matrix()}
	}
	good := []float64{2, 1, 1, 2}
	for _, c := range []struct {
		name string
		m    model
		from int // the unknown named is one of from to to
		to   int
	}{
		{"indefinite", pair(6, good, []float64{1, 2, 2, 1}, good), 2, 3},
		{"negative", pair(4, good, []float64{-1, 0, 0, 1}), 2, 2},
		{"zero", pair(4, []float64{0, 0, 0, 0}, good), 0, 1},
		{"an unknown that nothing names", pair(5, good, good), 4, 4},
		{"no number", pair(4, good, []float64{1, math.NaN(), math.NaN(), 1}), 2, 3},
		{"no number on the diagonal", pair(4, good, []float64{1, 0, 0, math.NaN()}), 3, 3},
		{"infinite", pair(4, good, []float64{1, math.Inf(1), math.Inf(1), 1}), 2, 3},
		{"infinite on the diagonal", pair(4, good, []float64{math.Inf(1), 0, 0, 1}), 2, 2},
		{"singular", pair(4, good, []float64{1, 1, 1, 1}), 2, 3},
		{"singular, scales far apart", pair(4, good, []float64{1e12, 1e-3, 1e-3, 1e-18}), 2, 3},
		{"nearly singular", pair(4, good, []float64{1, 1, 1, 1 + 1e-12}), 2, 3},
		{"loose pieces", loose(30, 400), 30, 429},
		{"all loose", loose(0, 900), 0, 899},
	} {
		t.Run(c.name, func(t *testing.T) {
			var named []int
			for _, workers := range []int{1, 2, 5} {
				f, err := c.m.plan().Factor(t.Context(), c.m.Matrix, workers)
				var e *NotDefinite
				require.ErrorAs(t, err, &e)
				assert.Nil(t, f)
				assert.GreaterOrEqual(t, e.Unknown, c.from)
				assert.LessOrEqual(t, e.Unknown, c.to)
				assert.Contains(t, e.Error(), fmt.Sprint("unknown ", e.Unknown))
				named = append(named, e.Unknown)
			}
			assert.Len(t, slices.Compact(named), 1, "workers must not change which one is named")
		})
	}
	for _, c := range []struct {
		name string
		m    model
	}{
		{"softly held", pair(4, good, []float64{1, 1, 1, 1 + 1e-9})},
		{"scales far apart", pair(4, good, []float64{1e20, 1, 1, 1e-18})},
	} {
		_, err := c.m.plan().Factor(t.Context(), c.m.Matrix, 1)
		assert.NoError(t, err, c.name)
	}
}

// loose is a held path, and paths of ten unknowns that are not.
func loose(held, rest int) model {
	b := NewBuilder(held + rest)
	for i := range held + rest - 1 {
		if i+1 < held || i >= held && (i-held)%10 != 9 {
			b.Add([]int32{int32(i), int32(i + 1)}, []float64{1, -1, -1, 1})
		}
	}
	if held > 0 {
		b.Add([]int32{0}, []float64{1})
	}
	return model{Matrix: b.Matrix()}
}

func TestDone(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	m := plateLike(5, 5)
	f := m.factor(t)
	cancel()
	for _, workers := range []int{1, 3} {
		_, err := m.plan().Factor(ctx, m.Matrix, workers)
		assert.ErrorIs(t, err, context.Canceled)
	}
	_, err := f.Gram(ctx, []Column{{At: []int32{1}, Val: []float64{1}}})
	assert.ErrorIs(t, err, context.Canceled)
	_, _, err = Lowest(ctx, f, identity(m.N), 3)
	assert.ErrorIs(t, err, context.Canceled)
}

// The kernels against sums written out, for every shape of their edges.
func TestKernels(t *testing.T) {
	for n := range 12 {
		for w := 1; w < 9; w++ {
			l, u := numbers(n*w), make([]float64, n*n)
			products(u, l, n, w)
			for i := range n {
				for j := range i + 1 {
					require.Equal(t, -dot(l[i*w:i*w+w], l[j*w:j*w+w]), u[i*n+j], "%d %d", n, w)
				}
			}
		}
	}
	for w := 1; w < 14; w++ {
		for below := range 8 {
			n := w + below
			a := numbers(n * w)
			for i := range w {
				a[i*w+i] += float64(w)
			}
			l, inverse := slices.Clone(a), make([]float64, w)
			require.Equal(t, -1, factorPanel(l, inverse, make([]float64, w), n, w))
			for i := range n {
				for j := range min(i+1, w) {
					require.InDelta(t, a[i*w+j], dot(l[i*w:i*w+j+1], l[j*w:]), 1e-12)
				}
			}
			for i := range w {
				require.Equal(t, 1/l[i*w+i], inverse[i])
			}
		}
	}
}

func TestGram(t *testing.T) {
	for name, m := range models() {
		if m.N == 0 {
			continue
		}
		f := m.factor(t)
		g := make([]Column, 11)
		full := make([]float64, len(g)*m.N)
		for i := range g {
			for k := range i { // the first one is empty
				u := (i*i*7 + k*k*5) % m.N
				g[i].At, g[i].Val = append(g[i].At, int32(u), -1), append(g[i].Val, float64(k)-2.5, 99)
				full[i*m.N+u] += float64(k) - 2.5
			}
		}
		got, err := f.Gram(t.Context(), g)
		require.NoError(t, err)
		x := slices.Clone(full)
		f.Solve(x)
		greatest := 0.0
		for _, v := range got {
			greatest = max(greatest, math.Abs(v))
		}
		for i := range g {
			for j := range g {
				require.InDelta(t, dot(full[i*m.N:(i+1)*m.N], x[j*m.N:(j+1)*m.N]), got[i*len(g)+j], 1e-10*greatest, name)
				require.Equal(t, got[j*len(g)+i], got[i*len(g)+j], name)
			}
		}
	}
	empty, err := plateLike(2, 2).factor(t).Gram(t.Context(), nil)
	assert.NoError(t, err)
	assert.Empty(t, empty)
}
