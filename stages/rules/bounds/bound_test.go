package bounds

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// um is a micrometre, in mm: how far inside and outside a limit in millimetres a case lies.
const um = 0.001

// bound is one rule's limit, from both sides.
type bound struct {
	Rule string
	Name string // tells the cases of one rule apart
	// Make gives the panel for a value: usually the figure that the rule measures, but any number will do. A rule
	// without a figure is given its two panels by 0 and 1, unless Inside and Outside say otherwise.
	Make            func(v float64) setup
	Inside, Outside float64

	// What the panel outside must give, in the rule's own unit. Measured is the hand calculation's result; Close is
	// how near to it the figure must come, a nanometre (1e-6) unless given.
	Measured, Close float64
	NoFigure        bool    // the rule measures nothing
	Limit           float64 // as the finding must state it
	Feature         string
	Copies          []string // unless nil
	At              string   // "(x, y)" in mm, unless ""
	Says            string   // a part of the message, unless ""
	Findings        int      // of this rule on the panel outside; 1 unless given. One of them must be as above.

	// LimitInside is the limit inside, where the two panels differ by it and not by what is measured.
	LimitInside float64

	// Coarse says why the two panels lie further from the limit than a micrometre, where they do.
	Coarse string
}

// setup is a panel: its boards, and a recipe's stages between them and the rules.
type setup struct {
	Boards []sheet
	Stages string
	Rules  string // what stands in stage rules
	Writes string // stages after write_fab; write_assembly stands there by itself where there are parts
	// Head is what stands before the stages beside the panel block: given, let.
	Head string
	// Files are more files beside the recipe, by name.
	Files map[string]string
}

// registered holds every case, by rule.
var registered = map[string][]bound{}

// judged adds cases: var _ = judged(bound{…}, …) in any file of this package.
func judged(cases ...bound) struct{} {
	for _, c := range cases {
		registered[c.Rule] = append(registered[c.Rule], c)
	}
	return struct{}{}
}

// The usual stages around one board: an array without gaps, or with slots and tabs.
func array(board string, columns, rows int, gap float64) string {
	return fmt.Sprintf("stage \"array\" {\n  board   = %q\n  columns = %d\n  rows    = %d\n  gap     = %s\n}\n", board, columns, rows, digits(gap))
}

// turn lets no more panels be made at once than there are processors.
var turn = make(chan struct{}, max(1, runtime.GOMAXPROCS(0)))

// found is one finding as the report has it.
type found struct {
	pipeline.Finding
	At *struct{ X, Y json.Number } `json:"at"`
}

// outcome is what came of a recipe: the findings of the report that was written, the rules that were judged, and the
// panel.
type outcome struct {
	Findings []found
	judged   []pipeline.Judged
	panel    panel.Panel
}

// build writes boards and recipe, carries it out with all stages, all rules and the proof, and gives what the report
// says that was written.
func (s setup) build(t *testing.T) outcome {
	t.Helper()
	dir := t.TempDir()
	var text strings.Builder
	text.WriteString("panel \"bounds\" {\n  revision = \"A\"\n}\n" + s.Head + "\n")
	for _, b := range s.Boards {
		text.WriteString(b.write(t, dir))
	}
	for name, body := range s.Files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(body), 0o644))
	}
	text.WriteString(s.Stages + "\nstage \"rules\" {\n" + s.Rules + "\n}\nstage \"write_fab\" {}\n" + s.Writes)
	if slices.ContainsFunc(s.Boards, func(b sheet) bool { return len(b.Parts) > 0 }) {
		text.WriteString("stage \"write_assembly\" {}\n")
	}
	path := filepath.Join(dir, "bounds.panel.hcl")
	require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o644))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: append(stages.All(), ownCuts()), Rules: rule.All(), ProgramVersion: "0.1.0"})
	require.NoError(t, err, text.String())
	built, err := run.Build(t.Context(), plan, run.Options{OutDir: filepath.Join(dir, "build"), Workers: 1,
		Program: pipeline.Program{Name: "panelwright", Version: "0.1.0"}, Rules: rule.All(), Prove: proof.Prove, PanelData: panel.Panel.Data})
	require.NoError(t, err, text.String())
	data, err := os.ReadFile(filepath.Join(built.Dir, "report", "findings.json"))
	require.NoError(t, err)
	var report outcome
	require.NoError(t, json.Unmarshal(data, &report))
	report.judged, report.panel = built.Judged, built.Panel
	return report
}

