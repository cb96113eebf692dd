package compare

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"
)

// hostile are texts that would be markup, links or mentions if they were not escaped.
var hostile = []string{
	"<script>alert(1)</script>", "</details>", "a | b | c", "`code`", "**bold** __bold__ ~~gone~~", "[link](https://example.org)", "![x](y)", "https://example.org/a", "www.example.org",
	"@everyone", "#12 and !34", "1. one", "- item", "# head", "> quote", "\\", "line\nbreak", "tab\tbar|", "&lt;b&gt; &amp;", "\u202egnp.exe", ":joy:", "<!-- x", "me@example.org", "$x^2$", "+ plus", "= equal", "---", "|---|",
}

// parsed is what a parser of CommonMark with tables, and with links made of bare addresses, sees.
type parsed struct {
	headings, tables, links, emphasis, code, quotes int
	html                                            []string
	cells                                           []int // in every row of a table
	text                                            string
}

func parse(md []byte) (p parsed) {
	var all strings.Builder
	root := goldmark.New(goldmark.WithExtensions(extension.GFM)).Parser().Parse(text.NewReader(md))
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch x := n.(type) {
		case *ast.Heading:
			p.headings++
		case *extast.Table:
			p.tables++
		case *extast.TableRow:
			p.cells = append(p.cells, x.ChildCount())
		case *ast.Link, *ast.AutoLink, *ast.Image:
			p.links++
		case *ast.Emphasis, *extast.Strikethrough:
			p.emphasis++
		case *ast.CodeSpan, *ast.CodeBlock, *ast.FencedCodeBlock:
			p.code++
		case *ast.Blockquote:
			p.quotes++
		case *ast.HTMLBlock:
			for i := range x.Lines().Len() {
				at := x.Lines().At(i)
				p.html = append(p.html, strings.TrimSpace(string(at.Value(md))))
			}
		case *ast.RawHTML:
			p.html = append(p.html, "inline")
		case *ast.Text:
			all.Write(x.Segment.Value(md))
			all.WriteByte(' ')
		case *ast.String:
			all.Write(x.Value)
		}
		return ast.WalkContinue, nil
	})
	p.text = all.String()
	return p
}

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
	harmless := parse(aResult("plain", len(Groups)).Markdown())
	require.Equal(t, 1, harmless.headings)
	require.Equal(t, 1+len(Groups), harmless.tables)
	for _, s := range hostile {
		md := aResult(s, len(Groups)).Markdown()
		p := parse(md)
		require.Equal(t, harmless.headings, p.headings, "%q:\n%s", s, md)
		require.Equal(t, harmless.tables, p.tables, "%q:\n%s", s, md)
		require.Equal(t, harmless.cells, p.cells, "%q:\n%s", s, md)
		require.Equal(t, harmless.html, p.html, "%q:\n%s", s, md)
		require.Equal(t, harmless.quotes, p.quotes, "%q:\n%s", s, md)
		require.Zero(t, p.links, "%q:\n%s", s, md)
		require.Zero(t, p.code, "%q:\n%s", s, md)
		require.Equal(t, harmless.emphasis, p.emphasis, "%q:\n%s", s, md)
		require.NotContains(t, string(md), "\u202e")
	}
	for _, h := range harmless.html {
		require.True(t, strings.HasPrefix(h, "<details><summary>") || h == "</details>", h)
	}
}

// What is planted without escapes is seen: the test above can fail.
func TestMarkdownParserSeesPlants(t *testing.T) {
	p := parse([]byte("| a |\n|---|\n| <script>x</script> [l](x) @y |\n\n</details>\n"))
	require.NotZero(t, p.links)
	require.NotEmpty(t, p.html)
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
