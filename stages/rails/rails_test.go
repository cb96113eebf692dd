package rails_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/fiducials"
	"panelwright/stages/rails"
	"panelwright/stages/toolingholes"
)

func sample(t *testing.T) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(100*geom.MM, 60*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().Build()
	require.NoError(t, err)
	return p
}

func TestRailsWithoutMarksAreTenMillimetresWide(t *testing.T) {
	got := stagetest.Run(t, rails.Kind(), "", sample(t), nil).Panel
	assert.Equal(t, geom.Box{Max: geom.Pt(100*geom.MM, 84*geom.MM)}, got.Outline().Box())
	assert.Equal(t, geom.Pt(0, 12*geom.MM), got.Copies()[0].Box().Min)
}

// The width follows the marks: a 4 mm hole 5 mm from the edge and 1 mm of material make 8 mm; a
// fiducial's clear area of 3 mm, 6.25 mm from the edge, 7.75 mm.
func TestRailsFollowTheirMarks(t *testing.T) {
	p := stagetest.Run(t, rails.Kind(), `sides = ["upper", "lower", "left", "right"]`, sample(t), nil).Panel
	q := stagetest.Run(t, fiducials.Kind(), "", p, nil).Panel
	upper, _ := q.Rail(panel.Upper)
	assert.Equal(t, 7_750*geom.UM, upper.Width())
	q = stagetest.Run(t, toolingholes.Kind(), "", q, nil).Panel
	upper, _ = q.Rail(panel.Upper)
	left, _ := q.Rail(panel.Left)
	assert.Equal(t, 8*geom.MM, upper.Width())
	assert.Equal(t, 10*geom.MM, left.Width())
	box := q.Outline().Box()
	assert.Equal(t, geom.Box{Max: geom.Pt(124*geom.MM, 80*geom.MM)}, box)
	at := map[string]geom.Point{}
	for _, m := range q.Marks() {
		at[m.ID] = m.At
	}
	mm := func(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }
	assert.Equal(t, map[string]geom.Point{
		"fiducial/1": mm(15, 6.25), "fiducial/2": mm(109, 6.25), "fiducial/3": mm(15, 73.75),
		"tooling_hole/1": mm(5, 5), "tooling_hole/2": mm(119, 5), "tooling_hole/3": mm(119, 75), "tooling_hole/4": mm(5, 75),
	}, at)
}

func TestRefusals(t *testing.T) {
	assert.ErrorContains(t, stagetest.Fails(t, rails.Kind(), `sides = ["upper", "upper"]`, sample(t), nil), "names upper twice")
	assert.ErrorContains(t, stagetest.Fails(t, rails.Kind(), `corner_radius = 50`, sample(t), nil), "corner_radius 50 mm is more than half")
	slotted, err := sample(t).Edit().AddSlot(panel.Slot{ID: "slot/y1/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(geom.MM, geom.MM)})}}).Build()
	require.NoError(t, err)
	assert.ErrorContains(t, stagetest.Fails(t, rails.Kind(), "", slotted, nil), "put the stage rails before them")
	narrow := stagetest.Run(t, rails.Kind(), "width = 5", sample(t), nil).Panel
	assert.ErrorContains(t, stagetest.Fails(t, toolingholes.Kind(), "", narrow, nil), "the tooling hole at lower_left, (5, 5) mm, and the 3 mm kept round it do not lie on a rail")
	assert.ErrorContains(t, stagetest.Fails(t, fiducials.Kind(), "mask_diameter = 0.6", narrow, nil), "must be at least copper_diameter, 1 mm")
	assert.ErrorContains(t, stagetest.Fails(t, toolingholes.Kind(), "inward_x = 1", narrow, nil), "leaves less than 1 mm")
}

// A corner radius that would cut a board is refused.
func TestCornerRadiusKeepsOffTheBoards(t *testing.T) {
	err := stagetest.Fails(t, rails.Kind(), "sides = [\"upper\"]\ncorner_radius = 2", sample(t), nil)
	assert.ErrorContains(t, err, "corner_radius 2 mm would cut A1 off at")
}
