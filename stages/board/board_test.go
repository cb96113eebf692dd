package board_test

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/run"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/board"
)

func TestReadsBoard(t *testing.T) {
	files := gauge().with(folder{
		"gauge-mask.gbr": layer("FileFunction,Soldermask,Top", pad),
		"notes.txt":      "Boards leave in pairs.\n",
	})
	r, err := runFolder(t, files, func(b *board.Board) {
		b.PartNumber, b.Revision, b.Finish = "GAUGE", "C", "gold"
	})
	require.NoError(t, err)
	assert.Empty(t, r.findings)
	b := r.board
	assert.Equal(t, "C", b.Revision)
	assert.Equal(t, "gold", b.Finish)
	assert.Equal(t, 1600*geom.UM, b.Thickness)
	assert.Equal(t, 2, b.CopperCount)
	assert.Equal(t, geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)}, b.Outline.Box())
	var keys, uses []string
	for _, l := range b.Layers {
		keys = append(keys, l.Function.Key())
	}
	assert.Equal(t, []string{"copper-1-top", "copper-2-bottom", "mask-top"}, keys)
	for _, s := range b.Sources {
		uses = append(uses, s.Name+": "+s.Use+s.Ignored)
		assert.Len(t, s.SHA256, 64)
		assert.NotZero(t, s.Bytes)
	}
	assert.Equal(t, []string{
		"gauge-bottom.gbr: copper-2-bottom",
		"gauge-mask.gbr: mask-top",
		"gauge-profile.gbr: profile",
		"gauge-top.gbr: copper-1-top",
		"gauge.drl: drill plated-1-2",
		"notes.txt: a text without layer, drill, placement or netlist data",
	}, uses)
	require.Len(t, b.Drills, 1)
	assert.Equal(t, "plated-1-2", b.Drills[0].Key())
	v := r.values.Values["boards.gauge"]
	assert.True(t, v.GetAttr("width").RawEquals(cty.NumberIntVal(20)))
	assert.True(t, v.GetAttr("height").RawEquals(cty.NumberIntVal(10)))
	assert.True(t, v.GetAttr("copper_layers").RawEquals(cty.NumberIntVal(2)))
	assert.Equal(t, cty.String, v.GetAttr("part_number").Type())
	assert.Equal(t, b.PartNumber+" "+b.Revision, v.GetAttr("part_number").AsString()+" "+v.GetAttr("revision").AsString())
	assert.True(t, v.Type().Equals((&board.Board{Name: "gauge"}).ValueTypes()["boards.gauge"]))
	assert.Equal(t, []string{"boards.gauge"}, (&board.Board{Name: "gauge"}).Parts().Gives)
}

