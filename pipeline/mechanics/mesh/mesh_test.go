package mesh

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// smallest is a triangle's smallest angle in degrees.
func smallest(p [3]geom.Point) float64 {
	least := math.Inf(1)
	for i := range p {
		u, v := p[(i+1)%3].Sub(p[i]), p[(i+2)%3].Sub(p[i])
		least = min(least, math.Atan2(float64(u.Cross(v)), float64(u.Dot(v)))*180/math.Pi)
	}
	return least
}

// sound requires what holds for every mesh.
func sound(t testing.TB, d Domain, m *Mesh) {
	t.Helper()
	require.Len(t, m.Piece, len(m.Triangles))
	require.Len(t, m.Lines, len(d.Lines))
	require.Len(t, m.Points, len(d.Points))
	type side struct{ a, b int32 }
	owner := make(map[side]int, 3*len(m.Triangles))
	area := 0.0
	used := make([]bool, len(m.Nodes))
	for i, q := range m.Triangles {
		a, b, c := m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]
		twice := b.Sub(a).Cross(c.Sub(a))
		if twice <= 0 {
			require.Positive(t, twice, "triangle %d: %v %v %v", i, a, b, c)
		}
		area += float64(twice) / 2
		for k := range 3 {
			used[q[k]] = true
			s := side{q[k], q[(k+1)%3]}
			if _, twice := owner[s]; twice {
				require.Fail(t, "two triangles on one side of an edge")
			}
			owner[s] = i
		}
	}
	for i, u := range used {
		if !u {
			require.Fail(t, "belongs to no triangle", "node %d", i)
		}
	}
	borders := map[side]bool{}
	for _, b := range m.Border {
		borders[side{b[0], b[1]}] = true
	}
	require.Len(t, borders, len(m.Border))
	n := 0
	root := make([]int, len(m.Triangles))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for s, i := range owner {
		j, inner := owner[side{s.b, s.a}]
		if inner == borders[s] {
			require.Fail(t, "the border is not what has a triangle on one side")
		}
		if !inner {
			n++
			continue
		}
		if m.Piece[i] != m.Piece[j] {
			require.Fail(t, "neighbours in different pieces")
		}
		root[find(i)] = find(j)
	}
	require.Len(t, m.Border, n)
	pieces := map[int]int32{}
	for i := range root {
		r := find(i)
		p, ok := pieces[r]
		if !ok {
			pieces[r] = m.Piece[i]
			continue
		}
		if p != m.Piece[i] {
			require.Fail(t, "one piece has two numbers")
		}
	}
	require.Len(t, pieces, m.Pieces)
	// Delaunay but for the lines.
	lines := map[side]bool{}
	for _, l := range m.Lines {
		for k := 1; k < len(l); k++ {
			lines[side{l[k-1], l[k]}], lines[side{l[k], l[k-1]}] = true, true
		}
	}
	for s, i := range owner {
		j, inner := owner[side{s.b, s.a}]
		if !inner || lines[s] {
			continue
		}
		p, q := m.Triangles[i], m.Triangles[j]
		for _, v := range q {
			if v != s.a && v != s.b && inCircle(m.Nodes[p[0]], m.Nodes[p[1]], m.Nodes[p[2]], m.Nodes[v]) {
				require.Fail(t, "not Delaunay", "%v lies in the circle of %v %v %v", m.Nodes[v], m.Nodes[p[0]], m.Nodes[p[1]], m.Nodes[p[2]])
			}
		}
	}
	// No two pieces share a node: each node's triangles hang together by edges.
	of := make([]int32, len(m.Nodes))
	for i := range of {
		of[i] = -1
	}
	for i, q := range m.Triangles {
		for _, v := range q {
			if of[v] >= 0 && of[v] != m.Piece[i] {
				require.Fail(t, "pieces share a node")
			}
			of[v] = m.Piece[i]
		}
	}
	d.fill()
	// The border strays by no more than chords and tidying do.
	want := d.Region.Area()
	long := 0.0
	for p := range d.paths() {
		for _, e := range p {
			long += e.Length()
		}
	}
	assert.InDelta(t, want, area, 0.02*want+long*float64(d.Tidy), "area")
}

// measure is what there is to know of a mesh's quality.
func measure(m *Mesh) (least float64, small int, edge float64) {
	least = 60
	n := 0
	for _, q := range m.Triangles {
		a := smallest([3]geom.Point{m.Nodes[q[0]], m.Nodes[q[1]], m.Nodes[q[2]]})
		least = min(least, a)
		if a < 25.99 {
			small++
		}
		edge += m.Nodes[q[0]].Distance(m.Nodes[q[1]])
		n++
	}
	return least, small, edge / float64(n)
}

func TestPanel(t *testing.T) {
	d := panelOf(t, 300, 400, 3, 4)
	m, err := Make(t.Context(), d)
	require.NoError(t, err)
	least, small, edge := measure(m)
	t.Logf("%d nodes, %d triangles, %d pieces, least angle %.2f, %d small, mean edge %.3f mm", len(m.Nodes), len(m.Triangles), m.Pieces, least, small, edge/1e6)
	draw(t, "panel", d, m)
	sound(t, d, m)
}

func TestSquare(t *testing.T) {
	for _, side := range []float64{10, 50} {
		d := Domain{Region: geom.Region{{Outer: rect(0, 0, side, side)}}, Open: geom.MM}
		m, err := Make(t.Context(), d)
		require.NoError(t, err)
		least, small, edge := measure(m)
		t.Logf("%d nodes, least angle %.2f, %d small, mean edge %.3f mm", len(m.Nodes), least, small, edge/1e6)
		draw(t, fmt.Sprintf("square%g", side), d, m)
		sound(t, d, m)
	}
}

func BenchmarkMake(b *testing.B) {
	for _, c := range []struct {
		name          string
		columns, rows int
	}{{"12 boards", 3, 4}, {"200 boards", 10, 20}} {
		d := panelOf(b, 300, 400, c.columns, c.rows)
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				m, err := Make(b.Context(), d)
				require.NoError(b, err)
				n = len(m.Nodes)
			}
			b.ReportMetric(float64(n), "nodes")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/node")
		})
	}
}
