package rules_test

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
	"panelwright/stages/rules"
)

// What a rule measures is told of it whether or not it breaks the limit; what it measures nothing of is told too. Only
// what rules want told stands in the log by itself.
func TestWorstFigureIsTold(t *testing.T) {
	limit, v := 1.0, 2.5
	judge := func(context.Context, pipeline.Case) ([]pipeline.Finding, error) { return nil, nil }
	figure := func(f pipeline.Figure) func(context.Context, pipeline.Case, []pipeline.Finding) (pipeline.Figure, error) {
		return func(_ context.Context, c pipeline.Case, found []pipeline.Finding) (pipeline.Figure, error) {
			assert.InDelta(t, limit, c.Limit, 0, "it is given what Judge was given")
			assert.Empty(t, found)
			return f, nil
		}
	}
	known := []pipeline.Rule{
		{Name: "slot-width", Bound: pipeline.AtLeast, Default: &limit, Judge: judge, Measure: figure(pipeline.Figure{Worst: &pipeline.Finding{Measured: &v}})},
		{Name: "copper-to-edge", Bound: pipeline.AtLeast, Default: &limit, Judge: judge, Measure: figure(pipeline.Figure{Worst: &pipeline.Finding{Measured: &v, Feature: "slot/7"}}), LogWorst: true},
		{Name: "score-web", Bound: pipeline.AtLeast, Default: &limit, Judge: judge, Measure: figure(pipeline.Figure{Nothing: true})},
		{Name: "hole-to-hole", Bound: pipeline.AtLeast, Default: &limit, Judge: judge, Measure: figure(pipeline.Figure{})},
	}
	var told []pipeline.Judged
	var log bytes.Buffer
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.New(&log), Workers: 1, Rules: known}, func(pipeline.Finding) {}, nil).
		With(pipeline.Hooks{Judged: func(j pipeline.Judged) { told = append(told, j) }})
	_, err := rules.Kind().New().Run(t.Context(), env, panel.Panel{})
	require.NoError(t, err)
	require.Len(t, told, 4)
	by := map[string]pipeline.Judged{}
	for _, j := range told {
		by[j.Rule] = j
	}
	for name, nothing := range map[string]bool{"slot-width": false, "copper-to-edge": false, "score-web": true, "hole-to-hole": false} {
		assert.Equal(t, nothing, by[name].Nothing, name)
	}
	require.NotNil(t, by["slot-width"].Worst)
	assert.InDelta(t, v, *by["slot-width"].Worst, 0)
	assert.Nil(t, by["score-web"].Worst)
	assert.Nil(t, by["hole-to-hole"].Worst)
	assert.Contains(t, log.String(), `"feature":"slot/7"`)
	assert.Equal(t, 1, strings.Count(log.String(), "worst figure"), log.String())
}

// A panel without anything on it has nothing to measure by the rules about marks, lines and tabs, and no rule fails.
func TestNothingToMeasure(t *testing.T) {
	for _, r := range rule.All() {
		if r.Measure == nil {
			continue
		}
		f, err := r.Measure(t.Context(), pipeline.Case{Limit: 1, Workers: 1}, nil)
		require.NoError(t, err, r.Name)
		assert.False(t, f.Nothing && f.Worst != nil, r.Name)
		switch r.Name {
		case "rail-width", "fiducial-to-edge", "fiducial-size-least", "tooling-hole-diameter", "slot-width", "score-web", "score-spacing", "stub-height",
			"hole-to-hole", "hole-spacing", "smallest-hole", "legend-height", "thieving-clearance", "part-near-break", "copper-to-edge", "copper-to-score", "hit-inside-board":
			assert.True(t, f.Nothing, r.Name)
		}
	}
}

// A rule that a panel lacks something for is not judged: it is told why, and shows nothing. One that is judged shows what
// varies over the panel.
func TestRulesThatLackSomethingAreNotJudged(t *testing.T) {
	limit, calls := 1.0, 0
	judge := func(context.Context, pipeline.Case) ([]pipeline.Finding, error) { calls++; return nil, nil }
	fields := func(id string) func(context.Context, pipeline.Case) ([]pipeline.Field, error) {
		return func(_ context.Context, c pipeline.Case) ([]pipeline.Field, error) {
			return []pipeline.Field{{ID: id, Most: &c.Limit}}, nil
		}
	}
	known := []pipeline.Rule{
		{Name: "panel-sag", Bound: pipeline.AtMost, Default: &limit, Unit: "%", Source: "a page", Judge: judge, Fields: fields("sag"),
			Missing: func(context.Context, pipeline.Case) (string, error) { return "", nil }},
		{Name: "tab-strength", Bound: pipeline.AtLeast, Default: &limit, Judge: judge, Fields: fields("stress"),
			Missing: func(context.Context, pipeline.Case) (string, error) { return "nobody says how it is carried", nil }},
		{Name: "tab-left-out", Bound: pipeline.AtLeast, Judge: judge, Missing: func(context.Context, pipeline.Case) (string, error) { panic("it has no limit") }},
	}
	var told []pipeline.Judged
	var shown []pipeline.Field
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 1, Rules: known}, func(f pipeline.Finding) { t.Error(f.Message) }, nil).
		With(pipeline.Hooks{Judged: func(j pipeline.Judged) { told = append(told, j) }, Show: func(f pipeline.Field) { shown = append(shown, f) }})
	_, err := rules.Kind().New().Run(t.Context(), env, panel.Panel{})
	require.NoError(t, err)
	require.Len(t, told, 2)
	assert.Empty(t, told[0].Missing)
	assert.Equal(t, pipeline.Judged{Rule: "tab-strength", Bound: pipeline.AtLeast, Limit: &limit, Missing: "nobody says how it is carried"}, told[1])
	assert.Equal(t, 1, calls)
	require.Len(t, shown, 1)
	assert.Equal(t, "sag", shown[0].ID)
	assert.InDelta(t, limit, *shown[0].Most, 0)
	known[1].Missing = func(context.Context, pipeline.Case) (string, error) { return "", errors.New("out of memory") }
	_, err = rules.Kind().New().Run(t.Context(), env, panel.Panel{})
	assert.EqualError(t, err, "rule tab-strength: out of memory")
}
