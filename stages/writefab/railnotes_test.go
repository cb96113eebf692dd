package writefab_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writefab"
)

// The notes tell what is printed on the rails, where, what of, and whether mask lies there.
func TestNotesAboutPrints(t *testing.T) {
	const mm = geom.MM
	legend := func(s panel.Side) panel.Function { return panel.Function{Kind: panel.Legend, Side: s} }
	mask := panel.Function{Kind: panel.Soldermask, Side: panel.Top}
	copper := panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}
	box := func(x, y, w, h geom.Length) geom.Box { return geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+w, y+h)} }
	build := func(masked bool, change func(*panel.Builder)) string {
		board := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(box(0, 0, 60*mm, 30*mm))}}
		if masked {
			board.Layers = []panel.Layer{{Function: mask, Image: &artwork.Image{Sets: []artwork.Attributes{nil}}}}
		}
		b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).LayRails([]panel.RailSide{panel.Upper}, 10*mm, 2*mm, 0, false)
		change(b)
		p, err := b.Build()
		require.NoError(t, err)
		text := string(stagetest.Run(t, writefab.Kind(), "", p, nil).Outputs["fab/stage-test-notes.txt"])
		var out []string
		keep := false
		for _, l := range strings.Split(text, "\n") {
			if !strings.HasPrefix(l, " ") {
				keep = strings.HasPrefix(l, "Printed") || strings.HasPrefix(l, "Soldermask") || strings.HasPrefix(l, "Thieving")
			}
			if keep {
				out = append(out, l)
			}
		}
		return strings.Join(out, "\n")
	}
	pen := func(x, y geom.Length) []panel.PenLine {
		return []panel.PenLine{{Path: geom.Path{geom.Line(geom.Pt(x+mm, y+mm), geom.Pt(x+2*mm, y+mm))}, Width: 200 * geom.UM}}
	}
	square := func(x, y geom.Length) []geom.Path {
		return []geom.Path{geom.Rectangle(box(x+mm, y+mm, 400*geom.UM, 400*geom.UM))}
	}
	thieving := panel.Print{ID: "thieving/rail/upper", Use: panel.Thieving, Layers: []panel.Function{copper}, Area: box(50*mm, 33*mm, 8*mm, 8*mm),
		Dots: []panel.Dot{{At: geom.Pt(52*mm, 35*mm), Diameter: mm}}}
	opening := panel.Print{ID: "legend/code/opening", Use: panel.RailMask, Layers: []panel.Function{mask}, Area: box(0, 32*mm, 5*mm, 5*mm), Areas: square(0, 32*mm)}
	words := panel.Print{ID: "legend/text", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Top)}, Text: "RG-7  rev. B\nkeep \"dry\"", LetterHeight: 2 * mm,
		Area: box(1500*geom.UM, 33*mm, 20*mm, 3*mm), Lines: pen(1500*geom.UM, 33*mm)}
	arrow := panel.Print{ID: "legend/arrow", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Bottom)}, Text: "direction of travel: right",
		Area: box(22*mm, 33*mm, 6*mm, 3*mm), Lines: pen(22*mm, 33*mm)}
	code := panel.Print{ID: "legend/code", Use: panel.Code, Layers: []panel.Function{copper}, Text: "RG-7 B", Symbology: "qr", Square: 400 * geom.UM,
		Area: box(30*mm, 33*mm, 8*mm, 8*mm), Areas: square(30*mm, 33*mm)}
	room := panel.Print{ID: "legend/label_area", Use: panel.LabelArea, Layers: []panel.Function{legend(panel.Top)}, Text: "for a label of 8 x 6 mm", Area: box(40*mm, 33*mm, 8*mm, 6*mm)}
	name := func(copy string) panel.Print {
		return panel.Print{ID: "bad_board_mark/" + copy + "/name/top", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Top)}, Text: copy, Copy: copy, LetterHeight: 1500 * geom.UM,
			Area: box(22*mm, 37*mm, 4*mm, 3*mm), Lines: pen(22*mm, 37*mm)}
	}
	sign := panel.Print{ID: "acme/sign", Use: panel.Lettering, Layers: []panel.Function{legend(panel.Top)}, Area: box(22*mm, 33*mm, 6*mm, 3*mm), Lines: pen(22*mm, 33*mm)}
	own := panel.Print{ID: "acme/A1", Use: panel.OnBoard, Copy: "A1", Layers: []panel.Function{legend(panel.Bottom)}, Text: "0042", LetterHeight: mm,
		Area: box(22*mm, 13*mm, 6*mm, 3*mm), Lines: pen(22*mm, 13*mm)}
	for _, c := range []struct {
		name   string
		masked bool
		prints []panel.Print
		want   string
	}{
		{"nothing printed", true, nil, "Soldermask   covers the rails on top, but for the openings drawn"},
		{"no mask", false, nil, ""},
		{"a shop's own", false, []panel.Print{sign, own}, "Printed      a sign, in legend on the top, takes up 6 x 3 from (22, 33)\n" +
			"             stays on A1: letters 1 high, \"0042\", in legend on the bottom, takes up 6 x 3 from (22, 13)"},
		{"all there is", true, []panel.Print{words, arrow, code, room, name("A1"), opening},
			"Printed      letters 2 high: \"RG-7  rev. B\\nkeep \\\"dry\\\"\", in legend on the top, takes up 20 x 3 from (1.5, 33)\n" +
				"             arrow, direction of travel: right, in legend on the bottom, takes up 6 x 3 from (22, 33)\n" +
				"             QR code that says \"RG-7 B\", squares of 0.4, in copper on the bottom, takes up 8 x 8 from (30, 33)\n" +
				"             room for a label of 8 x 6 mm without a frame on the top, takes up 8 x 6 from (40, 33)\n" +
				"             letters 1.5 high: the names of 1 copy beside their bad-board marks, in legend on the top\n" +
				"Soldermask   covers the rails on top, but for the openings drawn"},
		{"names of two copies", false, []panel.Print{name("A1"), name("B1")}, "Printed      letters 1.5 high: the names of 2 copies beside their bad-board marks, in legend on the top"},
		{"an opening beside thieving", true, []panel.Print{thieving, opening}, "Thieving     1 dot of copper on the waste, on 1 copper layer, below soldermask\n" +
			"Soldermask   covers the rails on top, but for the openings drawn"},
		{"thieving laid bare", true, []panel.Print{thieving, {ID: "rail_mask/rail/upper", Use: panel.RailMask, Layers: []panel.Function{mask}, Area: thieving.Area, Areas: []geom.Path{geom.Rectangle(thieving.Area)}}},
			"Thieving     1 dot of copper on the waste, on 1 copper layer, with the soldermask left out over it\n" +
				"Soldermask   is left out over the thieved waste on top; it covers the rails elsewhere, but for the openings drawn"},
	} {
		assert.Equal(t, c.want, build(c.masked, func(b *panel.Builder) {
			for _, x := range c.prints {
				b.AddPrint(x)
			}
		}), c.name)
	}
}
