package board_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/stages/board"
	"panelwright/stages/board/intake"
)

// TestRefused holds the whole text of each refusal.
func TestRefused(t *testing.T) {
	words := intake.FunctionWords
	for _, c := range []struct {
		name   string
		files  folder
		change func(*board.Board)
		want   string
	}{
		{
			name:  "empty folder",
			files: folder{},
			want:  "data: the folder holds no files",
		},
		{
			name:  "nothing but texts",
			files: folder{"README.md": "# gauge\n", "LICENSE": "Free.\n"},
			want: "none of the 2 files of data is layer or drill data\n" +
				"    name the folder, zip or files that hold the board's fabrication data",
		},
		{
			name: "two boards by project",
			files: gauge().with(folder{
				"modem-top.gbr":     layer("FileFunction,Copper,L1,Top;ProjectId,modem,0,A", pad+pad),
				"modem-profile.gbr": layer("FileFunction,Profile,NP;ProjectId,modem,0,A", square+pad),
			}),
			want: "the files are those of two boards: gauge-bottom.gbr is of the project \"gauge\", modem-profile.gbr of \"modem\"\n" +
				"    give each board a stage of its own, with files that are its own",
		},
		{
			name: "two boards by layers",
			files: folder{
				"a.gtl": layer("", pad), "a.gko": layer("", square),
				"b.gtl": layer("", pad+pad), "b.gko": layer("", square+pad),
			},
			want: "the files are those of two boards: copper-1-top in a.gtl and b.gtl; profile in a.gko and b.gko\n" +
				"    give each board a stage of its own, with files that are its own",
		},
		{
			name:  "two revisions",
			files: gauge().with(folder{"gauge-top.gbr": layer("FileFunction,Copper,L1,Top;ProjectId,gauge,0,D", pad)}),
			want: "the files are of two revisions: gauge-bottom.gbr is revision \"C\", gauge-top.gbr is revision \"D\"\n" +
				"    have all files of the board written at one revision",
		},
		{
			name:   "another revision than the recipe's",
			files:  gauge(),
			change: func(b *board.Board) { b.Revision = "B" },
			want: "gauge-bottom.gbr is revision \"C\", the recipe says revision \"B\"\n" +
				"    take the files of the revision that is meant, or correct the recipe",
		},
		{
			name: "open outline",
			files: gauge().with(folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP",
				"X0Y0D02*\nX200000D01*\nY100000D01*\nX0D01*\nY500D01*\n")}),
			want: "gauge-profile.gbr: the outline is open: a gap of 0.05 mm between (0, 0) and (0, 0.05) (ends are joined up to 0.01 mm apart)\n" +
				"    close it in the source; or, if the gap is only careless drawing, allow it in the recipe: outline_tolerance = \"50 um\"",
		},
		{
			name: "outline far from closed",
			files: gauge().with(folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP",
				"X0Y0D02*\nX200000D01*\nY100000D01*\nX0D01*\nY50000D01*\n")}),
			want: "gauge-profile.gbr: the outline is open: a gap of 5 mm between (0, 0) and (0, 5) (ends are joined up to 0.01 mm apart)\n" +
				"    close it in the source and have the profile written again",
		},
		{
			name: "self-crossing outline",
			files: gauge().with(folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP",
				"X0Y0D02*\nX200000Y100000D01*\nX200000Y0D01*\nX0Y100000D01*\nX0Y0D01*\n")}),
			want: "gauge-profile.gbr: the outline crosses or touches itself at (10, 5); loop-1 (10 × 10 mm from (0, 0)), which holds the board's pads and holes, crosses or touches loop-2 (10 × 10 mm from (10, 0))\n" +
				"    say in the recipe which loop is the board's edge, in the board stage (the survey's picture shows them):\n" +
				"      outline {\n        loop = \"loop-1\"\n      }",
		},
		{
			name: "two outlines side by side",
			files: gauge().with(folder{
				"gauge-top.gbr": layer("FileFunction,Copper,L1,Top", pad+"X350000Y50000D03*\nX350000Y60000D03*\nX350000Y70000D03*\nX360000Y70000D03*\n"),
				"gauge-profile.gbr": layer("FileFunction,Profile,NP",
					square+"X300000Y0D02*\nX400000D01*\nY100000D01*\nX300000D01*\nY0D01*\n")}),
			want: "gauge-profile.gbr: loop-1 (20 × 10 mm from (0, 0)) holds 3 of the board's pads and holes, loop-2 (10 × 10 mm from (30, 0)) holds 4: these may be two boards\n" +
				"    give each board files of its own; or say in the recipe which loop is the board's edge, in the board stage (the survey's picture shows them):\n" +
				"      outline {\n        loop = \"loop-2\"\n      }",
		},
		{
			name:  "profile without strokes",
			files: gauge().with(folder{"gauge-profile.gbr": layer("FileFunction,Profile,NP", pad)}),
			want: "gauge-profile.gbr: the profile holds no strokes and no regions: there is no outline to take from it\n" +
				"    have the outline drawn on it",
		},
		{
			name:  "unclaimed file",
			files: gauge().with(folder{"power.gbr": layer("", pad)}),
			want: "power.gbr: nobody says what this layer is for: it has no attribute .FileFunction, and its name follows no known convention\n" +
				"    say it in the recipe, in the board stage:\n" +
				"      layer \"power.gbr\" {\n        function = \"…\"\n      }\n" +
				"    where the function is " + words,
		},
		{
			name:  "a name that contradicts itself",
			files: gauge().with(folder{"gauge-F_Mask.gbo": layer("", pad)}),
			want: "gauge-F_Mask.gbo: its extension says bottom legend, the words of its name say top mask\n" +
				"    say in the recipe, in the board stage, what it is for:\n" +
				"      layer \"gauge-F_Mask.gbo\" {\n        function = \"…\"\n      }\n" +
				"    where the function is " + words,
		},
		{
			name:  "duplicate function",
			files: gauge().with(folder{"old.gtl": layer("", pad+pad)}),
			want: "two files claim to be copper-1-top: gauge-top.gbr (its attribute .FileFunction) and old.gtl (its name)\n" +
				"    take one away, or say in the recipe which one does not count:\n" +
				"      layer \"old.gtl\" {\n        function = \"ignore\"\n        reason   = \"…\"\n      }",
		},
		{
			name:  "no copper",
			files: gauge().with(folder{"gauge-top.gbr": "", "gauge-bottom.gbr": ""}),
			want: "none of the files is copper\n" +
				"    add the board's copper layers; where a name says nothing, give it a layer block in the recipe",
		},
		{
			name:  "no profile",
			files: gauge().with(folder{"gauge-profile.gbr": ""}),
			want: "none of the files is the board's profile, its outline\n" +
				"    add it; where its name says nothing, give it a layer block in the recipe with function = \"profile\"; or give its size, in the board stage:\n" +
				"      outline {\n        width  = \"… mm\"\n        height = \"… mm\"\n      }",
		},
		{
			name:  "a copper layer is missing",
			files: gauge().with(folder{"gauge-bottom.gbr": layer("FileFunction,Copper,L4,Bot", pad), "in1.gbr": layer("FileFunction,Copper,L2,Inr", pad)}),
			want: "of 4 copper layers, no file is layer 3\n" +
				"    add it; or, where the file is left out on purpose, write copper_layers = 4",
		},
		{
			name:   "more layers than the recipe says",
			files:  gauge().with(folder{"gauge-bottom.gbr": layer("FileFunction,Copper,L4,Bot", pad)}),
			change: func(b *board.Board) { n := 2; b.CopperLayers = &n },
			want:   "gauge-bottom.gbr is copper layer 4, but the recipe says copper_layers = 2\n    correct one of them",
		},
		{
			name:   "layer block that matches nothing",
			files:  gauge(),
			change: func(b *board.Board) { b.Layers = []board.Layer{{Files: "pwr.gbr", Function: "copper-2-inner"}} },
			want: "the layer block \"pwr.gbr\" matches none of the board's files\n" +
				"    its files are gauge-bottom.gbr, gauge-profile.gbr, gauge-top.gbr, gauge.drl",
		},
		{
			name:  "a region in drill data as a layer",
			files: gauge().with(folder{"holes.gbr": layer("FileFunction,NonPlated,1,2,NPTH", "G36*\nX20000Y20000D02*\nX30000D01*\nY30000D01*\nX20000Y20000D01*\nG37*\n")}),
			want: "holes.gbr: it holds drill data as a layer (NonPlated,1,2,NPTH), and no drill file has that span and plating; there is a filled region at (2, 2) mm, which no drill makes\n" +
				"    have the drill data written as a drill file (XNC); or ignore it in the recipe:\n" +
				"      layer \"holes.gbr\" {\n        function = \"ignore\"\n        reason   = \"…\"\n      }",
		},
		{
			name:  "two drill files with the same holes",
			files: gauge().with(folder{"again-pth.drl": drill + "\n"}),
			want: "two files claim to be plated-1-2: again-pth.drl and gauge.drl both drill at (5, 5) mm\n" +
				"    take one away; or, where they differ in plating or layers, say so in the recipe in drill blocks",
		},
		{
			name:  "drill span deeper than the board",
			files: gauge().with(folder{"gauge.drl": strings.Replace(drill, "Plated,1,2", "Plated,1,4", 1)}),
			want: "gauge.drl: its attribute .FileFunction says that it goes from layer 1 to layer 4; the board has 2 copper layers\n" +
				"    say it in the recipe, in the board stage:\n" +
				"      drill \"gauge.drl\" {\n        from = 1\n        to   = 2\n      }",
		},
		{
			name:  "legend as a negative",
			files: gauge().with(folder{"gauge.gto": "%IPNEG*%\n" + layer("FileFunction,Legend,Top", pad)}),
			want: "gauge.gto: it is drawn as a negative (image polarity, IPNEG), and whether what is drawn on a negative top legend is there or is missing is not agreed\n" +
				"    have it written as a positive",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runFolder(t, c.files, c.change)
			require.Error(t, err)
			require.Equal(t, c.want, err.Error())
		})
	}
}

