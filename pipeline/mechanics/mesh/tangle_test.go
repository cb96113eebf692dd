package mesh

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Dozens of lines, points and slivers within a few times what is tidied up: all is moved, and still every mesh is sound.
func TestTangles(t *testing.T) {
	n := uint64(40)
	if *scenes > 0 {
		n = 20 * *scenes
	}
	for s := range n {
		s += *seed
		r := rand.New(rand.NewPCG(s, 6))
		side := []float64{0.05, 0.2, 0.6, 2}[s%4]
		at := func() geom.Point { return mm(r.Float64()*side, r.Float64()*side) }
		d := Domain{Open: geom.FromMM(side / 3), Tidy: []geom.Length{0, 0, 100, 3000, 200 * geom.UM}[r.IntN(5)]}
		for range 1 + r.IntN(4) {
			p, q, v := at(), at(), at()
			if p.Cross(q)+q.Cross(v)+v.Cross(p) < 0 {
				p, q = q, p
			}
			d.Region = append(d.Region, geom.Outline{Outer: geom.Path{geom.Line(p, q), geom.Line(q, v), geom.Line(v, p)}})
		}
		for range r.IntN(40) {
			d.Lines = append(d.Lines, Line{at(), at()})
		}
		for range r.IntN(10) {
			d.Points = append(d.Points, at())
		}
		m, err := Make(t.Context(), d)
		require.NoError(t, err, "seed %d", s)
		if len(d.Region) == 1 {
			sound(t, d, m)
		}
		for _, q := range m.Triangles {
			a, b, c := m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]
			if b.Sub(a).Cross(c.Sub(a)) <= 0 {
				require.Fail(t, "triangle turned over", "seed %d", s)
			}
		}
	}
}
