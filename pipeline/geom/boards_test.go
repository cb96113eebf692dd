package geom_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// The outlines of real boards, as their profile layers draw them.
//
// Sizes are from the boards' own descriptions and from the coordinates in the files; the numbers of
// loops were counted from chains of equal end points. Needs is the smallest tolerance, in nm, at which the
// loops close: ten of the eleven files close exactly; in one, ends computed separately miss by 1 nm.
func TestAssembleRealBoards(t *testing.T) {
	for _, c := range []struct {
		file          string
		width, height float64 // mm
		edges, cuts   int
		needs         geom.Length
	}{
		{"control-2l-regions/*contour.gm1", 99.7966, 137.9474, 4, 0, 0},
		{"daughter-2l-arcs74/*Edge_Cuts.gko", 99.949, 69.977, 8, 0, 0},
		{"half-2l-manyslots/*Edge.Cuts.gm1", 162.179, 126.492, 19, 0, 0},
		{"module-6l-slots/*EdgeCuts.gbr", 50.8, 22.86, 8, 0, 0},
		{"node-4l-x2/*Edge_Cuts.gbr", 28, 80, 8, 0, 0},
		{"notched-2l-large/*Edge.Cuts.gm1", 152.4, 101.6, 14, 0, 0},
		{"pilot-2l-mil/*boardoutline.gbr", 79.99984, 39.99992, 8, 0, 0},
		{"plate-cutouts/*EdgeCuts.gbr", 135.149961, 94.420231, 306, 27, 1},
		{"square-10l-inch/*Edge_Cuts.gbr", 169.99966, 169.99966, 4, 0, 0},
		{"tiny-4l-blind/*Edge.Cuts.gm1", 13, 9.4, 95, 1, 0},
		{"watch-2l-loops/profile.gbr", 24.3996, 24.3802, 630, 7, 0},
	} {
		t.Run(filepath.Dir(c.file), func(t *testing.T) {
			names, err := filepath.Glob(filepath.Join(shared.Dir(t, "boards"), filepath.FromSlash(c.file)))
			require.NoError(t, err)
			require.Len(t, names, 1)
			data, err := os.ReadFile(names[0])
			require.NoError(t, err)
			img, _, err := gerber.Read(c.file, data, gerber.Options{})
			require.NoError(t, err)
			var edges []geom.Edge
			for _, o := range img.Objects {
				if o.Kind == artwork.Stroke {
					edges = append(edges, o.Edge)
				}
			}
			assert.Len(t, edges, c.edges)
			for _, tol := range []geom.Length{c.needs, 1 * geom.UM, geom.JoinTolerance, 20 * geom.UM} {
				o, j, err := geom.Assemble(edges, tol)
				require.NoError(t, err, "at %s", tol)
				assert.InDelta(t, c.width, o.Box().Width().MM(), 1e-6)
				assert.InDelta(t, c.height, o.Box().Height().MM(), 1e-6)
				assert.Len(t, o.CutOuts, c.cuts)
				assert.Zero(t, j.Duplicates)
				assert.Equal(t, c.needs, j.LargestGap)
				assert.Len(t, o.Edges(), c.edges)
				for _, p := range append([]geom.Path{o.Outer}, o.CutOuts...) {
					require.NoError(t, p.Check())
				}
			}
			if c.needs > 0 {
				_, j, err := geom.Assemble(edges, c.needs-1)
				require.ErrorContains(t, err, "the outline is open: a gap of 0.000001 mm")
				assert.Len(t, j.Open, 12)
			}
		})
	}
}
