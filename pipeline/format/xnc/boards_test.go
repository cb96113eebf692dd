package xnc

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// only gives the one file that a pattern means.
func only(t *testing.T, pattern string) string {
	t.Helper()
	found, err := filepath.Glob(pattern)
	require.NoError(t, err)
	require.Len(t, found, 1, pattern)
	return found[0]
}

func readBoard(t *testing.T, file string) (*artwork.Drilling, *Report) {
	t.Helper()
	path := only(t, filepath.Join(shared.Dir(t, "boards"), file))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	d, rep, err := Read(filepath.Base(path), data, Options{})
	require.NoError(t, err)
	return d, rep
}

// Counts come from a line count of each file made with other tools; extents are those of the
// boards' outlines in their layer files, in mm.
func TestOpenBoards(t *testing.T) {
	for _, c := range []struct {
		file                      string
		tools, holes, slots       int
		minX, minY, width, height float64
		plating                   artwork.Plating
		to                        int
		guessed                   bool
	}{
		{"half-2l-manyslots/*-NPTH.drl", 3, 109, 0, 79.50, -175.26, 162.18, 126.49, 0, 0, false},
		{"half-2l-manyslots/*-PTH.drl", 7, 116, 145, 79.50, -175.26, 162.18, 126.49, 0, 0, false},
		{"module-6l-slots/*-NPTH.drl", 2, 4, 0, 134.51, -114.38, 50.80, 22.86, artwork.NonPlated, 6, false},
		// Half holes in the edge: their middles lie up to 0.13 mm outside it.
		{"module-6l-slots/*-PTH.drl", 4, 504, 4, 134.51, -114.51, 50.80, 23.12, artwork.Plated, 6, false},
		{"node-4l-x2/*-NPTH.drl", 5, 13, 0, 0, 0, 28, 80, artwork.NonPlated, 4, false},
		{"node-4l-x2/*-PTH.drl", 9, 289, 6, 0, 0, 28, 80, artwork.Plated, 4, false},
		{"notched-2l-large/*.drl", 9, 739, 0, 58.42, -149.86, 152.4, 101.6, 0, 0, false},
		{"plate-cutouts/*-NPTH.drl", 0, 0, 0, 0, 0, 0, 0, artwork.NonPlated, 2, false},
		{"plate-cutouts/*-PTH.drl", 0, 0, 0, 0, 0, 0, 0, artwork.Plated, 2, false},
		{"square-10l-inch/*-NPTH.drl", 4, 10, 0, 117.65, -226.82, 170, 170, 0, 0, false},
		{"square-10l-inch/*B.drl", 20, 1717, 34, 117.65, -226.82, 170, 170, 0, 0, false},
		{"tiny-4l-blind/*-NPTH.drl", 0, 0, 0, 0, 0, 0, 0, 0, 0, false},
		{"tiny-4l-blind/*-front-in1.drl", 1, 29, 0, 17.02, -26.50, 13, 9.4, 0, 0, false},
		{"tiny-4l-blind/*-in1-in2.drl", 1, 53, 0, 17.02, -26.50, 13, 9.4, 0, 0, false},
		{"tiny-4l-blind/*-in2-back.drl", 1, 167, 0, 17.02, -26.50, 13, 9.4, 0, 0, false},
		{"control-2l-regions/*_drill.txt", 13, 490, 0, 0.1, 0.1, 99.8, 137.95, 0, 0, true},
		// Two half holes stand in the edge of this one: their middles lie outside by up to 0.46 mm.
		{"watch-2l-loops/drill_1_16.xln", 5, 93, 0, -0.47, 0.01, 25.33, 24.38, 0, 0, false},
		{"pilot-2l-mil/*.ncdril", 6, 286, 0, 63, 36, 80, 40, artwork.Plated, 0, false},
		{"daughter-2l-arcs74/*board.txt", 8, 462, 0, 93.47, -143.76, 99.95, 69.98, 0, 0, false},
	} {
		t.Run(c.file, func(t *testing.T) {
			d, rep := readBoard(t, c.file)
			assert.Equal(t, [3]int{c.tools, c.holes, c.slots}, [3]int{len(d.Tools), len(d.Holes), len(d.Routs)})
			assert.Equal(t, c.plating, d.Plating)
			assert.Equal(t, c.to, d.To)
			assert.Equal(t, c.guessed, rep.Guessed)
			assert.Empty(t, rep.Warnings)
			assert.True(t, rep.HasEnd)
			box := geom.EmptyBox()
			for _, h := range d.Holes {
				box = box.Extend(h.At)
			}
			for _, s := range d.Routs {
				box = box.Union(s.Path.Box())
			}
			if len(d.Holes) == 0 {
				return
			}
			assert.GreaterOrEqual(t, box.Min.X.MM(), c.minX)
			assert.GreaterOrEqual(t, box.Min.Y.MM(), c.minY)
			assert.LessOrEqual(t, box.Max.X.MM(), c.minX+c.width)
			assert.LessOrEqual(t, box.Max.Y.MM(), c.minY+c.height)
			assert.Greater(t, (box.Max.X - box.Min.X).MM(), c.width/2, "the holes must spread over the board")
			assert.Greater(t, (box.Max.Y - box.Min.Y).MM(), c.height/2, "the holes must spread over the board")
		})
	}
}

