package artwork

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func flashOn(x, y geom.Length) Object {
	return Object{Kind: Flash, Region: -1, Edge: geom.Line(geom.Pt(x, y), geom.Pt(x, y))}
}

func TestWithin(t *testing.T) {
	const mm = geom.MM
	m := &Image{Apertures: []Aperture{{Shape: Circle, Width: 2 * mm, Set: 1}, {Shape: Rectangle, Width: 4 * mm, Height: mm}, {Shape: Obround, Width: 4 * mm, Height: mm}, {Shape: Circle, Width: mm}},
		Sets: []Attributes{nil, {{Name: ".AperFunction", Values: []string{"SMDPad", "CuDef"}}}}}
	rect, obround := flashOn(9*mm, 5*mm), flashOn(9*mm, 7*mm)
	rect.Aperture, obround.Aperture = 1, 2
	stroke := Object{Kind: Stroke, Aperture: 3, Region: -1, Edge: geom.Line(geom.Pt(5*mm, 2*mm), geom.Pt(25*mm, 2*mm))}
	wide := stroke
	wide.Aperture = 0 // its round end would reach out of the limit
	m.Objects = []Object{flashOn(5*mm, 5*mm), flashOn(15*mm, 5*mm), flashOn(10*mm, 5*mm), rect, obround, stroke, wide}
	box := geom.Box{Max: geom.Pt(10*mm, 10*mm)}
	got, trim := m.Within(geom.Box{Max: geom.Pt(10_600*geom.UM, 10*mm)}, box)
	assert.Equal(t, Trim{Left: 1, Cut: 3, Over: []Object{obround, wide}}, trim)
	require.Len(t, got.Objects, 6)
	assert.Equal(t, m.Objects[0], got.Objects[0], "what lies inside stays")
	// Half of a disc of 2 mm: π/2 mm².
	half := got.Regions[got.Objects[1].Region].Contours[0]
	assert.True(t, half.Closed())
	assert.InDelta(t, math.Pi/2, half.Area()/1e12, 1e-6)
	assert.Equal(t, int32(1), got.Objects[1].AperSet, "the pad's attributes go with it")
	left := got.Regions[got.Objects[2].Region].Contours[0].Box()
	assert.Equal(t, geom.Box{Min: geom.Pt(7*mm, 4_500_000), Max: geom.Pt(10*mm, 5_500_000)}, left)
	assert.Equal(t, geom.Pt(10*mm, 2*mm), got.Objects[4].Edge.To)
	assert.Len(t, m.Objects, 7, "the source stays as it was")
	same, trim := m.Within(geom.Box{Min: geom.Pt(-50*mm, -50*mm), Max: geom.Pt(50*mm, 50*mm)}, box)
	assert.Same(t, m, same)
	assert.True(t, trim.None())
}

// What is left of a disc has the area that sampling finds, wherever the box cuts it.
func TestClipDiscArea(t *testing.T) {
	c, d := geom.Pt(1000, -2000), geom.Length(2_000_001)
	for _, box := range []geom.Box{
		{Min: geom.Pt(-5_000_000, -5_000_000), Max: geom.Pt(300_000, 5_000_000)},
		{Min: geom.Pt(-5_000_000, -400_000), Max: geom.Pt(300_000, 5_000_000)},
		{Min: geom.Pt(-500_000, -400_000), Max: geom.Pt(300_000, 600_000)},
		{Min: geom.Pt(-500_000, -400_000), Max: geom.Pt(300_000, 5_000_000)},
		{Min: geom.Pt(-900_000, -5_000_000), Max: geom.Pt(900_000, 5_000_000)},
		{Min: geom.Pt(-5_000_000, -5_000_000), Max: geom.Pt(900_000, 850_000)},
	} {
		p := clipDisc(c, d, box)
		in, n := 0, 0
		for x := c.X - d/2; x <= c.X+d/2; x += 2003 {
			for y := c.Y - d/2; y <= c.Y+d/2; y += 2003 {
				n++
				if q := geom.Pt(x, y); box.HoldsPoint(q) && q.Distance(c) <= float64(d)/2 {
					in++
				}
			}
		}
		want := float64(in) / float64(n) * float64(d) * float64(d)
		assert.True(t, p.Closed())
		assert.InEpsilon(t, want, p.Area(), 0.005, "%v", box)
	}
}
