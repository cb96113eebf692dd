package compare

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// page makes a page of two folders.
func page(tb testing.TB, old, new tree) (string, *Result) {
	tb.Helper()
	r := compared(tb, old, new)
	text, err := r.Page(context.Background())
	require.NoError(tb, err)
	again, err := r.Page(context.Background())
	require.NoError(tb, err)
	require.Equal(tb, string(text), string(again), "the same bytes every time")
	return string(text), r
}

func TestPage(t *testing.T) {
	p := onePanel()
	q := p.with("slots", aSlot("slot/1", "2", "3.5", "10", "6"), p.lists["slots"][1], p.lists["slots"][2]).with("marks", aMark("fiducial/1", "fiducial", "6", "2", "1"), p.lists["marks"][1])
	const file = "fab/two-copper-1-top.gbr"
	plain := func(x, y float64) string { return rect(x+1, y+1, x+11, y+2) }
	changed := func(x, y float64) string { return rect(x+1, y+1.5, x+11, y+2.5) }
	old := aTree(p).with(file, onBoth(plain, "")).with("fab/two-legend-top.gbr", onBoth(plain, "")).manifest(p, nil)
	new := aTree(q).with(file, onBoth(changed, "")).with("fab/two-legend-top.gbr", onBoth(plain, "")).manifest(q, nil)
	text, r := page(t, old, new)

	for _, id := range []string{"cuts", "holes", "copies", "marks", "copper-1-top", "legend-top"} {
		require.Contains(t, text, `id="show-`+id+`"`)
		require.Contains(t, text, `body:has(#show-`+id+`:not(:checked)) .layer-`+id+`{display:none}`)
		require.Regexp(t, `class="[^"]*layer-`+id+`[" ]`, text)
	}
	require.Regexp(t, `id="show-copper-1-top" checked>`, text, "the first layer that changed is shown")
	require.NotRegexp(t, `id="show-legend-top" checked>`, text)
	// Every change that has a place is linked both ways.
	for i, x := range r.Changes {
		n := i + 1
		require.Contains(t, text, `id="change-`+itoa(n)+`"`)
		require.Equal(t, len(x.At) > 0, strings.Contains(text, `id="mark-`+itoa(n)+`" href="#change-`+itoa(n)+`"`), x.Text)
		require.Equal(t, len(x.At) > 0, strings.Contains(text, `href="#mark-`+itoa(n)+`"`), x.Text)
	}
	// What is in one panel only: both copies have a bar of 10 x 0.5 mm gone and one added.
	require.Equal(t, 2, strings.Count(text, `class="only-old thin" transform=`))
	require.Equal(t, 2, strings.Count(text, `class="only-new thin" transform=`))
	selfContained(t, text)
	wellFormed(t, text)
}

func itoa(n int) string {
	return regexp.MustCompile(`^0+`).ReplaceAllString(strings.TrimSpace(string(rune('0'+n/10))+string(rune('0'+n%10))), "")
}

// selfContained: nothing on the page is fetched from anywhere.
func selfContained(t *testing.T, text string) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?:href|src|url|action)\s*[=(]\s*["']?([^"')>\s]*)`).FindAllStringSubmatch(text, -1) {
		require.True(t, strings.HasPrefix(m[1], "#"), "%s", m[0])
	}
	require.NotRegexp(t, `@import|<link|<iframe|<img|<object|fetch\(|XMLHttpRequest`, text)
	require.Contains(t, text, `content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'"`)
}

// wellFormed: the picture is XML, and every reference in it leads to one id.
func wellFormed(t *testing.T, text string) {
	t.Helper()
	begin, end := strings.Index(text, "<svg"), strings.Index(text, "</svg>")
	require.Positive(t, begin)
	d := xml.NewDecoder(bytes.NewReader([]byte(text[begin : end+6])))
	ids, refs := map[string]int{}, map[string]bool{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		if e, ok := tok.(xml.StartElement); ok {
			for _, a := range e.Attr {
				if a.Name.Local == "id" {
					ids[a.Value]++
				}
				if a.Name.Local == "href" && e.Name.Local == "use" {
					refs[strings.TrimPrefix(a.Value, "#")] = true
				}
			}
		}
	}
	for id, n := range ids {
		require.Equal(t, 1, n, id)
	}
	for id := range refs {
		require.Equal(t, 1, ids[id], id)
	}
	all := map[string]int{}
	for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		all[m[1]]++
		require.Equal(t, 1, all[m[1]], m[1])
	}
}

// Names from recipes cannot become markup.
func TestPageEscapes(t *testing.T) {
	for _, s := range []string{`<script>x</script>`, `"><b>`, `</svg><i>`, `&amp;`, `'onload='x`} {
		p := onePanel()
		p.revision = s
		q := p
		q = q.with("copies", p.lists["copies"][0], strings.Replace(p.lists["copies"][1], `"B1"`, jsonText(s), 1)).with("tabs", p.lists["tabs"][0], strings.ReplaceAll(p.lists["tabs"][1], `["B1"]`, `[`+jsonText(s)+`]`))
		q.lists["boards"] = []string{strings.Replace(gaugeBoard, `"revision":"C"`, `"revision":`+jsonText(s), 1)}
		text, _ := page(t, aTree(p).manifest(p, nil), aTree(q).manifest(q, nil))
		for _, bad := range []string{"<script>x", "<b>", "<i>"} {
			require.NotContains(t, text, bad)
		}
		require.Equal(t, 1, strings.Count(text, "</svg>"))
		selfContained(t, text)
		wellFormed(t, text)
	}
}

func jsonText(s string) string {
	return `"` + strings.NewReplacer(`"`, `\"`).Replace(s) + `"`
}

// An empty plan, a board with no artwork, and a layer that nobody can read make a page all the same.
func TestPageOfLittle(t *testing.T) {
	p := onePanel()
	empty := plan{name: "two", revision: "A", width: "1", height: "1", lists: map[string][]string{}}
	for _, c := range [][2]tree{
		{aTree(p).manifest(p, nil), aTree(p).manifest(p, nil)},
		{aTree(empty).manifest(empty, nil), aTree(p).manifest(p, nil)},
		{aTree(p).manifest(p, nil), aTree(empty).manifest(empty, nil)},
		{aTree(p).with("fab/two-copper-1-top.gbr", "what").manifest(p, nil), aTree(p).with("fab/two-copper-1-top.gbr", layerText("")).manifest(p, nil)},
	} {
		text, _ := page(t, c[0], c[1])
		selfContained(t, text)
		wellFormed(t, text)
	}
}
