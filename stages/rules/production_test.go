package rules_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/rules"
)

// plate is a panel of one board of 100 x 50 mm.
func plate(t *testing.T) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "weir", Revision: "A", PartNumber: "RG-5001", CopperCount: 2, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(100*geom.MM, 50*geom.MM)})}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).FitOutline().Build()
	require.NoError(t, err)
	return p
}

// The log tells how many panels a production panel takes, either way.
func TestProductionPanelsAreLogged(t *testing.T) {
	var use []pipeline.Rule
	for _, r := range rule.All() {
		if r.Name == "panels-per-production-panel" || r.Name == "production-panel-use" {
			use = append(use, r)
		}
	}
	got := stagetest.Run(t, rules.Kind(), `production_panel "large" {
  width   = 212.5
  height  = 300
  border  = 5
  between = 2.5
}`, plate(t), nil, stagetest.WithRules(use...))
	assert.Empty(t, got.Findings)
	assert.Contains(t, got.Log, `"production_panel":"large","usable":"202.5 x 290 mm","upright":10,"turned":6,"mixed":10,"share":78.43`)
	assert.Contains(t, got.Log, `"share":100,"unit":"%"`)
	// Without production panels there is nothing to judge.
	assert.Empty(t, stagetest.Run(t, rules.Kind(), "", plate(t), nil, stagetest.WithRules(use...)).Findings)
}

func TestABorderMustLeaveSomething(t *testing.T) {
	err := stagetest.Fails(t, rules.Kind(), "production_panel \"small\" {\n  width  = 100\n  height = 300\n  border = 50\n}", plate(t), nil)
	assert.ErrorContains(t, err, "production_panel small border leaves nothing of 100 x 300 mm")
}
