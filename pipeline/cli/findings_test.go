package cli

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

// Findings are told by severity, family and rule, the one furthest beyond its limit first, with all that they
// say; what many share is said once.
func TestFindingsAreToldToPeople(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	near := func(feature string, measured float64, copies ...string) pipeline.Finding {
		at := geom.Pt(12_300_000, 4_500_000)
		return pipeline.Finding{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Severity: pipeline.Error, Feature: feature, Copies: copies, At: &at,
			Message: "copper on layer copper-1-top of board gauge comes within a distance of " + feature + " that is less than what is asked for", Measured: v(measured),
			Limit: v(0.25), Unit: "mm", Set: &pipeline.SetAt{File: "standards/hand-break.standard.hcl", Line: 54, Column: 5}}
	}
	many := []string{"A1", "B1", "C1", "D1", "A2", "B2", "C2", "D2"}
	waived := near("A1/tab/left/1", 0.22, "A1")
	waived.Waived = &pipeline.Waived{Reason: "agreed with the fabricator by a letter that is long enough to be broken into several lines", Revision: "C", AtWorst: v(0.21), Set: &pipeline.SetAt{File: "gauge.panel.hcl", Line: 9}}
	odd := near("A1/tab/upper/9", 0.2499, "A1")
	odd.Family, odd.Rule, odd.Limit, odd.Set = "", "acme-own", nil, nil
	odd.Severity = pipeline.Warning
	text := findingsText([]pipeline.Finding{
		near("A1/tab/upper/1", 0.24, "A1"), near("A1/tab/upper/2", 0.1, many...), near("A1/slot/1", 0.2, "A1"), near("slot/3", 0.23, "B1"),
		{Rule: "loose-piece", Family: pipeline.ProofFamily, Severity: pipeline.Error, Message: "a piece hangs on to nothing"},
		odd, waived, {Rule: "rail-width", Family: pipeline.RailsFamily, Severity: pipeline.Note, Message: "not checked: agreed"},
	}, true)
	assert.Equal(t, `
errors: proof
  loose-piece
    a piece hangs on to nothing

errors: cuts
  copper-to-edge, limit 0.25 mm, set at standards/hand-break.standard.hcl:54
    A1/tab/upper/2 at (12.3, 4.5) mm, measured 0.1 mm, copies A1, B1, C1, D1, A2, B2 and 2 more
      copper on layer copper-1-top of board gauge comes within a distance of A1/tab/upper/2 that is
      less than what is asked for
    A1/slot/1 at (12.3, 4.5) mm, measured 0.2 mm
      copper on layer copper-1-top of board gauge comes within a distance of A1/slot/1 that is less
      than what is asked for
    slot/3 at (12.3, 4.5) mm, measured 0.23 mm, copy B1
      copper on layer copper-1-top of board gauge comes within a distance of slot/3 that is less
      than what is asked for
    and 1 more in report/findings.json

warnings: other
  acme-own
    A1/tab/upper/9 at (12.3, 4.5) mm, measured 0.2499 mm
      copper on layer copper-1-top of board gauge comes within a distance of A1/tab/upper/9 that is
      less than what is asked for

notes: rails and marks
  rail-width
    not checked: agreed

waived: cuts
  copper-to-edge, limit 0.25 mm, set at standards/hand-break.standard.hcl:54
    A1/tab/left/1 at (12.3, 4.5) mm, measured 0.22 mm
      copper on layer copper-1-top of board gauge comes within a distance of A1/tab/left/1 that is
      less than what is asked for
      waived for revision C, at worst 0.21 mm, at gauge.panel.hcl:9: agreed with the fabricator by a
      letter that is long enough to be broken into several lines

totals             errors  warnings  notes  waived
  proof            1       0         0      0
  rails and marks  0       0         1      0
  cuts             4       0         0      1
  other            0       1         0      0
  all              5       1         1      1
`, text)
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), lineWidth)
	}
	assert.Empty(t, findingsText(nil, true))
	assert.Contains(t, findingsText([]pipeline.Finding{near("a", 0.1), near("b", 0.1), near("c", 0.1), near("d", 0.1), near("e", 0.1)}, false), "and 2 more; --json gives them all")
}

// What findings were reckoned with is said once, after all of them, and nothing of it twice.
func TestWhatWasReckonedWithIsToldOnce(t *testing.T) {
	f := func(rule string, severity pipeline.Severity, more string) pipeline.Finding {
		return pipeline.Finding{Rule: rule, Family: pipeline.StrengthFamily, Severity: severity, Message: "it sags", Basis: "E 24 GPa (a page)" + more}
	}
	const pressed = "; pressed with 2 N (from memory)"
	text := findingsText([]pipeline.Finding{f("panel-sag", pipeline.Error, pressed), f("panel-sag", pipeline.Error, pressed), f("tab-strength", pipeline.Error, pressed), f("part-strain", pipeline.Note, "")}, true)
	assert.Equal(t, 1, strings.Count(text, "E 24 GPa"), text)
	assert.Contains(t, text, "\n  part-strain\n    it sags\n\nreckoned with E 24 GPa (a page); pressed with 2 N (from memory)\n\ntotals")
	assert.Contains(t, findingsText([]pipeline.Finding{f("part-strain", pipeline.Note, "")}, true), "reckoned with E 24 GPa (a page)\n")
	assert.Equal(t, "\nreckoned with a 1 (x); p 2 (y); q 3\n", basesText([]string{"a 1 (x); q 3", "", "a 1 (x); p 2 (y)", "a 1 (x); q 3"}))
	assert.Empty(t, basesText([]string{""}))
}
