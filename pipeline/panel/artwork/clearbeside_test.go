package artwork

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
)

// Clear strokes along another board's edge, clear flashes (a ring, a moiré, a thermal) across it, one
// inside and one far outside: on that board nothing is erased, beside it the picture stays the same.
func TestClearBeside(t *testing.T) {
	ctx := context.Background()
	at := func(x, y geom.Length) geom.Point { return geom.Pt(x*geom.MM/10, y*geom.MM/10) }
	board := geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Max: at(200, 100)}, 2*geom.MM),
		CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: at(80, 40), Max: at(100, 60)}).Reverse()}}
	m := &Image{Sets: []Attributes{nil}, Apertures: []Aperture{
		{Shape: Circle, Width: geom.MM},
		{Shape: Circle, Width: 4 * geom.MM, Hole: 2 * geom.MM},
		{Shape: Macro, Primitives: []Primitive{{Kind: PrimMoire, Points: []geom.Point{{}}, Vertices: 3,
			Size: [5]geom.Length{5 * geom.MM, geom.MM / 2, geom.MM / 2, geom.MM / 10, 6 * geom.MM}, Turn: 10 * geom.Degree}}},
		{Shape: Macro, Primitives: []Primitive{{Kind: PrimThermal, Points: []geom.Point{{}}, Size: [5]geom.Length{4 * geom.MM, 3 * geom.MM, geom.MM}}}},
	}}
	plane := geom.Rectangle(geom.Box{Min: at(-50, -50), Max: at(250, 150)})
	m.Regions = []Region{{Contours: []geom.Path{plane}}}
	m.Objects = []Object{{Kind: Fill, Aperture: -1}}
	clear := func(o Object) {
		o.Clear, o.Region = true, -1
		m.Objects = append(m.Objects, o)
	}
	clear(Object{Kind: Stroke, Edge: geom.Line(at(0, 0), at(200, 0))})
	clear(Object{Kind: Stroke, Edge: geom.Line(at(200, 0), at(200, 100))})
	clear(Object{Kind: Flash, Aperture: 1, Edge: geom.Line(at(0, 60), at(0, 60))})
	clear(Object{Kind: Flash, Aperture: 2, Edge: geom.Line(at(60, 100), at(60, 100))})
	clear(Object{Kind: Flash, Aperture: 3, Edge: geom.Line(at(150, 100), at(150, 100))})
	clear(Object{Kind: Flash, Aperture: 1, Edge: geom.Line(at(120, 50), at(120, 50))})
	clear(Object{Kind: Flash, Aperture: 0, Edge: geom.Line(at(90, 50), at(90, 50))}) // in the cut-out
	clear(Object{Kind: Flash, Aperture: 0, Edge: geom.Line(at(240, 50), at(240, 50))})

	c, count, err := m.ClearBeside(ctx, []geom.Outline{board})
	require.NoError(t, err)
	require.Equal(t, 7, count)
	require.Len(t, c.Objects, len(m.Objects)-2, "one wholly inside, in the middle of the board, is left out")

	all := func(m *Image) []int {
		var out []int
		for i := range m.Objects {
			out = append(out, i)
		}
		return out
	}
	box := geom.Box{Min: at(-60, -60), Max: at(260, 160)}
	before, err := m.RegionIn(ctx, box, all(m))
	require.NoError(t, err)
	after, err := c.RegionIn(ctx, box, all(c))
	require.NoError(t, err)
	outer := geom.Outline{Outer: board.Outer}
	area := func(r geom.Region, inside bool) float64 {
		var err error
		if inside {
			r, err = overlay.Intersection(ctx, overlay.Options{}, overlay.Of(r...), overlay.Of(outer))
		} else {
			r, err = overlay.Difference(ctx, overlay.Options{}, overlay.Of(r...), overlay.Of(outer))
		}
		require.NoError(t, err)
		return r.Area() / 1e12
	}
	require.InDelta(t, outer.Area()/1e12, area(after, true), 1e-5, "nothing is erased on the board")
	require.Less(t, area(before, false), 600-outer.Area()/1e12-20, "much is cleared beside it")
	require.InDelta(t, area(before, false), area(after, false), 1e-5)

	again, count, err := c.ClearBeside(ctx, []geom.Outline{board})
	require.NoError(t, err)
	require.Zero(t, count)
	require.Same(t, c, again)
}

// The area of a moiré: rings of 5, 3 and 1 mm, each 0.5 mm thick, under a cross.
func TestMoireArea(t *testing.T) {
	m := &Image{Sets: []Attributes{nil}, Apertures: []Aperture{{Shape: Macro, Primitives: []Primitive{{Kind: PrimMoire, Points: []geom.Point{{}}, Vertices: 3,
		Size: [5]geom.Length{5 * geom.MM, geom.MM / 2, geom.MM / 2}}}}},
		Objects: []Object{{Kind: Flash, Region: -1}}}
	r, err := m.Area(context.Background(), m.Objects[0])
	require.NoError(t, err)
	const pi = 3.14159265358979
	require.InEpsilon(t, pi/4*(25-16+9-4+1), r.Area()/1e12, 1e-6)
}
