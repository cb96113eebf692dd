package writereport

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"sync"

	"panelwright/pipeline"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

//go:embed page.html
var pageText string

//go:embed page.css
var pageStyle string

//go:embed page.js
var pageScript string

// pageTemplate escapes whatever recipes, boards and reports say; only drawings and the page's own style and script
// are taken as they are. It is read when the first page is made.
var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Funcs(template.FuncMap{"shape": keyShape}).Parse(pageText))
})

// cover is what the page is told of the build besides its end.
type cover struct {
	Panel, Revision, Supplier, Date string
	Program                         string
	Rules                           []pipeline.Rule
	Strength                        *strengthPart // nil where nothing was reckoned
}

// page is what the template is carried out on.
type page struct {
	cover
	Size     string
	Released bool
	Why      string
	Drawn    string // what the drawing of the build says of itself
	CSS      template.CSS
	JS       template.JS
	Defs     template.HTML
	Counts   []counted
	Rows     []*row
	ManyRows bool
	Cautions []string
	LeftOut  string
	Moments  []moment
	Others   []link
	Waived   []*row

	Unchecked []unchecked
	Given     []fact
	Values    []pipeline.StageValues
	Sums      []sums
}

// Of says which revision of the panel it is, for whom, how large and of which date.
func (x page) Of() string {
	parts := []string{x.Size}
	if x.Revision != "" {
		parts = append([]string{"revision " + x.Revision}, parts...)
	}
	if x.Supplier != "" {
		parts = append(parts, "for the supplier "+x.Supplier)
	}
	if x.Date != "" {
		parts = append(parts, x.Date)
	}
	return listed(parts)
}

type counted struct {
	Kind, Word string
	N          int
}

type link struct{ ID, Title string }

// moment is one part of the page: what is to be said of the panel at one moment of its life.
type moment struct {
	ID, Title, Lead, When string
	Step                  int
	Facts                 []fact
	Figures               []figure
	Fields                []shade
	Rows                  []*row
	Families              []family
	Tables                []table
}

// family is the checks of one family of rules.
type family struct {
	Title, Summary string
	Open           bool
	Checks         []check
}

type unchecked struct{ Rule, Summary, Reason, Set string }

type sums struct {
	Title string
	Files []fileRow
}

type fileRow struct{ Name, Size, SHA256 string }

// told says what each moment is about.
var told = []moment{
	{ID: "as-cut", Title: "As cut", When: "as cut", Lead: "What the fabricator makes: the panel with its layers, holes, slots, tabs and score lines, as it is delivered."},
	{ID: "on-the-line", Title: "On the line", When: "on the line", Lead: "What the assembly line carries, prints, places and solders: rails, marks, copies and their parts."},
	{ID: "at-break-off", Title: "At break-off", When: "at break-off", Lead: "What happens when the boards are parted: tabs and their perforations, score lines, the parts beside them, and what stays on the edges."},
}

var momentsInOrder = []pipeline.Moment{pipeline.AsCut, pipeline.OnTheLine, pipeline.AtBreakOff}

var pageCautions = []string{
	"The pictures are no drawing to build from. Breaking, filing and routing boards sets free glass-fibre dust and sharp chips: wear eye and breathing protection, and extract the dust.",
	"Bending a board cracks parts and joints that may fail later: support the panel where it is parted. A panel that is held too weakly may fall apart in the oven.",
	"The fabricator's and the assembler's own limits and local rules have the last word.",
}

// manyRows is from how many findings on the list at the head of the page is folded away.
const manyRows = 15

