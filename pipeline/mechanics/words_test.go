package mechanics

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func TestFiguresInWords(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 1: "1", 0.0123456: "0.0123", 12.345: "12.3", 12345: "12300", 9.996: "10", -12.345: "-12.3", 1e-9: "0.000000001", math.Inf(1): "not known"} {
		assert.Equal(t, want, Figure(v))
	}
	assert.Equal(t, 12.35, Digits(12.3456))
	assert.Equal(t, 123500.0, Digits(123456))
	assert.Equal(t, "12.3 12.3 0.0001 0 0", strings.Join([]string{Small(12.345), Small(-12.345), Small(-0.0001), Small(-0.00009), Small(0)}, " "))
	assert.Equal(t, geom.Pt(192*geom.MM, 71540*geom.UM), Place(geom.Pt(191_999_740, 71_536_878)))
	assert.Equal(t, "162 mm, 71.54 mm", Distance(161_999_740)+", "+Distance(71_536_878))
	assert.Equal(t, "2.5", Times(2.5))
	assert.Equal(t, "far more than needed", Times(math.Inf(1)))
}

func TestHowAPanelIsCarriedInWords(t *testing.T) {
	s := panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Left, panel.Right}, Pins: make([]geom.Point, 4), Force: panel.Constant{Value: 5, Unit: "N"}}
	assert.Equal(t, "carried at its left and right edges", CarriedBy(s))
	a := &Answers{Support: s}
	s.Carried = panel.ByPins
	assert.Equal(t, "carried on 4 pins", CarriedBy(s))
	assert.Equal(t, "carried on 3 pins", (&Answers{Support: s, IdlePins: make([]geom.Point, 1)}).CarriedBy())
	assert.Equal(t, "between the pins that lie furthest apart", SpanWords(s))
	s.Carried, s.Sides = panel.ByOneRail, s.Sides[:1]
	assert.Equal(t, "held at its left edge", CarriedBy(s))
	assert.Equal(t, "from the held edge to the far one", SpanWords(s))
	assert.Equal(t, "cold, 5 N pressing on B2", State{Kind: Pressed, Pressed: "B2"}.Words(a))
	assert.Equal(t, "in the oven", State{Kind: Hot}.Words(a))
	assert.Equal(t, "cold", State{Kind: Cold}.Words(a))
}
