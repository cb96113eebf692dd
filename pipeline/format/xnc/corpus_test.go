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
