package board_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/stages/board"
)

// tide is a board of 60 × 40 mm, silent drill files and copper with pads to hold them against.
// Places are in tenths of an inch, so that both units write them exactly.
var tide = [][2]int{{2, 2}, {3, 2}, {4, 2}, {5, 3}, {10, 4}, {12, 7}, {15, 9}, {20, 10}, {21, 12}, {22, 14}}

func tideCopper(places [][2]int) string {
	var b strings.Builder
	for _, p := range places {
		fmt.Fprintf(&b, "X%dY%dD03*\n", p[0]*25400, p[1]*25400)
	}
	return b.String()
}

func tideBoard(drills folder) folder {
	return folder{
		"tide-top.gbr":     layer("FileFunction,Copper,L1,Top", tideCopper(tide)),
		"tide-bottom.gbr":  layer("FileFunction,Copper,L2,Bot", tideCopper(tide)),
		"tide-profile.gbr": layer("FileFunction,Profile,NP", "X0Y0D02*\nX600000D01*\nY400000D01*\nX0D01*\nY0D01*\n"),
	}.with(drills)
}

// holesAs writes the places with a format of one's own.
func holesAs(head string, places [][2]int, number func(tenths int) string) string {
	var b strings.Builder
	b.WriteString(head)
	for _, p := range places {
		b.WriteString("X" + number(p[0]) + "Y" + number(p[1]) + "\n")
	}
	return b.String() + "M30\n"
}

func scaled(per float64, width int) func(int) string {
	return func(n int) string { return fmt.Sprintf("%0*d", width, int(math.Round(float64(n)*per))) }
}

func tidePlaces() []geom.Point {
	var out []geom.Point
	for _, p := range tide {
		out = append(out, geom.Pt(geom.Length(p[0])*geom.Inch/10, geom.Length(p[1])*geom.Inch/10))
	}
	return out
}

func holesOf(r result) []geom.Point {
	var out []geom.Point
	for _, d := range r.board.Drills {
		for _, h := range d.Drilling.Holes {
			out = append(out, h.At)
		}
	}
	return out
}

func trimmed(full func(int) string) func(int) string {
	return func(n int) string { return strings.TrimRight(full(n), "0") }
}

// Planted: files that are silent about their numbers, and whose first guess is wrong. The copper
// tells.
func TestGuessAgainstPads(t *testing.T) {
	for _, c := range []struct {
		name, text, told string
		severity         pipeline.Severity
	}{
		// Trailing zeros left out of 2.4, by a header that says the unit alone: found at once.
		{"leading kept", holesAs("M48\nINCH\nT1C0.04\n%\nT1\n", tide, trimmed(scaled(1000, 6))), "taken with leading zeros kept (coordinates begin with zeros)", pipeline.Note},
		// 3.2 spans 55 mm, and 5.5 mm by the first guess 3.3, which is a likely board too.
		{"metric 3.2", holesAs("M48\nMETRIC,TZ\nT1C1.0\n%\nT1\n", tide, scaled(254, 1)),
			"taken with mm, trailing zeros kept, digits 3.2 (the first guess, digits 3.3 (the usual for mm whose holes span a likely board), does not fit the board)", pipeline.Note},
		{"metric 4.4, not by its width", holesAs("M48\nMETRIC,TZ\nT1C1.0\n%\nT1\n", tide, scaled(25400, 1)), "taken with mm, trailing zeros kept, digits ", pipeline.Note},
		{"inch 2.3", holesAs("M48\nINCH,TZ\nT1C0.04\n%\nT1\n", tide, scaled(100, 1)),
			"taken with inch, trailing zeros kept, digits 2.3 (the first guess, digits 2.4", pipeline.Note},
		// The tool is 0.5, which is a likely drill in millimetres only, and wrong here.
		{"unit", holesAs("T1C0.5\n%\nT1\n", tide, func(n int) string { return fmt.Sprintf("%d.%d", n/10, n%10) }), "taken with inch (the first guess, unit mm (the tools would be too thick in inches), does not fit the board)", pipeline.Note},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := runFolder(t, tideBoard(folder{"tide-pth.drl": c.text}), nil)
			require.NoError(t, err)
			assert.Equal(t, tidePlaces(), holesOf(r))
			require.Equal(t, []string{"number-format-guessed"}, r.rules())
			assert.Contains(t, r.findings[0].Message, "tide-pth.drl does not say how its numbers are to be read: "+c.told)
			assert.Contains(t, r.findings[0].Message, "10 of 10 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 10 of 10 lie within the outline")
			assert.Equal(t, c.severity, r.findings[0].Severity)
		})
	}
}

