package rules_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/rules"
)

// known is two rules that always find something and say which limit they were given.
func known() []pipeline.Rule {
	limit := 0.25
	judge := func(_ context.Context, c pipeline.Case) ([]pipeline.Finding, error) {
		return []pipeline.Finding{{Message: "found", Measured: &c.Limit}}, nil
	}
	return []pipeline.Rule{
		{Name: "copper-to-edge", Bound: pipeline.AtLeast, Unit: "mm", Default: &limit, Source: "a table", Severity: pipeline.Error, Judge: judge},
		{Name: "panel-weight", Bound: pipeline.AtMost, Unit: "N", Severity: pipeline.Warning, Judge: judge},
		{Name: "copies-overlap", Severity: pipeline.Error, Judge: judge},
		{Name: "panel-aspect", Bound: pipeline.AtMost, Severity: pipeline.Warning, Judge: judge},
	}
}

func run(t *testing.T, options string) []pipeline.Finding {
	t.Helper()
	return stagetest.Run(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(known()...)).Findings
}

func TestDefaultsStandUntilARecipeSetsALimit(t *testing.T) {
	f := run(t, "")
	require.Len(t, f, 2, "a rule with a bound and no limit is not judged")
	assert.Equal(t, []any{"copies-overlap", "copper-to-edge"}, []any{f[0].Rule, f[1].Rule})
	assert.Nil(t, f[0].Limit)
	assert.InDelta(t, 0.25, *f[1].Limit, 1e-12)
	assert.Equal(t, "a table", f[1].Source)
	assert.Equal(t, "mm", f[1].Unit)
	f = run(t, `limit "copper-to-edge" {
  at_least = "10 mil"
  severity = "note"
  source   = "our fabricator's table"
}
limit "panel-weight" {
  at_most = "12 N"
}`)
	require.Len(t, f, 3)
	assert.Equal(t, pipeline.Error, f[0].Severity)
	assert.Equal(t, "panel-weight", f[1].Rule)
	assert.InDelta(t, 12, *f[1].Measured, 1e-12)
	assert.Equal(t, pipeline.Note, f[2].Severity)
	assert.InDelta(t, 0.254, *f[2].Measured, 1e-12)
	assert.Equal(t, "our fabricator's table", f[2].Source)
}

func TestALimitByThickness(t *testing.T) {
	const table = `limit "copper-to-edge" {
  by_thickness {
    up_to    = "1 mm"
    at_least = "0.4 mm"
  }
  by_thickness {
    up_to    = "1.6 mm"
    at_least = "20 mil"
    source   = "our fabricator's table"
  }
`
	on := func(thickness geom.Length) panel.Panel {
		b := &panel.Board{Name: "weir", Thickness: thickness, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(geom.MM, geom.MM)})}}
		p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().Build()
		require.NoError(t, err)
		return p
	}
	limit := func(options string, thickness geom.Length) (float64, string) {
		f := stagetest.Run(t, rules.Kind(), options, on(thickness), nil, stagetest.WithRules(known()...)).Findings
		if thickness > 1600*geom.UM {
			require.Len(t, f, 3)
			assert.Contains(t, f[2].Message, "the table by thickness ends at 1.6 mm, and the panel is 1.601 mm thick: its last row counts")
		} else {
			require.Len(t, f, 2)
		}
		return *f[1].Limit, f[1].Source
	}
	for _, c := range []struct {
		options   string
		thickness geom.Length
		want      float64
		source    string
	}{
		{table + "}", geom.MM, 0.4, "set by the recipe or its standard"},
		{table + "}", geom.MM + 1, 0.508, "our fabricator's table"},
		{table + "}", 1601 * geom.UM, 0.508, "our fabricator's table"}, // the last row, and a note
		{table + "  source = \"the whole table\"\n}", geom.MM, 0.4, "the whole table"},
		{table + "  source = \"the whole table\"\n}", geom.MM + 1, 0.508, "our fabricator's table"}, // the row's own source
	} {
		got, source := limit(c.options, c.thickness)
		assert.InDelta(t, c.want, got, 1e-12, c.options)
		assert.Equal(t, c.source, source)
	}
	for options, want := range map[string]string{
		table + "  at_least = 0.6\n}": "sets both by_thickness and at_least or at_most",
		"limit \"copper-to-edge\" {\n  by_thickness {\n    up_to = 1\n    at_most = 1\n  }\n}":                                                          "by_thickness 1 at_most does not fit the rule, which takes at_least",
		"limit \"copper-to-edge\" {\n  by_thickness {\n    up_to = 1\n  }\n}":                                                                           "by_thickness 1 sets no limit: write at_least or at_most",
		"limit \"copper-to-edge\" {\n  by_thickness {\n    up_to = 2\n    at_least = 1\n  }\n  by_thickness {\n    up_to = 1\n    at_least = 1\n  }\n}": "by_thickness 2 up_to must be more than that of the row before it",
	} {
		err := stagetest.Fails(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(known()...))
		assert.ErrorContains(t, err, want, options)
	}
}

