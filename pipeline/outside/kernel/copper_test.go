package kernel

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// copper are the copper layers of the open boards: by function attribute, or by name where the files
// have none. Drawn copper only: what clear objects erase is not taken away, and macros and polygons
// stand as their boxes; the question is the union, put to all sides alike.
func copper(t *testing.T) []job {
	root := shared.Dir(t, "boards")
	files, err := filepath.Glob(filepath.Join(root, "*", "*"))
	require.NoError(t, err)
	slices.Sort(files)
	var jobs []job
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		name := strings.ToLower(filepath.Base(f))
		if !strings.Contains(string(data[:min(len(data), 20000)]), "%MO") {
			continue
		}
		img, _, err := gerber.Read(f, data, gerber.Options{})
		if err != nil {
			continue
		}
		function := img.Attributes.Get(".FileFunction")
		is := len(function) > 0 && function[0] == "Copper"
		if len(function) == 0 {
			is = strings.Contains(name, "copper") || strings.Contains(name, "_cu.") || strings.Contains(name, ".cu.") ||
				strings.Contains(name, "cutop") || strings.Contains(name, "cubottom") || strings.Contains(name, "inner") ||
				strings.HasSuffix(name, ".gtl") || strings.HasSuffix(name, ".gbl")
		}
		if is {
			jobs = append(jobs, job{name: filepath.Base(filepath.Dir(f)) + "/" + filepath.Base(f), op: union, a: drawn(t, img)})
		}
	}
	return jobs
}

// drawn are the polygons of an image's dark objects, arcs as chords that stray by 2 µm: what all sides
// get.
func drawn(t *testing.T, img *artwork.Image) geom.Region {
	var out geom.Region
	add := func(r geom.Region, err error) {
		require.NoError(t, err)
		out = append(out, r...)
	}
	flat := overlay.Options{KeepChords: true, ChordError: 2 * geom.UM}
	box := func(w, h geom.Length, at geom.Point) geom.Path {
		return geom.Rectangle(geom.BoxOf(geom.Pt(at.X-w/2, at.Y-h/2), geom.Pt(at.X-w/2+w, at.Y-h/2+h)))
	}
	flashes := map[int32]geom.Region{} // about the origin: the same polygon wherever it is flashed
	for _, o := range img.Objects {
		if o.Clear {
			continue
		}
		switch o.Kind {
		case artwork.Fill:
			var op overlay.Operand
			op.Paths = append(op.Paths, img.Regions[o.Region].Contours...)
			add(overlay.Union(t.Context(), flat, op))
		case artwork.Stroke:
			a := img.Apertures[o.Aperture]
			if a.Width > 0 {
				add(offset.Stroke(t.Context(), []geom.Path{{o.Edge}}, a.Width, offset.Options{Overlay: flat}))
			}
		case artwork.Flash:
			r, ok := flashes[o.Aperture]
			if !ok {
				a := img.Apertures[o.Aperture]
				var p []geom.Path
				switch reach := a.Reach(); {
				case a.Shape == artwork.Circle && a.Width > 0:
					p = []geom.Path{{geom.Arc(geom.Pt(a.Width/2, 0), geom.Pt(a.Width/2, 0), geom.Point{}, geom.CounterClockwise)}}
				case a.Shape == artwork.Rectangle:
					p = []geom.Path{box(a.Width, a.Height, geom.Point{})}
				case a.Shape == artwork.Obround:
					b := box(a.Width, a.Height, geom.Point{})
					p = []geom.Path{geom.RoundedRectangle(geom.BoxOf(b[0].From, b[2].From), min(a.Width, a.Height)/2)}
				case reach > 0:
					p = []geom.Path{box(2*reach, 2*reach, geom.Point{})}
				}
				var err error
				r, err = overlay.Union(t.Context(), flat, overlay.Operand{Paths: p})
				require.NoError(t, err)
				flashes[o.Aperture] = r
			}
			for _, q := range r {
				out = append(out, geom.Transform{Shift: o.Edge.From}.Outline(q))
			}
		}
	}
	return slices.DeleteFunc(out, func(o geom.Outline) bool { return math.Abs(o.Area()) < 1 })
}

// Source of the expected values: GEOS and libpolyclipping, on the same polygons.
func TestUnionOfCopper(t *testing.T) {
	jobs := copper(t)
	require.GreaterOrEqual(t, len(jobs), 30)
	edges := 0
	for _, j := range jobs {
		for _, p := range j.a.Paths() {
			edges += len(p)
		}
	}
	t.Logf("%d copper layers, %d edges", len(jobs), edges)
	hold(t, jobs, false)
}
