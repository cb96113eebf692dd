package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// holds reads what a build of the demo says of holding, and asks that it be sensible.
func holds(t *testing.T, p aBuild) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(p.dir, "report", "mechanics.json"))
	require.NoError(t, err)
	type bears struct {
		Tab, Score string
		Least      float64 `json:"least_reserve"`
	}
	var x struct {
		Reckoned bool `json:"holding_reckoned"`
		Problems []any
		States   []struct {
			State   string
			Sag     float64 `json:"sag_mm"`
			Percent float64 `json:"percent_of_span"`
		}
		Hertz []float64 `json:"frequencies_hertz"`
		Tabs  []bears
		Lines []bears `json:"score_lines"`
	}
	require.NoError(t, json.Unmarshal(data, &x))
	require.True(t, x.Reckoned, p.name)
	require.Empty(t, x.Problems, p.name)
	require.Len(t, x.States, 3, p.name)
	for i, name := range []string{"cold", "hot", "pressed"} {
		assert.Equal(t, name, x.States[i].State)
		assert.Positive(t, x.States[i].Sag, "%s %s", p.name, name)
		assert.Less(t, x.States[i].Percent, 0.75, "%s %s", p.name, name)
		if i > 0 {
			assert.Greater(t, x.States[i].Sag, x.States[0].Sag, "%s %s: more than cold", p.name, name)
		}
	}
	require.NotEmpty(t, append(x.Tabs, x.Lines...), p.name)
	for _, r := range append(x.Tabs, x.Lines...) {
		assert.Greater(t, r.Least, 1.0, "%s: %s%s breaks", p.name, r.Tab, r.Score)
	}
	require.NotEmpty(t, x.Hertz, p.name)
	assert.Greater(t, x.Hertz[0], 20.0, p.name)
}

// shaped gives the panel of one of the demo's recipes, neither judged nor written: that takes longer than all else.
func shaped(t *testing.T, dir, name string) panel.Panel {
	t.Helper()
	path := filepath.Join(dir, "recipes", name+".panel.hcl")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	shaping, _, ok := strings.Cut(string(text), "\nstage \"rules\"")
	require.True(t, ok)
	require.NoError(t, os.WriteFile(path, []byte(shaping), 0o666))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: version})
	require.NoError(t, err)
	out, err := run.Build(t.Context(), plan, run.Options{CheckOnly: true, Workers: 2, Rules: rule.All()})
	require.NoError(t, err)
	return out.Panel
}

// A strip carried over its long span sags (ratio of spans)⁴ more than over its short one (the mechanics' TestSpanCounts). The demo's
// panels do so nearly, carried by their rails above and below, and by left and right instead: they are strips of boards and
// slots, and the ratio of their sags over the fourth power says how much softer they are across than along.
func TestDemoSagsByItsSpan(t *testing.T) {
	dir := checkout(t, "spans")
	for _, x := range []struct {
		name        string
		least, most float64 // of the ratio of sags over (ratio of spans)⁴
	}{
		{"modem", 0.5, 2}, {"probe", 0.5, 2}, {"relay", 0.5, 2}, {"gauge-scored", 0.5, 2}, {"station", 0.5, 2},
		// Not within a factor of two: boards hang together only up and down, no tab joins two columns. Carried by left and right, the
		// two rails carry all of it, and it sags nearly three times as far as by the spans alone.
		{"gauge", 2.5, 3.2},
	} {
		p := shaped(t, dir, x.name)
		sag := func(sides ...panel.RailSide) (mm, span float64) {
			s := p.Support()
			// A coarser mesh than the recipe's, for the time it takes: the figures differ by less than two in a hundred.
			s.Sides, s.Force.Value, s.Open, s.Fine = sides, 0, 8*geom.MM, 1600*geom.UM
			q, err := p.Edit().SetSupport(*s).Build()
			require.NoError(t, err)
			a, err := mechanics.Of(t.Context(), q, 2)
			require.NoError(t, err)
			require.Empty(t, a.Problems, x.name)
			return a.States[0].Sag, a.Span.MM()
		}
		short, height := sag(panel.Upper, panel.Lower)
		long, width := sag(panel.Left, panel.Right)
		spans := width / height * width / height * width / height * width / height
		share := long / short / spans
		t.Logf("%s, %s: sags %.4f mm over %.4g mm, %.4f mm over %.4g mm: %.2f times; the spans' fourth power is %.2f: %.2f of it",
			x.name, p.SizeText(), short, height, long, width, long/short, spans, share)
		assert.Greater(t, share, x.least, x.name)
		assert.Less(t, share, x.most, x.name)
	}
}
