package sparse

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBuilder(t *testing.T) {
	b := NewBuilder(5)
	b.Add([]int32{3, 0}, []float64{1, 99, 2, 4}) // above the diagonal nothing is read
	b.Add([]int32{0, -1, 4}, []float64{8, 99, 99, 50, 60, 99, 16, 70, 32})
	b.Add([]int32{3, 3}, []float64{100, 99, 200, 400}) // an unknown twice: both that couple it with itself
	b.Add([]int32{2}, []float64{0})                    // stays in the pattern
	b.Add(nil, nil)
	m := b.Matrix()
	assert.Equal(t, &Matrix{
		N:   5,
		Ptr: []int32{0, 3, 3, 4, 5, 6},
		Row: []int32{0, 3, 4, 2, 3, 4},
		Val: []float64{12, 2, 16, 0, 901, 32},
	}, m)

	y := make([]float64, 5)
	m.Multiply(y, []float64{1, 2, 3, 4, 5})
	assert.Equal(t, []float64{12 + 8 + 80, 0, 0, 2 + 3604, 16 + 160}, y)
}

// Sums go in the order in which the blocks come: 1 is lost beside 1e17, but not before it is taken off.
func TestBuilderAddsInOrder(t *testing.T) {
	for _, c := range []struct {
		terms []float64
		want  float64
	}{{[]float64{1e17, 1, -1e17}, 0}, {[]float64{1e17, -1e17, 1}, 1}} {
		b := NewBuilder(2)
		for _, v := range c.terms {
			b.Add([]int32{1, 0}, []float64{0, v, v, 0})
		}
		assert.Equal(t, []float64{c.want}, b.Matrix().Val[1:2])
	}
}
