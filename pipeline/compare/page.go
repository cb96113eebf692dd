package compare

import (
	"bytes"
	"context"
	_ "embed" // the page's looks
	"fmt"
	"html/template"
	"strings"
	"sync"
)

//go:embed page.html
var pageText string

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

var pageTemplate = sync.OnceValue(func() *template.Template { return template.Must(template.New("page").Parse(pageText)) })

// row is one change on the page.
type row struct {
	Number int
	Kind   Kind
	Text   string
	Seen   bool // the picture shows where
}

// section is one group on the page.
type section struct {
	Group Group
	Rows  []row
	More  int
}

// mostRows is how many changes of a group the page lists.
const mostRows = 500

// Page gives the comparison as one HTML page: it needs nothing else, and can be read without scripts. The folders
// must still be there: the pictures of the layers are taken from them.
func (r *Result) Page(ctx context.Context) ([]byte, error) {
	p, err := r.picture(ctx)
	if err != nil {
		return nil, err
	}
	title := "Changes of panel " + r.New.Panel
	if r.Old.Panel != r.New.Panel {
		title = "Changes from panel " + r.Old.Panel + " to panel " + r.New.Panel
	}
	var sections []section
	n := 0
	for _, g := range Groups {
		s := section{Group: g}
		for _, x := range r.In(g) {
			n++
			if len(s.Rows) == mostRows {
				s.More++
				continue
			}
			s.Rows = append(s.Rows, row{n, x.Kind, x.Text, p.marked[n]})
		}
		if len(s.Rows) > 0 {
			sections = append(sections, s)
		}
	}
	var b bytes.Buffer
	err = pageTemplate().Execute(&b, map[string]any{
		"Title": title, "R": r, "Summary": r.Summary(), "Sections": sections, "Layers": p.layers, "Left": p.left,
		"OldRelease": releaseWord(r.Old), "NewRelease": releaseWord(r.New),
		"Style": template.CSS(pageStyle), "Script": template.JS(pageScript), "Picture": template.HTML(p.svg), "Rules": template.CSS(p.rules()),
	})
	return b.Bytes(), err
}

// rules hide the layers whose boxes are not ticked: no script is needed.
func (p *picture) rules() string {
	var b strings.Builder
	for _, l := range p.layers {
		fmt.Fprintf(&b, "body:has(#show-%s:not(:checked)) .layer-%s{display:none}\n", l.ID, l.ID)
	}
	return b.String()
}
