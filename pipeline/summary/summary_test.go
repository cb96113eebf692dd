package summary

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/markdown"
	"panelwright/pipeline/markdown/markdowntest"
	"panelwright/pipeline/run"
)

var tool = run.ToolName{Name: "panelwright", Version: "0.1.0"}

func figure(x float64) *float64 { return &x }

// closing is a finding that keeps a panel back.
func closing(message string) pipeline.Finding {
	at := geom.Pt(geom.FromMM(1.5), geom.FromMM(-2))
	return pipeline.Finding{Rule: "copper-to-edge", Family: "cuts", Severity: pipeline.Error, Message: message, At: &at, Feature: "A1", Copies: []string{"A1", "B1"},
		Measured: figure(0.2), Limit: figure(0.25), Unit: "mm", Option: "limit copper-to-edge at_least", Set: &pipeline.SetAt{File: "shop.standard.hcl", Line: 3, Column: 5}}
}

func good(recipe string) Row {
	return Row{Recipe: recipe, Panel: "gauge", Revision: "C", State: Good, Findings: &run.FindingCounts{Warning: 1, Note: 2}, Build: "gauge-" + recipe, Manifest: strings.Repeat("a", 64)}
}

func held(recipe, supplier, message string) Row {
	return Row{Recipe: recipe, Panel: "staff", Revision: "B", Supplier: supplier, State: Held, Exit: 1, Findings: &run.FindingCounts{Error: 1, Waived: 1},
		Closing: run.FindingRows([]pipeline.Finding{closing(message)}), Build: "staff/" + recipe + supplier, Manifest: strings.Repeat("b", 64)}
}

func stopped(recipe, text string) Row {
	return Row{Recipe: recipe, State: Stopped, Exit: 2, Error: text}
}

const mistake = "recipes/tide.panel.hcl:7:3: stage array has no option \"colums\"; nearest: columns\n    colums = 3\n    ^^^^^^\n    write columns, or run: panelwright options array"

// few is a summary of one build of each state, in no order.
func few() []Row {
	return []Row{stopped("recipes/tide.panel.hcl", mistake), held("recipes/staff.panel.hcl", "north", "copper of R1 | pad 1 is too near"), good("recipes/gauge.panel.hcl"),
		{Recipe: "recipes/weir.panel.hcl", State: Interrupted, Exit: 130, Error: "interrupted"}}
}

func written(t testing.TB, s Summary) (json, junit, md string) {
	t.Helper()
	for _, x := range []struct {
		name string
		to   *string
	}{{"a.json", &json}, {"b/c.XML", &junit}, {"x.md", &md}} {
		text, err := s.As(x.name)
		require.NoError(t, err)
		*x.to = string(text)
	}
	return json, junit, md
}

func TestForms(t *testing.T) {
	s := New(tool, "", nil, few())
	assert.Equal(t, Counts{Good: 1, Held: 1, Stopped: 1, Interrupted: 1, Findings: run.FindingCounts{Error: 1, Warning: 1, Note: 2, Waived: 1}}, s.Counts)
	assert.Equal(t, 130, s.Exit)
	text, junit, md := written(t, s)
	assert.Contains(t, text, `"at": {
            "x": 1.5,
            "y": -2
          }`)
	assert.Contains(t, text, `| pad 1`)
	assert.Equal(t, `<?xml version="1.0" encoding="UTF-8"?>
<testsuites>
  <testsuite id="0" name="panelwright build" package="panelwright" timestamp="1970-01-01T00:00:00" hostname="localhost" tests="4" failures="1" errors="2" time="0">
    <properties>
      <property name="version" value="0.1.0"></property>
      <property name="reject" value="error"></property>
      <property name="good" value="1"></property>
      <property name="held back" value="1"></property>
      <property name="stopped" value="1"></property>
      <property name="interrupted" value="1"></property>
    </properties>
    <testcase name="recipes/gauge.panel.hcl" classname="recipes" time="0"></testcase>
    <testcase name="recipes/staff.panel.hcl for north" classname="recipes" time="0">
      <failure type="held back" message="panel staff, revision B: 1 finding keeps it from release">error: copper-to-edge at A1 (1.5, -2) mm: copper of R1 | pad 1 is too near; measured 0.2 mm, limit 0.25 mm; copies A1, B1; set at shop.standard.hcl:3</failure>
    </testcase>
    <testcase name="recipes/tide.panel.hcl" classname="recipes" time="0">
      <error type="stopped" message="recipes/tide.panel.hcl:7:3: stage array has no option &#34;colums&#34;; nearest: columns">recipes/tide.panel.hcl:7:3: stage array has no option &#34;colums&#34;; nearest: columns&#xA;    colums = 3&#xA;    ^^^^^^&#xA;    write columns, or run: panelwright options array</error>
    </testcase>
    <testcase name="recipes/weir.panel.hcl" classname="recipes" time="0">
      <error type="interrupted" message="interrupted">interrupted</error>
    </testcase>
    <system-out></system-out>
    <system-err></system-err>
  </testsuite>
</testsuites>
`, junit)
	assert.Equal(t, `## 4 builds: 1 good, 1 held back, 1 stopped, 1 interrupted

| good | held back | stopped | interrupted | errors | warnings | notes | waived |
|---|---|---|---|---|---|---|---|
| 1 | 1 | 1 | 1 | 1 | 1 | 2 | 1 |

### NOT FOR RELEASE: 1 build

**recipes/staff.panel.hcl for north** (panel staff, revision B)

- error: copper-to-edge at A1 (1.5, -2) mm: copper of R1 \| pad 1 is too near; measured 0.2 mm, limit 0.25 mm; copies A1, B1; set at shop.standard.hcl\:`+"\u2060"+`3

### Stopped: 1 build

**recipes/tide.panel.hcl**

`+"```text\n"+mistake+"\n```"+`

### Interrupted: 1 build

**recipes/weir.panel.hcl**

<details><summary>good: 1 build</summary>

| recipe | panel | errors | warnings | notes | waived |
|---|---|---|---|---|---|
| recipes/gauge.panel.hcl | gauge, revision C | 0 | 1 | 2 | 0 |

</details>

panelwright 0.1.0; findings at error level keep a panel from release.
`, md)
}

