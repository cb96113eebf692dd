package bounds

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/rule"
)

// judgedOf gives what is told of one rule.
func (o outcome) judgedOf(t *testing.T, name string) pipeline.Judged {
	t.Helper()
	for _, j := range o.judged {
		if j.Rule == name {
			return j
		}
	}
	require.Fail(t, "the rule was not judged")
	return pipeline.Judged{}
}

// measure holds the worst figure of a rule that measures against both panels: just inside the limit it lies on the
// good side, just outside it is the worst of the findings, and Measure finds it without being told of them.
func (c bound) measure(t *testing.T, r pipeline.Rule, inside, outside outcome) {
	if r.Measure == nil || r.JudgedBy != "" {
		return
	}
	worse := func(a, b float64) bool {
		return r.Bound == pipeline.AtMost && a > b || r.Bound != pipeline.AtMost && a < b
	}
	kept := inside.judgedOf(t, c.Rule)
	_, none := noneInside[c.Rule+" "+c.Name]
	if assert.Equal(t, none, kept.Worst == nil, "no worst figure just inside the limit"); !none {
		limit := c.Limit
		if c.LimitInside != 0 {
			limit = c.LimitInside
		}
		bad := *kept.Worst - limit
		if r.Bound == pipeline.AtLeast {
			bad = -bad
		}
		assert.LessOrEqual(t, bad, um*(1+1e-9), "just inside the limit, %v, the worst figure is %v", limit, *kept.Worst)
		assert.False(t, kept.Nothing)
	}
	var told *float64
	for _, f := range of(outside.Findings, c.Rule) {
		if f.Measured != nil && (told == nil || worse(*f.Measured, *told)) {
			told = f.Measured
		}
	}
	broken := outside.judgedOf(t, c.Rule)
	require.NotNil(t, told)
	require.NotNil(t, broken.Worst, "no worst figure outside the limit")
	assert.InDelta(t, *told, *broken.Worst, 1e-9, "the worst figure outside the limit")
	if c.Rule == "hit-inside-board" && told != nil {
		// Measured anew it looks no nearer than the limit, for it is given what Judge found; the report's figure is held above.
		return
	}
	if needsMakers[c.Rule] || c.Name == "open edge" { // what opens an edge has the figure 0 and no other
		return
	}
	figure, err := r.Measure(t.Context(), pipeline.Case{Panel: outside.panel, Limit: *broken.Limit, Workers: 1}, nil)
	require.NoError(t, err)
	require.NotNil(t, figure.Worst, "measured anew there is no worst figure outside the limit")
	assert.InDelta(t, *told, *figure.Worst.Measured, 1e-9, "the worst figure outside the limit, measured anew")
}

// noneInside are the cases that have no figure just inside the limit, and why.
var noneInside = map[string]string{
	"conveyor-edge open edge":     "there are no parts, and nothing opens the edge",
	"hole-to-slot castellated":    "the hole belongs on its edge",
	"part-collision no underside": "one hangs over the other: part-over-part measures them",
	"part-collision side":         "they are on different sides",
	"tall-part-near-score height": "no part is tall",
}

// needsMakers are rules that measure what the recipe says of the fabricator too.
var needsMakers = map[string]bool{"panels-per-production-panel": true, "production-panel-use": true}

// Rules that have a limit and are judged by the rules stage measure their worst figure.
func TestRulesMeasure(t *testing.T) {
	n := 0
	for _, r := range rule.All() {
		if r.JudgedBy != "" || r.Bound == pipeline.NoBound {
			assert.Nil(t, r.Measure, r.Name)
			continue
		}
		if assert.NotNil(t, r.Measure, "%s: a rule with a limit measures its worst figure", r.Name) {
			n++
		}
	}
	assert.GreaterOrEqual(t, n, 75, "rules that measure")
}
