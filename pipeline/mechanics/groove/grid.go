package groove

import (
	"context"
	"math"

	"panelwright/pipeline/mechanics/sparse"
)

// fineness says how small triangles are.
type fineness struct {
	first  float64 // those at a tip, in parts of the shorter of its distances to the mid-plane and to the face
	growth float64 // how much longer each is than the one before it, away from a tip
	most   float64 // how long they may become, in halves of the thickness
}

// usual keeps the error below 1 %: see the test of convergence.
var usual = fineness{first: 0.002, growth: 1.7, most: 0.7}

// grid is a part of the section cut into triangles, in halves of the thickness: rows of nodes from face to face (or from
// the mid-plane to the upper face), columns from the groove to the strip's end. Every second node of either is a corner
// of triangles, the others lie midway.
//
// Where the tips lie above each other the section is a mirror image of itself both ways, and a quarter of it is
// enough. Otherwise it is one of itself turned half around, and the half beside the grooves is enough: points of the
// web between the tips that face each other across its middle then move alike.
type grid struct {
	quarter bool
	rows    int // triangles' rows: 2·rows + 1 nodes
	columns int
	x, z    []float64 // of the nodes, column by column
	reach   float64   // from the middle of the line to the end
	high    int       // the row of corners up to which the first column is web
}

// grid lays triangles over the section.
func (s Section) grid(f fineness) *grid {
	half := float64(s.Thickness) / 2
	web := float64(s.Web) / 2 / half // mid-plane to tip
	depth := 1 - web
	aside := math.Abs(float64(s.Offset)) / 2 / half
	sin, cos := (s.Angle / 2).SinCos()
	slope := sin / cos
	first := float64(f.first * min(web, depth))

	g := &grid{quarter: s.Offset == 0}
	in, out := stations(web, first, f.growth, f.most), stations(depth, first, f.growth, f.most)
	var z []float64 // of rows of corners
	for i := range in {
		z = append(z, web-in[len(in)-1-i])
	}
	z[0] = 0
	for _, d := range out[1:] {
		z = append(z, web+d)
	}
	if !g.quarter {
		below := make([]float64, 0, 2*len(z))
		for i := len(z) - 1; i > 0; i-- {
			below = append(below, -z[i])
		}
		z = append(below, z...)
	}
	g.rows = len(z) - 1
	g.high = g.rows - (len(out) - 1)

	g.reach = aside + float64(depth*slope) + 4
	along := stations(g.reach, first, f.growth, f.most)
	g.columns = len(along) - 1
	// Rows begin at the flanks and at the line from tip to tip, and are stretched evenly from there to the end.
	border := func(z float64) float64 {
		switch {
		case z > web:
			return aside + float64((z-web)*slope)
		case z < -web:
			return -aside + float64((-z-web)*slope)
		}
		return aside * z / web
	}
	high := 2*g.rows + 1
	g.x, g.z = make([]float64, high*(2*g.columns+1)), make([]float64, high*(2*g.columns+1))
	for i, xi := range along {
		for j, z := range z {
			at := 2*i*high + 2*j
			g.x[at], g.z[at] = xi+float64(border(z)*(1-xi/g.reach)), z
		}
	}
	return g
}

// stations are places from 0 to length, close together at 0.
func stations(length, first, growth, most float64) []float64 {
	all := []float64{0}
	at, step := 0.0, first
	for at < length {
		at += step
		all = append(all, at)
		step = min(step*growth, most)
	}
	for i := range all {
		all[i] = all[i] / at * length
	}
	return all
}

// turned is how far the ends of the whole strip turn against each other under a bending stress of 1 at their faces, E'
// being 1.
func (g *grid) turned(ctx context.Context, e elastic) (float64, error) {
	high := 2*g.rows + 1
	unknowns, at := g.unknowns()
	sum := sparse.NewBuilder(unknowns)
	var k [144]float64
	var where [12]int32
	g.triangles(func(n [6]int, x, z [3]float64) {
		stiffness(&k, x, z, e)
		for i, node := range n {
			where[2*i], where[2*i+1] = at[2*node], at[2*node+1]
		}
		sum.Add(where[:], k[:])
	})
	force := make([]float64, unknowns)
	// The stress at the end grows with z: by Simpson's rule, which is exact for stress times displacement's
	// shape.
	last := high * 2 * g.columns
	for j := 0; j < g.rows; j++ {
		a, b := g.z[last+2*j], g.z[last+2*j+2]
		for i, f := range [3]float64{a / 6, (a + b) / 3, b / 6} {
			if u := at[2*(last+2*j+i)]; u >= 0 {
				force[u] += float64(f * (b - a))
			}
		}
	}
	moved := append([]float64(nil), force...)
	m := sum.Matrix()
	factor, err := sparse.NewPlan(m, g.order(unknowns, at)).Factor(ctx, m, 1)
	if err != nil {
		return 0, err
	}
	factor.Solve(moved)
	work := 0.0
	for i, f := range force {
		work += float64(f * moved[i])
	}
	if g.quarter {
		work *= 2 // what lies below the mid-plane does as much
	}
	// Work is moment, 2/3, times how far one end turns against the middle.
	return 2 * work / (2.0 / 3), nil
}

// unknowns numbers the displacements of nodes, two for each, column by column; those that are held get -1, and those that
// move as others do get the others'.
func (g *grid) unknowns() (count int, at []int32) {
	high := 2*g.rows + 1
	at = make([]int32, 2*len(g.x))
	for i := range at {
		node, across := i/2, i%2 == 0
		column, row := node/high, node%high
		switch {
		case g.quarter && across && (row == 0 || column == 0 && row <= 2*g.high),
			g.quarter && !across && node == 0,
			!g.quarter && column == 0 && row == g.rows:
			at[i] = -1
			continue
		case !g.quarter && column == 0 && row > g.rows && row <= 2*g.high:
			at[i] = at[2*(high-1-row)+i%2]
			continue
		}
		at[i] = int32(count)
		count++
	}
	return count, at
}

// triangles gives for each its nodes, corners first, then those midway from the first to the second, the second to
// the third and the third to the first; and its corners' places.
func (g *grid) triangles(each func(n [6]int, x, z [3]float64)) {
	high := 2*g.rows + 1
	for i := range g.columns {
		for j := range g.rows {
			a := 2*i*high + 2*j
			b, c, d := a+2*high, a+2*high+2, a+2
			ab, bc, cd, da, mid := a+high, b+1, d+high, a+1, a+high+1
			one := func(p, q, r, pq, qr, rp int) {
				each([6]int{p, q, r, pq, qr, rp}, [3]float64{g.x[p], g.x[q], g.x[r]}, [3]float64{g.z[p], g.z[q], g.z[r]})
			}
			if g.apart(a, c) <= g.apart(b, d) {
				one(a, b, c, ab, bc, mid)
				one(a, c, d, mid, cd, da)
			} else {
				one(a, b, d, ab, mid, da)
				one(b, c, d, bc, cd, mid)
			}
		}
	}
}

// apart is the square of the distance of two nodes.
func (g *grid) apart(a, b int) float64 {
	x, z := g.x[a]-g.x[b], g.z[a]-g.z[b]
	return float64(x*x) + float64(z*z)
}