func TestReadsZipAndGlobs(t *testing.T) {
	want, err := runFolder(t, gauge(), nil)
	require.NoError(t, err)
	t.Run("zip", func(t *testing.T) {
		got, err := runIn(t, zipped(t, gauge()), "data.zip", nil)
		require.NoError(t, err)
		assert.Equal(t, want.board, got.board)
	})
	t.Run("zip with backslashes", func(t *testing.T) {
		f := folder{}
		for n, c := range gauge() {
			f[`out\`+n] = c
		}
		got, err := runIn(t, zipped(t, f), "data.zip", nil)
		require.NoError(t, err)
		assert.Equal(t, "out/gauge-bottom.gbr", got.board.Sources[0].Name)
	})
	t.Run("globs that overlap", func(t *testing.T) {
		dir := gauge().write(t)
		got, err := runIn(t, dir, "data", func(b *board.Board) {
			b.Files = []pipeline.InPath{{Text: "data/*.gbr", Dir: dir}, {Text: "data/*.drl", Dir: dir}, {Text: "data/gauge-*", Dir: dir}}
		})
		require.NoError(t, err)
		assert.Equal(t, want.board, got.board)
	})
}

// TestFunctionByName: names alone, as older systems write them (common conventions, no published
// source).
func TestFunctionByName(t *testing.T) {
	files := folder{
		"g.GTL": layer("", pad), "g.GBL": layer("", pad+pad), "g.g2": layer("", pad+pad+pad), "g.g3": layer("", pad+pad+pad+pad),
		"g_soldermask_bottom.gbr": layer("", pad), "silkTop.gbr": layer("", pad), "g-F_Paste.gbr": layer("", pad),
		"g-Edge.Cuts.gbr": layer("", square),
		"g-NPTH.drl":      "M48\nMETRIC\nT1C3.2\n%\nT1\nX2.0Y2.0\nM30\n",
		"g-front-in1.drl": "M48\nMETRIC\nT1C0.2\n%\nT1\nX3.0Y2.0\nM30\n",
	}
	r, err := runFolder(t, files, nil)
	require.NoError(t, err)
	assert.Equal(t, 4, r.board.CopperCount)
	var got []string
	for _, l := range r.board.Layers {
		got = append(got, l.Function.Key()+" "+l.Source)
	}
	assert.Equal(t, []string{
		"copper-1-top g.GTL", "copper-2-inner g.g2", "copper-3-inner g.g3", "copper-4-bottom g.GBL",
		"mask-bottom g_soldermask_bottom.gbr", "paste-top g-F_Paste.gbr", "legend-top silkTop.gbr",
	}, got)
	require.Len(t, r.board.Drills, 2)
	assert.Equal(t, "nonplated-1-4", r.board.Drills[0].Key())
	assert.Equal(t, "plated-1-2", r.board.Drills[1].Key())
	assert.Empty(t, r.findings)
}

// TestRecipeSaysFunction: a layer block, and what it overrides.
func TestRecipeSaysFunction(t *testing.T) {
	files := gauge().with(folder{"power.gbr": layer("", pad), "odd.gbr": layer("FileFunction,Legend,Top", pad)})
	r, err := runFolder(t, files, func(b *board.Board) {
		b.Layers = []board.Layer{
			{Files: "power.gbr", Function: "legend-bottom"},
			{Files: "odd.*", Function: "mask-top"},
			{Files: "gauge.drl", Function: "ignore", Reason: "drilled elsewhere"},
		}
	})
	require.NoError(t, err)
	assert.Equal(t, "power.gbr", r.board.Layer(panel.Function{Kind: panel.Legend, Side: panel.Bottom}).Source)
	assert.Equal(t, "odd.gbr", r.board.Layer(panel.Function{Kind: panel.Soldermask, Side: panel.Top}).Source)
	assert.Empty(t, r.board.Drills)
	require.Len(t, r.findings, 1)
	assert.Equal(t, "odd.gbr is taken for mask-top as the recipe says; its own attribute says Legend,Top", r.findings[0].Message)
	assert.Equal(t, "the recipe says so: drilled elsewhere", r.board.Sources[3].Ignored)
}

// TestOneLayer: a board with copper on one side, its holes through it.
func TestOneLayer(t *testing.T) {
	r, err := runFolder(t, gauge().with(folder{"gauge-bottom.gbr": ""}), nil)
	require.NoError(t, err)
	assert.Equal(t, 1, r.board.CopperCount)
	assert.Equal(t, "plated-1-1", r.board.Drills[0].Key())
}

func TestSameBytes(t *testing.T) {
	r, err := runFolder(t, gauge().with(folder{"gauge-profile2.gbr": gauge()["gauge-profile.gbr"]}), nil)
	require.NoError(t, err)
	assert.Equal(t, "the same bytes as gauge-profile.gbr", r.board.Sources[2].Ignored)
}

// TestPlatings: plating by tool divides a file, an open plating is assumed and found, files of one
// span are joined.
func TestPlatings(t *testing.T) {
	t.Run("by tool", func(t *testing.T) {
		r, err := runFolder(t, gauge().with(folder{"gauge.drl": "M48\nMETRIC\n;TYPE=PLATED\nT1C0.5\n;TYPE=NON_PLATED\nT2C3.0\n%\nT1\nX5.0Y5.0\nT2\nX9.0Y5.0\nX11.0Y5.0\nM30\n"}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Drills, 2)
		non, plated := r.board.Drills[0], r.board.Drills[1]
		assert.Equal(t, "nonplated-1-2", non.Key())
		assert.Len(t, non.Drilling.Holes, 2)
		assert.Equal(t, artwork.NonPlated, non.Drilling.Plating)
		assert.Equal(t, 3*geom.MM, non.Drilling.Tools[non.Drilling.Holes[0].Tool].Diameter)
		assert.Equal(t, "plated-1-2", plated.Key())
		assert.Len(t, plated.Drilling.Holes, 1)
		assert.Empty(t, r.findings)
	})
	bare := "M48\nMETRIC\nT1C0.5\n%\nT1\nX5.0Y5.0\nM30\n"
	t.Run("assumed", func(t *testing.T) {
		r, err := runFolder(t, gauge().with(folder{"gauge.drl": bare}), nil)
		require.NoError(t, err)
		assert.Equal(t, "plated-1-2", r.board.Drills[0].Key())
		require.Equal(t, []string{"plating-assumed"}, r.rules())
		assert.Equal(t, pipeline.Warning, r.findings[0].Severity)
		assert.Equal(t, `gauge.drl is taken for plated: nobody says whether its holes are plated; a block drill "gauge.drl" in the recipe can say it, with plating = "plated"`, r.findings[0].Message)
	})
	t.Run("by the recipe", func(t *testing.T) {
		r, err := runFolder(t, gauge().with(folder{"gauge.drl": bare}), func(b *board.Board) {
			b.Drills = []board.Drill{{Files: "*.drl", Plating: "nonplated"}}
		})
		require.NoError(t, err)
		assert.Equal(t, "nonplated-1-2", r.board.Drills[0].Key())
		assert.Empty(t, r.findings)
	})
	t.Run("joined", func(t *testing.T) {
		r, err := runFolder(t, gauge().with(folder{"gauge-slots-pth.drl": "M48\nMETRIC\nT7C1.0\n%\nT7\nX2.0Y2.0G85X4.0Y2.0\nM30\n"}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Drills, 1)
		d := r.board.Drills[0].Drilling
		assert.Len(t, d.Holes, 1)
		require.Len(t, d.Routs, 1)
		assert.Equal(t, geom.MM, d.Tools[d.Routs[0].Tool].Diameter)
		assert.Equal(t, "gauge-slots-pth.drl, gauge.drl", r.board.Drills[0].Source)
		assert.Equal(t, []string{"drill-files-joined"}, r.rules())
	})
	t.Run("no holes", func(t *testing.T) {
		r, err := runFolder(t, gauge().with(folder{"gauge-npth.drl": "M48\nMETRIC\n%\nM30\n"}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Drills, 2)
		assert.Equal(t, "drill nonplated-1-2 (no holes)", r.board.Sources[1].Use)
	})
}

// TestThroughRecipe: options as a recipe writes them, twice with different workers, and the runner's
// word in front of a refusal.
func TestThroughRecipe(t *testing.T) {
	files := map[string]string{}
	for n, c := range gauge().with(folder{"power.gbr": layer("", pad)}) {
		files["data/"+n] = c
	}
	got := stagetest.Run(t, board.Kind(), `
name      = "gauge"
files     = "data"
thickness = "0.8 mm"
layer "power.*" {
  function = "legend-top"
}
drill "*.drl" {
  plating = "plated"
  digits  = [3, 3]
}`, panel.Panel{}, files)
	b := got.Panel.Board("gauge")
	require.NotNil(t, b)
	assert.Equal(t, 800*geom.UM, b.Thickness)
	assert.Equal(t, "power.gbr", b.Layer(panel.Function{Kind: panel.Legend, Side: panel.Top}).Source)
	assert.Len(t, got.Inputs, 5)
	assert.Contains(t, got.Log, `"file":"gauge.drl","message":"drill plated-1-2"`)

	err := stagetest.Fails(t, board.Kind(), "name  = \"gauge\"\nfiles = \"data\"", panel.Panel{}, files)
	assert.ErrorContains(t, err, "power.gbr: nobody says what this layer is for")
	err = stagetest.Fails(t, board.Kind(), "name  = \"gauge\"\nfiles = \"data\"\nlayer \"power.gbr\" {\n  function = \"mask-to\"\n}", panel.Panel{}, files)
	assert.ErrorContains(t, err, "nearest: mask-top")
}

// TestJobFile: a job file gives functions, thickness, finish and mask colour where nobody else does,
// and is held against the files.
func TestJobFile(t *testing.T) {
	const job = `{
  "Header": {"GenerationSoftware": {"Vendor": "River Gauge Works", "Application": "draw", "Version": "1"}},
  "GeneralSpecs": {"ProjectId": {"Name": "gauge", "GUID": "", "Revision": "C"}, "Size": {"X": 20.1, "Y": 12}, "LayerNumber": 2,
    "BoardThickness": 0.8, "Finish": "gold"},
  "FilesAttributes": [{"Path": "power.gbr", "FileFunction": "Copper,L2,Bot", "FilePolarity": "Positive"}, {"Path": "gauge-top.gbr", "FileFunction": "Copper,L2,Bot"}, {"Path": "legend.gbr", "FileFunction": "Legend,Top"}],
  "MaterialStackup": [{"Type": "SolderMask", "Color": "Blue"}]
}`
	files := gauge().with(folder{"gauge.gbrjob": job, "gauge-bottom.gbr": "", "power.gbr": layer("", pad)})
	r, err := runFolder(t, files, nil)
	require.NoError(t, err)
	assert.Equal(t, "power.gbr", r.board.Layer(panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}).Source)
	assert.Equal(t, 800*geom.UM, r.board.Thickness)
	assert.Equal(t, "gold", r.board.Finish)
	assert.Equal(t, "Blue", r.board.MaskColor)
	var said []string
	for _, f := range r.findings {
		said = append(said, f.Message)
	}
	assert.Equal(t, []string{
		"gauge.gbrjob: it says that the board is 20.1 × 12 mm, the outline is 20 × 10 mm",
		"gauge.gbrjob: it says that gauge-top.gbr is Copper,L2,Bot, and it is taken for copper-1-top (its attribute .FileFunction says so)",
		"gauge.gbrjob: it lists legend.gbr, which is not among the board's files",
	}, said)

	_, err = runFolder(t, files.with(folder{"gauge.gbrjob": `{"Header": {}, "GeneralSpecs": {"Size": 3}}`}), nil)
	require.ErrorContains(t, err, "gauge.gbrjob: the section GeneralSpecs does not have the shape of a job file")
	_, err = runFolder(t, files.with(folder{"gauge.gbrjob": strings.Replace(job, `"C"`, `"D"`, 1)}), nil)
	require.ErrorContains(t, err, `the files are of two revisions: gauge-profile.gbr is revision "C", gauge.gbrjob is revision "D"`)
}

func TestNetlistAndPlacement(t *testing.T) {
	const nets = "P  UNITS CUST 0\n327GND              R1    -1          A01X+000100Y+000200X0300Y0300R000 S1\n999\n"
	r, err := runFolder(t, gauge().with(folder{
		"gauge.ipc":      nets,
		"gauge-back.csv": "Ref,Val,Package,PosX (mm),PosY (mm),Rot\nR1,10k,0603,2.0,3.0,90\nR2,10k,0603,4.0,3.0,0\n",
		"gauge-top.csv":  "Ref,Val,Package,PosX (mm),PosY (mm),Rot\nR1,10k,0603,5.0,3.0,90\n",
	}), nil)
	require.NoError(t, err)
	require.NotNil(t, r.board.Netlist)
	assert.Equal(t, "gauge.ipc", r.board.Netlist.Source)
	assert.Len(t, r.board.Netlist.Points, 1)
	require.Len(t, r.board.Parts, 3)
	assert.Equal(t, panel.Part{Refdes: "R1", Value: "10k", Package: "0603", Side: panel.Bottom, At: geom.Pt(2*geom.MM, 3*geom.MM), Turn: geom.Quarter}, r.board.Parts[0])
	assert.Equal(t, panel.Top, r.board.Parts[2].Side)
	require.Equal(t, []string{"refdes-twice"}, r.rules())
	assert.Equal(t, "reference designators that are there more than once: R1 (gauge-back.csv and gauge-top.csv)", r.findings[0].Message)
}

// TestPlacementElsewhere: a placement in other coordinates is found, not shifted.
func TestPlacementElsewhere(t *testing.T) {
	r, err := runFolder(t, gauge().with(folder{"pos.csv": "Ref,Val,Package,PosX,PosY,Rot\nR1,10k,0603,102.0,103.0,90\nR2,10k,0603,24.0,3.0,0\nR3,10k,0603,125.5,3.0,0\n"}), func(b *board.Board) {
		b.Placements = []board.Placement{{Files: "pos.csv", Unit: "mm", Side: "bottom"}}
	})
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(102*geom.MM, 103*geom.MM), r.board.Parts[0].At)
	assert.Equal(t, panel.Bottom, r.board.Parts[0].Side)
	require.Equal(t, []string{"placement-outside"}, r.rules())
	assert.Equal(t, "only 1 of 3 parts lie on the board or within 5 mm of it: the placement ((24, 3) to (125.5, 103) mm) is not in the coordinates of the layers ((0, 0) to (20, 10) mm); have both written with one origin, or state the shift in a block placement of the recipe, with shift = [x, y]; until then no placement of this board is written for the panel", r.findings[0].Message)
}

func TestOptionsFitTheirTags(t *testing.T) {
	o, err := pipeline.OptionsOf(board.Kind().New())
	require.NoError(t, err)
	assert.Equal(t, "name", o[0].Name)
}

func TestSurvey(t *testing.T) {
	files := gauge().with(folder{"power.gbr": layer("", pad), "gauge.drl": "M48\nMETRIC\nT1C0.5\n%\nT1\nX5.0Y5.0\nM30\n", "README.md": "# gauge\n"})
	dir := files.write(t)
	in := run.NewFiles(context.Background(), dir, "")
	paths := []pipeline.InPath{{Text: "data", Dir: dir}}
	var text, again, data bytes.Buffer
	usable, err := board.Survey(context.Background(), in, paths, &text, false, nil)
	assert.False(t, usable, "one layer is not settled")
	require.NoError(t, err)
	_, err = board.Survey(context.Background(), in, paths, &again, false, nil)
	require.NoError(t, err)
	assert.Equal(t, text.String(), again.String())
	assert.Equal(t, surveyed, text.String())

	_, err = board.Survey(context.Background(), in, paths, &data, true, nil)
	require.NoError(t, err)
	var got struct {
		Schema  int
		Files   []struct{ Name, Use, Ignored string }
		Outline struct {
			Width string `json:"width_mm"`
		}
		Problems []string
	}
	require.NoError(t, json.Unmarshal(data.Bytes(), &got))
	assert.Equal(t, 1, got.Schema)
	assert.Len(t, got.Files, 6)
	assert.Equal(t, "20", got.Outline.Width)
	assert.Len(t, got.Problems, 1)
}

// TestBeyondTheBoard: what lies where the board is not is told, be it in another unit, of another board or a slip.
func TestBeyondTheBoard(t *testing.T) {
	far := func(function string) string {
		return layer("FileFunction,"+function, strings.Repeat("X950000Y50000D03*\n", 3)+pad)
	}
	four := "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.5\n%\nT1\nX5.0Y5.0\nX6.0Y5.0\nX7.0Y5.0\nX8.0Y5.0\n"
	places := "Ref,X (mm),Y (mm),Rot,Side\nR1,5,5,0,top\nR2,6,5,0,top\n"
	for _, c := range []struct {
		name  string
		files folder
		want  []string // findings: rule and message
	}{
		{"a layer in another unit", folder{"mask.gbr": far("Soldermask,Top")}, []string{"layer-off-board",
			"mask.gbr: 3 of its 4 objects lie beyond the board, which lies from (0, 0) to (20, 10) mm: it may be in another unit or with another origin than the outline, or of another board"}},
		{"a board far larger than its copper", folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP", "X0Y0D02*\nX2000000D01*\nY1000000D01*\nX0D01*\nY0D01*\n"), "gauge-top.gbr": layer("FileFunction,Copper,L1,Top", strings.Repeat(pad+"X60000D03*\n", 4))}, []string{"board-nearly-bare",
			"gauge-profile.gbr: the board is 200 × 100 mm, and its copper covers 1.1 × 0.1 mm of it: the outline may be in another unit, or be a sheet's frame"}},
		{"half of a layer", folder{"mask.gbr": layer("FileFunction,Soldermask,Top", "X950000Y50000D03*\n"+pad)}, nil},
		{"few holes on pads", folder{"gauge.drl": four + "M30\n"}, []string{"holes-off-pads",
			"gauge.drl: 1 of 4 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 4 of 4 lie within the outline: its holes may not be in the coordinates of the copper"}},
		{"holes beyond the edge", folder{"gauge.drl": "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.5\n%\nT1\nX5.0Y5.0\nX25.0Y5.0\nM30\n", "gauge-top.gbr": layer("FileFunction,Copper,L1,Top", pad+"X250000Y50000D03*\n"),
			"gauge-bottom.gbr": layer("FileFunction,Copper,L2,Bot", pad+"X250000Y50000D03*\n")}, []string{"holes-beyond-edge",
			"gauge.drl: 2 of 2 holes taken for plated lie on pads of copper-1-top and copper-2-bottom, 1 of 2 lie within the outline: the others lie beyond the board's edge; look whether the outline is the whole board"}},
		{"one part far off", folder{"places.csv": places + "R3,200,5,0,top\n"}, []string{"placement-outside",
			"parts that lie neither on the board nor within 5 mm of it: R3 at (200, 5) mm; they are placed all the same: correct their places, or take them out of the placement"}},
		{"a part at the edge", folder{"places.csv": places + "R3,24,5,0,top\n"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := runFolder(t, gauge().with(c.files), nil)
			require.NoError(t, err)
			var got []string
			for _, f := range r.findings {
				got = append(got, f.Rule, f.Message)
			}
			require.Equal(t, c.want, got)
		})
	}
}

// A copper layer may be left out only where the recipe says how many there are; then a warning names it.
func TestCopperLayerMissing(t *testing.T) {
	four := gauge().with(folder{
		"gauge-bottom.gbr": layer("FileFunction,Copper,L4,Bot", pad),
		"gauge-in2.gbr":    layer("FileFunction,Copper,L2,Inr", pad),
		"gauge-in3.gbr":    layer("FileFunction,Copper,L3,Inr", pad),
		"gauge.drl":        strings.Replace(drill, "1,2,PTH", "1,4,PTH", 1),
	})
	count := 4
	said := func(b *board.Board) { b.CopperLayers = &count }
	r, err := runFolder(t, four, said)
	require.NoError(t, err)
	assert.NotContains(t, r.rules(), "copper-layer-missing")
	less := four.with(folder{"gauge-in3.gbr": ""})
	r, err = runFolder(t, less, said)
	require.NoError(t, err)
	require.Equal(t, []string{"copper-layer-missing"}, r.rules())
	assert.Equal(t, pipeline.Warning, r.findings[0].Severity)
	assert.Contains(t, r.findings[0].Message, "of 4 copper layers, no file is layer 3: the panel will lack it")
	_, err = runFolder(t, less, nil)
	require.ErrorContains(t, err, "no file is layer 3")
}
