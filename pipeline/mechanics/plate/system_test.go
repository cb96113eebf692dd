package plate_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/mechanics/sparse"
)

var laminate = plate.Isotropic(24000, 0.2, 1.6)

const massPerArea = 1900e-12 * 1.6

// cantilever is a strip held fast at x = 0.
func cantilever(a, b float64, nx, ny int) *plate.Model {
	m := grid(a, b, nx, ny, laminate, massPerArea, nil)
	for j := range ny + 1 {
		m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true, SlopeX: true, SlopeY: true})
	}
	return m
}

func TestWeightIsAllThere(t *testing.T) {
	m := cantilever(50, 30, 5, 3)
	for i := range m.Triangles {
		m.Triangles[i].Mass *= float64(i + 1)
	}
	m.Masses = []plate.Load{{Triangle: 3, X: 7, Y: 9, Value: 2e-6}, {Triangle: 20, X: 31, Y: 16, Value: 1e-6}}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	assert.Equal(t, 3*4*5, s.Unknowns())
	b, err := s.Weight(9810, []plate.Load{{Triangle: 7, X: 15, Y: 5, Value: 3}})
	require.NoError(t, err)
	// The right side does the work of the loads on w = 1, w = x and w = y.
	var force, atX, atY float64
	for n := range m.X {
		force += b[3*n]
		atX += b[3*n]*m.X[n] + b[3*n+1]
		atY += b[3*n]*m.Y[n] + b[3*n+2]
	}
	wantForce, wantX, wantY := 3.0, 3*15.0, 3*5.0
	for _, l := range m.Masses {
		wantForce, wantX, wantY = wantForce+l.Value*9810, wantX+l.Value*9810*l.X, wantY+l.Value*9810*l.Y
	}
	for _, tri := range m.Triangles {
		w := 10 * 10 / 2 * tri.Mass * 9810
		wantForce += w
		for _, n := range tri.Nodes {
			wantX, wantY = wantX+w*m.X[n]/3, wantY+w*m.Y[n]/3
		}
	}
	assert.InEpsilon(t, wantForce, force, 1e-12)
	assert.InEpsilon(t, wantX, atX, 1e-12)
	assert.InEpsilon(t, wantY, atY, 1e-12)
}

// Where a load A stands, a load B elsewhere moves the plate as far as A moves it where B stands (Maxwell, Betti).
func TestLoadsAreReciprocal(t *testing.T) {
	m := cantilever(60, 40, 6, 4)
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	at := []plate.Load{{Triangle: 9, X: 11, Y: 13, Value: 1}, {Triangle: 40, X: 52, Y: 2, Value: 1}}
	var rhs [2][]float64
	for i := range at {
		rhs[i], err = s.Weight(0, at[i:i+1])
		require.NoError(t, err)
	}
	x := s.Solve(rhs[0], rhs[1])
	assert.InEpsilon(t, s.At(x[0], at[1].Triangle, at[1].X, at[1].Y), s.At(x[1], at[0].Triangle, at[0].X, at[0].Y), 1e-10)
	assert.Positive(t, s.At(x[0], at[0].Triangle, at[0].X, at[0].Y))
}

func TestScaled(t *testing.T) {
	m := cantilever(60, 20, 6, 2)
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	b, err := s.Weight(9810, nil)
	require.NoError(t, err)
	hot := *m
	hot.Triangles = append([]plate.Triangle(nil), m.Triangles...)
	for i := range hot.Triangles {
		for r := range 3 {
			for c := range 3 {
				hot.Triangles[i].D[r][c] /= 2
			}
		}
	}
	h, err := s.Scaled(t.Context(), &hot)
	require.NoError(t, err)
	cold, twice := s.Solve(b)[0], h.Solve(b)[0]
	for n := range m.X {
		assert.InDelta(t, 2*cold.W[n], twice.W[n], 1e-12)
	}
	other := cantilever(60, 20, 6, 2)
	other.Triangles[0].Nodes = [3]int32{1, 0, 3}
	_, err = s.Scaled(t.Context(), other)
	assert.Error(t, err)
}

func TestNotHeld(t *testing.T) {
	corner := func(nodes ...int32) (h []plate.Held) {
		for _, n := range nodes {
			h = append(h, plate.Held{Node: n, Deflection: true})
		}
		return h
	}
	for name, c := range map[string]struct {
		make func() *plate.Model
		held bool
	}{
		"free":            {func() *plate.Model { return grid(50, 30, 5, 3, laminate, 1, nil) }, false},
		"free, askew":     {func() *plate.Model { return grid(50, 30, 5, 3, coupled, 1, nil) }, false},
		"one pin":         {func() *plate.Model { m := grid(50, 30, 5, 3, laminate, 1, nil); m.Held = corner(0); return m }, false},
		"two pins":        {func() *plate.Model { m := grid(50, 30, 5, 3, laminate, 1, nil); m.Held = corner(0, 23); return m }, false},
		"pins in a row":   {func() *plate.Model { m := grid(50, 30, 5, 3, laminate, 1, nil); m.Held = corner(0, 1, 3); return m }, false},
		"three pins":      {func() *plate.Model { m := grid(50, 30, 5, 3, laminate, 1, nil); m.Held = corner(0, 3, 23); return m }, true},
		"held edge":       {func() *plate.Model { return cantilever(50, 30, 5, 3) }, true},
		"a loose piece":   {func() *plate.Model { return twoPieces(nil) }, false},
		"a jointed piece": {func() *plate.Model { return twoPieces(beam(1.6*20/12*24000, 5000, 8)) }, true},
		"a piece that may turn about its joint": {func() *plate.Model {
			k := beam(1.6*20/12*24000, 0, 8)
			return twoPieces(k)
		}, false},
		"a node alone": {func() *plate.Model {
			m := cantilever(50, 30, 5, 3)
			m.X, m.Y = append(m.X, 100), append(m.Y, 100)
			return m
		}, false},
	} {
		t.Run(name, func(t *testing.T) {
			m := c.make()
			_, err := plate.New(t.Context(), m, 1)
			if c.held {
				require.NoError(t, err)
				return
			}
			var not *sparse.NotDefinite
			require.ErrorAs(t, err, &not)
			require.Less(t, not.Unknown, 3*len(m.X))
			require.GreaterOrEqual(t, not.Unknown, 0)
		})
	}
}

