package mesh

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

func mm(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

func rect(x0, y0, x1, y1 float64) geom.Path {
	return geom.Rectangle(geom.Box{Min: mm(x0, y0), Max: mm(x1, y1)})
}

func disc(x, y, r float64) geom.Path {
	return geom.Path{geom.Arc(mm(x+r, y), mm(x+r, y), mm(x, y), geom.CounterClockwise)}
}

// polygon is the closed path through corners in millimetres.
func polygon(xy ...float64) geom.Path {
	var p geom.Path
	for i := 0; i < len(xy); i += 2 {
		k := (i + 2) % len(xy)
		p = append(p, geom.Line(mm(xy[i], xy[i+1]), mm(xy[k], xy[k+1])))
	}
	return p
}

// slot is what a cutter of radius r takes away on a way along an axis.
func slot(x0, y0, x1, y1, r float64) geom.Path {
	return geom.RoundedRectangle(geom.Box{Min: mm(min(x0, x1)-r, min(y0, y1)-r), Max: mm(max(x0, x1)+r, max(y0, y1)+r)}, geom.FromMM(r))
}

func region(t testing.TB, from geom.Path, less ...geom.Path) geom.Region {
	r, err := overlay.Difference(t.Context(), overlay.Options{}, overlay.Operand{Paths: []geom.Path{from}}, overlay.Operand{Paths: less})
	require.NoError(t, err)
	return r
}

// panelOf is a panel of columns × rows boards with slots of 2 mm between and around them, two tabs of 4 mm along each side, each
// cut by two bands of 0.5 mm beside the boards, and rails of 8 mm.
func panelOf(t testing.TB, width, height float64, columns, rows int) Domain {
	const rail, gap, tab, band = 8, 2, 4, 0.5
	w, h := (width-2*rail-float64(gap*float64(columns+1)))/float64(columns), (height-2*rail-float64(gap*float64(rows+1)))/float64(rows)
	d := Domain{Open: geom.FromMM(4.5)}
	var cuts []geom.Path
	across := func(at func(along, off float64) (x, y float64), length float64) {
		// One lane beside one board, from crossing to crossing.
		last := 0.0
		for _, f := range []float64{0.25, 0.75} {
			m := float64(length * f)
			x0, y0 := at(last, 0)
			x1, y1 := at(m-tab/2-gap/2, 0)
			cuts = append(cuts, slot(x0, y0, x1, y1, gap/2))
			for _, off := range []float64{-gap / 2, gap / 2} {
				const over = tab/2 + gap/2
				x0, y0 := at(m-over, off-band/2)
				x1, y1 := at(m+over, off+band/2)
				cuts = append(cuts, rect(x0, y0, max(x0, x1), max(y0, y1)))
				foot := off + band/2
				if off < 0 {
					foot = off - band/2
				}
				x0, y0 = at(m-over, foot)
				x1, y1 = at(m+over, foot)
				d.Near = append(d.Near, Near{geom.Line(mm(x0, y0), mm(x1, y1)), geom.FromMM(0.75)})
				d.Lines = append(d.Lines, Line{mm(x0, y0), mm(x1, y1)})
			}
			last = m + tab/2 + gap/2
		}
		x0, y0 := at(last, 0)
		x1, y1 := at(length, 0)
		cuts = append(cuts, slot(x0, y0, x1, y1, gap/2))
	}
	for i := range columns + 1 {
		for j := range rows {
			x, y := rail+gap/2+float64(float64(i)*(w+gap)), rail+gap/2+float64(float64(j)*(h+gap))
			across(func(along, off float64) (float64, float64) { return x + off, y + along }, h+gap)
		}
	}
	for j := range rows + 1 {
		for i := range columns {
			x, y := rail+gap/2+float64(float64(i)*(w+gap)), rail+gap/2+float64(float64(j)*(h+gap))
			across(func(along, off float64) (float64, float64) { return x + along, y + off }, w+gap)
		}
	}
	d.Region = region(t, rect(0, 0, width, height), cuts...)
	// Conveyor edges and points in the middle of each board.
	d.Lines = append(d.Lines, Line{mm(0, 4), mm(width, 4)}, Line{mm(0, height-4), mm(width, height-4)})
	for i := range columns {
		for j := range rows {
			d.Points = append(d.Points, mm(rail+gap+float64((float64(i)+0.5)*(w+gap)), rail+gap+float64((float64(j)+0.5)*(h+gap))))
		}
	}
	return d
}