// writePage makes the page.
func writePage(about cover, p panel.Panel, end pipeline.End) ([]byte, error) {
	x := page{cover: about, Size: p.SizeText(), Released: end.Released, Why: reason(end.Notice), Drawn: drawn(end.Values), JS: template.JS(pageScript), Cautions: pageCautions,
		Values: end.Values, Rows: rowsOf(p, end.Findings, end.Judged, about.Rules)}
	x.ManyRows = len(x.Rows) > manyRows
	x.Counts = countsOf(x.Rows, end.Judged)
	for _, r := range x.Rows {
		if r.Waived != nil {
			x.Waived = append(x.Waived, r)
		}
	}
	x.Unchecked = uncheckedOf(end.Judged, x.Rows, about.Rules)
	for _, k := range sortedKeys(end.Given) {
		x.Given = append(x.Given, fact{k, end.Given[k]})
	}
	x.Sums = []sums{{"Recipe and standards", filesOf(end.Recipe)}, {"Inputs", filesOf(end.Inputs)}, {"Outputs", filesOf(end.Outputs)}}
	if x.Strength != nil {
		x.Others = append(x.Others, link{"strength", "Will it hold, will it break"})
	}
	x.Others = append(x.Others, []link{{"waivers", "Waivers"}, {"unchecked", "Rules left unchecked"}, {"values", "Values"}, {"files", "Files"}}...)

	f, shared, left := prepare(p)
	x.LeftOut = listed(left)
	for i, m := range momentsInOrder {
		part := told[i]
		part.Step = i + 1
		for _, r := range x.Rows {
			if r.Moment == m {
				part.Rows = append(part.Rows, r)
			}
		}
		for _, side := range sidesAt(m) {
			part.Figures = append(part.Figures, f.draw(m, side, part.Rows))
		}
		for k, field := range end.Fields {
			if field.Moment == m || i == 0 && !slices.Contains(momentsInOrder, field.Moment) {
				part.Fields = append(part.Fields, f.shade(fmt.Sprintf("field-%d", k+1), field))
			}
		}
		part.Families = familiesAt(m, end.Judged, x.Rows, about.Rules)
		part.Facts, part.Tables = saidAt(m, p)
		x.Moments = append(x.Moments, part)
	}
	x.Defs = template.HTML(shared())
	x.CSS = template.CSS(pageStyle + f.style())
	var out bytes.Buffer
	if err := pageTemplate().Execute(&out, x); err != nil {
		return nil, fmt.Errorf("the report's page cannot be written: %w", err)
	}
	return out.Bytes(), nil
}

// saidAt gives figures and tables of a moment.
func saidAt(m pipeline.Moment, p panel.Panel) ([]fact, []table) {
	switch m {
	case pipeline.AsCut:
		return asCutFacts(p), []table{boardsTable(p), holesTable(p), layersTable(p), sharesTable(p), scoresTable(p)}
	case pipeline.OnTheLine:
		return onTheLineFacts(p), []table{marksTable(p), copiesTable(p), printsTable(p)}
	}
	return atBreakOffFacts(p), []table{tabsTable(p)}
}

// sidesAt are the sides from which a moment is shown.
func sidesAt(pipeline.Moment) []panel.Side { return []panel.Side{panel.Top, panel.Bottom} }

// reason leaves the words NOT FOR RELEASE out of a notice, which the page sets before it.
func reason(notice string) string {
	if _, why, ok := strings.Cut(notice, ": "); ok {
		return "Kept back by " + why + "."
	}
	return notice
}

// drawn says whether the drawings of the same build are drafts, for an open gate is no release: that is what their
// makers say in the recipe. It is empty for a build without a drawing.
func drawn(values []pipeline.StageValues) string {
	states := map[string]bool{}
	for _, s := range values {
		if s.Stage != "write_drawing" {
			continue
		}
		for _, v := range s.Values {
			if v.Option == "state" {
				states[strings.Trim(v.Value, `"`)] = true
			}
		}
	}
	switch {
	case states["released"] && states["draft"]:
		return "One drawing of this build is released, and one is a draft, not yet to be built from."
	case states["released"]:
		return "The drawing of this build is released."
	case states["draft"]:
		return "The drawing of this build is a draft: for review, not yet to be built from."
	}
	return ""
}

func countsOf(rows []*row, judged []pipeline.Judged) []counted {
	n := map[pipeline.Severity]int{}
	waived := 0
	for _, r := range rows {
		switch {
		case r.Unchecked:
		case r.Waived != nil:
			waived++
		default:
			n[r.Severity]++
		}
	}
	checked, left := 0, 0
	for _, j := range judged {
		switch {
		case j.Unchecked != "":
			left++
		case j.Missing == "":
			checked++
		}
	}
	word := func(n int, one, many string) string { return strings.TrimPrefix(count(n, one, many), itoa(n)+" ") }
	return []counted{
		{"error", word(n[pipeline.Error], "error", "errors"), n[pipeline.Error]},
		{"warning", word(n[pipeline.Warning], "warning", "warnings"), n[pipeline.Warning]},
		{"note", word(n[pipeline.Note], "note", "notes"), n[pipeline.Note]},
		{"set-aside", "waived", waived},
		{"holds", word(checked, "rule", "rules") + " checked", checked},
		{"set-aside", word(left, "rule", "rules") + " left unchecked", left},
	}
}

func uncheckedOf(judged []pipeline.Judged, rows []*row, rules []pipeline.Rule) []unchecked {
	var out []unchecked
	add := func(rule, why, set string) {
		if slices.ContainsFunc(out, func(u unchecked) bool { return u.Rule == rule }) {
			return
		}
		u := unchecked{Rule: rule, Reason: why, Set: set}
		if k := slices.IndexFunc(rules, func(r pipeline.Rule) bool { return r.Name == rule }); k >= 0 {
			u.Summary = rules[k].Summary
		}
		out = append(out, u)
	}
	for _, j := range judged {
		if j.Unchecked != "" {
			add(j.Rule, j.Unchecked, setText(j.Set))
		}
	}
	for _, r := range rows {
		if r.Unchecked {
			add(r.Rule, r.Message, r.SetText())
		}
	}
	return out
}

