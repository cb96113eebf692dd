package writereport

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/rule"
)

// hostile is text that would break out of markup, style or script wherever it were not escaped.
const hostile = `"'><script>alert(1)</script></style>]]>-->&<img src=x onerror=alert(2)>javascript:{{.}}`

func figureOf(v float64) *float64 { return &v }

// weirs is a panel of two boards with something of everything, its names as given.
func weirs(t testing.TB, name func(plain string) string) panel.Panel {
	t.Helper()
	pad := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}},
		Objects: []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(geom.Pt(5*geom.MM, 5*geom.MM), geom.Pt(5*geom.MM, 5*geom.MM))}}}
	on := func(k panel.FunctionKind, s panel.Side, i int) panel.Layer {
		return panel.Layer{Function: panel.Function{Kind: k, Side: s, Index: i}, Image: pad, Source: name("layer.gbr")}
	}
	b := &panel.Board{Name: name("weir"), PartNumber: name("RG-5000"), Revision: name("A"), CopperCount: 4, Thickness: 1600 * geom.UM, Finish: name("tin"), MaskColor: name("green"),
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(30*geom.MM, 20*geom.MM)}), CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(20*geom.MM, 8*geom.MM), Max: geom.Pt(24*geom.MM, 12*geom.MM)})}},
		Layers: []panel.Layer{on(panel.Copper, panel.Top, 1), on(panel.Copper, panel.Inner, 2), on(panel.Copper, panel.Inner, 3), on(panel.Copper, panel.Bottom, 4),
			on(panel.Soldermask, panel.Top, 0), on(panel.Soldermask, panel.Bottom, 0), on(panel.Paste, panel.Top, 0), on(panel.Legend, panel.Top, 0)},
		Drills: []panel.DrillFile{{From: 1, To: 4, Plating: artwork.Plated, Source: name("holes.drl"), Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: 300 * geom.UM}},
			Holes: []artwork.Hole{{At: geom.Pt(5*geom.MM, 5*geom.MM)}}, Routs: []artwork.Rout{{Path: geom.Path{geom.Line(geom.Pt(8*geom.MM, 5*geom.MM), geom.Pt(9*geom.MM, 5*geom.MM))}}}}}},
		Parts: []panel.Part{{Refdes: name("C1"), Side: panel.Top, At: geom.Pt(5*geom.MM, 5*geom.MM)},
			{Refdes: name("U1"), Side: panel.Bottom, At: geom.Pt(9*geom.MM, 9*geom.MM), Body: panel.Body{By: panel.ByTable, Length: 3 * geom.MM, Width: 2 * geom.MM, Height: 2 * geom.MM, Fragile: true}}}}
	a1, b1 := name("A1"), name("B1")
	e := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: a1, Board: b}).
		AddCopy(panel.Copy{ID: b1, Board: b, Place: geom.Transform{Shift: geom.Pt(62*geom.MM, 20*geom.MM), Turn: geom.FromDegrees(180)}}).
		LayRails([]panel.RailSide{panel.Lower, panel.Upper}, 8*geom.MM, 2*geom.MM, 0, false).
		AddSlot(panel.Slot{ID: name("slot/1"), Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(30*geom.MM, 10*geom.MM), Max: geom.Pt(32*geom.MM, 25*geom.MM)})}}).
		AddTab(panel.Tab{ID: name("A1/tab/right/1"), Copies: []string{a1, b1}, Width: 4 * geom.MM, Rows: []panel.Row{{Copies: []string{a1}, Web: 300 * geom.UM, WorstWeb: 200 * geom.UM, Stub: 250 * geom.UM,
			Line: geom.Path{geom.Line(geom.Pt(30*geom.MM, 26*geom.MM), geom.Pt(30*geom.MM, 29*geom.MM))}}}}).
		AddPerforation(panel.Perforation{ID: name("A1/tab/right/1/hole/1"), Tab: name("A1/tab/right/1"), Copy: a1, At: geom.Pt(30*geom.MM, 27*geom.MM), Diameter: 500 * geom.UM}).
		AddScore(panel.Score{ID: name("score/y1"), From: geom.Pt(0, 9*geom.MM), To: geom.Pt(62*geom.MM, 9*geom.MM), RemainingWeb: 400 * geom.UM, Depth: 600 * geom.UM, IncludedAngle: geom.FromDegrees(30)}).
		AddMark(panel.Mark{ID: name("fiducial/1"), Kind: panel.Fiducial, At: geom.Pt(5*geom.MM, 4*geom.MM), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}}).
		AddMark(panel.Mark{ID: name("tooling_hole/1"), Kind: panel.ToolingHole, At: geom.Pt(9*geom.MM, 4*geom.MM), Diameter: 3 * geom.MM}).
		AddPrint(panel.Print{ID: name("legend/product"), Use: panel.Lettering, Text: name("WEIR"), Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Top}}, Area: geom.Box{Min: geom.Pt(20*geom.MM, geom.MM), Max: geom.Pt(40*geom.MM, 6*geom.MM)},
			Areas: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(21*geom.MM, 2*geom.MM), Max: geom.Pt(22*geom.MM, 4*geom.MM)})}}).
		SetCopperShares([]panel.CopperShare{{Layer: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Before: 300_000, After: 450_000}})
	p, err := e.Build()
	require.NoError(t, err)
	return p
}

