package sparse

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOrderHasEveryUnknownOnce(t *testing.T) {
	for name, m := range models() {
		order := Order(m.Matrix, m.x, m.y)
		sorted := slices.Sorted(slices.Values(order))
		for i, u := range sorted {
			require.Equal(t, int32(i), u, name)
		}
		require.Len(t, order, m.N, name)
	}
}

func TestNodesStayTogether(t *testing.T) {
	m := plateLike(20, 11)
	order := Order(m.Matrix, m.x, m.y)
	for i := 0; i < len(order); i += 3 {
		assert.Equal(t, []int32{order[i] / 3 * 3, order[i]/3*3 + 1, order[i]/3*3 + 2}, order[i:i+3])
	}
}

// The order keeps the factor small; the bounds are what was measured and a tenth more. An order by rows needs 2.9 million entries
// and 150 million products for the plate.
func TestOrderKeepsFactorsSmall(t *testing.T) {
	most := func(name string, m model, x, y []float64, entries int, products float64) {
		p := NewPlan(m.Matrix, Order(m.Matrix, x, y))
		assert.Less(t, p.Entries(), entries, name)
		assert.Less(t, p.Products(), products, name)
	}
	m := plateLike(50, 49)
	most("plate", m, m.x, m.y, 680_000, 31e6)
	most("plate, by couplings alone", m, nil, nil, 730_000, 38e6)
	m = laplacian(60, 5, 20) // comes apart by itself
	most("strips", m, m.x, m.y, 70_000, 0.4e6)
	m = denseRows() // but for two unknowns, a grid
	most("dense rows", m, m.x, m.y, 21_000, 0.4e6)
}

// Two sides of a row of narrow bridges are parted at the bridges, though the middle of the nodes lies elsewhere.
func TestCutsGoThroughBridges(t *testing.T) {
	b := NewBuilder(2 * 900)
	var x, y []float64
	left, right := laplacian(30, 30, 1), laplacian(30, 30, 1)
	for i := range 900 {
		x, y = append(x, left.x[i]), append(y, left.y[i])
	}
	for i := range 900 {
		x, y = append(x, 40+right.x[i]/4), append(y, right.y[i]) // finer there
	}
	add(b, left.Matrix)
	for c := range right.N {
		for k := right.Ptr[c]; k < right.Ptr[c+1]; k++ {
			addOne(b, right.Row[k]+900, int32(c)+900, right.Val[k])
		}
	}
	bridges := []int{5, 25}
	for _, j := range bridges {
		addOne(b, int32(900+30*j), int32(30*j+29), -1)
	}
	order := Order(b.Matrix(), x, y)
	last := slices.Sorted(slices.Values(order[len(order)-2:]))
	for i, j := range bridges {
		assert.Contains(t, []int32{int32(30*j + 29), int32(900 + 30*j)}, last[i])
	}
}

// An expander has no small cuts: it must come to an end all the same.
func TestOrderOfWhatHasNoGoodCut(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	b := NewBuilder(3000)
	for i := range int32(3000) {
		b.Add([]int32{i}, []float64{1})
		for range 4 {
			if j := int32(rnd.IntN(3000)); j != i {
				addOne(b, i, j, 0.1)
			}
		}
	}
	order := Order(b.Matrix(), nil, nil)
	assert.Len(t, order, 3000)
}

// What each column of a factor holds, found by eliminating one unknown after the other.
func TestColumnCounts(t *testing.T) {
	for name, m := range models() {
		if m.N > 500 {
			continue
		}
		p := &Plan{n: m.N, order: Order(m.Matrix, m.x, m.y)}
		ptr, col := rowsOf(m.Matrix, inverse(p.order))
		p.renumber(postorder(eliminationTree(ptr, col)))
		ptr, col = rowsOf(m.Matrix, p.place)
		parent := eliminationTree(ptr, col)
		got := columnCounts(ptr, col, parent)

		a := make([][]bool, m.N)
		for i := range a {
			a[i] = make([]bool, m.N)
			a[i][i] = true
			for _, k := range col[ptr[i]:ptr[i+1]] {
				a[i][k] = true
			}
		}
		for k := range a {
			first, below := int32(-1), []int(nil)
			for i := k + 1; i < m.N; i++ {
				if a[i][k] {
					below = append(below, i)
				}
			}
			for _, i := range below {
				for _, j := range below {
					if j <= i {
						a[i][j] = true
					}
				}
			}
			if len(below) > 0 {
				first = int32(below[0])
			}
			require.Equal(t, first, parent[k], name)
			require.Equal(t, int32(len(below)+1), got[k], name)
		}
	}
}
