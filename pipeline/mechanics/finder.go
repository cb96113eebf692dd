package mechanics

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/mesh"
)

// finder finds the triangle that a point lies in, and what belongs to which piece.
type finder struct {
	m             *mesh.Mesh
	origin        geom.Point
	step          geom.Length
	columns, rows int
	first         []int32 // of each cell, into list
	list          []int32
	pieceOf       []int32 // of each node
	border        map[[2]int32]bool
}

// newFinder sorts triangles into cells about as large as they are.
func newFinder(m *mesh.Mesh) *finder {
	f := &finder{m: m, pieceOf: make([]int32, len(m.Nodes)), border: map[[2]int32]bool{}}
	box := geom.EmptyBox()
	for _, q := range m.Nodes {
		box = box.Union(geom.BoxOf(q))
	}
	f.origin = box.Min
	f.step = max(geom.MM, geom.Round(math.Sqrt(float64(box.Width())*float64(box.Height())/float64(len(m.Triangles)+1))))
	f.columns, f.rows = int(box.Width()/f.step)+1, int(box.Height()/f.step)+1
	count := make([]int32, f.columns*f.rows+1)
	cells := func(t [3]int32, each func(cell int)) {
		b := geom.BoxOf(m.Nodes[t[0]], m.Nodes[t[1]], m.Nodes[t[2]])
		x0, y0 := f.cell(b.Min)
		x1, y1 := f.cell(b.Max)
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				each(y*f.columns + x)
			}
		}
	}
	for _, t := range m.Triangles {
		cells(t, func(c int) { count[c+1]++ })
	}
	for i := 1; i < len(count); i++ {
		count[i] += count[i-1]
	}
	f.first = append([]int32(nil), count...)
	f.list = make([]int32, count[len(count)-1])
	for i, t := range m.Triangles {
		cells(t, func(c int) { f.list[count[c]] = int32(i); count[c]++ })
		for _, n := range t {
			f.pieceOf[n] = m.Piece[i]
		}
	}
	for _, e := range m.Border {
		f.border[[2]int32{min(e[0], e[1]), max(e[0], e[1])}] = true
	}
	return f
}

func (f *finder) cell(q geom.Point) (x, y int) {
	x = min(max(int((q.X-f.origin.X)/f.step), 0), f.columns-1)
	y = min(max(int((q.Y-f.origin.Y)/f.step), 0), f.rows-1)
	return x, y
}

// bordering tells whether two nodes are joined by an edge of the border.
func (f *finder) bordering(a, b int32) bool { return f.border[[2]int32{min(a, b), max(a, b)}] }

// piece is the one that a node belongs to.
func (f *finder) piece(node int32) int { return int(f.pieceOf[node]) }

// locate gives the triangle that q lies in, the first of those that share an edge.
func (f *finder) locate(q geom.Point) (int32, bool) {
	if q.X < f.origin.X || q.Y < f.origin.Y {
		return 0, false
	}
	x, y := f.cell(q)
	c := y*f.columns + x
	for _, i := range f.list[f.first[c]:f.first[c+1]] {
		if f.inside(i, q) {
			return i, true
		}
	}
	return 0, false
}

func (f *finder) inside(i int32, q geom.Point) bool {
	t := f.m.Triangles[i]
	for k := range 3 {
		a, b := f.m.Nodes[t[k]], f.m.Nodes[t[(k+1)%3]]
		u, v := b.Sub(a), q.Sub(a)
		if float64(float64(u.X)*float64(v.Y)) < float64(float64(u.Y)*float64(v.X)) {
			return false
		}
	}
	return true
}

// nearest gives the triangle that q lies in, or that with the nearest node within 5 mm, and the place in it.
func (f *finder) nearest(q geom.Point) (int32, geom.Point, bool) {
	if t, ok := f.locate(q); ok {
		return t, q, true
	}
	reach := int((5*geom.MM)/f.step) + 1
	x, y := f.cell(q)
	best, at, found := math.Inf(1), int32(0), false
	var place geom.Point
	for cy := max(0, y-reach); cy <= min(f.rows-1, y+reach); cy++ {
		for cx := max(0, x-reach); cx <= min(f.columns-1, x+reach); cx++ {
			c := cy*f.columns + cx
			for _, i := range f.list[f.first[c]:f.first[c+1]] {
				for _, n := range f.m.Triangles[i] {
					if d := f.m.Nodes[n].Distance(q); d < best {
						best, at, place, found = d, i, f.m.Nodes[n], true
					}
				}
			}
		}
	}
	return at, place, found && best <= float64(5*geom.MM)
}