func TestARuleLeftOutStaysVisible(t *testing.T) {
	f := run(t, `unchecked "copper-to-edge" {
  reason = "plated edge, agreed with the fabricator"
}`)
	require.Len(t, f, 2)
	assert.Equal(t, pipeline.Note, f[1].Severity)
	assert.Equal(t, "not checked: plated edge, agreed with the fabricator", f[1].Message)
}

func TestRefusals(t *testing.T) {
	for options, want := range map[string]string{
		"limit \"copper-to-egde\" {\n  at_least = 1\n}":         `limit copper-to-egde names no rule; nearest: copper-to-edge`,
		"limit \"copper-to-edge\" {\n  at_most = 1\n}":          `at_most does not fit the rule, which takes at_least`,
		"limit \"copies-overlap\" {\n  at_most = 1\n}":          `at_most does not fit the rule, which has no limit`,
		"limit \"copper-to-edge\" {\n  at_least = \"1 N\"\n}":   `is in N, but the rule is in mm`,
		"limit \"panel-aspect\" {\n  at_most = \"2 mm\"\n}":     `is in mm, but the rule takes a plain number`,
		"unchecked \"copies-overlap\" {\n  reason = \"  \"\n}":  `is empty: say why the rule is left out`,
		"unchecked \"copies-overlap\" {\n}":                     `needs the option unchecked copies-overlap reason`,
		"limit \"copper-to-edge\" {\n  at_least = \"2 mmm\"\n}": `is in mmm, but the rule is in mm`,
	} {
		err := stagetest.Fails(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(known()...))
		assert.ErrorContains(t, err, want, options)
	}
}

// Findings name the option that set their limit, and so the line of the recipe or standard.
func TestFindingsNameTheLineThatSetTheirLimit(t *testing.T) {
	f := run(t, `limit "copper-to-edge" {
  severity = "warning"
  at_least = "10 mil"
}
limit "copies-overlap" {
  severity = "note"
}
limit "panel-weight" {
  at_most = 3
}`)
	require.Len(t, f, 3)
	for i, want := range []struct {
		rule         string
		line, column int
	}{{"copper-to-edge", 7, 3}, {"panel-weight", 13, 3}, {"copies-overlap", 10, 3}} {
		assert.Equal(t, want.rule, f[i].Rule)
		assert.Equal(t, &pipeline.SetAt{File: "stage.panel.hcl", Line: want.line, Column: want.column}, f[i].Set)
	}
	f = run(t, "")
	assert.Equal(t, &pipeline.SetAt{File: "stage.panel.hcl", Line: 4, Column: 1}, f[0].Set, "the rule's own limit: the stage's block")
	f = run(t, "unchecked \"copper-to-edge\" {\n  reason = \"plated\"\n}")
	assert.Equal(t, &pipeline.SetAt{File: "stage.panel.hcl", Line: 5, Column: 1}, f[1].Set)
	assert.True(t, f[1].Unchecked)
}