// TestRefusedFiles: files that their readers refuse, with the place.
func TestRefusedFiles(t *testing.T) {
	for _, c := range []struct {
		name  string
		files folder
		want  []string // in the text
	}{
		{"binary layer", gauge().with(folder{"gauge-top.gtl": "\x00\x01\x02\x7fELF\x00"}), []string{"gauge-top.gtl:1:1: binary data"}},
		{"empty layer", gauge().with(folder{"gauge.gts": " \n"}), []string{"gauge.gts: "}},
		{"text as a drill file", gauge().with(folder{"more.drl": "to be drilled by hand\n"}), []string{"more.drl"}},
		{"aperture not defined", gauge().with(folder{"gauge-top.gbr": layer("FileFunction,Copper,L1,Top", "D11*\nX0Y0D03*\n")}), []string{"gauge-top.gbr:9:1: aperture D11 is used before it is defined"}},
		{"two faults at once", gauge().with(folder{"a.gts": "\x00", "b.gbs": "\x00"}), []string{"a.gts:1:1: ", "\nb.gbs:1:1: "}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runFolder(t, c.files, nil)
			require.Error(t, err)
			for _, w := range c.want {
				assert.Contains(t, err.Error(), w)
			}
		})
	}
}

// TestCutShort: a file without its end is read, and closes the release gate.
func TestCutShort(t *testing.T) {
	r, err := runFolder(t, gauge().with(folder{"gauge-top.gbr": strings.TrimSuffix(gauge()["gauge-top.gbr"], "M02*\n")}), nil)
	require.NoError(t, err)
	require.Equal(t, []string{"file-cut-short"}, r.rules())
	assert.Equal(t, pipeline.Error, r.findings[0].Severity)
	assert.Equal(t, "gauge-top.gbr: the file has no end code: it may be cut short; have it written again", r.findings[0].Message)
}