// Leading zeros left out, but numbers are written at least four digits wide: one begins with a zero, and
// the file looks as if leading zeros were kept.
func TestGuessMisledByWidth(t *testing.T) {
	text := strings.Replace(holesAs("M48\nMETRIC\nT1C1.0\n%\nT1\n", tide, scaled(2540, 4)), "M30\n", "X0508Y0508\nM30\n", 1)
	one := tideCopper(tide) + "X5080Y5080D03*\n"
	r, err := runFolder(t, tideBoard(folder{"tide-pth.drl": text,
		"tide-top.gbr": layer("FileFunction,Copper,L1,Top", one), "tide-bottom.gbr": layer("FileFunction,Copper,L2,Bot", one)}), nil)
	require.NoError(t, err)
	assert.Equal(t, append(tidePlaces(), geom.Pt(508_000, 508_000)), holesOf(r))
	require.Equal(t, []string{"number-format-guessed"}, r.rules())
	assert.Contains(t, r.findings[0].Message, "taken with mm, trailing zeros kept, digits 3.3 (the first guess, leading zeros kept (coordinates begin with zeros); digits ")
}

// Pads on one side only are no evidence for a through hole, drawn pads are.
func TestPadsOfBothLayers(t *testing.T) {
	silent := holesAs("M48\nMETRIC,TZ\nT1C1.0\n%\nT1\n", tide, scaled(254, 1))
	f := tideBoard(folder{"tide-pth.drl": silent})
	_, err := runFolder(t, f.with(folder{"tide-bottom.gbr": layer("FileFunction,Copper,L2,Bot", pad)}), nil)
	require.ErrorContains(t, err, "tide-pth.drl does not say how its numbers are to be read, and no usual way puts its holes on the board")
	var drawn strings.Builder
	for _, p := range tide {
		fmt.Fprintf(&drawn, "X%dY%dD02*\nX%dD01*\n", p[0]*25400, p[1]*25400, p[0]*25400+9000)
	}
	r, err := runFolder(t, f.with(folder{"tide-bottom.gbr": layer("FileFunction,Copper,L2,Bot", drawn.String())}), nil)
	require.NoError(t, err)
	assert.Equal(t, tidePlaces(), holesOf(r))
}