func TestWaivers(t *testing.T) {
	const waive = `waive "copper-to-edge" {
  where    = "panel"
  reason   = "the fabricator agreed on 2026-03-04"
  revision = "A"
  at_worst = "9.8 mil"
}
waive "copies-overlap" {
  where    = ["panel"]
  reason   = "a set that is cut apart by hand"
  revision = "B"
}`
	f := run(t, waive)
	require.Len(t, f, 3)
	assert.Nil(t, f[0].Waived, "another revision")
	require.NotNil(t, f[1].Waived)
	assert.Equal(t, "the fabricator agreed on 2026-03-04", f[1].Waived.Reason)
	assert.InDelta(t, 0.24892, *f[1].Waived.AtWorst, 1e-9)
	assert.Equal(t, &pipeline.SetAt{File: "stage.panel.hcl", Line: 5, Column: 1}, f[1].Waived.Set)
	assert.Equal(t, pipeline.WaiverRule, f[2].Rule)
	assert.Equal(t, &pipeline.SetAt{File: "stage.panel.hcl", Line: 11, Column: 1}, f[2].Set)
}

func TestWaiversThatAreRefused(t *testing.T) {
	const why, rev = "\n  reason = \"agreed\"\n", "  revision = \"A\"\n  where = \"A1\"\n}"
	known := append(known(), pipeline.Rule{Name: "loose-piece", Family: pipeline.ProofFamily, JudgedBy: "the proof"}, pipeline.Rule{Name: pipeline.WaiverRule})
	for options, want := range map[string]string{
		"waive \"copper-to-egde\" {" + why + rev:                                               "option waive copper-to-egde 1 names no rule; nearest: copper-to-edge",
		"waive \"loose-piece\" {" + why + rev:                                                  "option waive loose-piece 1 cannot be: the rule is judged by the proof, on what was written",
		"waive \"waiver-without-finding\" {" + why + rev:                                       "cannot be: the rule tells of waivers themselves",
		"waive \"copper-to-edge\" {" + why + rev:                                               "option waive copper-to-edge 1 needs the option at_worst, the worst figure accepted in mm: the rule has a limit",
		"waive \"copper-to-edge\" {\n  at_worst = \"1 N\"" + why + rev:                         "option waive copper-to-edge 1 at_worst is in N, but the rule is in mm",
		"waive \"copies-overlap\" {\n  at_worst = 1" + why + rev:                               "option waive copies-overlap 1 at_worst does not fit the rule, which has no limit and so no figure",
		"waive \"copies-overlap\" {\n  reason = \" \"\n" + rev:                                 "option waive copies-overlap 1 reason is empty: say why the finding is accepted",
		"waive \"copies-overlap\" {\n" + rev:                                                   "needs the option waive copies-overlap 1 reason",
		"waive \"copies-overlap\" {" + why + "  revision = \"A\"\n}":                           "needs the option waive copies-overlap 1 where",
		"waive \"copies-overlap\" {" + why + "  where = \"A1\"\n}":                             "needs the option waive copies-overlap 1 revision",
		"waive \"copies-overlap\" {" + why + "  revision = \"A\"\n  where = [\"A1\", \"\"]\n}": "option waive copies-overlap 1 where holds an empty name",
	} {
		err := stagetest.Fails(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(known...))
		assert.ErrorContains(t, err, want, options)
	}
}

// What a rule rests on a guess weighs no more than the rule itself says, whatever the recipe asks for.
func TestASeverityOfTheRuleIsACeiling(t *testing.T) {
	guess := []pipeline.Rule{{Name: "part-near-break", Severity: pipeline.Error, Judge: func(context.Context, pipeline.Case) ([]pipeline.Finding, error) {
		return []pipeline.Finding{{Message: "guessed", Severity: pipeline.Warning}, {Message: "known"}}, nil
	}}}
	for options, want := range map[string][2]pipeline.Severity{
		"": {pipeline.Error, pipeline.Warning},
		"limit \"part-near-break\" {\n  severity = \"note\"\n}": {pipeline.Note, pipeline.Note},
	} {
		f := stagetest.Run(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(guess...)).Findings
		require.Len(t, f, 2)
		got := map[string]pipeline.Severity{f[0].Message: f[0].Severity, f[1].Message: f[1].Severity}
		assert.Equal(t, map[string]pipeline.Severity{"known": want[0], "guessed": want[1]}, got)
	}
}
