package writereport_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writereport"
)

func TestPicture(t *testing.T) {
	image := func(clear bool) *artwork.Image {
		at := func(x geom.Length) geom.Edge { return geom.Line(geom.Pt(x, 5*geom.MM), geom.Pt(x, 5*geom.MM)) }
		return &artwork.Image{
			Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}, {Shape: artwork.Rectangle, Width: geom.MM, Height: 2 * geom.MM, Hole: 300 * geom.UM}},
			Sets:      []artwork.Attributes{nil},
			Objects: []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: at(5 * geom.MM)}, {Kind: artwork.Flash, Aperture: 1, Region: -1, Edge: at(8 * geom.MM)},
				{Kind: artwork.Flash, Clear: clear, Region: -1, Edge: at(8 * geom.MM)}},
		}
	}
	b := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})},
		Layers: []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: image(true)},
			{Function: panel.Function{Kind: panel.Soldermask, Side: panel.Top}, Image: image(false)},
			{Function: panel.Function{Kind: panel.Legend, Side: panel.Top}, Image: image(false)}}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().
		AddSlot(panel.Slot{ID: "slot/y1/1", Outline: geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Min: geom.Pt(-geom.MM, -geom.MM), Max: geom.Pt(10*geom.MM, geom.MM)}, geom.MM)}}).
		AddPerforation(panel.Perforation{ID: "h", Copy: "A1", At: geom.Pt(12*geom.MM, 0), Diameter: 500 * geom.UM}).
		AddScore(panel.Score{ID: "score/y1", From: geom.Pt(0, 9*geom.MM), To: geom.Pt(20*geom.MM, 9*geom.MM)}).Build()
	require.NoError(t, err)
	svg := string(stagetest.Run(t, writereport.Kind(), "", p, nil).Outputs["report/panel.svg"])
	// Well formed, every reference leads somewhere, no id twice.
	d := xml.NewDecoder(strings.NewReader(svg))
	ids, refs := map[string]bool{}, map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if e, ok := tok.(xml.StartElement); ok {
			for _, a := range e.Attr {
				switch {
				case a.Name.Local == "id":
					assert.False(t, ids[a.Value], "id %s is given twice", a.Value)
					ids[a.Value] = true
				case a.Name.Local == "href":
					refs[strings.TrimPrefix(a.Value, "#")] = true
				case strings.HasPrefix(a.Value, "url(#"):
					refs[strings.TrimSuffix(strings.TrimPrefix(a.Value, "url(#"), ")")] = true
				}
			}
		}
	}
	require.NotEmpty(t, refs)
	for r := range refs {
		assert.True(t, ids[r], "nothing is called %s", r)
	}
	for _, want := range []string{"seen from the top", "perforation", "score line", "routed slot", "local rules have the last word"} {
		assert.Contains(t, svg, want)
	}
	assert.NotContains(t, svg, "NOT FOR RELEASE")
}
