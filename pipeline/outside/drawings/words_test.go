package drawings

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/samples"
	"panelwright/pipeline/format/pdf"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/shared"
)

// word is a word on a page, as pdftotext tells of it: in points, y down from the page's upper edge. Its box reaches
// from the font's ascent to its descent.
type word struct {
	page           int
	s              string
	x1, y1, x2, y2 float64
}

// pdfText is what pdftotext finds in a file.
type pdfText struct {
	words []word // in the order of the file
	pages [][2]float64
}

var (
	pageTag = regexp.MustCompile(`<page width="([0-9.]+)" height="([0-9.]+)">`)
	wordTag = regexp.MustCompile(`<word xMin="([0-9.-]+)" yMin="([0-9.-]+)" xMax="([0-9.-]+)" yMax="([0-9.-]+)">(.*)</word>`)
)

// beyond is how far round a page is looked at, in points: pdftotext says nothing of letters that lie off the page, so it
// is given a copy whose pages are larger.
const beyond = 99

var mediaBox = regexp.MustCompile(`/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]`)

// enlarged makes the copy. It is as long, since files have the places of their parts in them.
func enlarged(t *testing.T, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	n := 0
	data = mediaBox.ReplaceAllFunc(data, func(m []byte) []byte {
		n++
		v := mediaBox.FindSubmatch(m)
		size := func(b []byte) int {
			f, err := strconv.ParseFloat(string(b), 64)
			require.NoError(t, err)
			return int(math.Ceil(f)) + beyond
		}
		out := fmt.Appendf(nil, "/MediaBox [-%d -%d %d %d]", beyond, beyond, size(v[1]), size(v[2]))
		require.LessOrEqual(t, len(out), len(m))
		return append(out, bytes.Repeat([]byte(" "), len(m)-len(out))...)
	})
	require.Positive(t, n, "%s has no pages", file)
	copied := filepath.Join(t.TempDir(), "larger.pdf")
	require.NoError(t, os.WriteFile(copied, data, 0o644))
	return copied
}

// wordsOf reads a PDF file by pdftotext (Debian package poppler-utils). In the order of the file (-raw) letters over
// one another are told of one by one.
func wordsOf(t *testing.T, file string) pdfText {
	t.Helper()
	needs(t, "pdftotext")
	run := func(file string) string {
		var said bytes.Buffer
		cmd := exec.CommandContext(t.Context(), "pdftotext", "-raw", "-bbox", "-enc", "UTF-8", file, "-")
		cmd.Stderr = &said
		out, err := cmd.Output()
		require.NoError(t, err, said.String())
		for line := range strings.Lines(said.String()) {
			require.Contains(t, line, "no word list", "pdftotext complains of %s", file) // that is a page without words
		}
		return string(out)
	}
	var out pdfText
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	for _, m := range pageTag.FindAllStringSubmatch(run(file), -1) {
		out.pages = append(out.pages, [2]float64{num(m[1]), num(m[2])})
	}
	page, more := 0, 0.0
	for line := range strings.Lines(run(enlarged(t, file))) {
		if m := pageTag.FindStringSubmatch(line); m != nil {
			page++
			more = num(m[2]) - out.pages[page-1][1] - beyond // above the page's upper edge
		}
		if m := wordTag.FindStringSubmatch(line); m != nil {
			out.words = append(out.words, word{page, html.UnescapeString(m[5]), num(m[1]) - beyond, num(m[2]) - more, num(m[3]) - beyond, num(m[4]) - more})
		}
	}
	require.Len(t, out.pages, page)
	require.NotEmpty(t, out.pages, "%s has no pages", file)
	return out
}

func needs(t *testing.T, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		shared.Missing(t, program+" is not here: install the Debian package poppler-utils")
	}
}

// clashes lists words over one another by pdftotext's own boxes, which reach from the font's ascent to its descent, and
// words that leave their page. What overlaps by less than touching in either direction counts as beside: places are
// rounded.
func (p pdfText) clashes() (out []string) {
	const touching = 0.1 // points, that is 0.035 mm
	for i, a := range p.words {
		size := p.pages[a.page-1]
		if a.x1 < 0 || a.y1 < 0 || a.x2 > size[0] || a.y2 > size[1] {
			out = append(out, fmt.Sprintf("page %d: %q at (%.1f, %.1f) leaves the page", a.page, a.s, a.x1, a.y1))
		}
		for _, b := range p.words[:i] {
			if b.page == a.page && min(a.x2, b.x2)-max(a.x1, b.x1) > touching && min(a.y2, b.y2)-max(a.y1, b.y1) > touching {
				out = append(out, fmt.Sprintf("page %d: %q at (%.1f, %.1f) lies over %q at (%.1f, %.1f)", a.page, a.s, a.x1, a.y1, b.s, b.x1, b.y1))
			}
		}
	}
	return out
}