// ended is the end of a build in which everything happened.
func ended(name func(plain string) string) pipeline.End {
	at := geom.Pt(5*geom.MM, 15*geom.MM)
	set := &pipeline.SetAt{File: name("weir.panel.hcl"), Line: 12, Column: 3}
	sum := strings.Repeat("0123456789abcdef", 4)
	files := []pipeline.FileSum{{Name: name("weir.panel.hcl"), SHA256: sum, Bytes: 1_234_567}}
	return pipeline.End{Notice: "NOT FOR RELEASE: 1 finding at error level",
		Findings: []pipeline.Finding{
			{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Severity: pipeline.Error, Message: name("copper lies near the edge"), At: &at, Feature: name("A1") + "/copper", Copies: []string{name("A1"), name("B1")},
				Measured: figureOf(0.2), Limit: figureOf(0.25), Unit: "mm", Source: name("a fabricator's page"), Set: set},
			{Rule: "rail-width", Family: pipeline.RailsFamily, Severity: pipeline.Warning, Message: name("the rail is narrow"), Feature: "rail/lower", Measured: figureOf(8), Limit: figureOf(9), Unit: "mm", Set: set,
				Waived: &pipeline.Waived{Reason: name("agreed by letter"), Revision: name("A"), AtWorst: figureOf(7.5), Set: set}},
			{Rule: name("acme-own"), Family: pipeline.Family(name("acme")), Severity: pipeline.Warning, Message: name("of a shop's own rule"), Feature: name("nowhere")},
			{Rule: "stub-height", Family: pipeline.CutsFamily, Severity: pipeline.Note, Message: name("the recipe leaves it out"), Unchecked: true, Set: set},
		},
		Judged: []pipeline.Judged{
			{Rule: name("acme-own"), Family: pipeline.Family(name("acme"))},
			{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Bound: pipeline.AtLeast, Limit: figureOf(0.25), Unit: "mm", Source: name("a fabricator's page"), Set: set},
			{Rule: "stub-height", Family: pipeline.CutsFamily, Bound: pipeline.AtMost, Unit: "mm", Unchecked: name("filed by hand"), Set: set},
			{Rule: "slot-width", Family: pipeline.CutsFamily, Bound: pipeline.AtLeast, Limit: figureOf(1), Unit: "mm", Worst: figureOf(1.6), Set: set},
			{Rule: "rail-width", Family: pipeline.RailsFamily, Bound: pipeline.AtLeast, Limit: figureOf(9), Unit: "mm", Set: set},
		},
		Recipe: files, Inputs: files, Outputs: files, Given: map[string]string{"rows": name("3"), "columns": "4"},
		Values: []pipeline.StageValues{{Stage: "rails", At: name("weir.panel.hcl:12"), Values: []pipeline.Value{{Option: "width", Value: name("8 mm"), Origin: name("weir.panel.hcl:13")}}}},
		Fields: []pipeline.Field{
			{ID: name("share"), Title: name("Copper on the bottom"), Unit: name("%"), Moment: pipeline.AsCut, Side: panel.Bottom, Step: 10 * geom.MM, Columns: 3, Rows: 2, Values: []float64{10, 20, 30, 40, 50, math.NaN()}, Least: figureOf(15), Source: name("reckoned")},
			{ID: "sag", Title: "Sag", Unit: "mm", Moment: pipeline.OnTheLine, Step: 10 * geom.MM, Columns: 2, Rows: 2, Values: []float64{math.NaN(), math.NaN(), math.NaN(), math.NaN()}},
		},
	}
}