func TestNamesOfFiles(t *testing.T) {
	for _, name := range []string{"a.json", "b/c.xml", "d.md", "E.MD"} {
		assert.NoError(t, CheckName(name))
	}
	for _, name := range []string{"a.txt", "json", "a.json.gz", "", ".", "a.html"} {
		assert.EqualError(t, CheckName(name), name+": a summary is written as JSON, JUnit or Markdown, and the name says which: let it end in .json, .xml or .md")
		_, err := Summary{}.As(name)
		assert.Error(t, err)
	}
}

// The same builds give the same bytes in whatever order they came, and again when they are read back.
func TestOrderAndReading(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	odd := "\xff\x00\x1b[31m \u202e \u2028 <b>`~`` |"
	rows := append(few(), held("recipes/odd\xff.panel.hcl", odd, odd), stopped("recipes/z.panel.hcl", odd+"\n\tx\n"+odd), held("recipes/staff.panel.hcl", "east", "near"), good("./recipes/a.panel.hcl"))
	part := Part{Index: 1, Of: 3}.Split([]string{"a", "b"})
	for _, p := range []*Part{nil, &part} {
		json, junit, md := written(t, New(tool, pipeline.Warning, p, rows))
		require.Contains(t, json, `"recipe": "recipes/a.panel.hcl"`)
		for range 20 {
			rng.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
			j, x, m := written(t, New(tool, pipeline.Warning, p, rows))
			require.Equal(t, json, j)
			require.Equal(t, junit, x)
			require.Equal(t, md, m)
		}
		back, err := Read([]byte(json))
		require.NoError(t, err)
		j, x, m := written(t, back)
		require.Equal(t, json, j)
		require.Equal(t, junit, x)
		require.Equal(t, md, m)
	}
}

func TestMarkdownCannotBeBroken(t *testing.T) {
	of := func(s string) []byte {
		x := s + ".panel.hcl"
		return New(run.ToolName{Name: "p" + s, Version: s}, "", nil, []Row{
			{Recipe: "a" + x, Panel: s, Revision: s, Supplier: s, State: Good, Findings: &run.FindingCounts{}},
			held("b"+x, s, s), stopped("c"+x, s+"\n"+s), {Recipe: "d" + x, State: Interrupted, Exit: 130}}).Markdown()
	}
	harmless := markdowntest.Parse(of("plain"))
	require.Equal(t, 4, harmless.Headings)
	require.Equal(t, 2, harmless.Tables)
	require.Equal(t, 1, harmless.Code)
	for _, s := range append(markdowntest.Hostile, "```", "````\n```", "~~~") {
		md := of(s)
		p := markdowntest.Parse(md)
		p.Text, harmless.Text = "", ""
		require.Equal(t, harmless, p, "%q:\n%s", s, md)
		require.NotContains(t, string(md), "\u202e")
	}
}

func TestMarkdownIsBounded(t *testing.T) {
	var rows []Row
	long := strings.Repeat("long words | of <a> finding, ", 30)
	for i := range 1000 {
		name := fmt.Sprintf("recipes/%04d-%s.panel.hcl", i, strings.Repeat("long-", 40))
		rows = append(rows, good("a"+name), held("b"+name, "", long), stopped("c"+name, strings.Repeat(strings.Repeat("line ", 10)+"\n", 31)))
	}
	md := string(New(tool, "", nil, rows).Markdown())
	require.LessOrEqual(t, len(md), markdown.Most)
	require.Greater(t, len(md), markdown.Most/8)
	require.Contains(t, md, "3000 builds: 1000 good, 1000 held back, 1000 stopped")
	require.Contains(t, md, "more are not shown here")
	require.Equal(t, strings.Count(md, "<details>"), strings.Count(md, "</details>"))
	text := string(New(tool, "", nil, rows[:6]).Markdown())
	require.Contains(t, text, "and 7 lines more")
}

