package board_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/stages/board"
)

// box draws a rectangle, in whole millimetres.
func box(x, y, w, h int) string {
	return line(x, y, x+w, y) + line(x+w, y, x+w, y+h) + line(x+w, y+h, x, y+h) + line(x, y+h, x, y)
}

func line(x, y, u, v int) string {
	return fmt.Sprintf("X%dY%dD02*\nX%dY%dD01*\n", x*10000, y*10000, u*10000, v*10000)
}

func pads(at ...int) string {
	var b strings.Builder
	for i := 0; i < len(at); i += 2 {
		fmt.Fprintf(&b, "X%dY%dD03*\n", at[i]*10000, at[i+1]*10000)
	}
	return b.String()
}

// drawn is the gauge, 20 × 10 mm at the origin, with another profile.
func drawn(profile string) folder {
	return gauge().with(folder{
		"gauge-top.gbr":     layer("FileFunction,Copper,L1,Top", pads(2, 2, 5, 5, 10, 5, 15, 5, 18, 8)),
		"gauge-profile.gbr": layer("FileFunction,Profile,NP", profile),
	})
}

func TestOutlineAmongOtherLines(t *testing.T) {
	sheet := box(-50, -50, 200, 150) + line(80, -50, 80, -20) + line(80, -20, 150, -20) + line(80, -35, 150, -35)
	for _, c := range []struct {
		name    string
		profile string
		change  func(*board.Outline)
		size    string // of the outline's box, with its cut-outs
		rules   []string
		told    string
	}{
		{name: "plain", profile: square, size: "20×10"},
		{name: "drawn twice", profile: square + square, size: "20×10"},
		{name: "overlapping strokes", profile: square + line(3, 0, 12, 0) + line(9, 0, 20, 0), size: "20×10"},
		{name: "cut-out", profile: square + box(7, 3, 2, 1), size: "20×10-2×1"},
		{name: "stray line and cross", profile: square + line(30, 0, 40, 0) + line(35, -5, 35, 5) + line(12, 2, 12, 4), size: "20×10", rules: []string{"outline-chosen"},
			told: "loop-1 (20 × 10 mm from (0, 0)): it is the smallest that holds 7 of the board's 7 pads and holes; did not count: 5 strokes in 2 marks that close no loop, the first near (12, 3)"},
		{name: "a line out from the edge", profile: square + line(20, 5, 30, 5), size: "20×10", rules: []string{"outline-chosen"}},
		{name: "a score line across the board", profile: square + line(8, 0, 8, 10), size: "20×10", rules: []string{"outline-chosen"},
			told: "did not count: loop-2 (12 × 10 mm from (8, 0)), which hangs together with the board; loop-3 (8 × 10 mm from (0, 0)), which hangs together with the board"},
		{name: "sheet frame with a title block", profile: square + sheet, size: "20×10", rules: []string{"outline-chosen"},
			told: "the board is loop-5 (20 × 10 mm from (0, 0)): it is the smallest that holds 7 of the board's 7 pads and holes; did not count: loop-1 (200 × 150 mm from (-50, -50)), round the board"},
		{name: "sheet frame, title block beside, cut-out", profile: square + box(-50, -50, 200, 150) + box(100, -40, 40, 20) + box(7, 3, 2, 1), size: "20×10-2×1", rules: []string{"outline-chosen"}},
		{name: "larger loop beside", profile: square + box(40, 0, 60, 60), size: "20×10", rules: []string{"outline-chosen"}},
		{name: "a loop within that holds pads", profile: square + box(1, 1, 5, 5) + box(14, 4, 5, 5) + line(40, 0, 41, 0), size: "20×10-5×5", rules: []string{"outline-chosen"}},
		{name: "chosen by the recipe", profile: square + box(-2, -2, 24, 14), change: func(o *board.Outline) { o.Loop = "loop-1" }, size: "24×14", rules: []string{"outline-chosen"},
			told: "the board is loop-1 (24 × 14 mm from (-2, -2)): the recipe says so; did not count: loop-2 (20 × 10 mm from (0, 0)), no cut-out: it holds 7 pads and holes"},
		{name: "the other chosen", profile: square + box(-2, -2, 24, 14), change: func(o *board.Outline) { o.Loop = "loop-2" }, size: "20×10", rules: []string{"outline-chosen"}},
		{name: "no cut-out", profile: square + box(7, 3, 2, 1) + box(7, 6, 2, 1), change: func(o *board.Outline) { o.NotCutOuts = []string{"loop-2"} }, size: "20×10-2×1", rules: []string{"outline-chosen"},
			told: "loop-2 (2 × 1 mm from (7, 3)), no cut-out, as the recipe says"},
		{name: "a mark that nearly closes", profile: square + strings.Replace(box(7, 3, 2, 1), "X70000Y30000D01", "X70000Y31000D01", 1),
			change: func(o *board.Outline) { o.IgnoreOpen = true }, size: "20×10", rules: []string{"outline-chosen"}},
		{name: "rectangle", profile: square, change: func(o *board.Outline) {
			w, h := 22*geom.MM, 12*geom.MM
			*o = board.Outline{Width: &w, Height: &h, CornerRadius: 2 * geom.MM, X: -geom.MM, Y: -geom.MM}
		}, size: "22×12"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := runFolder(t, drawn(c.profile), func(b *board.Board) {
				if c.change != nil {
					b.Outline = make([]board.Outline, 1)
					c.change(&b.Outline[0])
				}
			})
			require.NoError(t, err)
			require.Equal(t, c.rules, r.rules())
			size := func(p geom.Path) string { return p.Box().Width().Decimal() + "×" + p.Box().Height().Decimal() }
			got := size(r.board.Outline.Outer)
			for _, p := range r.board.Outline.CutOuts {
				got += "-" + size(p)
			}
			require.Equal(t, c.size, got)
			if c.told != "" {
				require.Contains(t, r.findings[0].Message, c.told)
			}
		})
	}
}

