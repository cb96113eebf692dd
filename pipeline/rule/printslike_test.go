package rule

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Names and marks that every copy has are told of once, with all copies; what differs in size, or is of no copy, by
// itself.
func TestPrintsOfCopiesAreToldTogether(t *testing.T) {
	legend := panel.Function{Kind: panel.Legend, Side: panel.Top}
	under := panel.Function{Kind: panel.Legend, Side: panel.Bottom}
	name := func(id, copy string, height, pen geom.Length, on panel.Function) panel.Print {
		p := dash(id, on)
		p.Copy, p.LetterHeight = copy, height
		p.Lines[0].Width = pen
		return p
	}
	build := func() *panel.Builder {
		e := row(weir(geom.MM), 1, 0).LayRails([]panel.RailSide{panel.Lower}, 10*geom.MM, 2*geom.MM, 0, false)
		for i, copy := range []string{"A1", "B1", "C1"} {
			height := 900 * geom.UM
			if i == 2 {
				height = 800 * geom.UM
			}
			e.AddPrint(name("bad_board_mark/"+copy+"/name/top", copy, height, 140*geom.UM, legend))
			e.AddPrint(name("bad_board_mark/"+copy+"/name/bottom", copy, height, 140*geom.UM, under))
			at := geom.Pt(15*geom.MM, 4*geom.MM)
			e.AddPrint(panel.Print{ID: "bad_board_mark/" + copy, Use: panel.BadBoard, Copy: copy, Layers: []panel.Function{legend}, Area: geom.BoxOf(at).Grow(geom.MM),
				Dots: []panel.Dot{{At: at, Diameter: 140 * geom.UM}}})
		}
		for i := range 2 {
			e.AddPrint(name(fmt.Sprint("legend/text/", i), "", 900*geom.UM, 140*geom.UM, legend))
		}
		return e
	}
	type told struct {
		says   string
		copies []string
	}
	for _, c := range []struct {
		rule  string
		limit float64
		want  []told
	}{
		{"legend-height", 1, []told{
			{"the letters of bad_board_mark/A1/name/top and of 3 prints like it are 0.9 mm high; at least 1 mm are asked for", []string{"A1", "B1"}},
			{"the letters of bad_board_mark/C1/name/top and of 1 print like it are 0.8 mm high; at least 1 mm are asked for", []string{"C1"}},
			{"the letters of legend/text/0 are 0.9 mm high; at least 1 mm are asked for", nil},
			{"the letters of legend/text/1 are 0.9 mm high; at least 1 mm are asked for", nil},
		}},
		{"legend-height", 0.9, []told{{"the letters of bad_board_mark/C1/name/top and of 1 print like it are 0.8 mm high; at least 0.9 mm are asked for", []string{"C1"}}}},
		{"legend-stroke", 0.15, []told{
			{"a stroke of bad_board_mark/A1/name/top and of 5 prints like it is 0.14 mm wide; at least 0.15 mm are asked for", []string{"A1", "B1", "C1"}},
			{"a dot of bad_board_mark/A1 and of 2 prints like it is 0.14 mm wide; at least 0.15 mm are asked for", []string{"A1", "B1", "C1"}},
			{"a stroke of legend/text/0 is 0.14 mm wide; at least 0.15 mm are asked for", nil},
			{"a stroke of legend/text/1 is 0.14 mm wide; at least 0.15 mm are asked for", nil},
		}},
		{"legend-stroke", 0.14, nil},
	} {
		var got []told
		for _, f := range judge(t, c.rule, build(), c.limit) {
			got = append(got, told{f.Message, f.Copies})
			require.NotNil(t, f.At)
			require.NotNil(t, f.Measured)
		}
		assert.Equal(t, c.want, got, "%s %v", c.rule, c.limit)
	}
}
