package plate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// How many work at it makes no difference, not in the last bit.
func TestWorkersMakeNoDifference(t *testing.T) {
	m := grid(200, 150, 40, 30, coupled, massPerArea, nil)
	for j := range 31 {
		m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true}, plate.Held{Node: int32(40*31 + j), Deflection: true})
	}
	var states []plate.State
	var hertz [][]float64
	for _, workers := range []int{1, 3} {
		s, err := plate.New(t.Context(), m, workers)
		require.NoError(t, err)
		b, err := s.Weight(9806.65, nil)
		require.NoError(t, err)
		states = append(states, s.Solve(b)...)
		h, _, err := s.Lowest(t.Context(), 2)
		require.NoError(t, err)
		hertz = append(hertz, h)
	}
	assert.Equal(t, states[0], states[1])
	assert.Equal(t, hertz[0], hertz[1])
}