// said counts how often the file says a line of text: its words one after the other.
func (p pdfText) said(s string) int {
	want := strings.Fields(s)
	n := 0
	for i := 0; len(want) > 0 && i+len(want) <= len(p.words); i++ {
		same := true
		for k, x := range want {
			same = same && p.words[i+k].s == x
		}
		if same {
			n++
			i += len(want) - 1
		}
	}
	return n
}

// written writes sheets as a PDF file.
func written(t *testing.T, sheets ...drawing.Sheet) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, pdf.Write(&b, sheets, pdf.Info{Title: "drawing"}))
	file := filepath.Join(t.TempDir(), "panel.pdf")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	return file
}

func text(s string, x, y float64) drawing.Text {
	return drawing.Text{Layer: drawing.Notes, S: s, At: samples.Pt(x, y), Height: 2500 * geom.UM}
}

// TestPlantedTexts: overlaps and words beyond the page that are planted in real files are found, and nothing else is.
func TestPlantedTexts(t *testing.T) {
	upright := func(s string, x, y float64) drawing.Text {
		u := text(s, x, y)
		u.Upright = true
		return u
	}
	for _, c := range []struct {
		name  string
		texts []drawing.Text
		want  []string // words of which each fault must tell, one fault each
	}{
		{"lines below each other", []drawing.Text{text("Ø0.5 ±0.076 gap", 20, 50), text("Ø0.5 ±0.076 gap", 20, 46), upright("12.345", 30, 60), upright("67.890", 34, 60)}, nil},
		{"the next word on a line", []drawing.Text{text("one", 20, 50), text("two", 27, 50)}, nil},
		{"an upright word beside a level one", []drawing.Text{text("level", 20, 50), upright("up", 19.2, 50)}, nil},
		{"lines too near", []drawing.Text{text("above", 20, 50), text("below", 20, 46.1)}, []string{"below"}},
		{"over its end", []drawing.Text{text("first", 20, 50), text("second", 25, 50)}, []string{"s"}}, // where pdftotext takes the next letter for a word of its own
		{"the same at the same place", []drawing.Text{text("25.4", 20, 50), text("25.4", 20, 50)}, []string{"25.4"}},
		{"upright over level", []drawing.Text{text("level words", 20, 50), upright("up", 27, 48)}, []string{"up"}},
		{"upright too near", []drawing.Text{upright("12.345", 30, 60), upright("67.890", 32.4, 60)}, []string{"67.890"}},
		{"beyond the right edge", []drawing.Text{text("outside", 290, 50)}, []string{"outside"}},
		{"beyond the left edge", []drawing.Text{text("outside", -1, 50)}, []string{"outside"}},
		{"beyond the lower edge", []drawing.Text{text("outside", 20, -0.5)}, []string{"outside"}},
		{"beyond the upper edge", []drawing.Text{text("outside", 20, 208)}, []string{"outside"}},
		{"wholly beyond", []drawing.Text{text("outside", 300, 50), text("outside", 20, 215)}, []string{"outside", "outside"}},
		{"upright beyond the upper edge", []drawing.Text{upright("outside", 20, 205)}, []string{"outside"}},
	} {
		other := drawing.Sheet{Name: "2", Box: samples.A4, Texts: []drawing.Text{text("Ø0.5 ±0.076 gap", 20, 50)}} // pages do not meet
		p := wordsOf(t, written(t, drawing.Sheet{Name: "1", Box: samples.A4, Texts: c.texts}, other))
		require.Len(t, p.pages, 2)
		got := p.clashes()
		require.Len(t, got, len(c.want), "%s: %v", c.name, got)
		for i, w := range c.want {
			assert.Contains(t, got[i], fmt.Sprintf("%q", w), c.name)
		}
	}
	shared.Ran(t, "pdftotext: planted overlaps")
}

func TestSaid(t *testing.T) {
	p := wordsOf(t, written(t, drawing.Sheet{Name: "1", Box: samples.A4, Texts: []drawing.Text{
		text("3× 57", 20, 50), text("57", 20, 40), text("4× Ø0.5 ±0.076", 20, 30), text("Größe < 5 µm & 90°", 20, 20)}}))
	for s, n := range map[string]int{"57": 2, "3× 57": 1, "Ø0.5": 1, "4× Ø0.5 ±0.076": 1, "4× 57": 0, "Größe < 5 µm & 90°": 1, "": 0} {
		assert.Equal(t, n, p.said(s), s)
	}
	require.Empty(t, p.clashes())
	shared.Ran(t, "pdftotext: letters of the drawing's fonts")
}
