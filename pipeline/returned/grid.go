package returned

import "panelwright/pipeline/geom"

// grid looks up points by place. Cells are as wide as the farthest that is asked for.
type grid struct {
	cell  geom.Length
	cells map[geom.Point][]entry
}

type entry struct {
	at geom.Point
	id int
}

func newGrid(cell geom.Length) *grid { return &grid{cell, map[geom.Point][]entry{}} }

func (g *grid) key(p geom.Point) geom.Point {
	return geom.Pt(floorDiv(p.X, g.cell), floorDiv(p.Y, g.cell))
}

func (g *grid) add(p geom.Point, id int) {
	k := g.key(p)
	g.cells[k] = append(g.cells[k], entry{p, id})
}

// near gives the id of the nearest point within a distance of no more than a cell, the first added of several; −1 for
// none.
func (g *grid) near(p geom.Point, most geom.Length) int {
	best, id := float64(most), -1
	g.each(p, func(e entry) {
		if d := e.at.Distance(p); d < best || d == best && (id < 0 || e.id < id) {
			best, id = d, e.id
		}
	})
	return id
}

// each calls f for the points in the cells round p.
func (g *grid) each(p geom.Point, f func(entry)) {
	k := g.key(p)
	for x := k.X - 1; x <= k.X+1; x++ {
		for y := k.Y - 1; y <= k.Y+1; y++ {
			for _, e := range g.cells[geom.Pt(x, y)] {
				f(e)
			}
		}
	}
}
