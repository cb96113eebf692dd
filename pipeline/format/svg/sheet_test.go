package svg_test

import (
	"encoding/xml"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
)

// ids reads a file as XML and gives its ids, which must be different from each other.
func ids(t *testing.T, file []byte) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for d := xml.NewDecoder(strings.NewReader(string(file))); ; {
		x, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		if e, ok := x.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "id" {
					require.False(t, out[a.Value], "two are called %s", a.Value)
					out[a.Value] = true
				}
			}
		}
	}
}

func TestSheet(t *testing.T) {
	file := svg.Sheet(samples.Everything(), "gauge-12up <C>")
	assert.Equal(t, file, svg.Sheet(samples.Everything(), "gauge-12up <C>"))
	got := ids(t, file)
	for _, id := range []string{"sheet", "title", "desc", "layer-outline", "layer-slots", "layer-rails", "layer-frame", "layer-notes", "layer-stamp"} {
		assert.True(t, got[id], id)
	}
	assert.False(t, got["layer-score"], "nothing is on it")
	for name, want := range map[string]string{
		"size": `viewBox="0 0 297 210" width="297mm" height="210mm"`, "title": `<title id="title">gauge-12up &lt;C&gt;</title>`,
		"desc": "Sheet 1: plan at 1:2, detail A at 5:1", "up": `transform="translate(0 210) scale(1 -1)"`, "dashes": `stroke-linecap="butt" stroke-dasharray="12 1.5 0.25 1.5"`,
		"light": `fill="#e6e6e6"`, "grey": `fill="#b3b3b3"`, "ink": `fill="#000000"`, "paper": `fill="#ffffff"`, "hatch": `clip-rule="evenodd"`,
		"stamp": `aria-label="NOT FOR RELEASE" transform="translate(16.534 180) scale(`, "light letters": `fill="#bfbfbf"><use href="#letter-b004e"/>`,
		"letters": `<g role="img" aria-label="Ø0.5 ±0.1°" transform="translate(100 80) scale(0.00168919)" fill="#000000"><use href="#letter-r00d8"/><use href="#letter-r0030" x="`,
		"upright": `transform="translate(200 100) rotate(90) scale(`, "wide": `stroke-width="0.5"`, "outline": `<path id="letter-r002e" d="M`,
	} {
		assert.Contains(t, string(file), want, name)
	}
}

// TestLetters: outlines stand one after the other, the last ends where the text's width says.
func TestLetters(t *testing.T) {
	text := drawing.Text{Layer: drawing.Notes, S: "VI Ø 水", At: samples.Pt(10, 10), Height: 5 * geom.MM, Align: drawing.End}
	file := string(svg.Sheet(drawing.Sheet{Name: "1", Box: samples.A4, Texts: []drawing.Text{text}}, "letters"))
	m := regexp.MustCompile(`translate\(([0-9.-]+) 10\) scale\(([0-9.]+)\).*<use href="#letter-r6c34" x="(\d+)"/>`).FindStringSubmatch(file)
	require.NotNil(t, m)
	num := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	_, wide := drawing.Glyph('水', false)
	assert.InDelta(t, 10, num(m[1])+num(m[2])*(num(m[3])+float64(wide)), 0.001)
	assert.NotContains(t, file, "letter-r0020", "a blank has no outline")
	capital, _ := drawing.Glyph('I', false)
	top := int64(0)
	for _, s := range capital {
		for _, p := range s.To {
			top = max(top, p[1])
		}
	}
	assert.InDelta(t, 5, num(m[2])*float64(top), 0.05, "the height is that of capitals")
}

func TestSheets(t *testing.T) {
	second := samples.Measured()
	second.Box = samples.Box(-10, -20, 410, 277)
	file := svg.Sheets([]drawing.Sheet{samples.Everything(), second}, "gauge")
	got := ids(t, file)
	assert.True(t, got["layer-outline"] && got["sheet-2-layer-outline"] && got["sheet-2-layer-dimensions"])
	assert.Contains(t, string(file), `viewBox="0 0 420 517"`)
	assert.Contains(t, string(file), `<g id="sheet-2-sheet" transform="translate(0 517) scale(1 -1)"`)
	assert.Contains(t, string(file), `d="m31.5 40h97.062`, "places are seen from the sheet's corner")
	ids(t, svg.Sheets(nil, "none"))
	ids(t, svg.Sheet(drawing.Sheet{Name: "empty", Texts: []drawing.Text{{S: ""}, {S: "a\x00b\x1f水🌊&", Height: geom.MM}}}, "a\x01b"))
}

// TestManyMarksOnASheet: thousands of holes and symbols stay small and quick.
func TestManyMarksOnASheet(t *testing.T) {
	s := drawing.Sheet{Name: "1", Box: samples.Box(0, 0, 594, 420)}
	holes := drawing.Shape{Layer: drawing.Perforations, Pen: drawing.Fine}
	for i := range 6000 {
		holes.Paths = append(holes.Paths, samples.Circle(geom.Pt(geom.Length(i%100)*5_013_000, geom.Length(i/100)*6_417_000), 250*geom.UM))
	}
	s.Shapes = append(s.Shapes, holes)
	for i := range 50_000 {
		at := geom.Pt(geom.Length(i%250)*2_301_000, geom.Length(i/250)*2_047_000)
		s.Shapes = append(s.Shapes, drawing.Shape{Layer: drawing.Holes, Pen: drawing.Fine, Paths: []geom.Path{samples.Circle(at, 400*geom.UM),
			{geom.Line(at.Add(samples.Pt(-0.5, 0)), at.Add(samples.Pt(0.5, 0)))}, {geom.Line(at.Add(samples.Pt(0, -0.5)), at.Add(samples.Pt(0, 0.5)))}}})
	}
	begun := time.Now()
	file := svg.Sheet(s, "many")
	t.Logf("%d bytes in %v", len(file), time.Since(begun))
	assert.Less(t, len(file), 5_000_000)
	assert.Less(t, time.Since(begun), 10*time.Second)
}
