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
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writereport"
)

// What the panel prints on top is in the picture, in the colour of what it is made of, and named; what it
// prints on the bottom is not.
func TestPrintsArePictured(t *testing.T) {
	b := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 30*geom.MM)})}}
	legend := func(s panel.Side) panel.Function { return panel.Function{Kind: panel.Legend, Side: s} }
	copper := panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}
	mask := panel.Function{Kind: panel.Soldermask, Side: panel.Top}
	square := func(x, side geom.Length) geom.Path {
		return geom.Rectangle(geom.Box{Min: geom.Pt(x, 2*geom.MM), Max: geom.Pt(x+side, 2*geom.MM+side)})
	}
	stroke := panel.PenLine{Path: geom.Path{geom.Line(geom.Pt(2*geom.MM, 5*geom.MM), geom.Pt(5*geom.MM, 5*geom.MM))}, Width: 200 * geom.UM}
	all := geom.Box{Max: geom.Pt(60*geom.MM, 10*geom.MM)}
	e := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).LayRails([]panel.RailSide{panel.Lower}, 10*geom.MM, 2*geom.MM, 0, false).
		AddPrint(panel.Print{ID: "legend/text", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Top)}, Text: "A < B", Area: all, Lines: []panel.PenLine{stroke}}).
		AddPrint(panel.Print{ID: "legend/below", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Bottom)}, Text: "below", Area: all, Lines: []panel.PenLine{stroke}}).
		AddPrint(panel.Print{ID: "legend/code", Use: panel.Code, Layers: []panel.Function{copper}, Text: "RG-1042", Area: all, Areas: []geom.Path{square(20*geom.MM, geom.MM), square(21*geom.MM, geom.MM)}}).
		AddPrint(panel.Print{ID: "legend/code/opening", Use: panel.RailMask, Layers: []panel.Function{mask}, Area: all, Areas: []geom.Path{square(20*geom.MM, 3*geom.MM)}}).
		AddPrint(panel.Print{ID: "legend/label_area", Use: panel.LabelArea, Layers: []panel.Function{legend(panel.Top)}, Area: geom.Box{Min: geom.Pt(40*geom.MM, geom.MM), Max: geom.Pt(50*geom.MM, 9*geom.MM)}}).
		AddPrint(panel.Print{ID: "thieving/rail/lower", Use: panel.Thieving, Layers: []panel.Function{copper}, Area: all, Dots: []panel.Dot{{At: geom.Pt(30*geom.MM, 5*geom.MM), Diameter: geom.MM}, {At: geom.Pt(32*geom.MM, 5*geom.MM), Diameter: geom.MM}}})
	e.AddPrint(panel.Print{ID: "bad_board_mark/A1", Use: panel.BadBoard, Layers: []panel.Function{copper}, Copy: "A1", Area: all, Dots: []panel.Dot{{At: geom.Pt(55*geom.MM, 5*geom.MM), Diameter: 2 * geom.MM}}})
	p, err := e.Build()
	require.NoError(t, err)
	picture := string(stagetest.Run(t, writereport.Kind(), "", p, nil).Outputs["report/panel.svg"])
	for d := xml.NewDecoder(strings.NewReader(picture)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
	}
	for _, want := range []string{
		`<g><title>legend/text: A &lt; B</title><path d="M2 5L5 5" fill="none" stroke="currentColor" stroke-width="0.2" stroke-linecap="round" stroke-linejoin="round"/></g>`,
		`<g><title>legend/code: RG-1042</title><path d="M20 2L21 2L21 3L20 3L20 2ZM21 2L22 2L22 3L21 3L21 2Z" fill="currentColor"/></g>`,
		`<use href="#prints-copper-top" color="#3f8281"/>`, // under mask
		`<use href="#prints-copper-top" color="#e9a93c"/>`, // laid bare by the opening
		`<g><title>thieving/rail/lower</title><path d="M30 5h0M32 5h0" fill="none" stroke="currentColor" stroke-width="1" stroke-linecap="round" stroke-linejoin="round"/></g>`,
		`<path d="M20 2L23 2L23 5L20 5L20 2Z" fill="currentColor"/>`, // the opening
		`<use href="#prints-legend-top" color="#f7f4ea"/>`,
		`<rect x="40" y="1" width="10" height="8" fill="none"`,
		"<title>legend/label_area</title>",
		">laminate laid bare</text>", ">thieving</text>", ">bad-board mark</text>", ">kept for a label</text>",
	} {
		assert.Contains(t, picture, want)
	}
	assert.NotContains(t, picture, "below")
	// Nothing of it is in the key of a panel without prints.
	p, err = panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().Build()
	require.NoError(t, err)
	picture = string(stagetest.Run(t, writereport.Kind(), "", p, nil).Outputs["report/panel.svg"])
	for _, no := range []string{"laminate laid bare", "thieving", "bad-board mark", "kept for a label", "openings-of-prints"} {
		assert.NotContains(t, picture, no)
	}
}
