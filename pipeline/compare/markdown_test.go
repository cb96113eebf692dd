package compare

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/markdown/markdowntest"
)

// aResult is a result whose texts are all s.
func aResult(s string, changes int) *Result {
	r := &Result{Old: Side{Folder: s, Panel: s, Revision: s, Supplier: s, Version: s}, New: Side{Folder: s, Panel: s, Revision: s + "x", Supplier: s, Version: s}, Warnings: []string{s}, Notes: []string{s}}
	for i := range changes {
		r.Changes = append(r.Changes, Change{Group: Groups[i%len(Groups)], Kind: Changed, Text: s, Features: []string{s}})
	}
	r.Changes = fold(r.Changes)
	return r
}

func TestMarkdownCannotBeBroken(t *testing.T) {
	harmless := markdowntest.Parse(aResult("plain", len(Groups)).Markdown())
	require.Equal(t, 1, harmless.Headings)
	require.Equal(t, 1+len(Groups), harmless.Tables)
	for _, s := range markdowntest.Hostile {
		md := aResult(s, len(Groups)).Markdown()
		p := markdowntest.Parse(md)
		require.Equal(t, harmless.Headings, p.Headings, "%q:\n%s", s, md)
		require.Equal(t, harmless.Tables, p.Tables, "%q:\n%s", s, md)
		require.Equal(t, harmless.Cells, p.Cells, "%q:\n%s", s, md)
		require.Equal(t, harmless.HTML, p.HTML, "%q:\n%s", s, md)
		require.Equal(t, harmless.Quotes, p.Quotes, "%q:\n%s", s, md)
		require.Zero(t, p.Links, "%q:\n%s", s, md)
		require.Zero(t, p.Code, "%q:\n%s", s, md)
		require.Equal(t, harmless.Emphasis, p.Emphasis, "%q:\n%s", s, md)
		require.NotContains(t, string(md), "\u202e")
	}
	for _, h := range harmless.HTML {
		require.True(t, strings.HasPrefix(h, "<details><summary>") || h == "</details>", h)
	}
}

// What is planted without escapes is seen: the test above can fail.
func TestMarkdownParserSeesPlants(t *testing.T) {
	p := markdowntest.Parse([]byte("| a |\n|---|\n| <script>x</script> [l](x) @y |\n\n</details>\n"))
	require.NotZero(t, p.Links)
	require.NotEmpty(t, p.HTML)
}

func TestMarkdownIsBounded(t *testing.T) {
	long := aResult(strings.Repeat("long words | of <a> change, ", 30), 4000)
	md := long.Markdown()
	require.Less(t, len(md), MarkdownBytes)
	require.Equal(t, strings.Count(string(md), "<details>"), strings.Count(string(md), "</details>"))
	require.Contains(t, string(md), "more are not shown here")
	many := aResult("w", 5)
	for i := range 3000 {
		many.Warnings = append(many.Warnings, fmt.Sprint("warning ", i))
	}
	require.Less(t, len(many.Markdown()), MarkdownBytes)
}

func TestMarkdownOfNoChange(t *testing.T) {
	p := onePanel()
	tr := aTree(p).manifest(p, nil)
	md := string(compared(t, tr, tr).Markdown())
	require.True(t, strings.HasPrefix(md, "## Panel two: nothing changed\n\n| | old | new |\n"), md)
	require.NotContains(t, md, "<details>")
}
