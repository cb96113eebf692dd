package pdf_test

import (
	"bytes"
	"compress/zlib"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/format/pdf"
	"panelwright/pipeline/geom"
)

const mm = geom.MM

var (
	pt, box, circle = samples.Pt, samples.Box, samples.Circle
	a4              = samples.A4
	everything      = samples.Everything
)

func write(t *testing.T, info pdf.Info, sheets ...drawing.Sheet) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pdf.Write(&b, sheets, info))
	return b.Bytes()
}

// pages unpacks the pages' marks.
func pages(t *testing.T, file []byte) []string {
	t.Helper()
	var out []string
	for rest := file; ; {
		i := bytes.Index(rest, []byte("<</Filter /FlateDecode /Length "))
		if i < 0 {
			return out
		}
		rest = rest[i:]
		i = bytes.Index(rest, []byte("stream\n"))
		r, err := zlib.NewReader(bytes.NewReader(rest[i+7:]))
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		out = append(out, string(text))
		rest = rest[i:]
	}
}

func TestSameBytes(t *testing.T) {
	second := everything()
	second.Name, second.Box = "2", box(-10, -20, 410, 277)
	a := write(t, pdf.Info{Title: "gauge-12up"}, everything(), second)
	assert.Equal(t, a, write(t, pdf.Info{Title: "gauge-12up"}, everything(), second))
	assert.Less(t, len(a), 70_000)
	assert.NotContains(t, string(a), "CreationDate")
	assert.NotContains(t, string(a), "ModDate")
	date := time.Date(2031, 4, 5, 6, 7, 8, 0, time.FixedZone("", 7200))
	b := write(t, pdf.Info{Title: "gauge-12up", Date: &date}, everything(), second)
	assert.Contains(t, string(b), "/CreationDate (D:20310405040708)")
	assert.Contains(t, string(b), "/ModDate (D:20310405040708)")
	assert.Equal(t, 2, strings.Count(string(a), "/Type /Page\n"))
	assert.Contains(t, string(a), "/MediaBox [0 0 841.89 595.28]")
	assert.Contains(t, string(a), "/MediaBox [0 0 1190.55 841.89]")
}

func TestMarks(t *testing.T) {
	page := pages(t, write(t, pdf.Info{}, everything()))[0]
	assert.Contains(t, page, "0.002834645669 0 0 0.002834645669 0 0 cm")
	for name, want := range map[string]string{
		"paper": "1 g", "light": "0.9 g", "grey": "0.7 g", "ink": "0 g", "stamp": "0.75 g",
		"dashed": "[6000 1500] 0 d\n0 J", "long dash dot": "[12000 1500 250 1500] 0 d", "two dots": "[12000 1500 250 1500 250 1500] 0 d",
		"wide": "500 w", "narrow": "250 w", "even-odd clip": "W* n\n180 w", "view's clip": "W n", "fill and line": "B*",
		"layer": "/OC /OC0 BDC", "upright": "q 0 1 -1 0 200000 100000 cm",
		// The handles of a quarter turn are 0.552285 of the radius, here 5 mm: 2.761 mm.
		"quarter": "32761 10000 35000 12239 35000 15000 c", "circle": "q 1 0 0 1 ",
	} {
		assert.Contains(t, page, want, name)
	}
	assert.Equal(t, strings.Count(page, "q\n")+strings.Count(page, "q 1")+strings.Count(page, "q 0"), strings.Count(page, "Q\n"), "settings end")
	assert.Equal(t, strings.Count(page, "BDC"), strings.Count(page, "EMC"))
}

// TestArcs: each piece's ends lie on the arc, as does its middle, within 0.03 % of the radius and a micrometre's
// rounding, whatever the arc turns by.
func TestArcs(t *testing.T) {
	c := pt(100, 100)
	on := func(deg, r float64) geom.Point {
		sin, cos := geom.SinCos(deg * math.Pi / 180)
		return c.Add(geom.Pt(geom.FromMM(r*cos), geom.FromMM(r*sin)))
	}
	for _, a := range []struct {
		from, to, r float64
		sense       geom.Sense
		pieces      int
	}{
		{0, 90, 50, geom.CounterClockwise, 1}, {0, 90, 50, geom.Clockwise, 3}, {10, 9.9, 40, geom.CounterClockwise, 4}, {10, 9.9, 40, geom.Clockwise, 1},
		{0, 180, 20, geom.CounterClockwise, 2}, {270, 271, 90, geom.CounterClockwise, 1}, {30, 30, 33, geom.Clockwise, 4}, {30, 30, 33, geom.CounterClockwise, 4},
	} {
		e := geom.Arc(on(a.from, a.r), on(a.to, a.r), c, a.sense)
		s := drawing.Sheet{Box: a4, Shapes: []drawing.Shape{{Layer: drawing.Frame, Pen: drawing.Wide, Paths: []geom.Path{{e}}}}}
		page := pages(t, write(t, pdf.Info{}, s))[0]
		move := [2]float64{}
		if m := regexp.MustCompile(`q 1 0 0 1 (\d+) (\d+) cm`).FindStringSubmatch(page); m != nil {
			move = [2]float64{num(m[1]), num(m[2])}
		}
		m := regexp.MustCompile(`(-?\d+) (-?\d+) m\n`).FindStringSubmatch(page)
		x, y := num(m[1]), num(m[2])
		curves := regexp.MustCompile(`(-?\d+) (-?\d+) (-?\d+) (-?\d+) (-?\d+) (-?\d+) c\n`).FindAllStringSubmatch(page, -1)
		require.Len(t, curves, a.pieces, "%+v", a)
		length := 0.0
		for _, k := range curves {
			var v [6]float64
			for i := range v {
				v[i] = num(k[i+1])
			}
			lx, ly := x, y
			for i := 1.0; i <= 8; i++ {
				f := i / 8
				g := 1 - f
				px := g*g*g*x + 3*g*g*f*v[0] + 3*g*f*f*v[2] + f*f*f*v[4]
				py := g*g*g*y + 3*g*g*f*v[1] + 3*g*f*f*v[3] + f*f*f*v[5]
				assert.InDelta(t, a.r*1000, math.Hypot(px+move[0]-100_000, py+move[1]-100_000), a.r*0.3+2, "%+v", a)
				length += math.Hypot(px-lx, py-ly)
				lx, ly = px, py
			}
			x, y = v[4], v[5]
		}
		assert.InDelta(t, e.Length()/1e3, length, e.Length()/1e3*0.003+3, "%+v", a)
	}
}

