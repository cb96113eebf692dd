package artwork

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
)

// Turned and unturned macros cover the same places, whichever way their parts are written.
func TestTurnedMacrosCoverTheTurnedPlaces(t *testing.T) {
	const mm = geom.MM
	macro := Aperture{Shape: Macro, Primitives: []Primitive{
		{Kind: PrimPolygon, Vertices: 5, Size: [5]geom.Length{2 * mm}, Points: []geom.Point{geom.Pt(3*mm, mm)}, Turn: 20 * geom.Degree},
		{Kind: PrimCenterLine, Size: [5]geom.Length{2 * mm, mm}, Points: []geom.Point{geom.Pt(-3*mm, 0)}, Turn: 10 * geom.Degree},
		{Kind: PrimCircle, Size: [5]geom.Length{mm}, Points: []geom.Point{geom.Pt(0, 3*mm)}},
		{Kind: PrimOutline, Points: []geom.Point{geom.Pt(0, -2*mm), geom.Pt(mm, -3*mm), geom.Pt(-mm, -4*mm), geom.Pt(0, -2*mm)}},
	}}
	for _, by := range []geom.Angle{geom.Quarter, geom.Half, 3 * geom.Quarter, 30 * geom.Degree} {
		m := &Image{Apertures: []Aperture{macro, macro.Turned(by)}}
		flash := func(a int32) Object { return Object{Kind: Flash, Aperture: a, Region: -1} }
		turn := geom.Transform{Turn: by}
		for x := -5 * mm; x <= 5*mm; x += 130 * geom.UM {
			for y := -5 * mm; y <= 5*mm; y += 170 * geom.UM {
				q := geom.Pt(x, y)
				assert.InDelta(t, m.DistanceToPoint(flash(0), q), m.DistanceToPoint(flash(1), turn.Apply(q)), 4, "%v turned by %v", q, by)
			}
		}
	}
}

// A common viewer turns these about their own middle (measured), so after quarter turns only their
// middle may have moved.
func TestThermalsAndMoiresOffTheOriginMoveTheirMiddle(t *testing.T) {
	for _, kind := range []PrimitiveKind{PrimThermal, PrimMoire} {
		p := Primitive{Kind: kind, Size: [5]geom.Length{2 * geom.MM, geom.MM, 200 * geom.UM}, Points: []geom.Point{geom.Pt(3*geom.MM, 0)}}
		got := Aperture{Shape: Macro, Primitives: []Primitive{p}}.Turned(geom.Quarter).Primitives[0]
		assert.Equal(t, []geom.Point{geom.Pt(0, 3*geom.MM)}, got.Points)
		assert.Zero(t, got.Turn)
	}
}

func TestTurnedStandardApertures(t *testing.T) {
	r := Aperture{Shape: Rectangle, Width: 3 * geom.MM, Height: geom.MM}
	assert.Equal(t, Aperture{Shape: Rectangle, Width: geom.MM, Height: 3 * geom.MM}, r.Turned(geom.Quarter))
	assert.Equal(t, r, r.Turned(geom.Half))
	assert.Equal(t, Macro, r.Turned(30*geom.Degree).Shape)
	assert.Equal(t, Aperture{Shape: Circle, Width: geom.MM}, Aperture{Shape: Circle, Width: geom.MM}.Turned(30*geom.Degree))
}
