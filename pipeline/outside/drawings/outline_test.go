package drawings

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/format/dxf"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// outlineOf reads the outline of a DXF file as boards are read (stages/board/intake), by this project's own reader.
func outlineOf(t *testing.T, file string) geom.Joined {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	d, rep, err := dxf.Read(filepath.Base(file), data, dxf.Options{SetAside: true}) // frames may reach beyond 1 m
	require.NoError(t, err)
	require.Empty(t, rep.Notes)
	require.Equal(t, dxf.MM, rep.Unit)
	l := d.Layer("outline")
	require.NotNil(t, l)
	require.Empty(t, l.Refused)
	var edges []geom.Edge
	for _, c := range l.Curves {
		require.False(t, c.Flattened || c.Hidden, "%s at line %d", c.Kind, c.Line)
		edges = append(edges, c.Path...)
	}
	j, err := geom.Join(edges, 0)
	require.NoError(t, err)
	return j
}

// profileOf reads the contours of all that is cut from the build's own file for the fabricator.
func profileOf(t *testing.T, folder string) geom.Joined {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(folder, "fab", "*-profile.gbr"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	data, err := os.ReadFile(found[0])
	require.NoError(t, err)
	m, _, err := gerber.Read(filepath.Base(found[0]), data, gerber.Options{})
	require.NoError(t, err)
	var edges []geom.Edge
	for _, o := range m.Objects {
		require.Equal(t, artwork.Stroke, o.Kind)
		edges = append(edges, o.Edge)
	}
	j, err := geom.Join(edges, 0)
	require.NoError(t, err)
	return j
}

// otherContours lists where contours differ. Corners must be the same to the nanometre; an arc may stray from its
// like by two, since each file rounds its middle in its own way, and may be in two parts.
func otherContours(a, b geom.Joined) (out []string) {
	if len(a.Open) > 0 || len(b.Open) > 0 {
		out = append(out, fmt.Sprintf("%d and %d chains do not close", len(a.Open), len(b.Open)))
	}
	if len(a.Loops) != len(b.Loops) || len(a.Loops) == 0 {
		return append(out, fmt.Sprintf("%d contours, and %d", len(a.Loops), len(b.Loops)))
	}
	for i, x := range a.Loops {
		// Contours of one size come in an order that a nanometre may change.
		y := slices.MinFunc(b.Loops, func(p, q geom.Path) int { return cmp.Compare(off(x, p), off(x, q)) })
		corners := map[geom.Point]bool{}
		for _, e := range x {
			corners[e.From] = true
		}
		for _, e := range y {
			if whole := e.From == e.To; !whole && !corners[e.From] {
				out = append(out, fmt.Sprintf("contour %d: no corner at %v", i, e.From))
			}
		}
		if far, at := strays(x, y); far > 2.2 {
			out = append(out, fmt.Sprintf("contour %d strays by %.1f nm at %v", i, far, at))
		}
		if far, at := strays(y, x); far > 2.2 {
			out = append(out, fmt.Sprintf("contour %d strays by %.1f nm at %v", i, far, at))
		}
	}
	return out
}

// off is how far the boxes of two paths lie apart, by their corners.
func off(a, b geom.Path) geom.Length {
	x, y := a.Box(), b.Box()
	return max((x.Min.X - y.Min.X).Abs(), (x.Min.Y - y.Min.Y).Abs(), (x.Max.X - y.Max.X).Abs(), (x.Max.Y - y.Max.Y).Abs())
}

func strays(a, b geom.Path) (worst float64, at geom.Point) {
	to := geom.Prepare(b)
	for _, e := range a {
		for i := range 5 {
			p := e.At(float64(i) / 4)
			if d, _, _ := to.Distance(p); d > worst {
				worst, at = d, p
			}
		}
	}
	return worst, at
}

// TestPlantedOutlines: what an outline must not have is seen.
func TestPlantedOutlines(t *testing.T) {
	read := func(paths ...geom.Path) geom.Joined {
		var b bytes.Buffer
		require.NoError(t, dxf.Write(&b, []drawing.Sheet{{Name: "1", Box: samples.A4, Views: []drawing.View{{Name: "plan", Scale: drawing.Scale{Paper: 1, Real: 2},
			Shapes: []drawing.Shape{{Layer: drawing.Outline, Pen: drawing.Wide, Paths: paths}}}}}}, "plan"))
		file := filepath.Join(t.TempDir(), "panel.dxf")
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
		return outlineOf(t, file)
	}
	outer := geom.RoundedRectangle(samples.Box(0, 0, 100.123457, 80), 3*geom.MM)
	hole := samples.Circle(samples.Pt(30, 30), 2*geom.MM)
	right := read(outer, hole)
	require.Empty(t, otherContours(right, right))
	j, err := geom.Join(append(append([]geom.Edge{}, outer...), hole...), 0)
	require.NoError(t, err)
	require.Empty(t, otherContours(right, j))
	for name, wrong := range map[string]geom.Joined{
		"a hole is missing": read(outer), "a hole is there twice": read(outer, hole, samples.Circle(samples.Pt(60, 30), 2*geom.MM)),
		"a corner 1 nm off": read(geom.RoundedRectangle(samples.Box(0, 0, 100.123458, 80), 3*geom.MM), hole),
		"a radius 5 nm off": read(outer, samples.Circle(samples.Pt(30, 30), 2*geom.MM+5)),
		"another corner":    read(geom.RoundedRectangle(samples.Box(0, 0, 100.123457, 80), 3*geom.MM+10), hole),
		"it is open":        read(outer[1:], hole),
	} {
		assert.NotEmpty(t, otherContours(right, wrong), name)
	}
}
