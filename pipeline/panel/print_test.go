package panel

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func aPrint() Print {
	return Print{
		ID: "legend/product", Use: Lettering, Text: "RG-1042", Copy: "A1", LetterHeight: 2 * geom.MM, Symbology: "qr", Square: 400 * geom.UM,
		Layers: []Function{{Kind: Legend, Side: Top}, {Kind: Copper, Side: Inner, Index: 2}},
		Area:   geom.Box{Max: geom.Pt(10*geom.MM, 4*geom.MM)},
		Dots:   []Dot{{geom.Pt(1*geom.MM, 1*geom.MM), geom.MM}, {geom.Pt(3*geom.MM, 1*geom.MM), geom.MM}, {geom.Pt(5*geom.MM, 1*geom.MM), 2 * geom.MM}},
		Lines:  []PenLine{{geom.Path{geom.Line(geom.Pt(1*geom.MM, 3*geom.MM), geom.Pt(2*geom.MM, 3*geom.MM))}, 150 * geom.UM}},
		Areas:  []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(7*geom.MM, 2*geom.MM), Max: geom.Pt(8*geom.MM, 3*geom.MM)})},
	}
}

func TestPrintsAreReadBackFromData(t *testing.T) {
	b := Panel{}.Edit().AddPrint(aPrint()).AddScore(Score{ID: "score/y1", To: geom.Pt(50*geom.MM, 0), RemainingWeb: 400 * geom.UM, Depth: 600 * geom.UM,
		IncludedAngle: 30 * geom.Degree, WebTolerance: 100 * geom.UM, BladeOffsetTolerance: 100 * geom.UM, PositionTolerance: 150 * geom.UM, RunOut: 15 * geom.MM, BladeDiameter: 100 * geom.MM})
	b.d.outline = geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(50*geom.MM, 50*geom.MM)})}
	p, err := b.Build()
	require.NoError(t, err)
	text, err := p.Data("p", "A")
	require.NoError(t, err)
	again, _, _, err := ReadData(text, nil)
	require.NoError(t, err)
	assert.Equal(t, p.Prints(), again.Prints())
	assert.Equal(t, p.Scores(), again.Scores())
}

func TestAPrintDrawsWithinItsArea(t *testing.T) {
	for want, change := range map[string]func(*Print){
		`print "legend/product" draws beyond its own area`:           func(p *Print) { p.Area.Max.X = 7 * geom.MM },
		`print "legend/product" stands on no layer`:                  func(p *Print) { p.Layers = nil },
		`print "legend/product" has nothing to draw`:                 func(p *Print) { p.Dots, p.Lines, p.Areas = nil, nil, nil },
		`print "legend/product" has a line of no width or no length`: func(p *Print) { p.Lines[0].Width = 0 },
		`print "legend/product" has a dot of no size`:                func(p *Print) { p.Dots[0].Diameter = 0 },
		`print "legend/product" has an area that does not close`:     func(p *Print) { p.Areas[0] = p.Areas[0][1:] },
		`print "legend/product" has a line whose edges do not follow one another`: func(p *Print) {
			p.Lines[0].Path = append(p.Lines[0].Path, geom.Line(geom.Point{}, geom.Pt(geom.MM, 0)))
		},
	} {
		x := aPrint()
		change(&x)
		_, err := Panel{}.Edit().AddPrint(x).Build()
		assert.EqualError(t, err, want)
	}
}

// Handbook trigonometry: a board of 1.6 mm with a web of 0.4 mm is cut 0.6 mm deep from each face; half the
// groove's width at the surface is 0.6 × tan 15° = 0.1608 mm at 30° included, 0.6 × tan 30° = 0.3464 mm at 60°.
func TestHalfWidthOfAGroove(t *testing.T) {
	for angle, want := range map[geom.Angle]geom.Length{30 * geom.Degree: 160_770, 60 * geom.Degree: 346_411} {
		s := Score{Depth: 600 * geom.UM, IncludedAngle: angle}
		assert.InDelta(t, float64(want), float64(s.HalfWidth()), 1)
	}
}
