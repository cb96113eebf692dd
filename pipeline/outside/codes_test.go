package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
)

// The readers of codes are dmtxread (Debian package dmtx-utils, measured with 0.7.6) and zbarimg (zbar-tools,
// 0.23.92): programs that read photographs, and know nothing of layers. What the viewer draws of a layer
// file is given to them as it would be seen: dark squares black on white; the bottom from below.

// plainBoard writes the files of a board of 60 x 30 mm with copper and mask on both sides, RG-1042 revision C.
func plainBoard(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	layer := func(name, function, polarity, body string) {
		text := "%TF.FileFunction," + function + "*%\n%TF.FilePolarity," + polarity + "*%\n%FSLAX46Y46*%\n%MOMM*%\n%LPD*%\nG01*\n%ADD10C,0.200000*%\n%ADD11C,1.500000*%\n" + body + "M02*\n"
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	pads := "D11*\nX10000000Y10000000D03*\nX50000000Y20000000D03*\n"
	layer("profile.gbr", "Profile,NP", "Positive", "D10*\nX0Y0D02*\nX60000000Y0D01*\nX60000000Y30000000D01*\nX0Y30000000D01*\nX0Y0D01*\n")
	layer("copper-top.gbr", "Copper,L1,Top", "Positive", pads)
	layer("copper-bottom.gbr", "Copper,L2,Bot", "Positive", pads)
	layer("mask-top.gbr", "Soldermask,Top", "Negative", pads)
	layer("mask-bottom.gbr", "Soldermask,Bot", "Negative", pads)
	return dir
}

// codeCase is one code: its block and what must be read of it.
type codeCase struct {
	name, side, options, says string
	light                     bool // the light squares are printed
	qr                        bool
}

// code is a case's place on the panel.
type writtenCode struct {
	codeCase
	file string
	area boxNM
}

// ascii is every character that a code may hold but the backslash and quote, which recipes write otherwise.
func ascii() string {
	var b strings.Builder
	for c := ' ' + 1; c <= '~'; c++ {
		if c != '"' && c != '\\' && c != '$' && c != '%' {
			b.WriteRune(c)
		}
	}
	return b.String()
}

func codeCases() []codeCase {
	var out []codeCase
	for _, side := range []string{"top", "bottom"} {
		for _, qr := range []bool{false, true} {
			symbology := "data_matrix"
			if qr {
				symbology = "qr"
			}
			add := func(name, options, says string, light bool) {
				out = append(out, codeCase{fmt.Sprintf("%s, %s, %s", symbology, side, name), side, options + "\nsymbology = \"" + symbology + "\"", says, light, qr})
			}
			content := func(s string) string { return fmt.Sprintf("content = %q", s) }
			add("one letter", content("R"), "R", false)
			add("part number and revision", "", "RG-1042 C", false)
			add("panel and date", `words = ["panel", "panel_revision", "part_number", "date"]`, "codes B RG-1042 2026-11-30", false)
			add("figures alone", content("104220261130000123")+"\nmodule = 0.3", "104220261130000123", false)
			add("small squares", content("RG-1042 C")+"\nmodule = 0.2", "RG-1042 C", false)
			add("squares in mil", content("RG-1042 C")+"\nmodule = \"20 mil\"", "RG-1042 C", false)
			add("in copper", content("RG-1042 C copper")+"\nmade_of = \"copper\"", "RG-1042 C copper", false)
			add("light squares printed", content("RG-1042 C light")+"\nprint_light = true", "RG-1042 C light", true)
			add("every character", content(ascii())+"\nmodule = 0.25", ascii(), false)
			add("an address", content("https://gauges.example/rg-1042?rev=C&lot=7"), "https://gauges.example/rg-1042?rev=C&lot=7", false)
			for _, n := range []int{60, 100, 140, 200} {
				s := strings.Repeat("RG-1042/C:", 20)[:n]
				add(fmt.Sprintf("%d characters", n), content(s)+"\nmodule = 0.25", s, false)
			}
		}
	}
	return out
}

// writeCodes builds a panel of all cases with the program and finds each on it.
func writeCodes(t *testing.T, cases []codeCase) []writtenCode {
	t.Helper()
	t.Setenv("SOURCE_DATE_EPOCH", "1796040000") // 2026-11-30
	b := build(t, "codes", plainBoard(t), func(files string) string {
		var s strings.Builder
		fmt.Fprintf(&s, "panel \"codes\" {\n  revision = \"B\"\n}\nstage \"board\" {\n  name = \"gauge\"\n  files = %q\n  part_number = \"RG-1042\"\n  revision = \"C\"\n}\n", files)
		s.WriteString("stage \"array\" {\n  board = \"gauge\"\n  columns = 6\n  rows = 2\n  gap = 2\n}\nstage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\"]\n  width = 30\n}\n")
		for i, c := range cases {
			turn := ""
			if i%3 == 1 {
				turn = fmt.Sprintf("  turn = %d\n", []int{90, 180, 270}[i%9/3])
			}
			fmt.Fprintf(&s, "stage \"legend\" {\n  name = \"c%d\"\n  side = %q\n%s  code {\n%s\n  }\n}\n", i, c.side, turn, c.options)
		}
		s.WriteString("stage \"rules\" {}\nstage \"write_fab\" {}\n")
		return s.String()
	})
	data, err := os.ReadFile(filepath.Join(b.dir, "panel.json"))
	require.NoError(t, err)
	var read struct {
		Prints []struct {
			ID     string
			Layers []string
			Area   [2][2]json.Number `json:"area_mm"`
		}
	}
	require.NoError(t, json.Unmarshal(data, &read))
	require.Len(t, read.Prints, len(cases))
	out := make([]writtenCode, len(cases))
	for i, p := range read.Prints {
		require.Equal(t, fmt.Sprintf("legend/c%d/code", i), p.ID)
		a := p.Area
		out[i] = writtenCode{cases[i], b.file(p.Layers[0]), boxNM{nm(t, a[0][0]), nm(t, a[0][1]), nm(t, a[1][0]), nm(t, a[1][1])}}
		require.NotEmpty(t, out[i].file, p.Layers)
	}
	return out
}

// seen gives the picture of a code as a reader sees it. asPrinted leaves out that the bottom is seen from below.
func (v *viewer) seen(t *testing.T, c writtenCode, file string, asPrinted bool) []byte {
	t.Helper()
	w := windowOn(c.area)
	drawn, err := v.draw(w, file)
	require.NoError(t, err)
	require.Positive(t, drawn.ink())
	const margin = 20 // pixels of white round all
	m := image.NewGray(image.Rect(0, 0, drawn.w+2*margin, drawn.h+2*margin))
	for i := range m.Pix {
		m.Pix[i] = 255
	}
	for y := range drawn.h {
		for x := range drawn.w {
			at := x
			if c.side == "bottom" && !asPrinted {
				at = drawn.w - 1 - x
			}
			dark := drawn.at(at, y)
			if c.light {
				// Ink is light there, and what it does not cover within the code's area is dark.
				dark = !dark && image.Pt(x, y).In(image.Rect(4, 4, drawn.w-4, drawn.h-4))
			}
			if dark {
				m.SetGray(margin+x, margin+y, color.Gray{})
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, m))
	return b.Bytes()
}

// readers are the programs that read codes, by whether the code is a QR code.
var readers = map[bool][]string{
	// -m ends the search after so many milliseconds, -N after one code.
	false: {"dmtxread", "-N1", "-m4000"},
	true:  {"zbarimg", "--raw", "--quiet", "-Sdisable", "-Sqrcode.enable"},
}

func needReaders(t *testing.T) {
	t.Helper()
	for _, r := range readers {
		if _, err := exec.LookPath(r[0]); err != nil {
			shared.Missing(t, r[0]+", which reads two-dimensional codes, is not here (Debian: apt-get install dmtx-utils zbar-tools)")
		}
	}
}

// readCode gives what the outside reader reads in a picture, "" when it finds no code.
func readCode(t *testing.T, picture []byte, qr bool) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "code.png")
	require.NoError(t, os.WriteFile(path, picture, 0o644))
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	args := readers[qr]
	cmd := exec.CommandContext(ctx, args[0], append(args[1:len(args):len(args)], path)...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	err := cmd.Run()
	var failed *exec.ExitError
	if err != nil && !errors.As(err, &failed) {
		t.Fatal(err)
	}
	if err != nil && out.Len() > 0 {
		t.Fatalf("%s: %v: %s", args[0], err, tail(said.String()))
	}
	return strings.TrimSuffix(out.String(), "\n")
}

// TestCodesAreRead: every code, written to a layer file and drawn by the viewer, is read by the outside
// reader and says what the recipe asked for: on both sides, as legend and in copper, in several sizes, turned
// by each quarter turn.
func TestCodesAreRead(t *testing.T) {
	needReaders(t)
	v := newViewer(t)
	for _, c := range writeCodes(t, codeCases()) {
		t.Run(c.name, func(t *testing.T) {
			got := readCode(t, v.seen(t, c, c.file, false), c.qr)
			if assert.Equal(t, c.says, got) {
				shared.Ran(t, "code read back: "+c.name)
			}
		})
	}
}

// TestPlantedFaultsInCodesAreSeen: a Data Matrix without one column of its finder, one whose foot is gone,
// and one on the bottom that is not mirrored are not read; a QR code that lacks a finder square is not read
// either. So the check above can fail.
func TestPlantedFaultsInCodesAreSeen(t *testing.T) {
	needReaders(t)
	v := newViewer(t)
	content := func(s string) string { return "content = \"" + s + "\"\nquiet_zone = 4\n" }
	all := writeCodes(t, []codeCase{
		{"matrix", "top", content("RG-1042 C"), "RG-1042 C", false, false},
		{"bottom", "bottom", content("RG-1042 C") + "\n", "RG-1042 C", false, false},
		{"qr", "top", content("RG-1042 C") + "symbology = \"qr\"", "RG-1042 C", false, true},
	})
	for i := range all {
		require.Equal(t, "RG-1042 C", readCode(t, v.seen(t, all[i], all[i].file, false), all[i].qr), "%s as it was written", all[i].name)
	}
	const square, quiet = 500_000, 4
	// erased takes squares out of a code's file, counted from the lower left one of the code.
	erased := func(c writtenCode, x, y, w, h int64) string {
		data, err := os.ReadFile(c.file)
		require.NoError(t, err)
		at := func(x, y int64) string {
			return fmt.Sprintf("X%dY%d", c.area.x0+(quiet+x)*square, c.area.y0+(quiet+y)*square)
		}
		cut := "%LPC*%\nG01*\nG36*\n" + at(x, y) + "D02*\n" + at(x+w, y) + "D01*\n" + at(x+w, y+h) + "D01*\n" + at(x, y+h) + "D01*\n" + at(x, y) + "D01*\nG37*\n"
		text := string(data)
		end := strings.LastIndex(text, "%TF.MD5")
		if end < 0 {
			end = strings.LastIndex(text, "M02*")
		}
		require.Positive(t, end)
		return write(t, "planted.gbr", text[:end]+cut+"M02*\n")
	}
	n := (all[0].area.x1-all[0].area.x0)/square - 2*quiet
	require.EqualValues(t, 14, n)
	for name, got := range map[string]string{
		"without the finder's column":         readCode(t, v.seen(t, all[0], erased(all[0], 0, 0, 1, n), false), false),
		"without the finder's foot":           readCode(t, v.seen(t, all[0], erased(all[0], 0, 0, n, 1), false), false),
		"with half of its squares gone":       readCode(t, v.seen(t, all[0], erased(all[0], 1, 1, n-2, n/2), false), false),
		"on the bottom, seen from the top":    readCode(t, v.seen(t, all[1], all[1].file, true), false),
		"a QR code without one finder square": readCode(t, v.seen(t, all[2], erased(all[2], 0, 0, 8, 8), false), true),
	} {
		assert.Empty(t, got, name)
	}
	if !t.Failed() {
		shared.Ran(t, "code read back: planted faults")
	}
}

// TestLettersAreDrawnAsLaidOut: what the viewer draws of letters in a written layer is what our own letters
// are, drawn by an SVG rasteriser: every sign, on both sides, turned, in three heights. The viewer rounds the
// pen's width and the ends of strokes to whole pixels, the rasteriser neither: at thin round ends up to three
// pixels in a heap may differ, 0.002 mm².
func TestLettersAreDrawnAsLaidOut(t *testing.T) {
	v, r := newViewer(t), newRasteriser(t)
	type row struct {
		text, side  string
		height, pen geom.Length
		turn        geom.Angle
		at          geom.Point
	}
	rows := []row{
		{"ABCDEFGHIJKLMNOPQRSTUVWXYZ 0123456789", "top", 2 * geom.MM, 200 * geom.UM, 0, geom.Pt(2*geom.MM, 4*geom.MM)},
		{"abcdefghijklmnopqrstuvwxyz !#&'()*+,-./", "bottom", 2 * geom.MM, 200 * geom.UM, 0, geom.Pt(80*geom.MM, 4*geom.MM)},
		{":;<=>?@[]^_`|~Ø°±µ×ÄÖÜäöüßéè–→←↑↓", "top", 1 * geom.MM, 150 * geom.UM, 0, geom.Pt(2*geom.MM, 8*geom.MM)},
		{"RG-1042\nrev. C", "top", 3 * geom.MM, 300 * geom.UM, 30 * geom.Degree, geom.Pt(90*geom.MM, 6*geom.MM)},
		{"RG-1042", "bottom", 3 * geom.MM, 300 * geom.UM, geom.Quarter, geom.Pt(112*geom.MM, 19*geom.MM)},
	}
	b := build(t, "letters", plainBoard(t), func(files string) string {
		s := fmt.Sprintf("panel \"letters\" {\n  revision = \"B\"\n}\nstage \"board\" {\n  name = \"gauge\"\n  files = %q\n}\n", files) +
			"stage \"array\" {\n  board = \"gauge\"\n  columns = 2\n  rows = 1\n}\nstage \"rails\" {\n  sides = [\"lower\"]\n  width = 20\n}\n"
		for _, x := range rows {
			s += fmt.Sprintf("stage \"legend\" {\n  text = %s\n  side = %q\n  letter_height = %s\n  stroke_width = %s\n  turn = %s\n  at = [%s, %s]\n}\n",
				fmt.Sprintf("%q", x.text), x.side, x.height.Decimal(), x.pen.Decimal(), x.turn.Decimal(), x.at.X.Decimal(), x.at.Y.Decimal())
		}
		return s + "stage \"rules\" {}\nstage \"write_fab\" {}\n"
	})
	for i, x := range rows {
		lay, err := lettering.Lay(x.text, x.height, x.pen, lettering.Left)
		require.NoError(t, err)
		// Half-way up the block, at the left end of what is read, lies the point.
		side := panel.Side(x.side)
		anchor := lettering.Pose{Side: side, Turn: x.turn}.Point(geom.Pt(0, lay.Block.Height()/2))
		lay = lay.Place(side, x.turn, x.at.Sub(anchor))
		print := panel.Print{Lines: lay.Lines, Dots: lay.Dots}
		w := windowOn(boxNM{int64(lay.Box.Min.X), int64(lay.Box.Min.Y), int64(lay.Box.Max.X), int64(lay.Box.Max.Y)})
		want, err := r.draw(ownPicture(print.Image(nil), w, pixel), w.w, w.h, false)
		require.NoError(t, err)
		got, err := v.draw(w, b.file("legend-"+x.side))
		require.NoError(t, err)
		require.Greater(t, want.ink(), 1000)
		found, err := differences(want, got, w.inner)
		require.NoError(t, err)
		found = slices.DeleteFunc(found, func(b blob) bool { return b.size <= 3 })
		if assert.Empty(t, found, x.text) {
			shared.Ran(t, fmt.Sprintf("letters drawn by the viewer: %d", i+1))
		}
	}
	// The comparison sees a stroke that is three pixels off.
	lay, err := lettering.Lay("RG-1042", 2*geom.MM, 200*geom.UM, lettering.Left)
	require.NoError(t, err)
	w := windowOn(boxNM{int64(lay.Box.Min.X), int64(lay.Box.Min.Y), int64(lay.Box.Max.X), int64(lay.Box.Max.Y)})
	good, err := r.draw(ownPicture((panel.Print{Lines: lay.Lines}).Image(nil), w, pixel), w.w, w.h, false)
	require.NoError(t, err)
	lay.Lines[3].Path = geom.Transform{Shift: geom.Pt(0, 3*pixel)}.Path(lay.Lines[3].Path)
	bad, err := r.draw(ownPicture((panel.Print{Lines: lay.Lines}).Image(nil), w, pixel), w.w, w.h, false)
	require.NoError(t, err)
	found, err := differences(good, bad, w.inner)
	require.NoError(t, err)
	found = slices.DeleteFunc(found, func(b blob) bool { return b.size <= 3 })
	assert.NotEmpty(t, found)
}