func num(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

// TestManyMarks: thousands of holes and symbols stay small and quick.
func TestManyMarks(t *testing.T) {
	s := drawing.Sheet{Name: "1", Box: box(0, 0, 594, 420)}
	holes := drawing.Shape{Layer: drawing.Perforations, Pen: drawing.Fine, Fill: drawing.Paper}
	for i := range 6000 {
		holes.Paths = append(holes.Paths, circle(geom.Pt(geom.Length(i%100)*5_013_000, geom.Length(i/100)*6_417_000), 250*geom.UM))
	}
	s.Shapes = append(s.Shapes, holes)
	for i := range 50_000 {
		at := geom.Pt(geom.Length(i%250)*2_301_000, geom.Length(i/250)*2_047_000)
		s.Shapes = append(s.Shapes, drawing.Shape{Layer: drawing.Holes, Pen: drawing.Fine, Paths: []geom.Path{circle(at, 400*geom.UM),
			{geom.Line(at.Add(pt(-0.5, 0)), at.Add(pt(0.5, 0)))}, {geom.Line(at.Add(pt(0, -0.5)), at.Add(pt(0, 0.5)))}}})
	}
	begun := time.Now()
	file := write(t, pdf.Info{}, s)
	t.Logf("%d bytes in %v", len(file), time.Since(begun))
	assert.Less(t, len(file), 1_500_000)
	assert.Less(t, time.Since(begun), 5*time.Second) // measured: 0.25 s
}

func TestLacking(t *testing.T) {
	for _, s := range []string{"水位計 RG-1042", "🌊 tide", "tab\there", "zero\x00byte", "ĊčĐ(\\)", ""} {
		sheet := drawing.Sheet{Box: a4, Texts: []drawing.Text{{Layer: drawing.Notes, S: s, At: pt(10, 10), Height: 3 * mm}}}
		assert.Equal(t, write(t, pdf.Info{Title: s}, sheet), write(t, pdf.Info{Title: s}, sheet), "%q", s)
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct {
		sheets []drawing.Sheet
		want   string
	}{
		{nil, "a PDF file needs at least one sheet"},
		{[]drawing.Sheet{{Name: "2"}}, `sheet "2" is 0 mm by 0 mm large: a page has some size, and no side above 5080 mm`},
		{[]drawing.Sheet{{Name: "1", Box: box(0, 0, 6000, 10)}}, `sheet "1" is 6000 mm by 10 mm large: a page has some size, and no side above 5080 mm`},
	} {
		require.EqualError(t, pdf.Write(io.Discard, c.sheets, pdf.Info{}), c.want)
	}
	require.NotEmpty(t, write(t, pdf.Info{}, drawing.Sheet{Box: a4}), "a sheet with nothing on it")
	require.Error(t, pdf.Write(full{}, []drawing.Sheet{{Box: a4}}, pdf.Info{}))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// Coordinates must be the same on every processor: no product fused with a sum, no approximation of package math.
func TestNoFusedProducts(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("there is no go command here")
	}
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range sources { // so that the go command sees a change, as the geometry packages have it
		_, err := os.ReadFile(name)
		require.NoError(t, err)
	}
	cmd := exec.CommandContext(t.Context(), "go", "build", "-trimpath", "-gcflags=panelwright/pipeline/format/pdf=-S", "panelwright/pipeline/format/pdf")
	cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0", "GOFLAGS=")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%.2000s", out)
	products := 0
	for _, m := range regexp.MustCompile(`\(([^()]*\.go:\d+)\)\t(FN?M(?:ADD|SUB|UL)D?)\t`).FindAllStringSubmatch(string(out), -1) {
		if strings.HasSuffix(m[2], "MULD") {
			products++
			continue
		}
		t.Errorf("%s: %s: write float64(a*b) + c", m[1], m[2])
	}
	assert.Greater(t, products, 5, "this is not the assembly of this package")
	for _, m := range regexp.MustCompile(`\bmath\.([A-Za-z0-9]+)\(SB\)`).FindAllStringSubmatch(string(out), -1) {
		assert.Contains(t, "Abs Ceil Mod NaN Round Sqrt mod abs ceil sqrt", strings.TrimPrefix(m[1], "arch"), "differs from one processor to another: geom has SinCos and Atan2")
	}
}
