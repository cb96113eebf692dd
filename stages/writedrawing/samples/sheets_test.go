package samples

import (
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/drawingtest"
	"panelwright/pipeline/geom"
	"panelwright/stages/writedrawing"
)

// TestSheets: whole drawings of every sample have no text over another or over a line, and nothing beyond the sheet.
func TestSheets(t *testing.T) {
	for _, x := range allPanels(t) {
		for _, set := range []struct {
			name string
			set  func(*writedrawing.WriteDrawing)
		}{
			{"mm", func(*writedrawing.WriteDrawing) {}},
			{"both on A3", func(w *writedrawing.WriteDrawing) { w.Units, w.Sheet, w.State = "both", "A3", "released" }},
			{"inch", func(w *writedrawing.WriteDrawing) { w.Units = "inch" }},
		} {
			t.Run(x.name+"/"+set.name, func(t *testing.T) {
				w := writedrawing.Kind().New().(*writedrawing.WriteDrawing)
				set.set(w)
				var told []string
				env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "sample-" + x.name, Revision: "A", Workers: 1}, func(f pipeline.Finding) { told = append(told, f.Message) }, nil)
				got, err := w.Draw(t.Context(), env, x.panel)
				require.NoError(t, err)
				require.NotEmpty(t, got.Sheets)
				frame := got.Size.Frame()
				for _, s := range got.Sheets {
					assert.Empty(t, drawingtest.Clashes(s))
					for _, text := range s.AllTexts() {
						inside := frame.Grow(10 * geom.UM).Holds(text.Box())
						assert.True(t, inside || text.Layer == drawing.Frame, "%q leaves the drawing space", text.S)
					}
				}
				for _, m := range told {
					t.Log(m)
				}
			})
		}
	}
}