// Where the board does not tell, the user is asked, by the options that a recipe has.
func TestGuessAsksUser(t *testing.T) {
	holes := [][2]int{{4, 4}, {23, 2}, {20, 13}}
	silent := holesAs("M48\nINCH\nT1C0.12\n%\nT1\n", holes, trimmed(scaled(1000, 6)))
	f := tideBoard(folder{"tide-npth.drl": silent})
	_, err := runFolder(t, f, nil)
	require.EqualError(t, err, `tide-npth.drl does not say how its numbers are to be read, and several ways put its holes on the board:
  inch, leading zeros kept, digits 2.4: 3 of 3 lie within the outline
  inch, trailing zeros kept, digits 2.4: 3 of 3 lie within the outline
  inch, trailing zeros kept, digits 2.3: 3 of 3 lie within the outline
  inch, trailing zeros kept, digits 2.5: 3 of 3 lie within the outline
    say in the recipe, in the board stage, which is meant:
      drill "tide-npth.drl" {
        unit   = "inch"
        zeros  = "leading"
        digits = [2, 4]
      }`)
	r, err := runFolder(t, f, func(b *board.Board) {
		b.Drills = []board.Drill{{Files: "tide-npth.drl", Unit: "inch", Zeros: "leading", Digits: []int{2, 4}}}
	})
	require.NoError(t, err)
	assert.Empty(t, r.findings)
	assert.Equal(t, geom.Pt(2*geom.Inch, 13*geom.Inch/10), holesOf(r)[2])
	t.Run("the plated file beside it tells", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"tide-pth.drl": holesAs("M48\nINCH\nT1C0.04\n%\nT1\n", tide, trimmed(scaled(1000, 6)))}), nil)
		require.NoError(t, err)
		assert.Equal(t, []string{"number-format-guessed", "number-format-guessed"}, r.rules())
		assert.Contains(t, r.findings[1].Message, "; as tide-pth.drl is written; ")
		assert.Equal(t, pipeline.Warning, r.findings[1].Severity)
		assert.Equal(t, geom.Pt(2*geom.Inch, 13*geom.Inch/10), r.board.Drills[0].Drilling.Holes[2].At)
	})
	t.Run("the mask tells", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"tide-mask.gbr": layer("FileFunction,Soldermask,Top", tideCopper(holes))}), nil)
		require.NoError(t, err)
		assert.Equal(t, geom.Pt(2*geom.Inch, 13*geom.Inch/10), holesOf(r)[2])
	})
	t.Run("nothing to hold it against", func(t *testing.T) {
		r, err := runFolder(t, tideBoard(folder{"tide-pth.drl": "M48\nMETRIC,TZ\nT1C1.0\n%\nT1\nX2000Y2000\nM30\n",
			"tide-top.gbr": layer("FileFunction,Copper,L1,Top", ""), "tide-bottom.gbr": layer("FileFunction,Copper,L2,Bot", "")}), nil)
		assert.Nil(t, r.board)
		assert.ErrorContains(t, err, "several ways put its holes on the board")
	})
}

// A file whose own word cannot be true: nothing is taken, and the recipe can overrule it.
func TestStatedWrongly(t *testing.T) {
	// The header says that trailing zeros are left out; in truth leading ones are.
	wrong := holesAs("M48\nMETRIC,LZ\nT1C1.0\n%\nT1\n", tide, scaled(2540, 1))
	f := tideBoard(folder{"tide-pth.drl": ";FILE_FORMAT=3:3\n" + wrong})
	_, err := runFolder(t, f, nil)
	require.EqualError(t, err, `tide-pth.drl misses the board as it says that its numbers are to be read (mm, leading zeros kept, digits 3.3): 0 of 10 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 0 of 10 lie within the outline; read with mm, trailing zeros kept, digits 3.3, 10 of 10 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 10 of 10 lie within the outline
    have it written again with a true header; or, where the other way is right, say it in the recipe, in the board stage:
      drill "tide-pth.drl" {
        unit     = "mm"
        zeros    = "trailing"
        digits   = [3, 3]
        override = true
      }`)
	r, err := runFolder(t, f, func(b *board.Board) {
		b.Drills = []board.Drill{{Files: "tide-pth.drl", Unit: "mm", Zeros: "trailing", Digits: []int{3, 3}, Override: true}}
	})
	require.NoError(t, err)
	assert.Equal(t, tidePlaces(), holesOf(r))
	require.Equal(t, []string{"read-in-doubt"}, r.rules())
	assert.Equal(t, "tide-pth.drl: the recipe says zeros trailing, the file says leading; the recipe's word is taken, as it asks", r.findings[0].Message)

	far := holesAs("M48\nINCH,LZ\nT1C0.04\n%\nT1\n", tide, scaled(1000, 1))
	_, err = runFolder(t, tideBoard(folder{"tide-pth.drl": far}), nil)
	require.ErrorContains(t, err, "tide-pth.drl:8:1: the coordinate is more than 1000 mm from the origin")
	require.ErrorContains(t, err, "; read with inch, trailing zeros kept, digits 2.4, 10 of 10 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 10 of 10 lie within the outline: where that is right, say it in the recipe")

	moved := holesAs("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C1.0\n%\nT1\n", tide, func(n int) string { return fmt.Sprintf("%.3f", float64(n)*2.54+100) })
	r, err = runFolder(t, tideBoard(folder{"tide.drl": moved}), nil)
	require.NoError(t, err)
	require.Equal(t, []string{"holes-off-board"}, r.rules())
	assert.Equal(t, pipeline.Error, r.findings[0].Severity)
	assert.Equal(t, "tide.drl: 0 of 10 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 0 of 10 lie within the outline: its holes are not in the coordinates of the outline, or are those of another board", r.findings[0].Message)
	nudged := holesAs("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C1.0\n%\nT1\n", tide, func(n int) string { return fmt.Sprintf("%.3f", float64(n)*2.54+0.3) })
	r, err = runFolder(t, tideBoard(folder{"tide.drl": nudged}), nil)
	require.NoError(t, err)
	assert.Equal(t, []string{"holes-off-pads"}, r.rules())
}