func TestOutlineInDoubt(t *testing.T) {
	for _, c := range []struct {
		name, profile string
		want          []string
	}{
		{"a loop close round another", square + box(-2, -2, 24, 14), []string{
			"gauge-profile.gbr: loop-1 (24 × 14 mm from (-2, -2)) and loop-2 (20 × 10 mm from (0, 0)) could each be the board's edge: both hold all of its pads and holes",
			"  outline {\n        loop = \"loop-2\"\n      }"}},
		{"a line across a corner", square + line(15, 0, 20, 3), []string{"could each be the board's edge"}},
		{"the edge left open round a closed loop", strings.Replace(square, "Y0D01*\n", "Y1000D01*\n", 1) + box(1, 1, 18, 8), []string{
			"there is a chain of 4 strokes that nearly closes: a gap of 0.1 mm between (0, 0) and (0, 0.1) (ends are joined up to 0.01 mm apart)", "ignore_open = true"}},
		{"a cut-out left open", square + strings.Replace(box(7, 3, 2, 1), "X70000Y30000D01", "X70000Y31000D01", 1), []string{"nearly closes"}},
		{"nothing holds the pads", box(100, 100, 20, 10), []string{
			"gauge-profile.gbr: none of its 1 closed loop holds any of the board's 7 pads and holes, which lie between (2, 2) and (18, 8) mm"}},
		{"a loop that does not exist", square, []string{"the outline block names loop-9, but there are only 1 closed loop", "name one of loop-1 (20 × 10 mm from (0, 0))"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runFolder(t, drawn(c.profile), func(b *board.Board) {
				if strings.Contains(c.want[0], "loop-9") {
					b.Outline = []board.Outline{{Loop: "loop-9"}}
				}
			})
			require.Error(t, err)
			for _, w := range c.want {
				require.Contains(t, err.Error(), w)
			}
		})
	}
}

// A drawing with an origin of its own is told how it can be moved.
func TestDrawingElsewhere(t *testing.T) {
	files := gauge().with(folder{"gauge-profile.gbr": "", "edge.dxf": dxfOf(4, map[string][][4]float64{"EDGE": frame(100, 50, 20, 10)}, "EDGE")})
	_, err := runFolder(t, files, nil)
	require.ErrorContains(t, err, "edge.dxf: none of its 1 closed loop holds any of the board's")
	require.ErrorContains(t, err, "shift_x = ")
	r, err := runFolder(t, files, func(b *board.Board) {
		b.Outline = []board.Outline{{ShiftX: -100 * geom.MM, ShiftY: -50 * geom.MM}}
	})
	require.NoError(t, err)
	require.Equal(t, geom.Point{}, r.board.Outline.Box().Min)
}

// A job file that gives the board's size settles what else would be asked.
func TestOutlineByJobFile(t *testing.T) {
	job := `{"Header": {}, "GeneralSpecs": {"Size": {"X": 20.05, "Y": 10.05}, "LayerNumber": 2}, "FilesAttributes": []}`
	r, err := runFolder(t, drawn(square+box(-2, -2, 24, 14)).with(folder{"gauge.gbrjob": job}), nil)
	require.NoError(t, err)
	require.Equal(t, 20*geom.MM, r.board.Outline.Box().Width())
	require.Contains(t, r.findings[0].Message, "the job file gives its size")
}

