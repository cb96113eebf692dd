package board_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/board"
)

// TestBodies: a table gives bodies by package; what stands out, is fragile or not listed is told.
func TestBodies(t *testing.T) {
	const placement = "Ref,Val,Package,X (mm),Y (mm),Rot,Side\nJ1,USB,USB_B,19,5,0,top\nP1,,PIN_2,0.5,5,0,top\nC1,10u,CAN,10,5,90,bottom\nX1,,XTAL,5,5,0,top\nR1,1k,0603,12,3,0,top\n"
	const table = "package,length_mm,width_mm,height_mm,mass_mg,overhang,fragile,class,underside_mm\nUSB_*,4,6,3,1200,yes,,,0.5\nPIN_2,2,1,,,,,,\nCAN,5,5,12,400,,,,\nXTAL,3,2,1,20,,yes,crystal,\n"
	files := gauge().with(folder{"pos.csv": placement})
	tables := t.TempDir()
	put := func(text string) func(*board.Board) {
		require.NoError(t, os.WriteFile(filepath.Join(tables, "bodies.csv"), []byte(text), 0o666))
		return func(b *board.Board) { b.Packages = pipeline.InPath{Text: "bodies.csv", Dir: tables} }
	}
	r, err := runFolder(t, files, put(table))
	require.NoError(t, err)
	var said []string
	for _, f := range r.findings {
		if f.Rule != "placement-origin" { // these boards have one pad
			said = append(said, string(f.Severity)+" "+f.Rule+": "+f.Message)
		}
	}
	assert.Equal(t, []string{
		"note package-not-listed: bodies.csv says nothing of 1 package: 0603",
		"note part-stands-out: J1 (USB_B) stands out over the board's edge by 1 mm, as its package is meant to",
		"warning part-stands-out: P1 (PIN_2) stands out over the board's edge by 0.5 mm",
		"note parts-fragile: 2 parts fragile, or 10 mm and higher, by bodies.csv: C1 and X1",
	}, said)
	assert.Equal(t, panel.Body{By: panel.ByTable, Length: 4 * geom.MM, Width: 6 * geom.MM, Height: 3 * geom.MM, Mass: 1_200_000, Overhang: true,
		Underside: 500 * geom.UM, Class: panel.Connector, ClassBy: panel.ByName}, r.board.Parts[0].Body)
	assert.True(t, r.board.Parts[2].Body.Fragile, "12 mm high")
	assert.Equal(t, panel.Crystal, r.board.Parts[3].Body.Class)
	assert.Equal(t, panel.ByTable, r.board.Parts[3].Body.ClassBy)
	assert.Equal(t, panel.Body{}, r.board.Parts[4].Body, "a guess is not carried")
	assert.Equal(t, "bodies.csv", r.board.Packages.Name)
	assert.Len(t, r.board.Packages.SHA256, 64)

	_, err = runFolder(t, files, put("package,length\n"))
	require.ErrorContains(t, err, `bodies.csv:1:9: "length" does not say its unit`)
	_, err = runFolder(t, files, func(b *board.Board) { b.Packages = pipeline.InPath{Text: "*.csv", Dir: t.TempDir()} })
	require.Error(t, err)
}

// TestPlacementOptions: what a placement block states holds.
func TestPlacementOptions(t *testing.T) {
	files := gauge().with(folder{"pos.csv": "R1;7;1,5;-2,5;90\nR2;8;3,25;4,5;0\n"})
	_, err := runFolder(t, files, nil)
	require.Error(t, err, "the unit is open")
	r, err := runFolder(t, files, func(b *board.Board) {
		b.Placements = []board.Placement{{Files: "pos.csv", Unit: "mm", Side: "bottom", Columns: []string{"refdes", "-", "x", "y", "rotation"},
			Shift: []geom.Length{20 * geom.MM, 5 * geom.MM}, BottomX: "mirrored", BottomTurns: "clockwise"}}
	})
	require.NoError(t, err)
	assert.Equal(t, []panel.Part{
		{Refdes: "R1", Side: panel.Bottom, At: geom.Pt(18_500_000, 2_500_000), Turn: 3 * geom.Quarter},
		{Refdes: "R2", Side: panel.Bottom, At: geom.Pt(16_750_000, 9_500_000)},
	}, r.board.Parts)
	assert.Empty(t, r.findings)

	// The stage refuses columns that make no table.
	s := board.Kind().New().(*board.Board)
	s.Placements = []board.Placement{{Files: "pos.csv", Columns: []string{"refdes", "x"}}}
	assert.ErrorContains(t, s.Check(), "placement pos.csv columns")

	// Parts that are not to be placed are told, and so is a unit that nobody says.
	r, err = runFolder(t, gauge().with(folder{"top.csv": "Ref,X (mm),Y (mm),Rot,DNP\nR1,1,2,0,\nR2,3,4,0,DNP\nR3,,,0,\nR4,,,0,\n"}), nil)
	require.NoError(t, err)
	assert.Len(t, r.board.Parts, 1)
	var said []string
	for _, f := range r.findings {
		said = append(said, f.Message)
	}
	assert.Equal(t, []string{"top.csv: not placed, since its column DNP says so: R2", "top.csv: not placed, since they have no place: R3 and R4"}, said)
	_, err = runFolder(t, gauge().with(folder{"top.csv": "Ref,X,Y,Rot\nR1,1,2,0\n"}), nil)
	require.EqualError(t, err, "top.csv: nobody says the unit of its places, and neither the board's pads nor its size tell it\n    say it in the recipe, in the board stage, for example:\n      placement \"top.csv\" {\n        unit = \"mm\"\n      }")
}

// TestPlacementByItsColumns: a table whose header is in no known language is told as not read, with what helps,
// and read once the recipe says its columns; two bytes a letter are read as spreadsheets write them.
func TestPlacementByItsColumns(t *testing.T) {
	files := gauge().with(folder{"lage.csv": "Bauteil;Wert;X;Y;Winkel\nR1;10k;1,5;2,5;90\nR2;10k;3,25;4,5;0\n"})
	dir := files.write(t)
	r, err := runIn(t, dir, "data", nil)
	require.NoError(t, err)
	require.Empty(t, r.board.Parts)
	for _, s := range r.board.Sources {
		if s.Name == "lage.csv" {
			assert.Contains(t, s.Ignored, "a block placement in the recipe can say what its columns are")
		}
	}
	r, err = runIn(t, dir, "data", func(b *board.Board) {
		b.Placements = []board.Placement{{Files: "lage.csv", Unit: "mm", Side: "top", Columns: []string{"refdes", "value", "x", "y", "rotation"}}}
	})
	require.NoError(t, err)
	require.Len(t, r.board.Parts, 2)
	assert.Equal(t, geom.Pt(1_500_000, 2_500_000), r.board.Parts[0].At)

	var wide strings.Builder
	for _, c := range "Ref,X (mm),Y (mm),Rot,Side\nR1,1.5,2.5,90,top\n" {
		wide.WriteString(string(c) + "\x00")
	}
	for _, mark := range []string{"\xff\xfe", ""} {
		r, err = runFolder(t, gauge().with(folder{"places.csv": mark + wide.String()}), nil)
		require.NoError(t, err)
		require.Len(t, r.board.Parts, 1, "mark %q", mark)
	}
}