// Tool lists in other files.
func TestToolLists(t *testing.T) {
	bare := "%\nG90\nM72\nT01\nX0.5Y0.2\nX0.8Y0.2\nT02\nX1.0Y0.4\nT00\nM30\n"
	f := tideBoard(folder{"tide-pth.drl": bare})
	fault := "tide-pth.drl:4:1: tool 1 has no diameter\n    T01\n    add a line such as T1C0.5 to the header, or export the file with its tool table; "
	_, err := runFolder(t, f, nil)
	require.EqualError(t, err, fault+"or put a text beside it that lists its tools, one a line, such as T1 0.5 mm")
	list := "Tools of the tide gauge\n\nCode  Size     used\nT01   0.0236inch   2\nT02   0.0400inch   1\n"
	r, err := runFolder(t, f.with(folder{"tide-pth.txt": list}), nil)
	require.NoError(t, err)
	d := r.board.Drills[0].Drilling
	assert.Equal(t, []geom.Length{599_440, 1_016_000}, []geom.Length{d.Tools[0].Diameter, d.Tools[1].Diameter})
	require.Equal(t, []string{"tool-list-taken"}, r.rules())
	assert.Equal(t, "tide-pth.drl has no diameters: they are taken from tide-pth.txt", r.findings[0].Message)
	for _, s := range r.board.Sources {
		if s.Name == "tide-pth.txt" {
			assert.Equal(t, "tool list of tide-pth.drl", s.Use)
		}
	}
	t.Run("a rack file that looks like drill data", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"rack.drl": "T01C0.0236\nT02C0.0400\n"}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Drills, 1)
		assert.Equal(t, geom.Length(599_440), r.board.Drills[0].Drilling.Tools[0].Diameter)
	})
	t.Run("other counts", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"tide-pth.txt": strings.Replace(list, "   2\n", "   7\n", 1)}), nil)
		require.NoError(t, err)
		require.Equal(t, []string{"tool-list-taken", "tool-list-differs"}, r.rules())
		assert.Equal(t, "tide-pth.txt, the tool list of tide-pth.drl, counts otherwise: 7 holes of tool 1, the file has 2", r.findings[1].Message)
	})
	t.Run("two lists", func(t *testing.T) {
		two := f.with(folder{"a.txt": list, "b.txt": strings.Replace(list, "0.0236", "0.0300", 1)})
		_, err := runFolder(t, two, nil)
		require.EqualError(t, err, "tide-pth.drl:4:1: tool 1 has no diameter\n    T01\n    a.txt and b.txt list its tools, with different diameters: say in the recipe which one counts:\n  drill \"tide-pth.drl\" {\n    tool_list = \"a.txt\"\n  }")
		r, err := runFolder(t, two, func(b *board.Board) { b.Drills = []board.Drill{{Files: "tide-pth.drl", ToolList: "b.txt"}} })
		require.NoError(t, err)
		assert.Equal(t, geom.Length(762_000), r.board.Drills[0].Drilling.Tools[0].Diameter)
		_, err = runFolder(t, two, func(b *board.Board) { b.Drills = []board.Drill{{Files: "tide-pth.drl", ToolList: "c.txt"}} })
		require.ErrorContains(t, err, `tool_list = "c.txt" in the recipe means no text that lists tool 1`)
	})
	t.Run("the list of the same name", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"a.txt": strings.Replace(list, "0.0236", "0.0300", 1), "tide-pth.txt": list}), nil)
		require.NoError(t, err)
		assert.Equal(t, geom.Length(599_440), r.board.Drills[0].Drilling.Tools[0].Diameter)
	})
	t.Run("the list that names the file", func(t *testing.T) {
		r, err := runFolder(t, f.with(folder{"a.txt": strings.Replace(list, "0.0236", "0.0300", 1), "b.txt": "Report for tide-pth.drl\n" + list}), nil)
		require.NoError(t, err)
		assert.Equal(t, geom.Length(599_440), r.board.Drills[0].Drilling.Tools[0].Diameter)
	})
	t.Run("a list that lacks a tool", func(t *testing.T) {
		_, err := runFolder(t, f.with(folder{"tide-pth.txt": "T01 0.0236inch\n"}), nil)
		require.ErrorContains(t, err, "tool 1 has no diameter")
	})
	t.Run("silent numbers too", func(t *testing.T) {
		r, err := runFolder(t, tideBoard(folder{"tide-pth.drl": holesAs("%\nG90\nM71\nT01\n", tide, scaled(254, 1)), "tide-pth.txt": "T01 1.0 mm\n"}), nil)
		require.NoError(t, err)
		assert.Equal(t, tidePlaces(), holesOf(r))
	})
}

