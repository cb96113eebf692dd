package xnc

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

// The test files of an open layer viewer. What they say is known from that viewer's own settings for
// them; the third is one that the viewer cannot read without being told (metric, three digits before
// the point, trailing zeros left out).
func TestViewerFiles(t *testing.T) {
	root := filepath.Join(shared.Dir(t, "corpus"), "viewer-tests")
	for _, c := range []struct {
		file           string
		holes, slots   int
		first          geom.Point
		unit           Unit
		zeros          Zeros
		integer, digit int
		guessed        bool
	}{
		{"test-drill-leading-zero-1.exc", 3, 0, geom.Pt(-2_540_000, 76_200_000), Inch, LeadingKept, 2, 4, true},
		{"test-drill-trailing-zero-1.exc", 3, 0, geom.Pt(-2_540_000, 76_200_000), Inch, TrailingKept, 2, 4, true},
		{"test-drill-trailing-zero-suppression.exc", 215, 0, geom.Pt(126_467_000, 128_118_000), Millimetre, LeadingKept, 3, 3, true},
		{"test-drill-spaces.exc", 3, 0, geom.Pt(-2_540_000, 76_200_000), Inch, LeadingKept, 2, 4, true},
		{"test-drill-repeat-1.exc", 37, 0, geom.Pt(0, 0), Inch, TrailingKept, 2, 4, true},
		{"test-drill-slot-drilled-g85.exc", 0, 1, geom.Point{}, Inch, "", 0, 0, false},
		{"*-RoundHoles.drl", 4255, 0, geom.Pt(23_650_000, 15_975_500), Millimetre, LeadingKept, 4, 3, false},
		{"empty.xnc", 0, 0, geom.Point{}, Millimetre, "", 0, 0, false},
	} {
		t.Run(c.file, func(t *testing.T) {
			data, err := os.ReadFile(only(t, filepath.Join(root, c.file)))
			require.NoError(t, err)
			d, rep, err := Read(c.file, data, Options{})
			require.NoError(t, err)
			assert.Equal(t, [2]int{c.holes, c.slots}, [2]int{len(d.Holes), len(d.Routs)})
			if c.holes > 0 {
				assert.Equal(t, c.first, d.Holes[0].At)
			}
			assert.Equal(t, Report{Unit: c.unit, Zeros: c.zeros, Integer: c.integer, Decimals: c.digit,
				Guessed: c.guessed, GuessedWhat: rep.GuessedWhat, HasEnd: true}, *rep)
		})
	}
}

