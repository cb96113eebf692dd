// Package markdowntest helps tests to see what becomes of Markdown.
package markdowntest

import (
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	extast "github.com/yuin/goldmark/extension/ast"
	"github.com/yuin/goldmark/text"
)

// Hostile are texts that would be markup, links or mentions if they were not escaped.
var Hostile = []string{
	"<script>alert(1)</script>", "</details>", "a | b | c", "`code`", "**bold** __bold__ ~~gone~~", "[link](https://example.org)", "![x](y)", "https://example.org/a", "www.example.org",
	"@everyone", "#12 and !34", "1. one", "- item", "# head", "> quote", "\\", "line\nbreak", "tab\tbar|", "&lt;b&gt; &amp;", "\u202egnp.exe", ":joy:", "<!-- x", "me@example.org", "$x^2$", "+ plus", "= equal", "---", "|---|",
}

// Parsed is what a parser of CommonMark with tables, and with links made of bare addresses, sees.
type Parsed struct {
	Headings, Tables, Links, Emphasis, Code, Quotes int
	HTML                                            []string
	Cells                                           []int // in every row of a table
	Text                                            string
}

// Parse reads Markdown as hosts of Git do.
func Parse(md []byte) (p Parsed) {
	var all strings.Builder
	root := goldmark.New(goldmark.WithExtensions(extension.GFM)).Parser().Parse(text.NewReader(md))
	_ = ast.Walk(root, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch x := n.(type) {
		case *ast.Heading:
			p.Headings++
		case *extast.Table:
			p.Tables++
		case *extast.TableRow:
			p.Cells = append(p.Cells, x.ChildCount())
		case *ast.Link, *ast.AutoLink, *ast.Image:
			p.Links++
		case *ast.Emphasis, *extast.Strikethrough:
			p.Emphasis++
		case *ast.CodeSpan, *ast.CodeBlock, *ast.FencedCodeBlock:
			p.Code++
		case *ast.Blockquote:
			p.Quotes++
		case *ast.HTMLBlock:
			for i := range x.Lines().Len() {
				at := x.Lines().At(i)
				p.HTML = append(p.HTML, strings.TrimSpace(string(at.Value(md))))
			}
		case *ast.RawHTML:
			p.HTML = append(p.HTML, "inline")
		case *ast.Text:
			all.Write(x.Segment.Value(md))
			all.WriteByte(' ')
		case *ast.String:
			all.Write(x.Value)
		}
		return ast.WalkContinue, nil
	})
	p.Text = all.String()
	return p
}
