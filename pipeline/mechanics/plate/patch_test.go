package plate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// coupled is a stiffness as of a woven laminate that lies askew: all nine entries.
var coupled = plate.Bending{{9000, 2100, 700}, {2100, 7000, 400}, {700, 400, 2600}}

// The patch test: an irregular mesh under moments on its border that are the same everywhere must have just these moments in
// every triangle, to rounding, and the deflection of second degree that goes with them. On a border with the outward
// normal n, the moments work on the slope across it by −Mn and on the slope along it by −Mns; it is carried at three
// corners only.
func TestPatch(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	const a, b, n = 60.0, 40.0, 6
	m := grid(a, b, n, n, coupled, 0, func(i, j int) (float64, float64) {
		return (r.Float64() - 0.5) * 0.7 * a / n, (r.Float64() - 0.5) * 0.7 * b / n
	})
	node := func(i, j int) int32 { return int32(i*(n+1) + j) }
	m.Held = []plate.Held{{Node: node(0, 0), Deflection: true}, {Node: node(n, 0), Deflection: true}, {Node: node(0, n), Deflection: true}}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	for name, want := range map[string][3]float64{"Mx": {1, 0, 0}, "My": {0, 1, 0}, "Mxy": {0, 0, 1}, "all": {3, -2, 1.5}} {
		t.Run(name, func(t *testing.T) {
			x := s.Solve(borderMoments(m, want, n))[0]
			size := math.Abs(want[0]) + math.Abs(want[1]) + math.Abs(want[2])
			for i, tri := range s.Moments(x) {
				for c := range tri {
					for k := range 3 {
						require.InDelta(t, want[k], tri[c][k], 1e-9*size, "triangle %d, corner %d", i, c)
					}
				}
			}
			kappa := solve3(coupled, want)
			for i := range m.X {
				px, py := m.X[i], m.Y[i]
				w := -kappa[0]*px*px/2 - kappa[1]*py*py/2 - kappa[2]*px*py/2 +
					px/a*kappa[0]*a*a/2 + py/b*kappa[1]*b*b/2 // nothing at the three corners
				assert.InDelta(t, w, x.W[i], 1e-9*size)
			}
			// In the middle of a triangle as well: the cubic is exact for second degree.
			tri := m.Triangles[n]
			px, py := 0.0, 0.0
			for _, k := range tri.Nodes {
				px, py = px+m.X[k]/3, py+m.Y[k]/3
			}
			w := -kappa[0]*px*px/2 - kappa[1]*py*py/2 - kappa[2]*px*py/2 + px*kappa[0]*a/2 + py*kappa[1]*b/2
			assert.InDelta(t, w, s.At(x, n, px, py), 1e-9*size)
		})
	}
}

// borderMoments gives the right side of moments that are the same all along the border of a grid of n × n fields.
func borderMoments(m *plate.Model, mom [3]float64, n int) []float64 {
	rhs := make([]float64, 3*len(m.X))
	node := func(i, j int) int { return i*(n+1) + j }
	edge := func(p, q int, nx, ny float64) {
		l := math.Hypot(m.X[q]-m.X[p], m.Y[q]-m.Y[p])
		fx, fy := mom[0]*nx+mom[2]*ny, mom[2]*nx+mom[1]*ny // on βx = −∂w/∂x and βy = −∂w/∂y
		mn, ms := fx*nx+fy*ny, -fx*ny+fy*nx                // along s = (−ny, nx)
		for _, k := range []int{p, q} {
			rhs[3*k+1] -= mn * nx * l / 2
			rhs[3*k+2] -= mn * ny * l / 2
		}
		// The mean of ∂w/∂s is (w_q − w_p)/l in the direction from p to q.
		along := ((m.X[q]-m.X[p])*-ny + (m.Y[q]-m.Y[p])*nx) / l
		rhs[3*q] -= ms * along
		rhs[3*p] += ms * along
	}
	for i := range n {
		edge(node(i, 0), node(i+1, 0), 0, -1)
		edge(node(i, n), node(i+1, n), 0, 1)
		edge(node(0, i), node(0, i+1), -1, 0)
		edge(node(n, i), node(n, i+1), 1, 0)
	}
	return rhs
}

// solve3 solves three equations by determinants.
func solve3(d plate.Bending, m [3]float64) (k [3]float64) {
	det := func(a [3][3]float64) float64 {
		return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	}
	for c := range k {
		e := [3][3]float64(d)
		for r := range e {
			e[r][c] = m[r]
		}
		k[c] = det(e) / det(d)
	}
	return k
}
