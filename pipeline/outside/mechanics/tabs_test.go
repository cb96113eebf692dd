package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/mechanics/mesh"
	"panelwright/pipeline/panel"
)

// sizes is how fine a solid panel is cut: in the open, along the perforations, how fast it grows between.
type sizes struct {
	open, holes geom.Length
	grading     float64
}

// solidSizes are those that the comparison is made with. Finer ones (6, 0.2, 0.6; 7 % more unknowns) let the demo's gauges
// sag by 0.7 % more; a grid beside grooves with 2.4 times the unknowns its modems by 1.6 % more.
var solidSizes = sizes{open: 8 * geom.MM, holes: 400 * geom.UM, grading: 1}

// rowCut is a row of a tab, and the cut along it.
type rowCut struct {
	tab           string
	row           int
	middle, along [2]float64 // of the straight line between its ends
	lines         []int      // of the mesh
	run           [][2]float64
}

// tabbed is a panel with tabs as the outside program gets it, with a cut along every row of perforations.
func tabbed(t testing.TB, p panel.Panel, size sizes) (*job, []rowCut) {
	t.Helper()
	material, err := p.Material(t.Context(), 2)
	require.NoError(t, err)
	d := mesh.Domain{Open: size.open, Grading: size.grading, Tidy: 5 * geom.UM}
	var holes overlay.Operand
	for _, h := range p.Perforations() {
		from := h.At.Add(geom.Pt(h.Diameter/2, 0))
		circle := geom.Arc(from, from, h.At, geom.CounterClockwise)
		holes.Paths = append(holes.Paths, geom.Path{circle})
		d.Near = append(d.Near, mesh.Near{Edge: circle, Size: size.holes})
	}
	d.Region, err = overlay.Difference(t.Context(), overlay.Options{Workers: 2}, overlay.Operand{Paths: material.Paths()}, holes)
	require.NoError(t, err)
	var rows []rowCut
	for _, x := range p.Tabs() {
		for k, r := range x.Rows {
			c := rowCut{tab: x.ID, row: k}
			for i, e := range r.Line {
				require.Equal(t, geom.Straight, e.Sense)
				if i == 0 {
					c.run = append(c.run, place(e.From))
				}
				c.lines, c.run = append(c.lines, len(d.Lines)), append(c.run, place(e.To))
				d.Lines = append(d.Lines, mesh.Line{From: e.From, To: e.To})
			}
			a, b := c.run[0], c.run[len(c.run)-1]
			length := math.Hypot(b[0]-a[0], b[1]-a[1])
			c.middle = [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
			c.along = [2]float64{(b[0] - a[0]) / length, (b[1] - a[1]) / length}
			rows = append(rows, c)
		}
	}
	m, err := mesh.Make(t.Context(), d)
	require.NoError(t, err)
	var x, y []float64
	for _, q := range m.Nodes {
		x, y = append(x, q.X.MM()), append(y, q.Y.MM())
	}
	f := quadratic(x, y, m.Triangles)
	f.round(p)
	s := sectionsOf(t, p)
	for _, tri := range f.tri {
		cx, cy := (x[tri[0]]+x[tri[1]]+x[tri[2]])/3, (y[tri[0]]+y[tri[1]]+y[tri[2]])/3
		kind := s.at(cx, cy)
		if inRow(p, cx, cy) {
			kind = etched // tabs carry no copper
		}
		f.kind = append(f.kind, kind)
	}
	j := &job{solid: raise(f, p.Thickness().MM()), laminates: s.all, frequencies: 1}
	j.carry(t, p)
	for _, r := range rows {
		on := map[int32]bool{}
		add := func(n int32) {
			for _, l := range j.levels[n] {
				if l >= 0 {
					on[l] = true
				}
			}
		}
		for _, i := range r.lines {
			for k, n := range m.Lines[i] {
				add(n)
				if k > 0 {
					before := m.Lines[i][k-1]
					if middle, ok := f.edge[[2]int32{min(n, before), max(n, before)}]; ok {
						add(middle)
					}
				}
			}
		}
		require.NotEmpty(t, on, "%s has no material", r.tab)
		j.cuts = append(j.cuts, j.beside(r.run, on))
	}
	return j, rows
}

// round moves the middles of edges on the perforations' rims from their chords to the circles.
func (f *flat) round(p panel.Panel) {
	cells := map[[2]int][]panel.Perforation{}
	cell := func(x, y float64) [2]int { return [2]int{int(math.Floor(x)), int(math.Floor(y))} }
	for _, h := range p.Perforations() {
		c := cell(h.At.X.MM(), h.At.Y.MM())
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				at := [2]int{c[0] + dx, c[1] + dy}
				cells[at] = append(cells[at], h)
			}
		}
	}
	rim := func(h panel.Perforation, n int32) bool {
		off := math.Hypot(f.x[n]-h.At.X.MM(), f.y[n]-h.At.Y.MM()) - h.Diameter.MM()/2
		return math.Abs(off) < 1e-5
	}
	for edge, n := range f.edge {
		for _, h := range cells[cell(f.x[n], f.y[n])] {
			if !rim(h, edge[0]) || !rim(h, edge[1]) {
				continue
			}
			dx, dy := f.x[n]-h.At.X.MM(), f.y[n]-h.At.Y.MM()
			by := h.Diameter.MM() / 2 / math.Hypot(dx, dy)
			f.x[n], f.y[n] = h.At.X.MM()+dx*by, h.At.Y.MM()+dy*by
		}
	}
}

// inRow tells whether a place in mm lies between the holes of a row.
func inRow(p panel.Panel, x, y float64) bool {
	for _, tab := range p.Tabs() {
		if math.Hypot(tab.Feet[0].X.MM()-x, tab.Feet[0].Y.MM()-y) > 10 {
			continue
		}
		for k, r := range tab.Rows {
			half := 0.25 // of rows that are cut by hand
			for _, h := range p.Perforations() {
				if h.Tab == tab.ID && h.Row == k {
					half = h.Diameter.MM() / 2
					break
				}
			}
			a, b := place(r.Line[0].From), place(r.Line[len(r.Line)-1].To)
			length := math.Hypot(b[0]-a[0], b[1]-a[1])
			ux, uy := (b[0]-a[0])/length, (b[1]-a[1])/length
			along, across := ux*(x-a[0])+uy*(y-a[1]), ux*(y-a[1])-uy*(x-a[0])
			if along > 0 && along < length && math.Abs(across) < half {
				return true
			}
		}
	}
	return false
}
