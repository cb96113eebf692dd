package fiducials_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/fiducials"
)

func railed(t *testing.T, sides ...panel.RailSide) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(100*geom.MM, 60*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().LayRails(sides, 20*geom.MM, 0, 0, false).Build()
	require.NoError(t, err)
	return p
}

// The fiducial of one corner lies further from it along its rail.
func TestOneCornerIsOffset(t *testing.T) {
	const four = `corners = ["lower_left", "lower_right", "upper_right", "upper_left"]
`
	mm := func(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }
	for name, c := range map[string]struct {
		options string
		sides   []panel.RailSide
		want    []geom.Point
	}{
		"none":                       {four, []panel.RailSide{panel.Upper, panel.Lower}, []geom.Point{mm(15, 6.25), mm(85, 6.25), mm(85, 93.75), mm(15, 93.75)}},
		"by default, 5 mm":           {four + `offset_corner = "lower_right"`, []panel.RailSide{panel.Upper, panel.Lower}, []geom.Point{mm(15, 6.25), mm(80, 6.25), mm(85, 93.75), mm(15, 93.75)}},
		"along an upright rail":      {four + "offset_corner = \"upper_left\"\noffset = 7", []panel.RailSide{panel.Left, panel.Right}, []geom.Point{mm(15, 6.25), mm(125, 6.25), mm(125, 53.75), mm(15, 46.75)}},
		"along the lying one of two": {four + `offset_corner = "upper_left"`, []panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, []geom.Point{mm(15, 6.25), mm(125, 6.25), mm(125, 93.75), mm(20, 93.75)}},
	} {
		t.Run(name, func(t *testing.T) {
			var at []geom.Point
			for _, m := range stagetest.Run(t, fiducials.Kind(), c.options, railed(t, c.sides...), nil).Panel.Marks() {
				at = append(at, m.At)
			}
			assert.Equal(t, c.want, at)
		})
	}
}

func TestRefusals(t *testing.T) {
	p := railed(t, panel.Upper, panel.Lower)
	assert.ErrorContains(t, stagetest.Fails(t, fiducials.Kind(), `offset_corner = "upper_right"`, p, nil), "offset_corner is upper_right, which corners does not name")
	assert.ErrorContains(t, stagetest.Fails(t, fiducials.Kind(), `clear_diameter = 1.5`, p, nil), "clear_diameter must be at least mask_diameter")
	assert.ErrorContains(t, stagetest.Fails(t, fiducials.Kind(), `inward_y = 19`, p, nil), "do not lie on a rail")
}
