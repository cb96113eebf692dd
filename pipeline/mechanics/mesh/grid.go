package mesh

import (
	"math"

	"panelwright/pipeline/geom"
)

// A piece is one piece of a chain.
type piece struct{ chain, piece, a, b int32 }

// A grid lists by square which pieces pass it, or pass near it, and which nodes lie in it.
type grid struct {
	min              geom.Point
	step, pad        float64
	nx, ny           int
	first, firstNode []int32
	pieces           []piece
	nodes            []int32
}

// lay makes a grid of all nodes and pieces.
func (t *tidier) lay() *grid {
	b := geom.BoxOf(t.nodes...)
	g := &grid{min: b.Min, pad: t.tol}
	if b.Empty() {
		g.first, g.firstNode = make([]int32, 1), make([]int32, 1)
		return g
	}
	w, h := float64(b.Max.X-b.Min.X), float64(b.Max.Y-b.Min.Y)
	const nodesPerSquare = 1.0
	g.step = math.Sqrt(max(w, h) * max(min(w, h), max(w, h)/100) * nodesPerSquare / float64(len(t.nodes)))
	g.step = max(g.step, 4*t.tol)
	g.nx, g.ny = int(w/g.step)+1, int(h/g.step)+1
	n := g.nx * g.ny
	var all []piece
	for i, c := range t.chain {
		for k := 1; k < len(c.nodes); k++ {
			if a, b := c.nodes[k-1], c.nodes[k]; a != b {
				all = append(all, piece{int32(i), int32(k - 1), a, b})
			}
		}
	}
	g.first = make([]int32, n+1)
	for _, p := range all {
		g.visit(t.nodes[p.a], t.nodes[p.b], func(c int) { g.first[c+1]++ })
	}
	g.firstNode = make([]int32, n+1)
	for _, p := range t.nodes {
		g.firstNode[g.column(p.X)+g.nx*g.row(p.Y)+1]++
	}
	for c := range n {
		g.first[c+1] += g.first[c]
		g.firstNode[c+1] += g.firstNode[c]
	}
	g.pieces, g.nodes = make([]piece, g.first[n]), make([]int32, g.firstNode[n])
	fill := append([]int32(nil), g.first...)
	for _, p := range all {
		g.visit(t.nodes[p.a], t.nodes[p.b], func(c int) { g.pieces[fill[c]] = p; fill[c]++ })
	}
	copy(fill, g.firstNode)
	for i, p := range t.nodes {
		c := g.column(p.X) + g.nx*g.row(p.Y)
		g.nodes[fill[c]] = int32(i)
		fill[c]++
	}
	return g
}

func (g *grid) column(x geom.Length) int { return g.clampX(float64(x - g.min.X)) }
func (g *grid) row(y geom.Length) int    { return g.clampY(float64(y - g.min.Y)) }
func (g *grid) clampX(x float64) int     { return min(max(int(math.Floor(x/g.step)), 0), g.nx-1) }
func (g *grid) clampY(y float64) int     { return min(max(int(math.Floor(y/g.step)), 0), g.ny-1) }

// visit calls f for the squares that the way from a to b passes within pad.
func (g *grid) visit(a, b geom.Point, f func(c int)) {
	if b.X < a.X {
		a, b = b, a
	}
	ax, ay := float64(a.X-g.min.X), float64(a.Y-g.min.Y)
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	low, high := min(ay, ay+dy), max(ay, ay+dy)
	for i := g.clampX(ax - g.pad); i <= g.clampX(ax+dx+g.pad); i++ {
		from, to := low, high
		if dx > 0 {
			// How high the way runs while it passes the column.
			left, right := float64(float64(i)*g.step)-g.pad-ax, float64(float64(i+1)*g.step)+g.pad-ax
			u, v := float64(left/dx*dy), float64(right/dx*dy)
			from, to = max(low, ay+min(u, v)), min(high, ay+max(u, v))
		}
		for j := g.clampY(from - g.pad); j <= g.clampY(to+g.pad); j++ {
			f(i + g.nx*j)
		}
	}
}