// Drill data written in the layer format.
func TestDrillDataAsLayer(t *testing.T) {
	round := func(attributes, body string) string {
		return strings.Replace(layer(attributes, body), "%LPD*%\n", "%ADD11C,1.0*%\n%ADD12O,2.0X1.0*%\n%ADD13R,1X1*%\n%ADD14C,0.8*%\n%LPD*%\n", 1)
	}
	holes := "D11*\n" + tideCopper(tide)
	t.Run("holes and slots", func(t *testing.T) {
		body := holes + "D12*\nX300000Y200000D03*\nD11*\nX300000Y300000D02*\nX320000D01*\nY320000D01*\nX330000Y310000D02*\nX340000D01*\nD14*\nX350000D01*\n"
		r, err := runFolder(t, tideBoard(folder{"tide-holes.gbr": round("FileFunction,Plated,1,2,PTH", body)}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Drills, 1)
		d := r.board.Drills[0]
		assert.Equal(t, "plated-1-2", d.Key())
		assert.Equal(t, tidePlaces(), holesOf(r))
		var paths []geom.Path
		var wide []geom.Length
		for _, s := range d.Drilling.Routs {
			paths = append(paths, s.Path)
			wide = append(wide, d.Drilling.Tools[s.Tool].Diameter)
		}
		p := func(x, y float64) geom.Point { return geom.Pt(geom.Round(x*1e6), geom.Round(y*1e6)) }
		assert.Equal(t, []geom.Path{{geom.Line(p(29.5, 20), p(30.5, 20))}, {geom.Line(p(30, 30), p(32, 30)), geom.Line(p(32, 30), p(32, 32))}, {geom.Line(p(33, 31), p(34, 31))}, {geom.Line(p(34, 31), p(35, 31))}}, paths)
		assert.Equal(t, []geom.Length{geom.MM, geom.MM, geom.MM, 800_000}, wide)
		assert.Equal(t, []string{"drill-data-as-layer"}, r.rules())
	})
	t.Run("by the recipe", func(t *testing.T) {
		f := tideBoard(folder{"tide-holes.gbr": round("", holes)})
		_, err := runFolder(t, f, nil)
		require.ErrorContains(t, err, "nobody says what this layer is for")
		r, err := runFolder(t, f, func(b *board.Board) { b.Drills = []board.Drill{{Files: "tide-holes.gbr", Plating: "nonplated"}} })
		require.NoError(t, err)
		assert.Equal(t, "nonplated-1-2", r.board.Drills[0].Key())
		_, err = runFolder(t, f, func(b *board.Board) { b.Drills = []board.Drill{{Files: "tide-holes.gbr"}} })
		require.ErrorContains(t, err, "tide-holes.gbr: nobody says whether its holes are plated")
		_, err = runFolder(t, f, func(b *board.Board) { b.Drills = []board.Drill{{Files: "*.gbr", Plating: "plated"}} })
		require.ErrorContains(t, err, `the drill block "*.gbr" matches none of the board's drill files`)
	})
	t.Run("beside drill files of the same span", func(t *testing.T) {
		text := holesAs("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC,TZ,000.000\nT1C1.0\n%\nT1\n", tide, scaled(2540, 1))
		r, err := runFolder(t, tideBoard(folder{"tide.drl": text, "tide-holes.gbr": round("FileFunction,Plated,1,2,PTH", holes)}), nil)
		require.NoError(t, err)
		assert.Empty(t, r.findings)
		r, err = runFolder(t, tideBoard(folder{"tide.drl": text, "tide-holes.gbr": round("FileFunction,Plated,1,2,PTH", holes+"X10000Y10000D03*\n")}), nil)
		require.NoError(t, err)
		require.Equal(t, []string{"drill-layer-differs"}, r.rules())
		assert.Equal(t, "tide-holes.gbr is ignored, for tide.drl has its span and plating; but it has 11 holes, 1 of them where that has none, and that has 10", r.findings[0].Message)
	})
	for _, c := range []struct{ name, function, body, want string }{
		{"a square", "Plated,1,2,PTH", holes + "D13*\nX10000Y10000D03*\n", "what is drawn at (1, 1) mm is not round"},
		{"a clear flash", "Plated,1,2,PTH", holes + "%LPC*%\nX10000Y10000D03*\n", "something is erased at (1, 1) mm"},
		{"crosses, as a drawing has", "Plated,1,2,PTH", holes + "D10*\nX10000Y20000D02*\nX30000D01*\nX20000Y10000D02*\nY30000D01*\n", "strokes cross at (2, 2) mm, as the signs in a drawing of the holes do"},
		{"holes beside the pads", "Plated,1,2,PTH", "D11*\nX10000Y10000D03*\nX20000D03*\nX30000D03*\nX40000D03*\n", "its holes are not those of the board: 0 of 4 holes taken for plated lie on pads"},
		{"deeper than the board", "Plated,1,4,PTH", holes, "says that it goes from layer 1 to layer 4; the board has 2 copper layers"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runFolder(t, tideBoard(folder{"tide-holes.gbr": round("FileFunction,"+c.function, c.body)}), nil)
			require.ErrorContains(t, err, c.want)
		})
	}
	t.Run("a drawing of the holes is never drill data", func(t *testing.T) {
		f := tideBoard(folder{"tide-holes.gbr": round("FileFunction,Drillmap", holes)})
		r, err := runFolder(t, f, nil)
		require.NoError(t, err)
		assert.Empty(t, r.board.Drills)
		_, err = runFolder(t, f, func(b *board.Board) { b.Drills = []board.Drill{{Files: "tide-holes.gbr", Plating: "plated"}} })
		require.ErrorContains(t, err, `tide-holes.gbr: the drill block "tide-holes.gbr" takes it for drill data, but its own attribute says Drillmap`)
	})
}