func TestReadTakesNothingElse(t *testing.T) {
	whole, _, _ := written(t, New(tool, "", nil, few()))
	part := Part{Index: 1, Of: 2}.Split([]string{"a"})
	ofPart, _, _ := written(t, New(tool, "", &part, few()))
	for _, c := range []struct{ text, old, new, want string }{
		{"", "", "", "is no summary that build --summary wrote as JSON: it is empty"},
		{"{\n\n  \"schema\": x}", "", "", "line 3 is no JSON"},
		{`<xml>`, "", "", "line 1 is no JSON"},
		{`[]`, "", "", "is no summary that build --summary wrote as JSON: line 1: "},
		{whole, `"schema": 1`, `"schema": 2`, "was written by a later version of the program (schema 2, and this one reads 1)"},
		{whole, `"schema": 1,`, `"schema": 2, "more": 1,`, "was written by a later version of the program (schema 2, and this one reads 1)"},
		{whole, `"schema": 1`, `"schema": 0`, "is no summary: its schema is 0, and 1 is wanted"},
		{whole, `"schema": 1,`, `"schema": 1, "more": 1,`, `unknown field "more"`},
		{whole, `"rule":`, `"role":`, `unknown field "role"`},
		{whole, "\n}\n", "\n}\n{}", "holds something else after the summary"},
		{whole, "\n}\n", "\n", "ends too early"},
		{whole, `"good": 1`, `"good": "1"`, `line 9: counts.good is of another kind than summaries have there`},
		{whole, `"good": 1`, `"good": 2`, "do not follow from its builds"},
		{whole, `"exit": 130` + "\n}", `"exit": 0` + "\n}", "do not follow from its builds"},
		{whole, `"name": "panelwright"`, `"name": ""`, "does not say which program wrote it"},
		{whole, `"reject": "error"`, `"reject": "note"`, `does not say which findings closed the release gate: reject is "note"`},
		{whole, `"state": "stopped"`, `"state": "paused"`, `build 3: recipes/tide.panel.hcl: state "paused" does not go with exit code 2`},
		{whole, `"state": "good"`, `"state": "held back"`, `build 1: recipes/gauge.panel.hcl: state "held back" does not go with exit code 0`},
		{whole, `"error": "recipes`, `"error": "\nrecipes`, ""},
		{whole, `"panel": "gauge",`, ``, "build 1: recipes/gauge.panel.hcl: was judged, and does not say which panel or what was found"},
		{whole, `"recipe": "recipes/gauge.panel.hcl"`, `"recipe": " "`, "build 1: names no recipe"},
		{whole, `"recipe": "recipes/gauge.panel.hcl"`, `"recipe": "tide.panel.hcl"`, "builds are not in order of their names, each once: recipes/staff.panel.hcl for north comes after tide.panel.hcl"},
		{whole, `"recipe": "recipes/weir.panel.hcl"`, `"recipe": "recipes/tide.panel.hcl"`, "each once"},
		{ofPart, `"index": 1`, `"index": 2`, "does not say clearly which part"},
		{ofPart, `"of": 2`, `"of": 0`, "does not say clearly which part"},
		{ofPart, `"recipes": 1`, `"recipes": -1`, "does not say clearly which part"},
		{ofPart, part.Names, "ab", "does not say clearly which part"},
	} {
		require.Contains(t, c.text, c.old)
		_, err := Read([]byte(strings.Replace(c.text, c.old, c.new, 1)))
		if c.want == "" {
			assert.NoError(t, err)
			continue
		}
		assert.ErrorContains(t, err, c.want, "%s in the place of %s", c.new, c.old)
	}
	_, err := readAtMost(strings.NewReader(whole+strings.Repeat(" ", 1<<20)), 1<<20)
	assert.EqualError(t, err, "is longer than a summary can be (1 MiB)")
	_, err = ReadFrom(iotest.ErrReader(fs.ErrPermission))
	assert.Equal(t, fs.ErrPermission, err)
}

// Whatever comes in: no panic, and what is taken is written as it was read.
func FuzzRead(f *testing.F) {
	whole, _ := New(tool, "", nil, few()).JSON()
	part := Part{Index: 1, Of: 2}.Split([]string{"a"})
	some, _ := New(tool, pipeline.Warning, &part, few()[:2]).JSON()
	f.Add(whole)
	f.Add(some)
	f.Add([]byte(`{"schema":1,"tool":{"name":"p","version":""},"reject":"error","counts":{"good":0,"held_back":0,"stopped":0,"findings":{"error":0,"warning":0,"note":0,"waived":0}},"builds":[],"exit":0}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Read(data)
		if err != nil {
			require.NotContains(t, err.Error(), "%!")
			return
		}
		text, err := s.JSON()
		require.NoError(t, err)
		back, err := Read(text)
		require.NoError(t, err)
		again, err := back.JSON()
		require.NoError(t, err)
		require.True(t, bytes.Equal(text, again))
		_, err = s.JUnit()
		require.NoError(t, err)
		require.LessOrEqual(t, len(s.Markdown()), markdown.Most)
		joined, err := Join([]Named{{"a", s}})
		if s.Part == nil {
			require.NoError(t, err)
			require.Equal(t, s, joined)
		}
	})
}
