package writefab_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writefab"
)

// The notes tell what was filled and how much of each layer is copper, what the bad-board marks are, and what is
// agreed about bad copies.
func TestNotesAboutMarks(t *testing.T) {
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})}}
	top, bottom := panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}
	area := geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)}
	dot := func(x geom.Length) panel.Dot { return panel.Dot{At: geom.Pt(x*geom.MM, 5*geom.MM), Diameter: geom.MM} }
	build := func(change func(*panel.Builder)) string {
		b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
		change(b)
		p, err := b.Build()
		require.NoError(t, err)
		return string(stagetest.Run(t, writefab.Kind(), "", p, nil).Outputs["fab/stage-test-notes.txt"])
	}
	got := build(func(b *panel.Builder) {
		b.AddPrint(panel.Print{ID: "thieving/rail/upper", Use: panel.Thieving, Layers: []panel.Function{top, bottom}, Area: area, Dots: []panel.Dot{dot(2), dot(4), dot(6)}})
		b.AddPrint(panel.Print{ID: "bad_board_mark/A1", Use: panel.BadBoard, Copy: "A1", Layers: []panel.Function{top}, Area: area, Dots: []panel.Dot{dot(10)}})
		b.AddPrint(panel.Print{ID: "bad_board_mark/A1/mask", Use: panel.BadBoard, Copy: "A1", Layers: []panel.Function{{Kind: panel.Soldermask, Side: panel.Top}}, Area: area, Dots: []panel.Dot{dot(10)}})
		b.SetCopperShares([]panel.CopperShare{{Layer: top, Before: 123_456, After: 223_456}, {Layer: bottom, Before: 0, After: 100_000}})
		b.SetXOut(panel.XOut{Copies: 1, Panels: 100_000, Source: "our order"})
	})
	assert.Contains(t, got, "Thieving     3 dots of copper on the waste, on 2 copper layers, below soldermask\n"+
		"             copper in per cent of the panel's area:\n"+
		"             layer                 before     after\n"+
		"             copper-1-top         12.35 %   22.35 %\n"+
		"             copper-2-bottom          0 %      10 %\n")
	assert.Contains(t, got, "Bad copies   1 bad-board mark, one for each copy, copper dots in mask openings: where a copy is bad, black its mark out and strike the copy itself through\n"+
		"             X-out: at most 1 of the 1 copies of a panel may be bad, in at most 10 % of the panels delivered, unless agreed otherwise; our order\n")
	got = build(func(b *panel.Builder) { b.SetXOut(panel.XOut{Panels: 100_000}) })
	assert.Contains(t, got, "Bad copies   X-out: none of the 1 copies of a panel may be bad, unless agreed otherwise\n")
	assert.NotContains(t, got, "Thieving")
	got = build(func(*panel.Builder) {})
	assert.NotContains(t, got, "Bad copies")
}
