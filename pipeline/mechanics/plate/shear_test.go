package plate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// TestShearOfAThickPlate: a square simply supported all round (normals held against turning along the edges) under a uniform load, by
// Navier's series with shear: each term of the thin plate's times 1 + D k² / (κ G t), k² = (mπ/a)² + (nπ/b)² (R. D. Mindlin, J.
// Appl. Mech. 18, 1951; from memory). The thickness is from a hundredth to a fifth of the side.
func TestShearOfAThickPlate(t *testing.T) {
	const a, elastic, poisson, q = 100.0, 24000.0, 0.3, 0.01
	for _, thick := range []float64{1, 5, 10, 20} {
		d := plate.Isotropic(elastic, poisson, thick)
		stiff := 5.0 / 6 * 3500 * thick // softer than an isotropic body, as boards are
		const n = 24
		m := grid(a, a, n, n, d, 1e-9, nil)
		for i := range m.Triangles {
			m.Triangles[i].Shear = stiff
			m.Triangles[i].Mass = q / 9806.65
		}
		for i := range n + 1 {
			for j := range n + 1 {
				x, y := i == 0 || i == n, j == 0 || j == n
				if x || y {
					m.Held = append(m.Held, plate.Held{Node: int32(i*(n+1) + j), Deflection: true, SlopeX: y, SlopeY: x})
				}
			}
		}
		s, err := plate.New(t.Context(), m, 1)
		require.NoError(t, err)
		rhs, err := s.Weight(9806.65, nil)
		require.NoError(t, err)
		got := s.Solve(rhs)[0].W[n/2*(n+1)+n/2]
		want, thin := 0.0, 0.0
		for mm := 1; mm < 200; mm += 2 {
			for nn := 1; nn < 200; nn += 2 {
				k2 := math.Pi * math.Pi * float64(mm*mm+nn*nn) / (a * a)
				w := 16 * q / (math.Pi * math.Pi * float64(mm*nn)) / (d[0][0] * k2 * k2) * math.Sin(float64(mm)*math.Pi/2) * math.Sin(float64(nn)*math.Pi/2)
				thin += w
				want += w * (1 + d[0][0]*k2/stiff)
			}
		}
		t.Logf("t/a %.2f: %.6g, should be %.6g (thin plate %.6g)", thick/a, got, want, thin)
		assert.InEpsilon(t, want, got, 0.01)
	}
}

// TestShearOfAStrip: a strip held at one end and drawn down at the other sinks by P l³ / (3 D) + P l / (κ G t) for each mm of its
// width, its contraction being 0 (S. P. Timoshenko's beam; Roark's Formulas for Stress and Strain, 7th edition, 8.10).
func TestShearOfAStrip(t *testing.T) {
	for _, length := range []float64{1.5, 4, 20} {
		const width, thick = 4.0, 1.6
		d := plate.Isotropic(24000, 0, thick)
		stiff := 5.0 / 6 * 3500 * thick
		nx, ny := 8, 8
		m := grid(length, width, nx, ny, d, 0, nil)
		for i := range m.Triangles {
			m.Triangles[i].Shear = stiff
		}
		for j := range ny + 1 {
			m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true, SlopeX: true, SlopeY: true})
		}
		s, err := plate.New(t.Context(), m, 1)
		require.NoError(t, err)
		rhs := make([]float64, 3*len(m.X))
		for j := range ny + 1 {
			share := 1.0
			if j == 0 || j == ny {
				share = 0.5
			}
			rhs[3*(nx*(ny+1)+j)] = share / float64(ny) // 1 N in all
		}
		got := s.Solve(rhs)[0].W[nx*(ny+1)+ny/2]
		want := (length*length*length/(3*d[0][0]) + length/stiff) / width
		assert.InEpsilon(t, want, got, 0.01, "length %v", length)
	}
}

// TestThinPlatesDoNotYieldToShear: with great stiffness against shear the thin plate's figures come out.
func TestThinPlatesDoNotYieldToShear(t *testing.T) {
	sag := func(shear float64) float64 {
		m := grid(60, 40, 12, 8, plate.Isotropic(20000, 0.2, 1.6), 3e-9, func(i, j int) (float64, float64) { return float64((i*7+j*3)%3) - 1, float64((i*5+j)%3) - 1 })
		for i := range m.Triangles {
			m.Triangles[i].Shear = shear
		}
		for j := range 9 {
			m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true}, plate.Held{Node: int32(12*9 + j), Deflection: true})
		}
		s, err := plate.New(t.Context(), m, 1)
		require.NoError(t, err)
		rhs, err := s.Weight(9806.65, nil)
		require.NoError(t, err)
		return s.Solve(rhs)[0].W[6*9+4]
	}
	assert.InEpsilon(t, sag(0), sag(1e12), 1e-6)
	assert.Greater(t, sag(3500*1.6), sag(0))
}