func plain(s string) string { return s }

// holds is assert.Contains that does not print the page.
func holds(t *testing.T, page, want string) {
	t.Helper()
	assert.True(t, strings.Contains(page, want), "the page does not hold %s", want)
}

func lacks(t *testing.T, page, no string) {
	t.Helper()
	assert.False(t, strings.Contains(page, no), "the page holds %s", no)
}

func pageOf(t testing.TB, name func(string) string) string {
	t.Helper()
	data, err := writePage(cover{name("weir-2up"), name("A"), name("north"), "2026-05-01T00:00:00+00:00", "panelwright 1", rule.All(), partOf(answers(name), weirs(t, name), map[string]float64{"panel-sag": 0.75, "tab-strength": 2})}, weirs(t, name), ended(name))
	require.NoError(t, err)
	return string(data)
}

// The page holds no way out of it: no reference but to places of its own, and one script and one style, its own.
func TestPageStandsAlone(t *testing.T) {
	for what, name := range map[string]func(string) string{"plain": plain, "hostile": func(s string) string { return s + hostile }} {
		page := pageOf(t, name)
		assert.Equal(t, 1, strings.Count(strings.ToLower(page), "<script"), what)
		assert.Equal(t, 1, strings.Count(strings.ToLower(page), "</script"), what)
		assert.Equal(t, 1, strings.Count(strings.ToLower(page), "</style"), what)
		assert.NotContains(t, strings.ToLower(page), "<img", what)
		tags := regexp.MustCompile(`"[^"]*"`).ReplaceAllString(page[:strings.Index(page, "<script")], `""`)
		assert.NotRegexp(t, `<[a-zA-Z][^>]* on[a-z]+=`, tags, what)
		lacks(t, page, "@import")
		assert.NotRegexp(t, `url\((?:["']?)[^#]`, page, what)
		holds(t, page, `content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"`)

		ids := map[string]bool{}
		for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(page, -1) {
			assert.False(t, ids[m[1]], "%s: id %s is given twice", what, m[1])
			assert.Regexp(t, `^[a-z0-9-]+$`, m[1], "ids are made of no one's text")
			ids[m[1]] = true
		}
		to := regexp.MustCompile(` (?:href|src|action|xlink:href|poster|data|aria-labelledby)="([^"]*)"`).FindAllStringSubmatch(page, -1)
		to = append(to, regexp.MustCompile(`url\(([^)]*)\)`).FindAllStringSubmatch(page, -1)...)
		require.Greater(t, len(to), 40)
		for _, m := range to {
			assert.True(t, ids[strings.TrimPrefix(m[1], "#")], "%s: %s leads nowhere in the page", what, m[1])
		}
	}
}