// of gives the findings of one rule.
func of(all []found, name string) (out []found) {
	for _, f := range all {
		if f.Rule == name {
			out = append(out, f)
		}
	}
	return out
}

// TestBounds judges a panel just inside and one just outside every rule's limit.
func TestBounds(t *testing.T) {
	rules := map[string]pipeline.Rule{}
	for _, r := range rule.All() {
		rules[r.Name] = r
	}
	for _, name := range slices.Sorted(maps.Keys(registered)) {
		t.Run(name, func(t *testing.T) {
			cases := registered[name]
			var judged, there atomic.Int32
			t.Cleanup(func() { // when all have been judged, and none was left out
				if int(judged.Load()) == len(cases) {
					assert.Positive(t, there.Load(), "no finding is where the rule's example of a waiver says, %q", rules[name].Place)
				}
			})
			for i, c := range cases {
				title := c.Name
				if title == "" {
					title = fmt.Sprint(i + 1)
				}
				t.Run(title, func(t *testing.T) {
					t.Parallel()
					turn <- struct{}{}
					defer func() { <-turn }()
					r, ok := rules[name]
					require.True(t, ok, "there is no rule of that name")
					if slices.ContainsFunc(c.judge(t, r), func(f found) bool { return placed(f, r) }) {
						there.Add(1)
					}
					judged.Add(1)
				})
			}
		})
	}
}

// judge carries both panels out and gives the findings outside.
func (c bound) judge(t *testing.T, r pipeline.Rule) []found {
	if c.Inside == 0 && c.Outside == 0 {
		c.Outside = 1
	}
	inside, outside := c.Make(c.Inside).build(t), c.Make(c.Outside).build(t)
	for _, f := range of(inside.Findings, c.Rule) {
		assert.Fail(t, "a finding just inside the limit", "%s", f.Message)
	}
	all := of(outside.Findings, c.Rule)
	c.measure(t, r, inside, outside)
	require.Len(t, all, max(1, c.Findings), "findings just outside the limit: %s", messages(all))
	wrong := map[string]string{}
	for _, f := range all {
		why := c.differs(f, r)
		if why == "" {
			return all
		}
		wrong[f.Message] = why
	}
	for _, message := range slices.Sorted(maps.Keys(wrong)) {
		assert.Fail(t, "the finding is not as the hand calculation says", "%s\n%s", message, wrong[message])
	}
	return all
}

// placed tells whether a finding is at such a place as the rule's example of a waiver names: a copy, the panel, a
// board, or another feature of that kind.
func placed(f found, r pipeline.Rule) bool {
	kind, _, _ := strings.Cut(r.Place, "/")
	switch kind {
	case "":
		return len(f.Copies) > 0
	case pipeline.WholePanel:
		return len(f.Copies) == 0 && (f.Feature == "" || f.Feature == kind)
	}
	board, _, _ := strings.Cut(kind, ".")
	return f.Feature == kind || strings.HasPrefix(f.Feature, kind+"/") || board != kind && strings.HasPrefix(f.Feature, board+".")
}

// differs says in what a finding is not what the case asks for; "" when it is.
func (c bound) differs(f found, r pipeline.Rule) string {
	var out []string
	differ := func(what string, got, want any) {
		out = append(out, fmt.Sprintf("%s: %v, and %v was expected", what, got, want))
	}
	near := c.Close
	if near == 0 {
		near = 1e-6
	}
	figure := func(what string, got *float64, want, near float64) {
		switch {
		case got == nil:
			differ(what, "none", want)
		case max(*got-want, want-*got) > near*(1+1e-9):
			differ(what, *got, want)
		}
	}
	if c.NoFigure {
		if f.Measured != nil {
			differ("measured", *f.Measured, "none")
		}
	} else {
		figure("measured", f.Measured, c.Measured, near)
	}
	if r.Bound != pipeline.NoBound {
		figure("limit", f.Limit, c.Limit, 1e-9)
	}
	if f.Unit != r.Unit {
		differ("unit", f.Unit, r.Unit)
	}
	if c.Feature != "" && f.Feature != c.Feature {
		differ("feature", f.Feature, c.Feature)
	}
	if c.Copies != nil && !slices.Equal(f.Copies, c.Copies) {
		differ("copies", f.Copies, c.Copies)
	}
	if c.At != "" {
		got := "nowhere"
		if f.At != nil {
			got = fmt.Sprintf("(%s, %s)", f.At.X, f.At.Y)
		}
		if got != c.At {
			differ("place", got, c.At)
		}
	}
	if !strings.Contains(f.Message, c.Says) {
		differ("message", f.Message, "..."+c.Says+"...")
	}
	return strings.Join(out, "\n")
}

