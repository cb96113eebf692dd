package mechanics

import "math"

// line is a line of a grid across the panel; along some of them a V-groove is cut.
type line struct {
	at     float64
	groove bool
}

// groove is the section of V-grooves, cut alike from above and below.
type groove struct {
	half float64 // breadth at the surface, to one side of the line
	web  float64 // what is left between the roots
	// reach is how far from the line the grid's columns lean with the flanks, so that none is cut by them.
	reach float64
}

// lattice is bricks on a grid of lines, through whose upper layers grooves are cut: there the bricks on either side of
// a line part, and lean back with the flanks.
type lattice struct {
	x, y   []line
	z      []float64 // from the middle plane up; one of them is half the web
	groove groove
}

// spot is a node of a lattice by its place in half steps of the grid, and on which side of the grooves it lies, if it
// lies on their flanks.
type spot struct {
	i, j, k int
	x, y    int
}

// solid cuts the lattice into bricks. kind tells the laminate at a place.
func (l *lattice) solid(kind func(x, y float64) int32) *solid {
	s := &solid{}
	known := map[spot]int32{}
	for j := range len(l.y) - 1 {
		for i := range len(l.x) - 1 {
			at := kind((l.x[i].at+l.x[i+1].at)/2, (l.y[j].at+l.y[j+1].at)/2)
			for k := range len(l.z) - 1 {
				e := element{kind: at}
				for _, c := range brickOrder {
					p := l.spot(i, j, k, c)
					n, ok := known[p]
					if !ok {
						n = int32(len(s.nodes))
						known[p] = n
						s.nodes = append(s.nodes, l.place(i, j, k, c))
					}
					e.nodes = append(e.nodes, n)
				}
				s.elements = append(s.elements, e)
			}
		}
	}
	return s
}

// brickOrder is where a brick's nodes lie, in half steps.
var brickOrder = [20][3]int{
	{0, 0, 0}, {2, 0, 0}, {2, 2, 0}, {0, 2, 0}, {0, 0, 2}, {2, 0, 2}, {2, 2, 2}, {0, 2, 2},
	{1, 0, 0}, {2, 1, 0}, {1, 2, 0}, {0, 1, 0}, {1, 0, 2}, {2, 1, 2}, {1, 2, 2}, {0, 1, 2},
	{0, 0, 1}, {2, 0, 1}, {2, 2, 1}, {0, 2, 1},
}

// root is the level of the grooves' roots.
func (l *lattice) root() int {
	for k, z := range l.z {
		if math.Abs(z-l.groove.web/2) < 1e-9 {
			return k
		}
	}
	return len(l.z)
}

// spot names the node c of the brick i, j, k.
func (l *lattice) spot(i, j, k int, c [3]int) spot {
	p := spot{i: 2*i + c[0], j: 2*j + c[1], k: 2*k + c[2]}
	if p.k > 2*l.root() {
		if p.i%2 == 0 && l.x[p.i/2].groove {
			p.x = 1 - c[0]
		}
		if p.j%2 == 0 && l.y[p.j/2].groove {
			p.y = 1 - c[1]
		}
	}
	return p
}

// place is where the node c of the brick i, j, k lies. Nodes between corners lie in the middle, but those on edges that
// end in a groove's root at a quarter from it: so displacements there go with the root of the distance, as they do beside
// a crack (R. S. Barsoum, Int. J. Numer. Meth. Engng 10, 1976), from which a groove of 30° hardly differs.
func (l *lattice) place(i, j, k int, c [3]int) [3]float64 {
	for d := range 3 {
		if c[d] != 1 {
			continue
		}
		a, b := c, c
		a[d], b[d] = 0, 2
		f := 0.5
		if ra, rb := l.atRoot(i, j, k, a), l.atRoot(i, j, k, b); ra && !rb {
			f = 0.25
		} else if rb && !ra {
			f = 0.75
		}
		p, q := l.place(i, j, k, a), l.place(i, j, k, b)
		for m := range 3 {
			p[m] += f * (q[m] - p[m])
		}
		return p
	}
	s := l.spot(i, j, k, c)
	p := [3]float64{l.x[s.i/2].at, l.y[s.j/2].at, l.z[s.k/2]}
	above := (p[2] - l.groove.web/2) / (l.z[len(l.z)-1] - l.groove.web/2)
	if above > 0 {
		p[0] = l.groove.lean(l.x, p[0], s.x, above)
		p[1] = l.groove.lean(l.y, p[1], s.y, above)
	}
	return p
}

// atRoot tells whether a corner lies in a groove's root.
func (l *lattice) atRoot(i, j, k int, c [3]int) bool {
	s := l.spot(i, j, k, c)
	return s.k == 2*l.root() && (l.x[s.i/2].groove || l.y[s.j/2].groove)
}

// lean moves a place away from the groove near it: by the groove's whole half breadth at its flanks, the less the
// farther away. side is the flank's, above how high between root and surface, 0 to 1.
func (g groove) lean(lines []line, at float64, side int, above float64) float64 {
	for _, x := range lines {
		off := at - x.at
		if !x.groove || math.Abs(off) >= g.reach {
			continue
		}
		way := float64(side)
		if off > 1e-9 {
			way = 1
		} else if off < -1e-9 {
			way = -1
		}
		return at + way*g.half*above*(1-math.Abs(off)/g.reach)
	}
	return at
}