// The file that says nothing of its digits: 2.4, for its holes then lie on the pads of the layer
// file, whose coordinates are inch 2.3. Tools are plated or not by comments in the header.
func TestSilentDigits(t *testing.T) {
	d, rep := readBoard(t, "control-2l-regions/*_drill.txt")
	assert.Equal(t, "digits 2.4 (the usual for inch whose holes span a likely board)", rep.GuessedWhat)
	for _, tool := range d.Tools {
		want := artwork.Plated
		if tool.Number < 100 {
			want = artwork.NonPlated
		}
		assert.Equal(t, want, tool.Plating, "T%d", tool.Number)
	}
	pads := flashes(t, "control-2l-regions/*_copperTop.gtl", 25_400)
	off := 0
	for _, h := range d.Holes {
		if d.Tools[h.Tool].Plating == artwork.Plated && !near(pads, h.At, 30*geom.UM) {
			off++
		}
	}
	assert.Zero(t, off, "plated holes without a pad")
}

// A file with its digits in a comment, one with a mask of digits: all plated holes lie on pads.
func TestHolesOnPads(t *testing.T) {
	for _, c := range []struct {
		drill, copper string
		step          geom.Length // of the layer file's last digit
		most          int         // holes without a flashed pad: the pad is drawn, or the hole is not plated
	}{
		{"pilot-2l-mil/*.ncdril", "pilot-2l-mil/*.GTL", 2540, 0},
		{"watch-2l-loops/drill_1_16.xln", "watch-2l-loops/copper_top.gbr", 100, 7},
		{"daughter-2l-arcs74/*board.txt", "daughter-2l-arcs74/*-F_Cu.gtl", 2540, 1},
		{"module-6l-slots/*-PTH.drl", "module-6l-slots/*-CuTop.gbr", 1, 5},
		{"node-4l-x2/*-PTH.drl", "node-4l-x2/*-F_Cu.gbr", 1, 0},
		{"notched-2l-large/*.drl", "notched-2l-large/*-Front.gtl", 1, 0},
		{"square-10l-inch/*B.drl", "square-10l-inch/*-TOP.gtl", 2540, 0},
		{"half-2l-manyslots/*-PTH.drl", "half-2l-manyslots/*-F.Cu.gtl", 1, 0},
		{"tiny-4l-blind/*-in2-back.drl", "tiny-4l-blind/*-B.Cu.gbl", 10, 0},
	} {
		t.Run(c.drill, func(t *testing.T) {
			d, _ := readBoard(t, c.drill)
			pads := flashes(t, c.copper, c.step)
			off := 0
			for _, h := range d.Holes {
				if !near(pads, h.At, 30*geom.UM) {
					off++
				}
			}
			assert.LessOrEqual(t, off, c.most, "of %d holes, those without a pad of %d", len(d.Holes), len(pads))
		})
	}
}

// flashes takes the D03 places out of a layer file whose zeros are all kept or leading ones left
// out; that is all these files need.
func flashes(t *testing.T, file string, step geom.Length) []geom.Point {
	data, err := os.ReadFile(only(t, filepath.Join(shared.Dir(t, "boards"), file)))
	require.NoError(t, err)
	var out []geom.Point
	var at geom.Point
	flash := false
	for _, s := range strings.FieldsFunc(string(data), func(r rune) bool { return r == '*' || r == '\n' || r == '\r' }) {
		if s == "" || !strings.ContainsRune("XYD", rune(s[0])) || strings.HasPrefix(s, "D1") && len(s) == 3 {
			flash = false
			continue
		}
		for rest := []byte(s); len(rest) > 0; {
			letter := rest[0]
			var n number
			n, rest = scanNumber(rest[1:])
			v := geom.Length(n.value) * step
			if n.neg {
				v = -v
			}
			switch letter {
			case 'X':
				at.X = v
			case 'Y':
				at.Y = v
			case 'D':
				flash = n.value == 3
			}
		}
		if flash {
			out = append(out, at)
		}
	}
	require.NotEmpty(t, out)
	return out
}

func near(pads []geom.Point, p geom.Point, within geom.Length) bool {
	for _, q := range pads {
		if (p.X-q.X).Abs() <= within && (p.Y-q.Y).Abs() <= within {
			return true
		}
	}
	return false
}
