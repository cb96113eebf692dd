package panel

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func sample(t *testing.T) Panel {
	t.Helper()
	b := &Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 40*geom.MM)})}}
	p, err := Panel{}.Edit().AddBoard(b).AddCopy(Copy{ID: "A1", Board: b}).FitOutline().Build()
	require.NoError(t, err)
	return p
}

func TestEditLeavesThePanelAlone(t *testing.T) {
	p := sample(t)
	before, err := p.Data("x", "A")
	require.NoError(t, err)
	// Two edits of one panel must not see each other, though both append to its lists.
	q, err := p.Edit().AddMark(Mark{ID: "fiducial/1"}).Shift(geom.Pt(5, 5)).Build()
	require.NoError(t, err)
	r, err := p.Edit().AddMark(Mark{ID: "fiducial/2"}).LayRails([]RailSide{Left}, geom.MM, 0, 0, false).Build()
	require.NoError(t, err)
	after, err := p.Data("x", "A")
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after))
	assert.Equal(t, "fiducial/1", q.Marks()[0].ID)
	assert.Equal(t, "fiducial/2", r.Marks()[0].ID)
	q.Marks()[0].ID = "changed"
	assert.Equal(t, "fiducial/1", q.Marks()[0].ID)
}

func TestNamesAreGivenOnce(t *testing.T) {
	p := sample(t)
	_, err := p.Edit().AddMark(Mark{ID: "A1"}).Build()
	assert.EqualError(t, err, `two features are called "A1"`)
	_, err = p.Edit().AddMark(Mark{}).Build()
	assert.EqualError(t, err, "a feature has no id")
}

func TestRailsOfDerivedWidthFollowTheirMarks(t *testing.T) {
	lay := func(derived bool) Panel {
		p, err := sample(t).Edit().LayRails([]RailSide{Upper, Lower, Left}, 10*geom.MM, 2*geom.MM, 0, derived).Build()
		require.NoError(t, err)
		return p
	}
	marks := CornerMark{Kind: ToolingHole, Corners: []Corner{LowerLeft, UpperRight}, InwardX: 5 * geom.MM, InwardY: 5 * geom.MM,
		Diameter: 4 * geom.MM, Keep: 3 * geom.MM}
	p, err := lay(true).AddCornerMarks(marks)
	require.NoError(t, err)
	upper, _ := p.Rail(Upper)
	left, _ := p.Rail(Left)
	assert.Equal(t, 8*geom.MM, upper.Width())
	assert.Equal(t, 10*geom.MM, left.Width(), "carries nothing: the default stays")
	assert.Equal(t, geom.Pt(12*geom.MM, 10*geom.MM), p.Copies()[0].Box().Min)
	assert.Equal(t, geom.Pt(5*geom.MM, 5*geom.MM), p.Marks()[0].At)
	assert.Equal(t, p.Outline().Box().Max.Sub(geom.Pt(5*geom.MM, 5*geom.MM)), p.Marks()[1].At)
	// A second, larger need widens, and the first marks keep their distance from the edges.
	marks.Kind, marks.InwardX, marks.InwardY = Fiducial, 15*geom.MM, 9*geom.MM
	q, err := p.AddCornerMarks(marks)
	require.NoError(t, err)
	upper, _ = q.Rail(Upper)
	assert.Equal(t, 12*geom.MM, upper.Width())
	assert.Equal(t, q.Outline().Box().Max.Sub(geom.Pt(5*geom.MM, 5*geom.MM)), q.Marks()[1].At)
	// A width that the recipe gives stands.
	_, err = lay(false).AddCornerMarks(marks)
	assert.EqualError(t, err, "the fiducial at lower_left, (15, 9) mm, and the 3 mm kept round it do not lie on a rail: make the rail wider or the inward distances smaller")
	_, err = sample(t).AddCornerMarks(marks)
	assert.EqualError(t, err, "no rail meets the corner lower_left: add a rail at the lower or left side, or name other corners")
}

func TestDataIsJSONWithExactNumbers(t *testing.T) {
	p := sample(t)
	data, err := p.Data("weir-1up", "A")
	require.NoError(t, err)
	var v struct {
		Schema int         `json:"schema"`
		Width  json.Number `json:"width_mm"`
		Copies []struct {
			ID string `json:"id"`
		} `json:"copies"`
	}
	require.NoError(t, json.Unmarshal(data, &v))
	assert.Equal(t, 1, v.Schema)
	assert.Equal(t, "60", v.Width.String())
	assert.Equal(t, "A1", v.Copies[0].ID)
}