func messages(all []found) string {
	var out []string
	for _, f := range all {
		out = append(out, "\n"+f.Message)
	}
	return strings.Join(out, "")
}

// nearby is a micrometre, and room for a figure that is stated to the nanometre: in mm.
const nearby = 1.0005 * um

// far says in what a case is not as near to its limit as it should be; "" when it is: of rules in millimetres the
// panel outside breaks the limit by a micrometre at most, and no case's two panels are more than two apart. A rule
// without a limit may be given two panels that differ in kind, by 0 and 1.
func (c bound) far(r pipeline.Rule) string {
	inside, outside := c.Inside, c.Outside
	if inside == 0 && outside == 0 {
		outside = 1
	}
	kinds := inside == 0 && outside == 1
	over := func(a, b, most float64) bool { return max(a-b, b-a) > most*(1+1e-9) }
	switch {
	case r.Unit == "mm" && over(c.Measured, c.Limit, nearby):
		return fmt.Sprintf("the figure outside, %v, is more than a micrometre from the limit, %v", c.Measured, c.Limit)
	case r.Unit == "mm" || r.Bound == pipeline.NoBound && !kinds:
		if over(inside, outside, 2*nearby) {
			return fmt.Sprintf("the panels, %v and %v, are more than two micrometres apart", inside, outside)
		}
	}
	return ""
}

// A case lies as near to its limit as lengths in whole micrometres allow, or says why not.
func TestCasesAreNear(t *testing.T) {
	for _, r := range rule.All() {
		cases := registered[r.Name]
		if r.Unit == "mm" && len(cases) > 0 && !slices.ContainsFunc(cases, func(c bound) bool { return max(c.Measured-c.Limit, c.Limit-c.Measured) < 2*um }) {
			t.Errorf("no case of %s lies at its limit", r.Name)
		}
		for _, c := range cases {
			switch why := c.far(r); {
			case why != "" && c.Coarse == "":
				t.Errorf("%s %s: %s; bring it nearer, or say in Coarse why it cannot be", c.Rule, c.Name, why)
			case why == "" && c.Coarse != "":
				t.Errorf("%s %s: it is as near as it can be, and Coarse says %q", c.Rule, c.Name, c.Coarse)
			}
		}
	}
	mm, holds := pipeline.Rule{Unit: "mm", Bound: pipeline.AtLeast}, pipeline.Rule{}
	assert.Empty(t, bound{Inside: 1 + um, Outside: 1 - um, Measured: 0.999, Limit: 1}.far(mm))
	assert.NotEmpty(t, bound{Inside: 1 + um, Outside: 1 - 2*um, Measured: 0.998, Limit: 1}.far(mm))
	assert.NotEmpty(t, bound{Inside: 1 + 2*um, Outside: 1 - um, Measured: 0.999, Limit: 1}.far(mm))
	assert.NotEmpty(t, bound{Measured: 0, Limit: 1}.far(mm), "panels that differ in kind say nothing of a limit")
	assert.Empty(t, bound{}.far(holds))
	assert.NotEmpty(t, bound{Inside: 8, Outside: 8.0021}.far(holds))
}

// TestEveryRuleHasACase requires a case of every rule, or a word on where it is tested.
func TestEveryRuleHasACase(t *testing.T) {
	for _, r := range rule.All() {
		_, here := registered[r.Name]
		_, there := elsewhere[r.Name]
		switch {
		case !here && !there && (r.JudgedBy != "stage board" || !namedIn(t, r.Name, besideTheCode...)):
			t.Errorf("rule %s has no case: add one with judged(bound{Rule: %q, …}), or say in elsewhere where it is tested", r.Name, r.Name)
		case here && there:
			t.Errorf("rule %s has a case, and elsewhere says that it is tested elsewhere", r.Name)
		case there && r.JudgedBy == "":
			t.Errorf("rule %s is judged by the rules stage: its case belongs here", r.Name)
		}
	}
}