// Every drill file of the open test data: counts by tool and extents come from a script of regular
// expressions that shares nothing with the reader, told by hand how each file's numbers are written.
func TestEveryDrillFile(t *testing.T) {
	root := shared.Dir(t, "corpus")
	for _, c := range []struct {
		file                   string
		byTool                 map[int]int // holes
		slots, edges           int
		minX, minY, maxX, maxY float64
		warnings               int
	}{
		{"viewer-tests/test-drill-leading-zero-1.exc", map[int]int{13: 3}, 0, 0, -2.54, 76.2, 2.54, 76.2, 0},
		{"viewer-tests/test-drill-trailing-zero-1.exc", map[int]int{13: 3}, 0, 0, -2.54, 76.2, 2.54, 76.2, 0},
		{"viewer-tests/test-drill-trailing-zero-suppression.exc", map[int]int{1: 124, 2: 26, 3: 16, 4: 31, 5: 3, 6: 4, 7: 5, 8: 6}, 0, 0, 123.825, 65.42, 197.993, 157.988, 0},
		{"viewer-tests/test-drill-spaces.exc", map[int]int{13: 3}, 0, 0, -2.54, 76.2, 2.54, 76.2, 0},
		{"viewer-tests/test-drill-repeat-1.exc", map[int]int{1: 37}, 0, 0, 0, -19.05, 88.9, 44.45, 0},
		{"viewer-tests/test-drill-slot-drilled-g85.exc", map[int]int{}, 1, 1, 53.0149, 16.4948, 54.516, 16.4948, 0},
		// Its comments say 4:3, then 4:4: with trailing zeros left out both read alike.
		{"viewer-tests/*-RoundHoles.drl", map[int]int{1: 4171, 2: 10, 4: 32, 6: 5, 7: 6, 8: 3, 9: 7, 10: 2, 11: 15, 12: 1, 13: 1, 14: 2}, 0, 0, 0.05, 6.9999, 190.025, 111.2, 0},
		{"viewer-tests/empty.xnc", map[int]int{}, 0, 0, 0, 0, 0, 0, 0},
		// G90 before its header, a second header, and nothing drilled.
		{"viewer-tests/test-out-of-bounds-drill-tool.exc", map[int]int{}, 0, 0, 0, 0, 0, 0, 0},
		{"parser-fixtures/gerbers/drill/slot.drl", map[int]int{}, 1, 1, 0, 0, 12.7, 0, 0},
		{"parser-fixtures/gerbers/drill/hit.drl", map[int]int{1: 1}, 0, 0, 0, 0, 0, 0, 0},
		// These two never lower the cutter; the pictures that come with them show cuts.
		{"parser-fixtures/gerbers/drill/linear-route.drl", map[int]int{}, 1, 2, 0, 0, 12.7, 6.35, 1},
		{"parser-fixtures/gerbers/drill/arc-route.drl", map[int]int{}, 2, 4, 0, 0, 31.75, 12.7, 1},
		{"parser-fixtures/boards/mchck/*.drl", map[int]int{1: 32, 2: 40, 3: 1}, 0, 0, 40.63, -58.547, 73.66, -43.053, 0},
		{"parser-fixtures/boards/freeduino/*.drd", map[int]int{1: 39, 2: 6, 3: 76, 4: 4, 5: 41, 6: 2, 7: 2, 8: 3, 9: 3}, 0, 0, 9.713, 6.6319, 74.229, 56.4693, 0},
		{"parser-fixtures/boards/usbvil/*.txt", map[int]int{1: 17, 2: 13, 3: 2, 4: 6, 5: 2}, 0, 0, 55.9003, 71.0006, 87.3989, 82.4509, 0},
		{"parser-fixtures/boards/clockblock/clockblock.drl", map[int]int{1: 177, 2: 15, 3: 6, 4: 4, 5: 4}, 0, 0, 2.667, 17.145, 102.235, 89.535, 0},
		{"parser-fixtures/boards/clockblock/*-NPTH.drl", map[int]int{1: 14, 2: 4}, 0, 0, 6.35, 6.35, 103.505, 100.33, 0},
		{"parser-fixtures/boards/bus-pirate/*.drd", map[int]int{1: 80, 2: 2, 3: 4, 4: 2, 5: 15, 6: 4}, 0, 0, 12.1412, 12.6873, 70.1421, 47.686, 0},
		{"parser-fixtures/boards/core/*.TXT", map[int]int{1: 66, 2: 2, 3: 24}, 0, 0, 4.0716, 1.2827, 22.2072, 34.9377, 0},
	} {
		t.Run(c.file, func(t *testing.T) {
			data, err := os.ReadFile(only(t, filepath.Join(root, c.file)))
			require.NoError(t, err)
			d, rep, err := Read(c.file, data, Options{CutsUnlowered: true})
			require.NoError(t, err)
			byTool, box, edges := map[int]int{}, geom.EmptyBox(), 0
			for _, h := range d.Holes {
				byTool[d.Tools[h.Tool].Number]++
				box = box.Extend(h.At)
			}
			for _, s := range d.Routs {
				box = box.Union(s.Path.Box())
				edges += len(s.Path)
			}
			assert.Equal(t, c.byTool, byTool)
			assert.Equal(t, [2]int{c.slots, c.edges}, [2]int{len(d.Routs), edges})
			assert.Len(t, rep.Warnings, c.warnings)
			if len(d.Holes)+len(d.Routs) == 0 {
				return
			}
			for i, v := range []geom.Length{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y} {
				assert.InDelta(t, [...]float64{c.minX, c.minY, c.maxX, c.maxY}[i], v.MM(), 0.0001)
			}
		})
	}
}