// What the build said is on the page, in the part of the moment that it belongs to.
func TestPageTells(t *testing.T) {
	page := pageOf(t, plain)
	part := func(id, next string) string {
		a, b := strings.Index(page, `id="`+id+`" aria`), strings.Index(page, `id="`+next+`" aria`)
		require.Positive(t, a, id)
		require.Greater(t, b, a, next)
		return strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page[a:b], " ")), " ")
	}
	words := strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " ")), " ")
	for _, c := range []struct {
		text string
		want []string
	}{
		{words, []string{"weir-2up revision A, 62 x 40 mm, for the supplier north", "NOT FOR RELEASE. Kept back by 1 finding at error level.", "1 error", "1 warning", "0 notes", "1 waived", "4 rules checked", "1 rule left unchecked",
			"wear eye and breathing protection", "local rules have the last word"}},
		{part("as-cut", "on-the-line"), []string{"copper lies near the edge", "measured 0.2 mm, at least 0.25 mm", "a fabricator's page", "weir.panel.hcl:12", "A1, B1", "of a shop&#39;s own rule",
			"Show in the picture: top , bottom", "slot-width", "1.6 mm", "cuts: 2 rules, 1 with findings", "2 of weir", "hole of a board 0.3 mm plated 1 to 4 2", "perforation 0.5 mm not plated 1 to 4 1", "copper-2-inner layer.gbr",
			"Copper on the bottom, seen from the bottom, % ", "From 10.0 % to 50.0 %.", "at least 15 %, not kept where the picture is hatched, 20.0 % of what is shown.", "copper-1-top 30 % 45 %", "30 deg"}},
		{part("on-the-line", "at-break-off"), []string{"the rail is narrow", "waived", "Sag", "There is no figure to show.", "fiducial/1 (5, 4) mm 1 mm 2 mm 3 mm top", "B1 weir (62, 30) mm 180 deg 2", "legend/product lettering WEIR legend-top"}},
		{part("at-break-off", "waivers"), []string{"not checked: filed by hand", "tab width at the waist 4 mm", "web at worst 0.2 mm", "A1/tab/right/1 A1 B1 4 mm 1 0.3 mm 0.2 mm 0.25 mm 0 mm 0 mm", "fragile parts 2 parts"}},
		{part("waivers", "unchecked"), []string{"rail-width at rail/lower", "reason agreed by letter", "for revision A", "accepted at worst 7.5 mm", "weir.panel.hcl:12"}},
		{part("unchecked", "values"), []string{"stub-height", "reason filed by hand"}},
		{part("values", "files"), []string{"columns = 4 , rows = 3", "rails weir.panel.hcl:12 width 8 mm weir.panel.hcl:13"}},
		{words[strings.LastIndex(words, "Sums are SHA-256"):], []string{"Recipe and standards: 1", "Inputs: 1", "Outputs: 1", "1 234 567", strings.Repeat("0123456789abcdef", 4)}},
	} {
		text := strings.ReplaceAll(c.text, "&#39;", "'")
		for _, want := range c.want {
			assert.Contains(t, text, strings.ReplaceAll(want, "&#39;", "'"))
		}
	}
	released := ended(plain)
	released.Released, released.Notice, released.Findings = true, "", nil
	data, err := writePage(cover{Panel: "weir-2up"}, weirs(t, plain), released)
	require.NoError(t, err)
	lacks(t, string(data), "NOT FOR RELEASE")
	holds(t, string(data), "Nothing was found.")
}

// A mark for every finding that has a place, its own or its feature's, in the pictures of its moment; the other copies
// that the finding holds for are marked too.
func TestMarks(t *testing.T) {
	page := pageOf(t, plain)
	for _, c := range []struct {
		mark string
		at   string // in the picture, y down
	}{
		{"mark-as-cut-top-1", "5 25"}, {"mark-as-cut-bottom-1", "57 25"},
		{"mark-on-the-line-top-2", "31 36"}, // the middle of the rail
	} {
		assert.Regexp(t, `<a class="mark [^"]*" id="`+c.mark+`" href="#finding-\d" aria-label="[^"]+"><title>[^<]*</title><g transform="translate\(`+c.at+`\)">`, page)
	}
	lacks(t, page, "mark-at-break-off-top-1")
	lacks(t, page, "mark-as-cut-top-3")
	holds(t, page, `<g class="alike error" transform="translate(57 15)">`) // B1 is turned: its place is turned with it
}

// Marks of one place step aside, stay in the picture, and more than can be told apart are counted.
func TestMarksStepAside(t *testing.T) {
	at := geom.Pt(geom.MM, 39*geom.MM)
	end := pipeline.End{}
	for range mostMarks + 7 {
		end.Findings = append(end.Findings, pipeline.Finding{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Severity: pipeline.Warning, At: &at})
	}
	data, err := writePage(cover{}, weirs(t, plain), end)
	require.NoError(t, err)
	holds(t, string(data), "7 more findings of this part have a place and no mark here: 300 are marked.")
	end.Findings = end.Findings[:20]
	data, err = writePage(cover{}, weirs(t, plain), end)
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`<g transform="translate\(([^)]*)\)"><path class="shape"`).FindAllStringSubmatch(string(data), -1) {
		seen[m[1]] = true
	}
	assert.GreaterOrEqual(t, len(seen), 15, "marks lie on each other")
}

