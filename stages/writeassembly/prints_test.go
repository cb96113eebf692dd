package writeassembly_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writeassembly"
)

// What the line reads and where it puts its labels, one row a layer; thieving, openings and marks are no prints of
// that sort.
func TestPrints(t *testing.T) {
	const mm = geom.MM
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*mm, 30*mm)})}}
	legend := []panel.Function{{Kind: panel.Legend, Side: panel.Top}}
	both := []panel.Function{{Kind: panel.Copper, Side: panel.Top, Index: 1}, {Kind: panel.Copper, Side: panel.Bottom, Index: 2}}
	box := geom.Box{Min: geom.Pt(1_500_001, 2*mm), Max: geom.Pt(9*mm, 8*mm)}
	dot := []panel.Dot{{At: box.Center(), Diameter: mm}}
	build := func(prints ...panel.Print) panel.Panel {
		b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
		for _, x := range prints {
			x.Area = box
			b.AddPrint(x)
		}
		p, err := b.SetXOut(panel.XOut{Copies: 1, Panels: 50_000}).Build()
		require.NoError(t, err)
		return p
	}
	others := []panel.Print{
		{ID: "thieving/rail/upper", Use: panel.Thieving, Layers: both, Dots: dot},
		{ID: "bad_board_mark/A1", Use: panel.BadBoard, Copy: "A1", Layers: both, Dots: dot},
		{ID: "legend/text/opening", Use: panel.RailMask, Layers: []panel.Function{{Kind: panel.Soldermask, Side: panel.Top}}, Dots: dot},
	}
	all := append([]panel.Print{
		{ID: "legend/text", Use: panel.Lettering, Layers: legend, Text: "RG-7, \"B\"\nkeep dry", LetterHeight: 2 * mm, Dots: dot},
		{ID: "legend/code", Use: panel.Code, Layers: both, Text: "RG-7 B", Symbology: "data_matrix", Square: 500 * geom.UM, Dots: dot},
		{ID: "legend/label_area", Use: panel.LabelArea, Layers: legend, Text: "for a label of 7 x 6 mm"},
	}, others...)
	got := stagetest.Run(t, writeassembly.Kind(), "", build(all...), nil)
	text := string(got.Outputs["assembly/stage-test-prints.csv"])
	require.Contains(t, text, "\"RG-7, \"\"B\"\"\nkeep dry\"")
	remarks, rows := table(t, []byte(text))
	assert.Contains(t, strings.Join(remarks, "\n"), "# origin: lower left corner of the panel outline")
	assert.Equal(t, [][]string{
		{"print", "use", "side", "made_of", "text", "left_mm", "lower_mm", "width_mm", "height_mm", "letter_height_mm", "symbology", "square_mm"},
		{"legend/text", "lettering", "top", "legend", "RG-7, \"B\"\nkeep dry", "1.500001", "2", "7.499999", "6", "2", "", ""},
		{"legend/code", "code", "top", "copper", "RG-7 B", "1.500001", "2", "7.499999", "6", "", "data_matrix", "0.5"},
		{"legend/code", "code", "bottom", "copper", "RG-7 B", "1.500001", "2", "7.499999", "6", "", "data_matrix", "0.5"},
		{"legend/label_area", "label_area", "top", "legend", "for a label of 7 x 6 mm", "1.500001", "2", "7.499999", "6", "", "", ""},
	}, rows)
	// What is agreed of bad copies stands above the copies, marks or no marks.
	got = stagetest.Run(t, writeassembly.Kind(), "", build(others[0]), nil)
	assert.NotContains(t, got.Outputs, "assembly/stage-test-prints.csv")
	assert.Contains(t, string(got.Outputs["assembly/stage-test-copies.csv"]), "# X-out: at most 1 of the 1 copies of a panel may be bad, in at most 5 % of the panels delivered, unless agreed otherwise\ncopy,board,")
}
