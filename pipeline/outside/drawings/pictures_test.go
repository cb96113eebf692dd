package drawings

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/pictures"
	"panelwright/pipeline/internal/shared"
)

var update = flag.Bool("update", false, "write the reference pictures of the demo's drawings anew; look at each")

// wide is how many pixels a page's picture is wide.
const wide = 400

// pagesOf draws a PDF file's pages by pdftoppm (Debian package poppler-utils), in grey.
func pagesOf(t *testing.T, file string, more ...string) []*image.Gray {
	t.Helper()
	needs(t, "pdftoppm")
	dir := t.TempDir()
	args := append([]string{"-png", "-gray", "-scale-to-x", fmt.Sprint(wide), "-scale-to-y", "-1"}, more...)
	out, err := exec.CommandContext(t.Context(), "pdftoppm", append(args, file, filepath.Join(dir, "page"))...).CombinedOutput()
	require.NoError(t, err, string(out))
	require.Empty(t, string(out), "pdftoppm complains of %s", file)
	found, err := filepath.Glob(filepath.Join(dir, "page-*.png"))
	require.NoError(t, err)
	slices.Sort(found) // it writes as many digits for each
	var pages []*image.Gray
	for _, f := range found {
		pages = append(pages, readPicture(t, f))
	}
	require.NotEmpty(t, pages)
	return pages
}

func readPicture(t *testing.T, file string) *image.Gray {
	t.Helper()
	m, err := pictures.Read(file)
	require.NoError(t, err)
	return m
}

// How much two pictures may differ, of 255, in squares of 8 pixels: 6 mm on a sheet of 297. Measured: thin lines drawn in another way, as versions of poppler do, make
// 0.05 in the mean and 28 at most; a view or a table that is missing makes more than 0.6 or 30 on the smallest of
// sheets, and 1.3 and 60 on those of the demo.
const (
	meanAtMost  = 0.5
	blockAtMost = 29
)

func alike(a, b *image.Gray) bool {
	mean, worst := pictures.Differ(a, b)
	return mean <= meanAtMost && worst <= blockAtMost
}

// blanked takes from a picture the ninth of it that has the most ink.
func blanked(m *image.Gray) *image.Gray {
	w, h := m.Rect.Dx()/3, m.Rect.Dy()/3
	var at image.Rectangle
	darkest := 256.0
	for i := range 9 {
		r := image.Rect(0, 0, w, h).Add(image.Pt(i%3*w, i/3*h))
		if s := pictures.Shade(m, r); s < darkest {
			darkest, at = s, r
		}
	}
	out := image.NewGray(m.Rect)
	copy(out.Pix, m.Pix)
	draw.Draw(out, at, image.White, image.Point{}, draw.Src)
	return out
}

// TestDemoPictures holds the demo's sheets against the pictures in testdata/pictures, which a person has looked at.
func TestDemoPictures(t *testing.T) {
	d := demoOf(t)
	dir := filepath.Join("testdata", "pictures")
	if *update {
		require.NoError(t, os.RemoveAll(dir))
		require.NoError(t, os.MkdirAll(dir, 0o755))
	}
	want := map[string]bool{}
	for _, name := range d.folders {
		if !ofDemo(name) {
			continue
		}
		for i, m := range pagesOf(t, filepath.Join(d.dir, "out", name, "drawing", "panel.pdf")) {
			file := fmt.Sprintf("%s-%d.png", strings.ReplaceAll(filepath.ToSlash(name), "/", "-"), i+1)
			want[file] = true
			if *update {
				var b bytes.Buffer
				require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, m))
				require.Less(t, b.Len(), 45_000, "%s is large for a reference", file)
				require.NoError(t, os.WriteFile(filepath.Join(dir, file), b.Bytes(), 0o644))
				continue
			}
			assert.False(t, alike(m, blanked(m)), "%s would look alike without a part", file)
			path := filepath.Join(dir, file)
			if _, err := os.Stat(path); err != nil {
				t.Errorf("%s is not there: make golden writes it", path)
				continue
			}
			if mean, worst := pictures.Differ(readPicture(t, path), m); mean > meanAtMost || worst > blockAtMost {
				t.Errorf("%s looks different: by %.2f of 255 in the mean, by %.0f where it differs most", file, mean, worst)
			}
		}
	}
	found, err := filepath.Glob(filepath.Join(dir, "*.png"))
	require.NoError(t, err)
	for _, f := range found {
		assert.True(t, want[filepath.Base(f)], "%s is of no sheet", f)
	}
	if !t.Failed() && !*update {
		shared.Ran(t, "pdftoppm: pictures of the demo's sheets")
	}
}

// TestPlantedPictures: another way of smoothing is no difference; a view, a table or a stamp that is missing is.
func TestPlantedPictures(t *testing.T) {
	whole := func() drawing.Sheet {
		s := samples.Measured()
		s.Shapes = append(s.Shapes, drawing.Shape{Layer: drawing.Frame, Pen: drawing.Wide, Paths: []geom.Path{geom.Rectangle(samples.Box(5, 5, 292, 205))}})
		for i := range 10 {
			s.Texts = append(s.Texts, text("A note of some length, as notes are", 200, 190-5*float64(i)))
		}
		return s
	}
	drawn := func(s drawing.Sheet) *image.Gray { return pagesOf(t, written(t, s))[0] }
	right := drawn(whole())
	require.True(t, alike(right, drawn(whole())))
	mean, worst := pictures.Differ(right, pagesOf(t, written(t, whole()), "-thinlinemode", "solid")[0])
	t.Logf("thin lines drawn in another way: %.2f in the mean, %.0f at most", mean, worst)
	require.LessOrEqual(t, mean, meanAtMost)
	require.LessOrEqual(t, worst, float64(blockAtMost))
	for name, spoil := range map[string]func(*drawing.Sheet){
		"the plan is missing":       func(s *drawing.Sheet) { s.Views[0].Shapes = nil },
		"the dimensions are":        func(s *drawing.Sheet) { s.Dimensions = nil },
		"the notes are":             func(s *drawing.Sheet) { s.Texts = nil },
		"the frame is":              func(s *drawing.Sheet) { s.Shapes = nil },
		"the plan stands elsewhere": func(s *drawing.Sheet) { s.Views[0].Origin = samples.Pt(26, 26) },
		"a stamp is there":          func(s *drawing.Sheet) { s.Texts = append(s.Texts, samples.Everything().Texts[8]) },
		"a dimension is elsewhere":  func(s *drawing.Sheet) { s.Dimensions[0].Text.At = samples.Pt(100, 195); s.Dimensions[0].Lines = nil },
		"another size":              func(s *drawing.Sheet) { s.Box = samples.Box(0, 0, 297, 250) },
	} {
		s := whole()
		spoil(&s)
		mean, worst := pictures.Differ(right, drawn(s))
		t.Logf("%s: %.2f in the mean, %.0f at most", name, mean, worst)
		assert.True(t, mean > meanAtMost || worst > blockAtMost, name)
	}
	shared.Ran(t, "pdftoppm: planted differences")
}
