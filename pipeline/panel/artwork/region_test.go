package artwork_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

func flash(aperture int32, x, y float64, clear bool) artwork.Object {
	at := geom.Pt(geom.FromMM(x), geom.FromMM(y))
	return artwork.Object{Kind: artwork.Flash, Aperture: aperture, Region: -1, Edge: geom.Line(at, at), Clear: clear}
}

// What is drawn last counts: clear takes away what lies below it, and what is drawn over that stays. Areas by
// geometry.
func TestRegionInFollowsTheOrderOfDrawing(t *testing.T) {
	mm := geom.MM
	m := &artwork.Image{
		Apertures: []artwork.Aperture{{Shape: artwork.Rectangle, Width: 10 * mm, Height: 10 * mm}, {Shape: artwork.Rectangle, Width: 4 * mm, Height: 4 * mm},
			{Shape: artwork.Rectangle, Width: 2 * mm, Height: 2 * mm}, {Shape: artwork.Circle, Width: 6 * mm, Hole: 2 * mm},
			{Shape: artwork.Macro, Primitives: []artwork.Primitive{
				{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{6 * mm, 6 * mm}, Points: []geom.Point{{}}},
				{Kind: artwork.PrimCircle, Off: true, Size: [5]geom.Length{4 * mm}, Points: []geom.Point{{}}},
				{Kind: artwork.PrimCircle, Size: [5]geom.Length{2 * mm}, Points: []geom.Point{{}}}}},
			{Shape: artwork.Macro, Primitives: []artwork.Primitive{{Kind: artwork.PrimThermal, Size: [5]geom.Length{6 * mm, 4 * mm, mm}, Points: []geom.Point{{}}}}}},
		Sets: []artwork.Attributes{nil},
	}
	window := geom.Box{Min: geom.Pt(-20*mm, -20*mm), Max: geom.Pt(20*mm, 20*mm)}
	// A ring 6 to 4 mm with two gaps of 1 mm straight through: each gap takes, on each side, what of a strip
	// 1 mm wide lies in the ring.
	strip := func(r float64) float64 {
		return float64(0.5*math.Sqrt(float64(r*r)-0.25)) + float64(r*r*math.Asin(0.5/r))
	}
	thermal := math.Pi*(9-4) - 4*(strip(3)-strip(2))
	for name, c := range map[string]struct {
		objects []artwork.Object
		want    float64 // mm²
	}{
		"dark":                      {[]artwork.Object{flash(0, 0, 0, false)}, 100},
		"clear over dark":           {[]artwork.Object{flash(0, 0, 0, false), flash(1, 0, 0, true)}, 84},
		"dark over clear over dark": {[]artwork.Object{flash(0, 0, 0, false), flash(1, 0, 0, true), flash(2, 0, 0, false)}, 88},
		"clear first":               {[]artwork.Object{flash(1, 0, 0, true), flash(0, 0, 0, false)}, 100},
		"aperture with a hole":      {[]artwork.Object{flash(3, 0, 0, false)}, math.Pi * (9 - 1)},
		"macro that erases itself":  {[]artwork.Object{flash(4, 0, 0, false)}, 36 - 4*math.Pi + math.Pi},
		"thermal":                   {[]artwork.Object{flash(5, 0, 0, false)}, thermal},
		"cut to the window":         {[]artwork.Object{flash(0, 20, 0, false)}, 50},
	} {
		t.Run(name, func(t *testing.T) {
			m.Objects = c.objects
			all := make([]int, len(c.objects))
			for i := range all {
				all[i] = i
			}
			r, err := m.RegionIn(context.Background(), window, all)
			require.NoError(t, err)
			assert.InDelta(t, c.want, r.Area()/1e12, 1e-3)
		})
	}
}

// Contours of a region are separate areas: which way they run round does not matter, and where two overlap
// nothing cancels. Areas by geometry.
func TestContoursOfARegionAreUnited(t *testing.T) {
	square := func(x float64) geom.Path {
		at := geom.Pt(geom.FromMM(x), 0)
		return geom.Rectangle(geom.Box{Min: at, Max: at.Add(geom.Pt(4*geom.MM, 4*geom.MM))})
	}
	for name, c := range map[string][]geom.Path{
		"same way":     {square(0), square(2)},
		"opposite":     {square(0), square(2).Reverse()},
		"both back":    {square(0).Reverse(), square(2).Reverse()},
		"three, mixed": {square(0), square(1).Reverse(), square(2)},
	} {
		m := &artwork.Image{Sets: []artwork.Attributes{nil}, Regions: []artwork.Region{{Contours: c}}}
		r, err := m.Area(context.Background(), artwork.Object{Kind: artwork.Fill, Aperture: -1})
		require.NoError(t, err, name)
		assert.InDelta(t, 24, r.Area()/1e12, 1e-9, name)
	}
}
