package plate_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// jolted is a plate of 60 × 40 mm, irregular within, held somewhere.
func jolted(nx, ny int) *plate.Model {
	r := rand.New(rand.NewPCG(5, 8))
	m := grid(60, 40, nx, ny, coupled, 0, func(_, _ int) (float64, float64) {
		return (r.Float64() - 0.5) * 0.6 * 60 / float64(nx), (r.Float64() - 0.5) * 0.6 * 40 / float64(ny)
	})
	m.Held = []plate.Held{{Node: 0, Deflection: true, SlopeX: true, SlopeY: true}}
	return m
}

// bentBy gives the state of nodes with slopes as given; deflections are not looked at but by the mean.
func bentBy(m *plate.Model, slopes func(x, y float64) (p, q float64)) plate.State {
	s := plate.State{W: make([]float64, len(m.X))}
	for i := range m.X {
		p, q := slopes(m.X[i], m.Y[i])
		s.P, s.Q = append(s.P, p), append(s.Q, q)
	}
	return s
}

// Slopes that are cubics give just their moments, within and on borders, also where the mean is far off. Through
// those about corners quadratics are laid.
func TestRecoveredMomentsAreExactForCubics(t *testing.T) {
	m := jolted(12, 9)
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	x := bentBy(m, func(x, y float64) (float64, float64) {
		x, y = x/60, y/60
		return 1 + x - 2*y + x*x + x*x*x - 3*x*y*y, 2*x + y*y - 4*x*x*y + y*y*y
	})
	got, mean := s.RecoveredMoments(x), s.NodeMoments(s.Moments(x))
	worst := 0.0
	for i := range m.X {
		u, v := m.X[i]/60, m.Y[i]/60
		k := [3]float64{-(1 + 2*u + 3*u*u - 3*v*v) / 60, -(2*v - 4*u*u + 3*v*v) / 60, -(-2 - 6*u*v + 2 - 8*u*v) / 60}
		for r := range 3 {
			want := 0.0
			for c := range 3 {
				want += coupled[r][c] * k[c]
			}
			if (m.X[i] == 0 || m.X[i] == 60) && (m.Y[i] == 0 || m.Y[i] == 40) {
				continue
			}
			require.InDelta(t, want, got[i][r], 1e-7, "at (%g, %g)", m.X[i], m.Y[i])
			worst = max(worst, want-mean[i][r])
		}
	}
	assert.Greater(t, worst, 20.0, "the mean would do")
}

// Curvatures that jump with the stiffness are recovered on either side, and not mixed; on the jump itself it is the mean.
func TestRecoveredMomentsWhereStiffnessJumps(t *testing.T) {
	const nx, ny = 16, 9
	m := jolted(nx, ny)
	for j := range ny + 1 {
		m.X[nx/2*(ny+1)+j] = 30
	}
	soft := coupled
	for r := range soft {
		for c := range soft {
			soft[r][c] /= 4
		}
	}
	for i, tri := range m.Triangles {
		if m.X[tri.Nodes[0]]+m.X[tri.Nodes[1]]+m.X[tri.Nodes[2]] > 90 {
			m.Triangles[i].D = soft
		}
	}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	x := bentBy(m, func(x, _ float64) (float64, float64) {
		if x > 30 {
			return -30 - 4*(x-30), 0
		}
		return -x, 0
	})
	got, mean := s.RecoveredMoments(x), s.NodeMoments(s.Moments(x))
	for i := range m.X {
		for r := range 3 {
			if m.X[i] == 30 {
				require.Equal(t, mean[i][r], got[i][r])
			} else {
				require.InDelta(t, coupled[r][0], got[i][r], 1e-6, "at (%g, %g)", m.X[i], m.Y[i])
			}
		}
	}
}

// Near what a joint pulls at, on a plate as broad as one triangle, and where nothing can bend, it is the mean.
func TestRecoveredMomentsFallBack(t *testing.T) {
	wavy := func(x, y float64) (float64, float64) { return x*x*x - x*y*y, 0.1*y*y*y - x*x*y }
	same := func(m *plate.Model, near func(x, y float64) bool) (others int) {
		s, err := plate.New(t.Context(), m, 1)
		require.NoError(t, err)
		x := bentBy(m, wavy)
		got, mean := s.RecoveredMoments(x), s.NodeMoments(s.Moments(x))
		for i := range m.X {
			if near(m.X[i], m.Y[i]) {
				require.Equal(t, mean[i], got[i], "at (%g, %g)", m.X[i], m.Y[i])
			} else if mean[i] != got[i] {
				others++
			}
		}
		return others
	}
	m := jolted(12, 9)
	joint := plate.Joint{A: []plate.Share{{Node: 0, Weight: 1}}, B: []plate.Share{{Node: 12*10 + 9, Weight: 1}}}
	for i := range joint.Stiffness {
		joint.Stiffness[i][i] = 1
	}
	m.Joints = []plate.Joint{joint}
	assert.Greater(t, same(m, func(x, y float64) bool { return x < 8 && y < 8 || x > 52 && y > 32 }), 60)

	narrow := grid(60, 3, 20, 1, coupled, 0, nil)
	narrow.Held = m.Held
	assert.Zero(t, same(narrow, func(_, _ float64) bool { return true }))

	m = jolted(12, 9)
	for i := range m.X {
		if m.X[i] < 20 {
			m.Held = append(m.Held, plate.Held{Node: int32(i), Deflection: true, SlopeX: true, SlopeY: true})
		}
	}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	x := bentBy(m, func(x, _ float64) (float64, float64) { return max(0, x-22), 0 })
	for i, v := range s.RecoveredMoments(x) {
		if m.X[i] < 10 {
			assert.Zero(t, v)
		}
	}
}

func BenchmarkRecoveredMoments(b *testing.B) {
	m := large()
	s, err := plate.New(b.Context(), m, 1)
	if err != nil {
		b.Fatal(err)
	}
	x := bentBy(m, func(x, y float64) (float64, float64) { return x * x, y * y })
	b.ReportAllocs()
	for b.Loop() {
		s.RecoveredMoments(x)
	}
}
