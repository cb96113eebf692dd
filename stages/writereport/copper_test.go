package writereport

import (
	"math"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// A board of 20 x 10 mm beside a slot of 10 mm: copper over its left half on the top, none on the bottom, nothing to
// tell where there is no laminate. Inner layers are not shown: nothing is plated up there.
func TestCopperIsShown(t *testing.T) {
	const mm = geom.MM
	half := &artwork.Image{Sets: []artwork.Attributes{nil}, Regions: []artwork.Region{{Contours: []geom.Path{geom.Rectangle(geom.Box{Max: geom.Pt(10*mm, 10*mm)})}}},
		Objects: []artwork.Object{{Kind: artwork.Fill, Aperture: -1}}}
	layer := func(side panel.Side, index int, m *artwork.Image) panel.Layer {
		return panel.Layer{Function: panel.Function{Kind: panel.Copper, Side: side, Index: index, Type: "Signal"}, Image: m}
	}
	b := &panel.Board{Name: "weir", CopperCount: 3, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*mm, 10*mm)})},
		Layers: []panel.Layer{layer(panel.Top, 1, half), layer(panel.Inner, 2, half), layer(panel.Bottom, 3, &artwork.Image{Sets: []artwork.Attributes{nil}})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).AddCopy(panel.Copy{ID: "B1", Board: b, Place: panel.Settle(b, geom.Half, geom.Pt(30*mm, 0))}).FitOutline().
		AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(20*mm, 0), Max: geom.Pt(30*mm, 10*mm)})}}).Build()
	require.NoError(t, err)
	for _, workers := range []int{1, 4} {
		var shown []pipeline.Field
		env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: workers}, nil, nil).With(pipeline.Hooks{Show: func(f pipeline.Field) { shown = append(shown, f) }})
		require.NoError(t, showCopper(t.Context(), env, p))
		require.Len(t, shown, 2)
		f := shown[0]
		assert.Equal(t, []any{"copper-share/copper-1-top", "Copper on the top", "%", pipeline.AsCut, panel.Top, geom.Point{}, 5 * mm, 10, 2},
			[]any{f.ID, f.Title, f.Unit, f.Moment, f.Side, f.Origin, f.Step, f.Columns, f.Rows})
		for k, want := range []float64{100, 100, 0, 0, -1, -1, 0, 0, 100, 100} {
			for _, got := range []float64{f.Values[k], f.Values[10+k]} {
				if want < 0 {
					assert.True(t, math.IsNaN(got), k)
				} else {
					assert.Equal(t, want, got, k)
				}
			}
		}
		assert.Equal(t, "copper-share/copper-3-bottom", shown[1].ID)
		assert.Zero(t, shown[1].Values[0])
		assert.Contains(t, f.Source, "no published source")
	}
	none, err := panel.Panel{}.Edit().AddBoard(&panel.Board{Name: "bare", Outline: b.Outline}).AddCopy(panel.Copy{ID: "A1", Board: &panel.Board{Name: "bare", Outline: b.Outline}}).FitOutline().Build()
	require.NoError(t, err)
	require.NoError(t, showCopper(t.Context(), pipeline.NewEnv(pipeline.Env{Workers: 1}, nil, nil).With(pipeline.Hooks{Show: func(pipeline.Field) { t.Error("nothing is to be shown") }}), none))
}