func filesOf(list []pipeline.FileSum) []fileRow {
	var out []fileRow
	for _, f := range list {
		out = append(out, fileRow{f.Name, sizeText(f.Bytes), f.SHA256})
	}
	return out
}

// familiesAt groups the checks of a moment.
func familiesAt(m pipeline.Moment, judged []pipeline.Judged, rows []*row, rules []pipeline.Rule) []family {
	judged = slices.DeleteFunc(slices.Clone(judged), func(j pipeline.Judged) bool { return momentOf(j.Rule, j.Family) != m })
	var out []family
	for _, name := range familiesOf(judged) {
		own := slices.DeleteFunc(slices.Clone(judged), func(j pipeline.Judged) bool { return j.Family != name })
		f := family{Title: cmp.Or(string(name), "other"), Checks: checksOf(own, rows, rules)}
		found, aside := 0, 0
		for _, c := range f.Checks {
			switch c.Kind {
			case "holds":
			case "set-aside":
				aside++
			default:
				found++
			}
		}
		f.Summary = count(len(own), "rule", "rules")
		if found > 0 {
			f.Summary += ", " + itoa(found) + " with findings"
		}
		if aside > 0 {
			f.Summary += ", " + itoa(aside) + " waived or not judged"
		}
		if found+aside == 0 {
			f.Summary += ", all hold"
		}
		out = append(out, f)
	}
	return out
}

func sortedKeys(m map[string]string) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// keyShape is the shape of a mark by the classes of a finding or check, for use beside words.
func keyShape(kind string) template.HTML {
	word, _, _ := strings.Cut(kind, " ")
	switch s := pipeline.Severity(word); s {
	case pipeline.Error, pipeline.Warning, pipeline.Note:
		return template.HTML(markShape[s])
	}
	if word == "holds" {
		return `<path class="tick" d="M-10 0L-3 8L11 -9"/>`
	}
	return `<path class="shape" d="M-11 -11H11V11H-11Z"/>`
}

// prepare defines what the pictures share. shared gives the definitions when the pictures are drawn; left names the
// layers that there is no room for.
func prepare(p panel.Panel) (f *figures, shared func() string, left []string) {
	c := svg.New()
	c.Compact, c.Merged = true, true
	f = &figures{p: p, sides: map[panel.Side]*picture{}, box: p.Outline().Box()}
	if f.box.Empty() {
		f.box = geom.Box{}
	}
	f.unit = max(f.box.Width().MM(), f.box.Height().MM(), 80) / 100
	out, left := tooLarge(p)
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		d := newPicture(c, p, side)
		d.switched, d.left = true, out
		f.sides[side] = d
	}
	top := f.sides[panel.Top]
	for _, b := range placed(p) {
		top.edge(b)
		for _, side := range []panel.Side{panel.Top, panel.Bottom} {
			d := f.sides[side]
			d.define(b, pictured)
			d.defineParts(b)
		}
		for _, l := range b.Layers {
			if l.Function.Kind != panel.Copper || l.Function.Side != panel.Inner || out[top.id(b, l.Function.Key())] {
				continue
			}
			c.Layer(top.id(b, l.Function.Key()), l.Image)
			if !slices.ContainsFunc(f.inner, func(x panel.Function) bool { return x.Key() == l.Function.Key() }) {
				f.inner = append(f.inner, panel.Function{Kind: panel.Copper, Side: panel.Inner, Index: l.Function.Index})
			}
		}
	}
	slices.SortFunc(f.inner, func(a, b panel.Function) int { return a.Index - b.Index })
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		f.sides[side].definePrints()
	}
	top.defineCuts(f.unit)
	return f, func() string { d, _ := c.Pieces(); return d }, left
}

// pictured are the layers of boards that pictures show from outside.
var pictured = []panel.FunctionKind{panel.Copper, panel.Soldermask, panel.Legend, panel.Paste}

// style is how the layers of this page's pictures are switched: by their boxes alone, without a script.
func (f *figures) style() string {
	layers := []string{"copper", "mask", "legend", "paste", "holes", "slots", "perforations", "tabs", "score", "rails", "marks", "parts", "names", "findings"}
	for _, x := range f.inner {
		layers = append(layers, x.Key())
	}
	var out strings.Builder
	for _, l := range layers {
		fmt.Fprintf(&out, ".pic:has([data-layer=%q]:not(:checked)) .la-%s { display: none; }\n", l, l)
	}
	return out.String()
}
