package kernel

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// outlines are those of the open boards, as their profile layers draw them, with straight chords that
// stray from arcs by 0.1 µm.
func outlines(t testing.TB) map[string]geom.Region {
	out := map[string]geom.Region{}
	for _, pattern := range []string{
		"control-2l-regions/*contour.gm1", "daughter-2l-arcs74/*Edge_Cuts.gko", "half-2l-manyslots/*Edge.Cuts.gm1",
		"module-6l-slots/*EdgeCuts.gbr", "node-4l-x2/*Edge_Cuts.gbr", "notched-2l-large/*Edge.Cuts.gm1",
		"pilot-2l-mil/*boardoutline.gbr", "plate-cutouts/*EdgeCuts.gbr", "square-10l-inch/*Edge_Cuts.gbr",
		"tiny-4l-blind/*Edge.Cuts.gm1", "watch-2l-loops/profile.gbr",
	} {
		names, err := filepath.Glob(filepath.Join(shared.Dir(t, "boards"), filepath.FromSlash(pattern)))
		require.NoError(t, err)
		require.Len(t, names, 1)
		data, err := os.ReadFile(names[0])
		require.NoError(t, err)
		img, _, err := gerber.Read(pattern, data, gerber.Options{})
		require.NoError(t, err)
		var edges []geom.Edge
		for _, o := range img.Objects {
			if o.Kind == artwork.Stroke {
				edges = append(edges, o.Edge)
			}
		}
		o, _, err := geom.Assemble(edges, geom.JoinTolerance)
		require.NoError(t, err, pattern)
		r, err := overlay.Union(t.Context(), overlay.Options{KeepChords: true, ChordError: 100}, overlay.Of(o))
		require.NoError(t, err, pattern)
		out[filepath.Dir(pattern)] = r
	}
	return out
}

var distances = []geom.Length{-5 * geom.MM, -geom.MM, -50 * geom.UM, 50 * geom.UM, geom.MM, 5 * geom.MM}

// shapeJobs are offsets of shapes by all distances, with round joins whose chords stray by no more than
// a nanometre, and with mitres that nothing cuts off.
func shapeJobs(name string, r geom.Region) []job {
	var jobs []job
	for _, d := range distances {
		for _, join := range []offset.Join{offset.Round, offset.Mitre} {
			jobs = append(jobs, job{name: fmt.Sprintf("%s by %v, join %d", name, d, join), op: buffer, a: r, d: d, join: join, chord: 1})
		}
	}
	return jobs
}

// GEOS drops corners of its input that are shallower than a hundredth of the distance before it moves
// anything (so its source has it; from memory). Where arcs of many chords are moved by 5 mm that is more
// than the bound: up to what stands here, in nm². The first is plain: a rectangle of 50.8 by 22.86 mm
// with round corners moved inwards by 5 mm is one of 40.8 by 12.86 mm, 524.688 mm², which GEOS misses by
// 0.013. libpolyclipping has no exception.
var simplified = map[string]float64{
	"module-6l-slots by -5 mm, join 0":  2e10, // the bound is 1.4e8
	"module-6l-slots by -5 mm, join 1":  2e10,
	"notched-2l-large by -5 mm, join 0": 1e11, // the bound is 5e8
	"notched-2l-large by -5 mm, join 1": 1e11,
	"plate-cutouts by 5 mm, join 0":     5e9, // the bound is 1.7e9
	"plate-cutouts by 5 mm, join 1":     5e9,
}

func TestOffsetsOfBoards(t *testing.T) {
	var jobs []job
	all := outlines(t)
	for _, name := range slices.Sorted(maps.Keys(all)) {
		for _, j := range shapeJobs(name, all[name]) {
			j.named = simplified[j.name]
			jobs = append(jobs, j)
		}
	}
	hold(t, jobs, false)
}

func TestOffsetsOfStarsCombsSpirals(t *testing.T) {
	var jobs []job
	for name, o := range map[string]geom.Outline{
		"star of 5": star(0, 0, 5, 8e6, 20e6), "star of 24": star(1e6, 2e6, 24, 12e6, 15e6), "sharp star": star(0, 0, 9, 2e6, 20e6),
		"comb": comb(0, 0, 12, 1.7e6, 15e6, 0.2), "fine comb": comb(0, 0, 30, 3e5, 4e6, 1.1),
		"spiral": spiral(0, 0, 4, 1.5e6, 300), "wide spiral": spiral(3e6, 0, 3, 7e6, 200), "blob": blob(2000)[0],
	} {
		jobs = append(jobs, shapeJobs(name, geom.Region{o})...)
	}
	hold(t, jobs, false)
}