// TestUnitAndDigitsFromTheRecipe: a layer that says neither unit nor number format.
func TestUnitAndDigitsFromTheRecipe(t *testing.T) {
	bare := strings.NewReplacer("%FSLAX44Y44*%\n", "", "%MOMM*%\n", "").Replace(gauge()["gauge-top.gbr"])
	_, err := runFolder(t, gauge().with(folder{"gauge-top.gbr": bare}), nil)
	require.Error(t, err)
	require.Contains(t, err.Error(), "gauge-top.gbr:3:2: a number before any unit (MO)")
	require.Contains(t, err.Error(), "say it in the recipe, in the board stage:\n      layer \"gauge-top.gbr\" {\n        unit = \"mm\"\n      }")
	_, err = runFolder(t, gauge().with(folder{"gauge-top.gbr": bare}), func(b *board.Board) {
		b.Layers = []board.Layer{{Files: "gauge-top.gbr", Unit: "mm"}}
	})
	require.Error(t, err)
	require.Contains(t, err.Error(), "gauge-top.gbr:7:1: coordinates before any number format (FS)")
	require.Contains(t, err.Error(), "layer \"gauge-top.gbr\" {\n        digits = [4, 4]\n        zeros  = \"trailing\"\n      }")
	r, err := runFolder(t, gauge().with(folder{"gauge-top.gbr": bare}), func(b *board.Board) {
		b.Layers = []board.Layer{{Files: "gauge-top.gbr", Unit: "mm", Digits: []int{4, 4}, Zeros: "trailing"}}
	})
	require.NoError(t, err)
	require.Equal(t, geom.Pt(5*geom.MM, 5*geom.MM), r.board.Layers[0].Image.Objects[0].Edge.From)
}

// dxfOf writes a drawing in the text form, with layers of lines (x, y, u, v) in the unit of the header.
func dxfOf(unit int, layers map[string][][4]float64, order ...string) string {
	var b strings.Builder
	pair := func(code int, v any) { fmt.Fprintf(&b, "%d\n%v\n", code, v) }
	if unit >= 0 {
		pair(0, "SECTION")
		pair(2, "HEADER")
		pair(9, "$INSUNITS")
		pair(70, unit)
		pair(0, "ENDSEC")
	}
	pair(0, "SECTION")
	pair(2, "ENTITIES")
	for _, name := range order {
		for _, l := range layers[name] {
			pair(0, "LINE")
			pair(8, name)
			pair(10, l[0])
			pair(20, l[1])
			pair(11, l[2])
			pair(21, l[3])
		}
	}
	pair(0, "ENDSEC")
	pair(0, "EOF")
	return b.String()
}

func frame(x, y, w, h float64) [][4]float64 {
	return [][4]float64{{x, y, x + w, y}, {x + w, y, x + w, y + h}, {x + w, y + h, x, y + h}, {x, y + h, x, y}}
}

func TestOutlineFromDrawing(t *testing.T) {
	pads := drawn(square)
	delete(pads, "gauge-profile.gbr")
	two := map[string][][4]float64{"A": frame(0, 0, 20, 10), "B": frame(-50, -50, 10, 10)}
	same := map[string][][4]float64{"A": frame(0, 0, 20, 10), "B": frame(-1, -1, 22, 12)}
	for _, c := range []struct {
		name   string
		files  folder
		change func(*board.Outline)
		size   string
		want   string // of the error
	}{
		{name: "one layer", files: folder{"edge.dxf": dxfOf(4, two, "A")}, size: "20 × 10"},
		{name: "inches", files: folder{"edge.dxf": dxfOf(1, map[string][][4]float64{"A": frame(0, 0, 1, 0.5)}, "A")}, size: "25.4 × 12.7"},
		{name: "two layers, one holds the board", files: folder{"edge.dxf": dxfOf(4, two, "A", "B")}, size: "20 × 10"},
		{name: "two that could be", files: folder{"edge.dxf": dxfOf(4, same, "A", "B")},
			want: "edge.dxf: several layers of the drawing could be the outline: \"A\" (4 curves), \"B\" (4 curves)\n    say in the recipe which one it is, in the board stage:\n      outline {\n        layer = \"A\"\n      }"},
		{name: "layer by name", files: folder{"edge.dxf": dxfOf(4, same, "A", "B")}, change: func(o *board.Outline) { o.Layer = "b" }, size: "22 × 12"},
		{name: "layer that is not there", files: folder{"edge.dxf": dxfOf(4, same, "A", "B")}, change: func(o *board.Outline) { o.Layer = "c" },
			want: "edge.dxf: the outline block names the layer \"c\", which the drawing does not have\n    its layers are \"A\" (4 curves), \"B\" (4 curves)"},
		{name: "no unit", files: folder{"edge.dxf": dxfOf(-1, two, "A")}, want: "say it in the recipe, in the board stage:\n      outline {\n        unit = \"mm\"\n      }"},
		{name: "unit from the recipe", files: folder{"edge.dxf": dxfOf(-1, two, "A")}, change: func(o *board.Outline) { o.Unit = "mm" }, size: "20 × 10"},
		{name: "elsewhere", files: folder{"edge.dxf": dxfOf(4, map[string][][4]float64{"A": frame(100, 100, 20, 10)}, "A")},
			want: "none of its 1 closed loop holds any of the board's 7 pads and holes"},
		{name: "shifted by the recipe", files: folder{"edge.dxf": dxfOf(4, map[string][][4]float64{"A": frame(100, 100, 20, 10)}, "A")},
			change: func(o *board.Outline) { o.ShiftX, o.ShiftY = -100*geom.MM, -100*geom.MM }, size: "20 × 10"},
		{name: "two drawings", files: folder{"edge.dxf": dxfOf(4, two, "A"), "other.dxf": dxfOf(4, two, "B")},
			want: "none of the layers is the board's profile, and there are several drawings: edge.dxf and other.dxf"},
		{name: "two drawings, one named", files: folder{"edge.dxf": dxfOf(4, two, "A"), "other.dxf": dxfOf(4, two, "B")},
			change: func(o *board.Outline) { o.File = "edge.dxf" }, size: "20 × 10"},
		{name: "profile and drawing", files: folder{"edge.dxf": dxfOf(4, same, "B"), "gauge-profile.gbr": layer("FileFunction,Profile,NP", square)}, size: "20 × 10"},
		{name: "drawing before the profile", files: folder{"edge.dxf": dxfOf(4, same, "B"), "gauge-profile.gbr": layer("FileFunction,Profile,NP", square)},
			change: func(o *board.Outline) { o.File = "*.dxf" }, size: "22 × 12"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := runFolder(t, pads.with(c.files), func(b *board.Board) {
				if c.change != nil {
					b.Outline = make([]board.Outline, 1)
					c.change(&b.Outline[0])
				}
			})
			if c.want != "" {
				require.Error(t, err)
				require.Contains(t, err.Error(), c.want)
				return
			}
			require.NoError(t, err)
			size := r.board.Outline.Box()
			require.Equal(t, c.size, size.Width().Decimal()+" × "+size.Height().Decimal())
			for _, s := range r.board.Sources {
				require.True(t, s.Use != "" || s.Ignored != "", s.Name)
			}
		})
	}
}

