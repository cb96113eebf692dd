package recipe

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
)

const whole = `-- gauge.panel.hcl --
panel "gauge-12up" {
  revision = "C"
  built_to = ["standards/hand-break.standard.hcl"]
}
given "columns" {
  value = 4
  help  = "copies side by side"
}
let {
  gap  = let.half * 2
  half = mm(1)
}
stage "board" {
  name      = "gauge"
  files     = "boards/gauge"
  thickness = "1.6 mm"
}
stage "array" {
  board   = "gauge"
  columns = given.columns
  rows    = 3
  gap     = let.gap
  fit_within = [boards.gauge.width * 2 + let.gap, mil(70)]
  pinned "A1" { at = "70 mil" }
}
stage "rails" { sides = ["upper"] }
stage "rules" {
  limit "copper-to-edge" { severity = "warning" }
}
stage "write_fab" {}
-- standards/hand-break.standard.hcl --
built_to = ["../shop.standard.hcl"]
let { least = 0.25 }
standard "rules" {
  limit "copper-to-edge" { at_least = let.least }
}
standard "rails" {
  sides = ["left"]
  width = "8 mm"
}
-- shop.standard.hcl --
standard "rules" {
  limit "copper-to-edge" {
    at_least = 0.4
    severity = "error"
  }
  limit "panel-size" { at_most = 300 }
}
standard "rails" { width = 12 }
`

func TestWholeRecipe(t *testing.T) {
	dir := write(t, whole)
	s := fakes()
	s.Given = map[string]string{"columns": "5"}
	p, err := Load(filepath.Join(dir, "gauge.panel.hcl"), s)
	require.NoError(t, err)
	assert.Equal(t, "gauge-12up", p.Name)
	assert.Equal(t, "C", p.Revision)
	assert.Equal(t, map[string]string{"columns": "5"}, p.Given)
	require.Len(t, p.Calls, 5)
	require.Len(t, p.Sources, 3)
	assert.Equal(t, "shop.standard.hcl", p.Sources[2].Name)
	assert.Equal(t, "standards/hand-break.standard.hcl", p.Sources[1].Name)
	assert.Equal(t, filepath.Join(dir, "shop.standard.hcl"), p.Sources[2].Path)

	assert.Equal(t, []Setting{
		{"board", `"gauge"`, "gauge.panel.hcl:19", false},
		{"columns", "5", "given", false},
		{"rows", "3", "gauge.panel.hcl:21", false},
		{"gap", `"2 mm"`, "gauge.panel.hcl:22", false},
		{"turn", `"0 deg"`, "default", false},
		{"turn_every_second", "", "default", false},
		{"fit_within", "settled by stage board", "gauge.panel.hcl:23", true},
		{"share", "0", "default", false},
		{"tidy", "false", "default", false},
		{"pinned A1 at", `"1.778 mm"`, "gauge.panel.hcl:24", false},
		{"pinned A1 edge", "", "default", false},
	}, p.Calls[1].Settled(nil))
	assert.Equal(t, []Setting{
		{"sides", `["upper"]`, "gauge.panel.hcl:26", false},
		{"width", `"8 mm"`, "standards/hand-break.standard.hcl:8", false},
	}, p.Calls[2].Settled(nil))
	assert.Equal(t, []Setting{
		{"limit copper-to-edge at_least", "0.25", "standards/hand-break.standard.hcl:4", false},
		{"limit copper-to-edge at_most", "", "default", false},
		{"limit copper-to-edge severity", `"warning"`, "gauge.panel.hcl:28", false},
		{"limit panel-size at_least", "", "default", false},
		{"limit panel-size at_most", "300", "shop.standard.hcl:6", false},
		{"limit panel-size severity", "", "default", false},
	}, p.Calls[3].Settled(nil))

	_, err = p.Calls[1].Stage(nil)
	require.ErrorContains(t, err, "gauge.panel.hcl:23:3: stage array: option fit_within is not known, as stage board has not settled it")
	st, err := p.Calls[1].Stage(map[string]cty.Value{"boards.gauge": cty.ObjectVal(map[string]cty.Value{
		"width": cty.NumberFloatVal(62.1), "height": cty.NumberIntVal(41), "revision": cty.StringVal("C")})})
	require.NoError(t, err)
	a := st.(*arrayStage)
	gap := 2 * geom.MM
	assert.Equal(t, &arrayStage{Board: "gauge", Columns: 5, Rows: 3, Gap: &gap, Fit: []geom.Length{126_200_000, 1_778_000},
		Pinned: []pin{{Copy: "A1", At: 1_778_000}}}, a)

	st, err = p.Calls[0].Stage(nil)
	require.NoError(t, err)
	assert.Equal(t, []pipeline.InPath{{Text: "boards/gauge", Dir: dir}}, st.(*boardStage).Files)
}

// TestLooks: what loading looks at is told, also of a recipe that cannot be loaded.
func TestLooks(t *testing.T) {
	dir := write(t, `-- gauge.panel.hcl --
panel "gauge" {
  revision = "A"
  built_to = ["standards/hand.standard.hcl"]
}
stage "board" {
  name  = "gauge"
  files = ["boards/gone", "boards/*.gbr"]
}
stage "rules" {}
stage "write_fab" {}
-- standards/hand.standard.hcl --
built_to = ["../shop.standard.hcl"]
`)
	looks := func() (all []string) {
		s := fakes()
		s.Looks = func(p pipeline.InPath) { all = append(all, filepath.ToSlash(filepath.Join(p.Dir, p.Text))) }
		_, err := Load(filepath.Join(dir, "gauge.panel.hcl"), s)
		require.Error(t, err)
		slices.Sort(all)
		return slices.Compact(all)
	}
	at := func(name string) string { return filepath.ToSlash(filepath.Join(dir, name)) }
	assert.ElementsMatch(t, []string{at("gauge.panel.hcl"), at("standards/hand.standard.hcl"), at("shop.standard.hcl"), at("boards/gone"), at("boards/*.gbr")}, looks())
}
