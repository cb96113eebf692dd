package plate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/mechanics/plate"
)

// beam is the stiffness of a beam along x of length l, with bending stiffness ei in N·mm² and torsional stiffness gj (Euler and
// Bernoulli; de Saint-Venant's torsion), for (w, ∂w/∂x, ∂w/∂y) at both ends.
func beam(ei, gj, l float64) *[6][6]float64 {
	k := &[6][6]float64{}
	at := [4]int{0, 1, 3, 4}
	for r, row := range [4][4]float64{
		{12, 6 * l, -12, 6 * l}, {6 * l, 4 * l * l, -6 * l, 2 * l * l}, {-12, -6 * l, 12, -6 * l}, {6 * l, 2 * l * l, -6 * l, 4 * l * l},
	} {
		for c, v := range row {
			k[at[r]][at[c]] = v * ei / (l * l * l)
		}
	}
	k[2][2], k[5][5], k[2][5], k[5][2] = gj/l, gj/l, -gj/l, -gj/l
	return k
}

// twoPieces is a strip held at x = 0 and another one gap further on, joined by a beam where one is given.
func twoPieces(k *[6][6]float64) *plate.Model {
	const long, wide, gap, nx, ny = 60.0, 20.0, 8.0, 12, 4
	a, b := cantilever(long, wide, nx, ny), grid(long, wide, nx, ny, laminate, massPerArea, nil)
	n := int32(len(a.X))
	for i := range b.X {
		a.X, a.Y = append(a.X, b.X[i]+long+gap), append(a.Y, b.Y[i])
	}
	for _, t := range b.Triangles {
		for c := range t.Nodes {
			t.Nodes[c] += n
		}
		a.Triangles = append(a.Triangles, t)
	}
	if k != nil {
		j := plate.Joint{Stiffness: *k}
		for i := range int32(ny + 1) {
			w := 1.0 / ny
			if i == 0 || i == ny {
				w /= 2
			}
			j.A = append(j.A, plate.Share{Node: n - 1 - ny + i, Weight: w})
			j.B = append(j.B, plate.Share{Node: n + i, Weight: w})
		}
		a.Joints = []plate.Joint{j}
	}
	return a
}

// Two strips that do not draw in across their length, with a beam between, are one beam of three stretches: under a force F at its
// end it sinks by F ∫ (L−x)² / EI dx, and the beam's ends bear the force and its moments.
func TestJointBetweenStrips(t *testing.T) {
	const long, wide, gap, force = 60.0, 20.0, 8.0, 2.0
	d := plate.Isotropic(24000, 0, 1.6)
	ei, eiJoint := d[0][0]*wide, d[0][0]*3.0
	m := twoPieces(beam(eiJoint, 1e5, gap))
	for i := range m.Triangles {
		m.Triangles[i].D = d
	}
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	rhs := make([]float64, 3*len(m.X))
	var end []int
	for n := range m.X {
		if m.X[n] == 2*long+gap {
			end = append(end, n)
		}
	}
	for i, n := range end {
		share := force / float64(len(end)-1)
		if i == 0 || i == len(end)-1 {
			share /= 2
		}
		rhs[3*n] = share
	}
	x := s.Solve(rhs)[0]
	const l = 2*long + gap
	third := func(from, to float64) float64 { return (math.Pow(l-from, 3) - math.Pow(l-to, 3)) / 3 }
	want := force * (third(0, long)/ei + third(long, long+gap)/eiJoint + third(long+gap, l)/ei)
	assert.InEpsilon(t, want, x.W[end[2]], 1e-3)
	f := s.JointForces(0, x)
	for i, want := range [6]float64{-force, -force * (long + gap), 0, force, force * long, 0} {
		assert.InDelta(t, want, f[i], 1e-8*force*l, "force %d", i)
	}
}

// Leaving a joint out by its release is the same as a plate without it.
func TestRelease(t *testing.T) {
	m := twoPieces(beam(5e4, 4e4, 8))
	m.Held = append(m.Held, plate.Held{Node: int32(len(m.X) - 1), Deflection: true}, plate.Held{Node: int32(len(m.X) - 5), Deflection: true})
	more := m.Joints[0]
	more.A, more.B = more.A[1:2], more.B[1:2]
	more.A = []plate.Share{{Node: more.A[0].Node, Weight: 1}}
	more.B = []plate.Share{{Node: more.B[0].Node, Weight: 1}}
	more.Stiffness = *beam(2e4, 3e4, 8)
	m.Joints = append(m.Joints, more)
	s, err := plate.New(t.Context(), m, 1)
	require.NoError(t, err)
	b, err := s.Weight(9810, nil)
	require.NoError(t, err)
	x := s.Solve(b)[0]

	c := s.Release(1)
	require.Len(t, c, 3)
	g, err := s.Gram(t.Context(), c)
	require.NoError(t, err)
	var core plate.Bending
	var right [3]float64
	for i := range 3 {
		for k := range 3 {
			core[i][k] = -g[3*i+k]
		}
		core[i][i]++
		for e, u := range c[i].At {
			right[i] += c[i].Val[e] * []float64{x.W[u/3], x.P[u/3], x.Q[u/3]}[u%3]
		}
	}
	y := solve3(core, right)
	rhs := append([]float64(nil), b...)
	for i := range c {
		for e, u := range c[i].At {
			rhs[u] += c[i].Val[e] * y[i]
		}
	}
	got := s.Solve(rhs)[0]

	less := *m
	less.Joints = m.Joints[:1]
	direct, err := plate.New(t.Context(), &less, 1)
	require.NoError(t, err)
	want := direct.Solve(b)[0]
	sag := 0.0
	for n := range m.X {
		sag = max(sag, math.Abs(want.W[n]))
	}
	for n := range m.X {
		assert.InDelta(t, want.W[n], got.W[n], 1e-7*sag)
	}
	assert.Greater(t, math.Abs(want.W[len(m.X)/2]-x.W[len(m.X)/2]), 1e-3*sag, "the joint did nothing")
}

// What holds a piece alone has relative motions that nothing else resists: its Gram matrix is one.
func TestReleaseOfTheOnlyJoint(t *testing.T) {
	s, err := plate.New(t.Context(), twoPieces(beam(5e4, 4e4, 8)), 1)
	require.NoError(t, err)
	c := s.Release(0)
	require.Len(t, c, 3)
	g, err := s.Gram(t.Context(), c)
	require.NoError(t, err)
	for i := range 3 {
		for k := range 3 {
			want := 0.0
			if i == k {
				want = 1
			}
			assert.InDelta(t, want, g[3*i+k], 1e-7)
		}
	}
}