func TestRefusedZips(t *testing.T) {
	do := ": nothing of the zip was read\n    pack the files again, by names inside the zip"
	for _, c := range []struct{ name, member, want string }{
		{"climbs", "../gauge.gtl", `data.zip: member "../gauge.gtl" climbs out of the zip` + do},
		{"climbs inside", "a/../../gauge.gtl", `data.zip: member "a/../../gauge.gtl" climbs out of the zip` + do},
		{"climbs by backslash", `..\gauge.gtl`, `data.zip: member "..\\gauge.gtl" climbs out of the zip` + do},
		{"absolute", "/etc/gauge.gtl", `data.zip: member "/etc/gauge.gtl" has an absolute path` + do},
		{"drive", `c:\gauge.gtl`, `data.zip: member "c:\\gauge.gtl" names a drive` + do},
		{"control character", "gauge\n.gtl", `data.zip: member "gauge\n.gtl" has a name that is no file name` + do},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := runIn(t, zipped(t, gauge().with(folder{c.member: layer("", pad)})), "data.zip", nil)
			require.EqualError(t, err, c.want)
		})
	}
	t.Run("damaged", func(t *testing.T) {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, "data.zip"), []byte("PK\x03\x04 and no more"), 0o666))
		_, err := runIn(t, dir, "data.zip", nil)
		require.EqualError(t, err, "data.zip: the zip cannot be read: not a valid zip file\n    pack the files again")
	})
}

func TestCheck(t *testing.T) {
	four, two := 4, 2
	for _, c := range []struct {
		b    board.Board
		want string
	}{
		{board.Board{Name: "Gauge 1"}, `option name must be lower-case letters, digits and underscores, a letter first; "Gauge 1" is not`},
		{board.Board{Name: "g", Layers: []board.Layer{{Files: "a", Function: "copper-2-inne"}}},
			`option layer a function must be ` + intake.FunctionWords + `; "copper-2-inne" is none of them; nearest: copper-2-inner`},
		{board.Board{Name: "g", Layers: []board.Layer{{Files: "a", Function: "ignore"}}}, `option layer a reason is missing: say why the file is ignored`},
		{board.Board{Name: "g", Layers: []board.Layer{{Files: "[a", Function: "profile"}}},
			`option layer [a is not a file pattern: * stands for any characters, ? for one, [ab] for one of those`},
		{board.Board{Name: "g", Drills: []board.Drill{{Files: "a", From: &four, To: &two}}}, `option drill a from must be above to: layers are counted from the top`},
	} {
		err := c.b.Check()
		require.EqualError(t, err, c.want)
		var bad *pipeline.BadOption
		require.True(t, errors.As(err, &bad))
	}
	require.NoError(t, (&board.Board{Name: "gauge_2"}).Check())
}
