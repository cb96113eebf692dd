package mesh

import (
	"cmp"
	"slices"
)

// gather gives the result.
func gather(t *triangulation, p *plan) *Mesh {
	m := &Mesh{Lines: make([][]int32, len(p.chains)), Points: make([]int32, len(p.points))}
	// Nodes that are used, in the order in which they were made.
	now := make([]int32, len(t.nodes))
	for i := range now {
		now[i] = none
	}
	for i := range t.tris {
		for _, v := range t.tris[i].v {
			now[v] = 0
		}
	}
	for i := range now {
		if now[i] == 0 {
			now[i] = int32(len(m.Nodes))
			m.Nodes = append(m.Nodes, t.nodes[i])
		}
	}
	type part struct{ seg, a, b int32 }
	var parts []part
	m.Triangles = make([][3]int32, len(t.tris))
	for i := range t.tris {
		q := &t.tris[i]
		m.Triangles[i] = [3]int32{now[q.v[0]], now[q.v[1]], now[q.v[2]]}
		for k := range int8(3) {
			a, b := now[q.v[next(k)]], now[q.v[prev(k)]]
			if q.n[k] == none {
				m.Border = append(m.Border, [2]int32{a, b})
			}
			if s := q.s[k]; s != none && p.segments[s].lines > 0 {
				parts = append(parts, part{s, a, b})
			}
		}
	}
	m.pieces(t)
	for i, n := range p.points {
		m.Points[i] = none
		if n != none {
			m.Points[i] = now[n]
		}
	}
	slices.SortFunc(parts, func(x, y part) int { return cmp.Compare(x.seg, y.seg) })
	for i, chain := range p.chains {
		if n := now[chain[0]]; n != none && !slices.ContainsFunc(chain, func(c int32) bool { return c != chain[0] }) {
			m.Lines[i] = []int32{n} // it is too short to be more than a place
		}
		for k := 1; k < len(chain); k++ {
			if chain[k-1] == chain[k] {
				continue
			}
			seg := p.segment(chain[k-1], chain[k])
			first, _ := slices.BinarySearchFunc(parts, seg, func(x part, s int32) int { return cmp.Compare(x.seg, s) })
			var nodes []int32
			for _, x := range parts[first:] {
				if x.seg != seg {
					break
				}
				nodes = append(nodes, x.a, x.b)
			}
			from := p.nodes[chain[k-1]]
			way := p.nodes[chain[k]].Sub(from)
			slices.SortFunc(nodes, func(x, y int32) int {
				return cmp.Or(cmp.Compare(way.Dot(m.Nodes[x].Sub(from)), way.Dot(m.Nodes[y].Sub(from))), cmp.Compare(x, y))
			})
			for _, n := range slices.Compact(nodes) {
				if l := m.Lines[i]; len(l) == 0 || l[len(l)-1] != n {
					m.Lines[i] = append(l, n)
				}
			}
		}
	}
	return m
}

// pieces numbers the triangles that hang together by edges.
func (m *Mesh) pieces(t *triangulation) {
	m.Piece = make([]int32, len(t.tris))
	for i := range m.Piece {
		m.Piece[i] = none
	}
	var todo []int32
	for i := range t.tris {
		if m.Piece[i] != none {
			continue
		}
		m.Piece[i] = int32(m.Pieces)
		todo = append(todo, int32(i))
		for len(todo) > 0 {
			k := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for _, n := range t.tris[k].n {
				if n != none && m.Piece[n] == none {
					m.Piece[n] = int32(m.Pieces)
					todo = append(todo, n)
				}
			}
		}
		m.Pieces++
	}
}