// Spans of blind and buried holes, by the job file and by names.
func TestSpans(t *testing.T) {
	four := func(drills folder) folder {
		return tideBoard(folder{
			"tide-2.gbr": layer("FileFunction,Copper,L2,Inr", tideCopper(tide)), "tide-3.gbr": layer("FileFunction,Copper,L3,Inr", tideCopper(tide)),
			"tide-bottom.gbr": layer("FileFunction,Copper,L4,Bot", tideCopper(tide)),
		}).with(drills)
	}
	at := func(n int) string {
		return fmt.Sprintf("M48\nMETRIC\nT1C0.3\n%%\nT1\nX%.3fY%.3f\nM30\n", float64(tide[n][0])*2.54, float64(tide[n][1])*2.54)
	}
	keys := func(r result) []string {
		var k []string
		for _, d := range r.board.Drills {
			k = append(k, d.Key())
		}
		return k
	}
	t.Run("job file", func(t *testing.T) {
		job := `{"Header":{},"GeneralSpecs":{"LayerNumber":4},"FilesAttributes":[{"Path":"a.drl","FileFunction":"Plated,2,3,Buried"},{"Path":"b.drl","FileFunction":"NonPlated,1,4,NPTH"}]}`
		r, err := runFolder(t, four(folder{"a.drl": at(0), "b.drl": at(1), "tide.gbrjob": job}), nil)
		require.NoError(t, err)
		assert.Equal(t, []string{"nonplated-1-4", "plated-2-3"}, keys(r))
		assert.Empty(t, r.findings)
	})
	t.Run("numbers beside those of all layers", func(t *testing.T) {
		r, err := runFolder(t, four(folder{"tide-1-4.drl": at(0), "tide-1-2.drl": at(1)}), nil)
		require.NoError(t, err)
		assert.Equal(t, []string{"plated-1-2", "plated-1-4"}, keys(r))
	})
	t.Run("numbers that could be anything", func(t *testing.T) {
		r, err := runFolder(t, four(folder{"tide-1-2.drl": at(1)}), nil)
		require.NoError(t, err)
		assert.Equal(t, []string{"plated-1-4"}, keys(r))
		assert.Contains(t, r.rules(), "span-assumed")
	})
	t.Run("a part of a pattern", func(t *testing.T) {
		r, err := runFolder(t, four(folder{"tide-pth.drl": at(1), "tide-npth.drl": at(1)}), nil)
		require.NoError(t, err)
		assert.Equal(t, []string{"hole-drilled-twice"}, r.rules())
	})
}

