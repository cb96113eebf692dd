package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// A wedge is what lies between two segments that meet at less than 60 degrees.
type wedge struct{ at, left, right geom.Point } // the segments' other ends

// wedges gives those of a domain, tidied up.
func wedges(t testing.TB, d Domain) []wedge {
	d.fill()
	p, err := tidy(t.Context(), flatten(&d, newField(&d)), d.Tidy)
	require.NoError(t, err)
	ends := make([][]int32, len(p.nodes))
	for _, s := range p.segments {
		ends[s.a], ends[s.b] = append(ends[s.a], s.b), append(ends[s.b], s.a)
	}
	var out []wedge
	for i, list := range ends {
		at := p.nodes[i]
		for _, l := range list {
			for _, r := range list {
				u, v := p.nodes[r].Sub(at), p.nodes[l].Sub(at)
				if u.Cross(v) > 0 && float64(u.Dot(v)) > u.Norm()*v.Norm()*0.4999 {
					out = append(out, wedge{at, p.nodes[l], p.nodes[r]})
				}
			}
		}
	}
	return out
}

// excuses tells whether a triangle lies in the wedge, or near its corner.
func (w wedge) excuses(p [3]geom.Point) bool {
	c := geom.Pt((p[0].X+p[1].X+p[2].X)/3, (p[0].Y+p[1].Y+p[2].Y)/3)
	if w.right.Sub(w.at).Cross(c.Sub(w.at)) > 0 && c.Sub(w.at).Cross(w.left.Sub(w.at)) > 0 &&
		c.Distance(w.at) < max(w.left.Distance(w.at), w.right.Distance(w.at)) {
		return true
	}
	long := max(p[0].Distance(p[1]), p[1].Distance(p[2]), p[2].Distance(p[0]))
	return c.Distance(w.at) < 2*long
}

// thin gives the triangles with an angle of less than 26 degrees that no wedge excuses; none where details were left
// thin.
func thin(t testing.TB, d Domain, m *Mesh) [][3]geom.Point {
	d.fill()
	if _, left, err := build(t.Context(), d); left || err != nil {
		require.NoError(t, err)
		return nil
	}
	var ws []wedge
	least := d.Tidy / 4
	var out [][3]geom.Point
next:
	for _, q := range m.Triangles {
		p := [3]geom.Point{m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]}
		if smallest(p) > 25.99 {
			continue
		}
		if min(p[0].Distance(p[1]), p[1].Distance(p[2]), p[2].Distance(p[0])) <= float64(least) {
			continue
		}
		if ws == nil {
			ws = wedges(t, d)
		}
		for _, w := range ws {
			if w.excuses(p) {
				continue next
			}
		}
		out = append(out, p)
	}
	return out
}
