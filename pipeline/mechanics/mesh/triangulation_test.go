package mesh

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// delaunay requires that triangles fit together and that no node lies inside a neighbour's circle but past a segment.
func delaunay(t testing.TB, tr *triangulation) {
	t.Helper()
	for k := range tr.tris {
		q := &tr.tris[k]
		if turn(tr.nodes[q.v[0]], tr.nodes[q.v[1]], tr.nodes[q.v[2]]) <= 0 {
			require.Fail(t, "turned over")
		}
		for i := range int8(3) {
			n := q.n[i]
			if n == none {
				continue
			}
			w := &tr.tris[n]
			j := w.facing(int32(k))
			if w.n[j] != int32(k) || w.s[j] != q.s[i] || w.v[next(j)] != q.v[prev(i)] || w.v[prev(j)] != q.v[next(i)] {
				require.Fail(t, "neighbours do not fit")
			}
			if tr.wrong(edge{int32(k), i}) {
				require.Fail(t, "not Delaunay")
			}
		}
	}
}

// Every segment is drawn, and what lies between is Delaunay: before the outside is cut off, and after it.
func TestConstrainedDelaunay(t *testing.T) {
	dropped := 0
	for s := range uint64(40) {
		r := rand.New(rand.NewPCG(s, 7))
		at := func() geom.Point { return mm(float64(r.IntN(60)), float64(r.IntN(60))) }
		d := Domain{Open: geom.MM}
		d.fill()
		for range 3 { // they overlap
			p, q := at(), at()
			d.Region = append(d.Region, geom.Outline{Outer: geom.Rectangle(geom.BoxOf(p, q).Grow(geom.MM))})
		}
		for range r.IntN(30) {
			d.Lines = append(d.Lines, Line{at(), at()})
		}
		for range r.IntN(60) {
			d.Points = append(d.Points, at())
		}
		p, err := tidy(t.Context(), flatten(&d, newField(&d)), d.Tidy)
		require.NoError(t, err)
		tr, err := triangulate(t.Context(), p)
		require.NoError(t, err)
		delaunay(t, tr)
		assert.Len(t, tr.tris, 2*len(p.nodes)+2, "all nodes are there: Euler's formula")
		for i, x := range p.segments {
			e, ok := tr.find(x.a, x.b)
			require.True(t, ok)
			require.EqualValues(t, i, tr.tris[e.t].s[e.i])
		}
		tr.carve(p)
		delaunay(t, tr)
		for _, x := range p.segments {
			if e, ok := tr.find(x.a, x.b); ok && tr.tris[e.t].s[e.i] == none || !ok && x.lines == 0 && tr.of[x.a] != none && tr.of[x.b] != none {
				dropped++
			}
		}
	}
	assert.Positive(t, dropped, "no border lay within the region")
}