// Drill data without a first line that tells, or with a name that does not.
func TestBareDrillFiles(t *testing.T) {
	for name, text := range map[string]string{
		"repeats":  "G90\nM71\nT01C1.0\n%\nT01\nX5.08Y5.08\nR2X2.54\nM30\n",
		"patterns": "INCH\nT01C0.04\n%\nT01\nM25\nX0.2Y0.2\nM01\nR2M02X0.1Y0.0\nM08\nM30\n",
		"numbers":  "N1 M71\nN2 T01C1.0\nN3 X5.08 Y5.08\nN4 X7.62\nN5 X10.16\nN6 M30\n",
		"messages": "M47,ONE MOMENT\nM71\n(thin)\nT01C1.0\nX5.08Y5.08\nX7.62\nX10.16\nM30\n",
	} {
		t.Run(name, func(t *testing.T) {
			r, err := runFolder(t, tideBoard(folder{"tide-pth.txt": text}), nil)
			require.NoError(t, err)
			require.Len(t, r.board.Drills, 1)
			assert.Equal(t, tidePlaces()[:3], holesOf(r))
		})
	}
}

func TestMostHoles(t *testing.T) {
	two := 2
	_, err := runFolder(t, tideBoard(folder{"tide-pth.drl": holesAs("M48\nINCH,TZ,00.0000\nT1C0.04\n%\nT1\n", tide, scaled(1000, 1))}), func(b *board.Board) {
		b.Drills = []board.Drill{{Files: "*.drl", MostHoles: &two}}
	})
	require.ErrorContains(t, err, "tide-pth.drl:8:1: the file has more than 2 holes")
	var bad board.Board
	bad.Drills = []board.Drill{{Files: "a", Override: true}, {Files: "b", ToolList: "["}}
	require.ErrorContains(t, bad.Check(), "option drill a override needs unit, zeros or digits beside it")
	require.ErrorContains(t, bad.Check(), "option drill b tool_list is not a file pattern")
}

// Where nobody says the plating, the copper shows which tools make holes without pads.
func TestPlatingAssumedByPads(t *testing.T) {
	text := holesAs("M48\nINCH\nT1C0.04\nT2C0.12\n%\nT1\n", tide, func(n int) string { return fmt.Sprintf("%d.%d", n/10, n%10) })
	r, err := runFolder(t, tideBoard(folder{"tide.drl": strings.Replace(text, "M30\n", "T2\nX0.4Y1.3\nM30\n", 1)}), nil)
	require.NoError(t, err)
	require.Equal(t, []string{"plating-assumed"}, r.rules())
	assert.Equal(t, `tide.drl is taken for plated: nobody says whether its holes are plated; those of tool 2 (3.048 mm) lie on no pads, and may be non-plated; a block drill "tide.drl" in the recipe can say it, with plating = "plated"`, r.findings[0].Message)
}

