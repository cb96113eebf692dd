package cli

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

func manyBuilds(n int, bad func(i int) bool) summary.Summary {
	var rows []summary.Row
	for i := range n {
		r := summary.Row{Recipe: fmt.Sprintf("recipes/%04d.panel.hcl", i), Panel: "gauge", State: summary.Good, Findings: &run.FindingCounts{Note: 1}, Build: fmt.Sprintf("gauge-%d", i)}
		if bad(i) {
			r = summary.Row{Recipe: r.Recipe, State: summary.Stopped, Exit: 2, Error: r.Recipe + ":3:1: is wrong\n  source"}
		}
		rows = append(rows, r)
	}
	return summary.New(run.ToolName{Name: "panelwright", Version: "1"}, "", nil, rows)
}

// Of a thousand recipes the terminal shows what is not good, and totals; with all, every one.
func TestTableOfManyBuilds(t *testing.T) {
	s := manyBuilds(1000, func(i int) bool { return i == 7 || i == 500 })
	assert.Equal(t, `recipes/0007.panel.hcl  stopped  line 3:1: is wrong
recipes/0500.panel.hcl  stopped  line 3:1: is wrong
not shown: 998 good; --all shows them
1000 builds: 998 good, 2 stopped; 0 errors, 0 warnings, 998 notes
`, buildsText(s, false, "out", nil))
	assert.Equal(t, 1001, strings.Count(buildsText(s, true, "out", nil), "\n"))
	text := buildsText(manyBuilds(1000, func(int) bool { return true }), false, "out", nil)
	assert.Equal(t, mostBad+2, strings.Count(text, "\n"))
	assert.Contains(t, text, "\nnot shown: 900 stopped; --all shows them\n1000 builds: 0 good, 1000 stopped;")
	assert.Equal(t, "recipes/0000.panel.hcl  good  0 errors, 0 warnings, 1 note  out/gauge-0\n1 build: 1 good; 0 errors, 0 warnings, 1 note\n",
		buildsText(manyBuilds(1, func(int) bool { return false }), false, "out", nil))
}

func TestTableOfBuilds(t *testing.T) {
	var found []pipeline.Finding
	for _, rule := range []string{"rail-width", "copper-to-edge", "rail-width", "a", "b"} {
		found = append(found, pipeline.Finding{Rule: rule, Severity: pipeline.Error})
	}
	s := summary.New(run.ToolName{Name: "panelwright", Version: "1"}, "", nil, []summary.Row{
		{Recipe: "b.panel.hcl", Supplier: "north", Panel: "b", State: summary.Held, Exit: 1, Findings: &run.FindingCounts{Error: 5}, Build: "b/north", Closing: run.FindingRows(found)},
		{Recipe: "b.panel.hcl", Supplier: "east", Panel: "b", State: summary.Held, Exit: 1, Findings: &run.FindingCounts{Error: 2}, Closing: run.FindingRows(found[:2])},
		{Recipe: "c.panel.hcl", State: summary.Interrupted, Exit: 130, Error: "interrupted"},
		{Recipe: "a.panel.hcl", State: summary.Stopped, Exit: 3, Error: "disk: " + strings.Repeat("full ", 40)},
		{Recipe: "d.panel.hcl", State: summary.Stopped, Exit: 2, Error: "d.panel.hcl: there is no such file or folder"},
	})
	require.Equal(t, 130, s.Exit)
	assert.Equal(t, `a.panel.hcl            stopped          disk: `+strings.Repeat("full ", 18)+`f...
b.panel.hcl for east   NOT FOR RELEASE  2 errors, 0 warnings, 0 notes (copper-to-edge, rail-width)
b.panel.hcl for north  NOT FOR RELEASE  5 errors, 0 warnings, 0 notes (a, b, copper-to-edge and 1 more)  b/north
c.panel.hcl            interrupted
d.panel.hcl            stopped          there is no such file or folder
5 builds: 0 good, 2 held back, 2 stopped, 1 interrupted; 7 errors, 0 warnings, 0 notes
`, buildsText(s, false, "", nil))
}
