package rules_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
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
		"unchecked \"copies-overlap\" {\n  reason = \"  \"\n}":  `is empty: say why the rule is left out`,
		"unchecked \"copies-overlap\" {\n}":                     `needs the option unchecked copies-overlap reason`,
		"limit \"copper-to-edge\" {\n  at_least = \"2 mmm\"\n}": `is in mmm, but the rule is in mm`,
	} {
		err := stagetest.Fails(t, rules.Kind(), options, panel.Panel{}, nil, stagetest.WithRules(known()...))
		assert.ErrorContains(t, err, want, options)
	}
}