// Drill files that are not holes through layers.
func TestOtherDrillFiles(t *testing.T) {
	text := func(function string) string {
		if function != "" {
			function = "; #@! TF.FileFunction," + function + "\n"
		}
		return "M48\n" + function + "METRIC\nT1C0.5\n%\nT1\nX5.08Y5.08\nM30\n"
	}
	for _, c := range []struct{ name, text, want string }{
		{"tide.drl", text("Depthrout,Top"), "tide.drl: its attribute .FileFunction says Depthrout,Top, which is not holes or slots through layers"},
		{"tide-backdrill.drl", text(""), "tide-backdrill.drl: its name says backdrill: drilling to a depth is not carried into a panel"},
		{"tide_BackDrill.drl", text(""), "its name says backdrill"},
		{"tide-countersink.drl", text(""), "its name says countersink"},
		{"tide-blind.drl", text(""), "tide-blind.drl: its name says blind, and nobody says which layers its holes go through\n    say it in the recipe"},
		{"tide-uvia.drl", text(""), "its name says uvia"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runFolder(t, tideBoard(folder{c.name: c.text}), nil)
			require.ErrorContains(t, err, c.want)
		})
	}
	one, two := 1, 2
	r, err := runFolder(t, tideBoard(folder{"tide-blind.drl": text("")}), func(b *board.Board) { b.Drills = []board.Drill{{Files: "*.drl", From: &one, To: &two}} })
	require.NoError(t, err)
	assert.Equal(t, "plated-1-2", r.board.Drills[0].Key())
	_, err = runFolder(t, tideBoard(folder{"tide-blind.drl": text("MixedPlating,1,2")}), nil)
	require.NoError(t, err)
	t.Run("a product of that name", func(t *testing.T) {
		_, err := runFolder(t, tideBoard(folder{"blind-1.drl": text(""), "blind-1-legend.gbr": layer("FileFunction,Legend,Top", pad)}), nil)
		require.NoError(t, err)
	})
	t.Run("a rout program round the board", func(t *testing.T) {
		rout := "M48\n; #@! TF.FileFunction,NonPlated,1,2,NPTH,Rout\nMETRIC\nT1C2.0\n%\nT1\nG00X-1.0Y-1.0\nM15\nG01X61.0\nY41.0\nX-1.0\nY-1.0\nM16\nM30\n"
		r, err := runFolder(t, tideBoard(folder{"tide.drl": rout}), nil)
		require.NoError(t, err)
		assert.Contains(t, r.rules(), "routed-outline")
		r, err = runFolder(t, tideBoard(folder{"tide.drl": strings.NewReplacer("61.0", "9.0", "41.0", "9.0", "-1.0", "5.0").Replace(rout)}), nil)
		require.NoError(t, err)
		assert.Empty(t, r.findings)
	})
}

// A header that says the unit alone, and a wrong one: the way that fits is proposed, and works as proposed.
func TestUnitAloneWrong(t *testing.T) {
	files := tideBoard(folder{"tide.drl": holesAs("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nINCH,TZ\nT1C0.04\n%\nT1\n", tide, scaled(2540, 1))})
	_, err := runFolder(t, files, nil)
	require.ErrorContains(t, err, "no usual way puts its holes on the board")
	require.ErrorContains(t, err, "against what it says, read with mm, trailing zeros kept, digits 3.3, 10 of 10 holes taken for plated lie on pads")
	require.ErrorContains(t, err, "override = true")
	r, err := runFolder(t, files, func(b *board.Board) {
		b.Drills = []board.Drill{{Files: "tide.drl", Unit: "mm", Zeros: "trailing", Digits: []int{3, 3}, Override: true}}
	})
	require.NoError(t, err)
	require.Equal(t, tidePlaces(), holesOf(r))
}
