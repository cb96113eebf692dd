package plate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// TestReactionsBearTheWeight: what the supports push with is the weight and the force in all, and its moments about the edges.
func TestReactionsBearTheWeight(t *testing.T) {
	for _, shear := range []float64{0, 4667} {
		m := grid(60, 40, 12, 8, plate.Isotropic(20000, 0.2, 1.6), 3e-9, func(i, j int) (float64, float64) { return float64((i*7+j*3)%3) - 1, float64((i*5+j)%3) - 1 })
		for i := range m.Triangles {
			m.Triangles[i].Shear = shear
		}
		for j := range 9 {
			m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true}, plate.Held{Node: int32(12*9 + j), Deflection: true})
		}
		s, err := plate.New(t.Context(), m, 1)
		require.NoError(t, err)
		at := -1
		for i, tr := range m.Triangles {
			if tr.Nodes[0] == 3*9+4 {
				at = i
			}
		}
		require.GreaterOrEqual(t, at, 0)
		n := m.Triangles[at].Nodes[0]
		b, err := s.Weight(9806.65, []plate.Load{{Triangle: int32(at), X: m.X[n], Y: m.Y[n], Value: 2}})
		require.NoError(t, err)
		r := s.Reactions(s.Solve(b)[0], b)
		var left, right float64
		for j := range 9 {
			left += r[3*j]
			right += r[3*(12*9+j)]
		}
		weight := 3e-9 * 60 * 40 * 9806.65
		assert.InEpsilon(t, -(weight/2 + 2*(60-m.X[n])/60), left, 1e-8)
		assert.InEpsilon(t, -(weight/2 + 2*m.X[n]/60), right, 1e-8)
		assert.Zero(t, r[3*(5*9+4)], "nothing holds it there")
	}
}
