package drawings

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
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
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	m, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	out := image.NewGray(image.Rect(0, 0, m.Bounds().Dx(), m.Bounds().Dy()))
	for y := range out.Rect.Max.Y {
		for x := range out.Rect.Max.X {
			out.Set(x, y, color.GrayModel.Convert(m.At(m.Bounds().Min.X+x, m.Bounds().Min.Y+y)))
		}
	}
	return out
}

// block is the side of the squares whose means are compared, in pixels: a square of 6 mm on a sheet of 297.
const block = 8

// How much two pictures may differ, of 255. Measured: thin lines drawn in another way, as versions of poppler do, make
// 0.05 in the mean and 28 at most; a view or a table that is missing makes more than 0.6 or 30 on the smallest of
// sheets, and 1.3 and 60 on those of the demo.
const (
	meanAtMost  = 0.5
	blockAtMost = 29
)

// differs compares two pictures by the means of squares: the mean and the largest difference. Pictures of
// different sizes differ wholly, but for a pixel's rounding.
func differs(a, b *image.Gray) (mean, worst float64) {
	w, h := min(a.Rect.Max.X, b.Rect.Max.X), min(a.Rect.Max.Y, b.Rect.Max.Y)
	if max(a.Rect.Max.X, b.Rect.Max.X)-w > 1 || max(a.Rect.Max.Y, b.Rect.Max.Y)-h > 1 {
		return 255, 255
	}
	n := 0
	for y := 0; y < h; y += block {
		for x := 0; x < w; x += block {
			r := image.Rect(x, y, min(x+block, w), min(y+block, h))
			d := math.Abs(shade(a, r) - shade(b, r))
			mean, worst, n = mean+d, max(worst, d), n+1
		}
	}
	return mean / float64(n), worst
}

func shade(m *image.Gray, r image.Rectangle) float64 {
	sum := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum += int(m.GrayAt(x, y).Y)
		}
	}
	return float64(sum) / float64(r.Dx()*r.Dy())
}

func alike(a, b *image.Gray) bool {
	mean, worst := differs(a, b)
	return mean <= meanAtMost && worst <= blockAtMost
}

// blanked takes from a picture the ninth of it that has the most ink.
func blanked(m *image.Gray) *image.Gray {
	w, h := m.Rect.Dx()/3, m.Rect.Dy()/3
	var at image.Rectangle
	darkest := 256.0
	for i := range 9 {
		r := image.Rect(0, 0, w, h).Add(image.Pt(i%3*w, i/3*h))
		if s := shade(m, r); s < darkest {
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
			if mean, worst := differs(readPicture(t, path), m); mean > meanAtMost || worst > blockAtMost {
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
	mean, worst := differs(right, pagesOf(t, written(t, whole()), "-thinlinemode", "solid")[0])
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
		mean, worst := differs(right, drawn(s))
		t.Logf("%s: %.2f in the mean, %.0f at most", name, mean, worst)
		assert.True(t, mean > meanAtMost || worst > blockAtMost, name)
	}
	shared.Ran(t, "pdftoppm: planted differences")
}