// Every rule that is named here is one; every built-in rule has a moment, by its name or its family.
func TestMoments(t *testing.T) {
	names := map[string]bool{}
	for _, r := range rule.All() {
		names[r.Name] = true
		_, named := momentOfRule[r.Name]
		_, family := momentOfFamily[r.Family]
		assert.True(t, named || family, "nothing says when %s, of the family %q, is told of", r.Name, r.Family)
	}
	for r := range momentOfRule {
		assert.True(t, names[r], "no rule is called %s", r)
	}
	assert.Equal(t, pipeline.AsCut, momentOf("acme-own", "acme"))
	assert.Equal(t, pipeline.OnTheLine, momentOf("fiducial-count", pipeline.RailsFamily))
	assert.Equal(t, pipeline.AtBreakOff, momentOf("part-near-break", pipeline.AssemblyFamily))
}

// A layer that is too large for the page is left out and named; the others stay.
func TestLayersWithoutRoom(t *testing.T) {
	p := weirs(t, plain)
	b := p.Boards()[0]
	large := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}}, Objects: make([]artwork.Object, roomForLayers/40)}
	for i := range large.Objects {
		large.Objects[i] = artwork.Object{Kind: artwork.Flash, Region: -1}
	}
	board := *b
	board.Layers = append([]panel.Layer(nil), b.Layers...)
	board.Layers[7].Image = large // the legend
	q, err := panel.Panel{}.Edit().AddBoard(&board).AddCopy(panel.Copy{ID: "A1", Board: &board}).FitOutline().Build()
	require.NoError(t, err)
	data, err := writePage(cover{}, q, pipeline.End{})
	require.NoError(t, err)
	assert.Less(t, len(data), 1<<20)
	holds(t, string(data), "stays small enough to open: legend-top of weir.")
	lacks(t, string(data), `<input type="checkbox" data-layer="legend"`)
	holds(t, string(data), `<input type="checkbox" data-layer="copper"`)
	holds(t, string(data), `<input type="checkbox" data-layer="copper-2-inner"`)
}

// An open gate is no release: the page says so, and what the drawing of the same build says.
func TestStateOfTheDrawing(t *testing.T) {
	values := func(states ...string) (out []pipeline.StageValues) {
		for _, s := range states {
			out = append(out, pipeline.StageValues{Stage: "write_drawing", Values: []pipeline.Value{{Option: "units", Value: `"mm"`}, {Option: "state", Value: `"` + s + `"`}}})
		}
		return append(out, pipeline.StageValues{Stage: "acme", Values: []pipeline.Value{{Option: "state", Value: `"released"`}}})
	}
	for _, c := range []struct {
		states []string
		want   string
	}{
		{nil, "No finding keeps this panel back.</p>"},
		{[]string{"draft"}, "back. The drawing of this build is a draft: for review, not yet to be built from.</p>"},
		{[]string{"released"}, "back. The drawing of this build is released.</p>"},
		{[]string{"draft", "released"}, "back. One drawing of this build is released, and one is a draft"},
	} {
		data, err := writePage(cover{}, weirs(t, plain), pipeline.End{Released: true, Values: values(c.states...)})
		require.NoError(t, err)
		holds(t, string(data), "<b>The gate is open.</b>")
		holds(t, string(data), c.want)
		lacks(t, string(data), "<b>Released")
		data, err = writePage(cover{}, weirs(t, plain), pipeline.End{Notice: "NOT FOR RELEASE: 2 findings", Values: values(c.states...)})
		require.NoError(t, err)
		lacks(t, string(data), "drawing of this build is")
	}
}

// A finding that no picture marks says why.
func TestUnmarkedFindings(t *testing.T) {
	end := pipeline.End{Findings: []pipeline.Finding{{Rule: "panel-weight", Family: pipeline.PanelFamily, Severity: pipeline.Warning, Message: "heavy"}}}
	data, err := writePage(cover{}, weirs(t, plain), end)
	require.NoError(t, err)
	holds(t, string(data), `<p class="said unmarked">It has no place of its own, so no picture marks it.</p>`)
	lacks(t, string(data), "not marked: the pictures")
	at := geom.Pt(geom.MM, geom.MM)
	end.Findings = nil
	for range mostMarks + 1 {
		end.Findings = append(end.Findings, pipeline.Finding{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Severity: pipeline.Warning, At: &at})
	}
	data, err = writePage(cover{}, weirs(t, plain), end)
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(data), "It is not marked: the pictures of this part have as many marks as can be told apart."))
	lacks(t, string(data), "no picture marks it")
}

// The empty panel has a page too.
func TestEmptyPanel(t *testing.T) {
	_, err := writePage(cover{}, panel.Panel{}, pipeline.End{})
	require.NoError(t, err)
}
