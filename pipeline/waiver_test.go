package pipeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func num(v float64) *float64 { return &v }

func waiverRules() []Rule {
	return []Rule{
		{Name: "copper-to-edge", Family: CutsFamily, Bound: AtLeast, Unit: "mm"},
		{Name: "panel-weight", Family: PanelFamily, Bound: AtMost, Unit: "N"},
		{Name: "copies-overlap", Family: PanelFamily},
		{Name: "loose-piece", Family: ProofFamily},
		{Name: WaiverRule},
	}
}

func TestWaiversCoverWhatTheyName(t *testing.T) {
	near := func(feature string, measured float64, copies ...string) Finding {
		return Finding{Rule: "copper-to-edge", Severity: Error, Feature: feature, Copies: copies, Measured: num(measured), Stage: "rules"}
	}
	for name, c := range map[string]struct {
		finding  Finding
		where    []string
		revision string
		atWorst  *float64
		why      string // of the warning; empty: the finding is waived, and nothing more is said
	}{
		"by its feature":                     {near("A1/tab/upper/2", 0.22, "A1"), []string{"A1/tab/upper/2"}, "C", num(0.22), ""},
		"by its copy":                        {near("A1/tab/upper/2", 0.22, "A1"), []string{"A1"}, "C", num(0.22), ""},
		"by its copy, which it only implies": {near("left.A1/tab/upper/2", 0.22), []string{"left.A1"}, "C", num(0.22), ""},
		"by a feature of the panel":          {near("slot/3", 0.22, "A1"), []string{"slot/3"}, "C", num(0.22), ""},
		"a whole panel's":                    {near("", 0.22), []string{"panel"}, "C", num(0.22), ""},
		"half a micrometre is rounding":      {near("A1", 0.2196, "A1"), []string{"A1"}, "C", num(0.22), ""},
		"better than the worst":              {near("A1", 0.24, "A1"), []string{"A1"}, "C", num(0.22), ""},
		"all copies":                         {near("A1/tab/upper/2", 0.22, "A1", "B1"), []string{"B1", "A1"}, "C", num(0.22), ""},
		"the feature, of each copy":          {near("A1/tab/upper/2", 0.22, "A1", "B1"), []string{"A1/tab/upper/2", "B1/tab/upper/2"}, "C", num(0.22), ""},
		"a board's feature":                  {near("gauge/part/C1", 0.22, "A1", "B1"), []string{"gauge/part/C1"}, "C", num(0.22), ""},
		"a board":                            {near("boards.gauge", 0.22, "A1", "B1"), []string{"boards.gauge"}, "C", num(0.22), ""},
		"a board's feature's copies":         {near("boards.gauge/part/C1", 0.22, "A1", "B1"), []string{"B1", "A1"}, "C", num(0.22), ""},
		"one copy of a board's feature": {near("gauge/part/C1", 0.22, "A1", "B1"), []string{"A1"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the finding at gauge/part/C1 holds for B1 too: name it in where"},
		"a micrometre worse": {near("A1", 0.219, "A1"), []string{"A1"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: at A1 the figure is 0.219 mm, worse than at_worst 0.22 mm"},
		"another revision": {near("A1", 0.22, "A1"), []string{"A1"}, "B", num(0.22),
			"the waiver of copper-to-edge covers no finding: it is bound to revision B, and the panel is revision C: look at the finding at A1 again"},
		"not all copies": {near("A1/tab/upper/2", 0.22, "A1", "B1", "C1"), []string{"A1/tab/upper/2"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the finding at A1/tab/upper/2 holds for B1 and C1 too: name them in where"},
		"a panel's feature for several copies": {near("slot/3", 0.22, "A1", "B1"), []string{"slot/3"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the finding at slot/3 holds for A1 and B1 too: name them in where"},
		"another feature of the copy": {near("A1/tab/upper/2", 0.22, "A1"), []string{"A1/tab/upper/20"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: nothing is found at A1/tab/upper/20; the rule's findings are at A1/tab/upper/2"},
		"no figure": {Finding{Rule: "copper-to-edge", Severity: Error, Feature: "A1", Copies: []string{"A1"}}, []string{"A1"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the finding at A1 has no figure that could be held against at_worst"},
		"another rule": {Finding{Rule: "copies-overlap", Severity: Error, Feature: "A1", Copies: []string{"A1"}}, []string{"A1"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the rule finds nothing on this panel; take the waiver out"},
		"left unchecked": {Finding{Rule: "copper-to-edge", Severity: Note, Unchecked: true}, []string{"panel"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the recipe leaves the rule unchecked; take one of the two out"},
		"the proof's": {Finding{Rule: "copper-to-edge", Severity: Error, Feature: "A1", Stage: ProofStage, Measured: num(0.22)}, []string{"A1"}, "C", num(0.22),
			"the waiver of copper-to-edge covers no finding: the finding at A1 is the proof's, of what was written, and the proof's findings cannot be waived"},
		"a place too many": {near("A1", 0.22, "A1"), []string{"A1", "D9"}, "C", num(0.22),
			"the waiver of copper-to-edge covers nothing at D9: take it out of where"},
	} {
		t.Run(name, func(t *testing.T) {
			found := []Finding{c.finding}
			set := &SetAt{"gauge.panel.hcl", 12, 3}
			idle := ApplyWaivers(found, []Waiver{{Rule: "copper-to-edge", Where: c.where, Reason: "agreed", Revision: c.revision, AtWorst: c.atWorst, Set: set, Stage: "rules"}},
				waiverRules(), "C", []string{"gauge"})
			if c.why == "" {
				assert.Empty(t, idle)
				assert.Equal(t, &Waived{"agreed", "C", c.atWorst, set}, found[0].Waived)
				return
			}
			require.Len(t, idle, 1)
			assert.Equal(t, c.why, idle[0].Message)
			assert.Equal(t, []any{WaiverRule, Warning, "rules", set, c.where[0]}, []any{idle[0].Rule, idle[0].Severity, idle[0].Stage, idle[0].Set, idle[0].Feature})
			assert.Equal(t, len(c.where) > 1, found[0].Waived != nil)
		})
	}
}

func TestWaiversOfARuleWithAtMostAndWithout(t *testing.T) {
	found := []Finding{
		{Rule: "panel-weight", Severity: Warning, Feature: "panel", Measured: num(12.5)},
		{Rule: "copies-overlap", Severity: Error, Feature: "A1", Copies: []string{"A1", "B1"}},
		{Rule: "loose-piece", Severity: Error, Feature: "piece/1"},
	}
	w := []Waiver{
		{Rule: "panel-weight", Where: []string{"panel"}, Revision: "A", AtWorst: num(12.5)},
		{Rule: "panel-weight", Where: []string{"panel"}, Revision: "A", AtWorst: num(12.4)},
		{Rule: "copies-overlap", Where: []string{"A1", "B1"}, Revision: "A"},
		{Rule: "loose-piece", Where: []string{"piece/1"}, Revision: "A"},
	}
	idle := ApplyWaivers(found, w, waiverRules(), "A", nil)
	require.Len(t, idle, 1)
	assert.Equal(t, "the waiver of panel-weight covers no finding: at panel the figure is 12.5 N, worse than at_worst 12.4 N", idle[0].Message)
	assert.Equal(t, []bool{true, true, false}, []bool{found[0].Waived != nil, found[1].Waived != nil, found[2].Waived != nil})
}

func TestGate(t *testing.T) {
	e, w, n := Finding{Severity: Error}, Finding{Severity: Warning}, Finding{Severity: Note}
	waived := e
	waived.Waived = &Waived{}
	for _, c := range []struct {
		reject Severity
		found  []Finding
		open   bool
	}{
		{"", nil, true}, {"", []Finding{n, w}, true}, {"", []Finding{n, e}, false}, {Error, []Finding{w, waived}, true},
		{Warning, []Finding{n}, true}, {Warning, []Finding{n, w}, false}, {Warning, []Finding{e}, false}, {Warning, []Finding{waived, n}, true},
	} {
		assert.Equal(t, c.open, Gate{c.reject}.Open(c.found), "%+v", c)
	}
}
