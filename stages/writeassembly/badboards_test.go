package writeassembly_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writeassembly"
)

// One row a mark and side; the opening round a mark is no mark, and what else is printed is none. What is agreed about
// bad copies stands above the table.
func TestBadBoardMarks(t *testing.T) {
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i, id := range []string{"A1", "B1"} {
		b.AddCopy(panel.Copy{ID: id, Board: board, Place: geom.Transform{Shift: geom.Pt(geom.Length(i)*22*geom.MM, 0)}})
		at := geom.Pt(geom.Length(i)*22*geom.MM+1_500_001, 2*geom.MM)
		dot := func(id string, d geom.Length, on ...panel.Function) {
			b.AddPrint(panel.Print{ID: id, Use: panel.BadBoard, Copy: string(rune('A'+i)) + "1", Layers: on, Area: geom.BoxOf(at).Grow(d), Dots: []panel.Dot{{At: at, Diameter: d}}})
		}
		dot("bad_board_mark/"+id, 2*geom.MM, panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2})
		dot("bad_board_mark/"+id+"/mask", 3*geom.MM, panel.Function{Kind: panel.Soldermask, Side: panel.Top})
	}
	for x, want := range map[panel.XOut]string{
		{Copies: 1, Panels: 25_000, Source: "our order"}: "at most 1 of the 2 copies of a panel may be bad, in at most 2.5 % of the panels delivered, unless agreed otherwise; our order",
		{Copies: 0, Panels: 100_000}:                     "none of the 2 copies of a panel may be bad, unless agreed otherwise",
		{Copies: 1, Panels: 0}:                           "none of the 2 copies of a panel may be bad, unless agreed otherwise",
	} {
		built, err := b.FitOutline().Build()
		require.NoError(t, err)
		b = built.Edit()
		p, err := built.Edit().SetXOut(x).Build()
		require.NoError(t, err)
		got := stagetest.Run(t, writeassembly.Kind(), "", p, nil)
		assert.Equal(t, "# bad-board marks of panel stage-test, revision A\n# unit: mm\n# origin: lower left corner of the panel outline\n# places: x right, y up, seen from the top, on both sides\n"+
			"# a copy whose mark is blacked out is bad: leave it out\n# X-out: "+want+"\n"+
			"copy,mark,side,x_mm,y_mm,diameter_mm,made_of\n"+
			"A1,bad_board_mark/A1,top,1.500001,2,2,copper\nA1,bad_board_mark/A1,bottom,1.500001,2,2,copper\n"+
			"B1,bad_board_mark/B1,top,23.500001,2,2,copper\nB1,bad_board_mark/B1,bottom,23.500001,2,2,copper\n",
			string(got.Outputs["assembly/stage-test-bad-board-marks.csv"]))
	}
	none, err := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().Build()
	require.NoError(t, err)
	assert.NotContains(t, stagetest.Run(t, writeassembly.Kind(), "", none, nil).Outputs, "assembly/stage-test-bad-board-marks.csv")
}