func TestModelsWithoutSense(t *testing.T) {
	nan := math.NaN()
	for name, spoil := range map[string]func(m *plate.Model){
		"no triangles":         func(m *plate.Model) { m.Triangles = nil },
		"places missing":       func(m *plate.Model) { m.Y = m.Y[1:] },
		"place that is none":   func(m *plate.Model) { m.X[3] = nan },
		"node that is not":     func(m *plate.Model) { m.Triangles[2].Nodes[1] = 1000 },
		"node below nothing":   func(m *plate.Model) { m.Triangles[2].Nodes[1] = -1 },
		"clockwise":            func(m *plate.Model) { n := &m.Triangles[2].Nodes; n[0], n[1] = n[1], n[0] },
		"no area":              func(m *plate.Model) { n := &m.Triangles[2].Nodes; n[0] = n[1] },
		"stiffness is none":    func(m *plate.Model) { m.Triangles[2].D[1][1] = math.Inf(1) },
		"stiffness lopsided":   func(m *plate.Model) { m.Triangles[2].D[0][1]++ },
		"negative mass":        func(m *plate.Model) { m.Triangles[2].Mass = -1 },
		"held nothing":         func(m *plate.Model) { m.Held[0].Node = 99 },
		"mass on nothing":      func(m *plate.Model) { m.Masses = []plate.Load{{Triangle: 99, Value: 1}} },
		"negative lumped mass": func(m *plate.Model) { m.Masses = []plate.Load{{Triangle: 1, Value: -1}} },
		"joint without end":    func(m *plate.Model) { m.Joints = []plate.Joint{{A: []plate.Share{{Node: 1, Weight: 1}}}} },
		"joint on nothing": func(m *plate.Model) {
			m.Joints = []plate.Joint{{A: []plate.Share{{Node: 1, Weight: 1}}, B: []plate.Share{{Node: 99, Weight: 1}}}}
		},
		"joint lopsided": func(m *plate.Model) {
			m.Joints = []plate.Joint{{A: []plate.Share{{Node: 1, Weight: 1}}, B: []plate.Share{{Node: 2, Weight: 1}}}}
			m.Joints[0].Stiffness[2][1] = 1
		},
		"all held": func(m *plate.Model) {
			for n := range m.X {
				m.Held = append(m.Held, plate.Held{Node: int32(n), Deflection: true, SlopeX: true, SlopeY: true})
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := cantilever(30, 20, 3, 2)
			spoil(m)
			_, err := plate.New(t.Context(), m, 1)
			assert.Error(t, err)
			_, _, err = plate.LowestFree(t.Context(), m, 3, 1)
			assert.Error(t, err)
		})
	}
	s, err := plate.New(t.Context(), cantilever(30, 20, 3, 2), 1)
	require.NoError(t, err)
	_, err = s.Weight(0, []plate.Load{{Triangle: 12}})
	assert.Error(t, err)
	done, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = plate.New(done, cantilever(30, 20, 3, 2), 1)
	assert.ErrorIs(t, err, context.Canceled)
}

// A mass on a light strip held at one end swings with the strip as its spring and 33/140 of the strip's mass (Rayleigh's
// estimate, from memory): ω² = 3 E I / (m l³), of a strip that does not draw in across its length (Poisson 0).
func TestLumpedMassSwings(t *testing.T) {
	m := cantilever(80, 4, 20, 1)
	d := plate.Isotropic(24000, 0, 1.6)
	for i := range m.Triangles {
		m.Triangles[i].D, m.Triangles[i].Mass = d, 1e-9
	}
	last := int32(len(m.Triangles) - 1)
	m.Masses = []plate.Load{{Triangle: last, X: 80, Y: 2, Value: 5e-6}}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	hz, shapes, err := s.Lowest(t.Context(), 1)
	require.NoError(t, err)
	want := math.Sqrt(3*d[0][0]*4/((5e-6+1e-9*80*4*33/140)*80*80*80)) / (2 * math.Pi)
	assert.InEpsilon(t, want, hz[0], 2e-3)
	assert.Len(t, shapes[0].W, len(m.X))
}