// TestLimitsFromTheRecipe: what a layer may expand to, and how careless its arcs may be.
func TestLimitsFromTheRecipe(t *testing.T) {
	arc := "G75*\nX100000Y100000D02*\nG03X140000Y120000I20000J0D01*\nG01*\n" // 2 mm from the centre, then 2.828 mm
	_, err := runFolder(t, gauge().with(folder{"gauge-top.gbr": layer("FileFunction,Copper,L1,Top", pad+arc)}), nil)
	require.ErrorContains(t, err, "arc whose radii disagree: 2 mm from the centre to its start, 2.828427 mm to its end")
	require.ErrorContains(t, err, "allow it in the recipe, in the board stage:\n      layer \"gauge-top.gbr\" {\n        arc_tolerance = \"1 mm\"\n      }")
	r, err := runFolder(t, gauge().with(folder{"gauge-top.gbr": layer("FileFunction,Copper,L1,Top", pad+arc)}), func(b *board.Board) {
		b.Layers = []board.Layer{{Files: "gauge-top.gbr", ArcTolerance: geom.MM}}
	})
	require.NoError(t, err)
	require.Contains(t, r.rules(), "read-in-doubt")

	two := func(n int) func(b *board.Board) {
		return func(b *board.Board) { b.Layers = []board.Layer{{Files: "gauge-top.gbr", MostObjects: &n}} }
	}
	many := gauge().with(folder{"gauge-top.gbr": layer("FileFunction,Copper,L1,Top", pad+pad+pad)})
	_, err = runFolder(t, many, two(2))
	require.ErrorContains(t, err, "more than 2 objects")
	require.ErrorContains(t, err, "most_objects = 10000000")
	_, err = runFolder(t, many, two(3))
	require.NoError(t, err)
}

// Strokes that nearly meet are joined, and a note tells of the widest gap; strokes that meet say nothing.
func TestOutlineJoined(t *testing.T) {
	const open = "X0Y0D02*\nX200000D01*\nY100000D01*\nX0D01*\nX0Y100D01*\n" // 0.01 mm short of where it began
	for _, c := range []struct {
		profile string
		rules   []string
	}{{square, nil}, {open, []string{"outline-joined"}}} {
		r, err := runFolder(t, drawn(c.profile), nil)
		require.NoError(t, err)
		assert.Equal(t, c.rules, r.rules())
		if c.rules != nil {
			assert.Contains(t, r.findings[0].Message, "gauge-profile.gbr: ")
			assert.Contains(t, r.findings[0].Message, "the largest 0.01 mm")
			assert.Equal(t, pipeline.Note, r.findings[0].Severity)
		}
	}
}
