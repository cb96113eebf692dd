package recipe

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline/geom"
)

// one loads a recipe whose array has the lines given, and makes that stage.
func one(t *testing.T, lines string) (*arrayStage, error) {
	t.Helper()
	dir := write(t, `-- p.panel.hcl --
panel "p" { revision = "A" }
let {
  gap  = mm(2)
  list = [1, 2, 3]
  thing = { a = 1, "b c" = "x" }
}
stage "board" {
  name  = "gauge"
  files = "boards/gauge"
}
stage "array" {
  board = "gauge"
`+lines+"\n}\nstage \"rules\" {}\n")
	p, err := Load(filepath.Join(dir, "p.panel.hcl"), fakes())
	if err != nil {
		return nil, err
	}
	s, err := p.Calls[1].Stage(map[string]cty.Value{"boards.gauge": cty.ObjectVal(map[string]cty.Value{
		"width": cty.NumberFloatVal(62), "height": cty.NumberIntVal(41), "revision": cty.StringVal("C")})})
	if err != nil {
		return nil, err
	}
	return s.(*arrayStage), nil
}

func TestLengthsAreExact(t *testing.T) {
	// The inch is 25.4 mm and the mil its thousandth, by definition; rounding is to the nanometre,
	// halves away from zero.
	for text, want := range map[string]geom.Length{
		`2`: 2_000_000, `"2 mm"`: 2_000_000, `"2mm"`: 2_000_000, `" 2 mm "`: 2_000_000, `"70 mil"`: 1_778_000, `"0.25 in"`: 6_350_000, `"35 um"`: 35_000,
		`0.1 + 0.2`: 300_000, `mm(2)`: 2_000_000, `mil(70)`: 1_778_000, `inch(1)/3*3`: 25_400_000, `um(0.5)`: 500, `um(0.0005)`: 1, `um(0.00049)`: 0,
		`0.0000005`: 1, `0.00000049999`: 0, `"0.0000005 mm"`: 1, `1.0000015`: 1_000_002, `"1e1 mm"`: -1, `"+3 mm"`: 3_000_000, `".5 mm"`: 500_000, `"5. mm"`: 5_000_000,
		`let.gap * 2 + mil(10)`: 4_254_000, `max(let.gap, mm(3), 1)`: 3_000_000, `min(let.gap, 3)`: 2_000_000, `ceil(2.1)`: 3_000_000, `floor(-0.1) + 2`: 1_000_000,
		`true ? 1 : 2`: 1_000_000, `1 > 2 || !(3 <= 3) && true ? 1 : 2`: 2_000_000, `7 % 4`: 3_000_000, `-(-1)`: 1_000_000, `let.list[1]`: 2_000_000,
		`let.thing.a`: 1_000_000, `let.thing["b c"] == "x" ? 5 : 6`: 5_000_000, `boards.gauge.width / 2`: 31_000_000, `"${let.gap} mm"`: 2_000_000,
		`boards["gauge"].width - boards.gauge.height`: 21_000_000, `[for i, x in let.list : x * 10 if i > 1][0]`: 30_000_000, `1/3`: 333_333, `2/3`: 666_667,
	} {
		a, err := one(t, "  gap = "+text)
		if want < 0 {
			assert.Error(t, err, text)
			continue
		}
		if assert.NoError(t, err, text) && assert.NotNil(t, a.Gap, text) {
			assert.Equal(t, want, *a.Gap, text)
		}
	}
}

func TestOtherKinds(t *testing.T) {
	a, err := one(t, `  turn = "22.5 deg"
  turn_every_second = "row"
  share = 1/8
  tidy = boards.gauge.revision == "C"
  columns = let.list[2] * 4
  fit_within = [for x in [1, 2] : "${x * 10} mm"]
  spot {
    x = 1
  }
  spot {
    x = let.gap
    y = "1 um"
  }`)
	require.NoError(t, err)
	assert.Equal(t, &arrayStage{Board: "gauge", Columns: 12, Rows: 1, Turn: 22_500_000, Every: "row", Share: 0.125, Tidy: true,
		Fit: []geom.Length{10_000_000, 20_000_000}, Spots: []spot{{X: geom.MM}, {X: 2 * geom.MM, Y: 1000}}}, a)
}

// TestQuantities reads values whose unit depends on what they are for.
func TestQuantities(t *testing.T) {
	for text, want := range map[string]string{`0.25`: "0.25", `"0.25 mm"`: `"0.25 mm"`, `"70 mil"`: `"1.778 mm"`, `mil(70)`: `"1.778 mm"`, `deg(30)`: `"30 deg"`,
		`"12 N"`: `"12 N"`, `1/4`: "0.25", `"x"`: "", `true`: "", `mm(1) * mm(1)`: ""} {
		p, err := Load(filepath.Join(write(t, "-- p.panel.hcl --\npanel \"p\" { revision = \"A\" }\nstage \"rules\" {\n  limit \"panel-size\" { at_most = "+text+" }\n}\n"), "p.panel.hcl"), fakes())
		if want == "" {
			assert.ErrorContains(t, err, "p.panel.hcl:3:34: stage rules: option limit panel-size at_most", text)
			continue
		}
		if assert.NoError(t, err, text) {
			assert.Equal(t, Setting{"limit panel-size at_most", want, "p.panel.hcl:3", false}, p.Calls[0].Settled(nil)[1])
		}
	}
}

// TestJSON holds the JSON form of a recipe against its native form.
func TestJSON(t *testing.T) {
	dir := write(t, strings.Replace(whole, "standards/hand-break.standard.hcl\"]", "standards/hand-break.standard.hcl\"]", 1)+`-- gauge.panel.json --
{
  "//": "the same recipe", "$schema": "recipes.schema.json",
  "panel": {"gauge-12up": {"revision": "C", "built_to": ["standards/hand-break.standard.json"]}},
  "given": {"columns": {"value": 4, "help": "copies side by side"}},
  "let": {"gap": "${let.half * 2}", "half": "${mm(1)}"},
  "stage": [
    {"board": {"name": "gauge", "files": "boards/gauge", "thickness": "1.6 mm"}},
    {"array": {"board": "gauge", "columns": "${given.columns}", "rows": 3, "gap": "${let.gap}",
      "fit_within": ["${boards.gauge.width * 2 + let.gap}", "${mil(70)}"], "pinned": {"A1": {"at": "70 mil"}}}},
    {"rails": {"sides": ["upper"]}},
    {"rules": {"limit": {"copper-to-edge": {"severity": "warning"}}}},
    {"write_fab": {}}
  ]
}
-- standards/hand-break.standard.json --
{
  "$schema": "standards.schema.json",
  "built_to": "../shop.standard.hcl",
  "let": {"least": 0.25},
  "standard": {
    "rules": {"limit": {"copper-to-edge": {"at_least": "${let.least}"}}},
    "rails": {"sides": ["left"], "width": "8 mm"}
  }
}
`)
	native, err := Load(filepath.Join(dir, "gauge.panel.hcl"), fakes())
	require.NoError(t, err)
	json, err := Load(filepath.Join(dir, "gauge.panel.json"), fakes())
	require.NoError(t, err)
	assert.Equal(t, native.Name, json.Name)
	assert.Equal(t, native.Given, json.Given)
	require.Len(t, json.Calls, len(native.Calls))
	values := map[string]cty.Value{"boards.gauge": cty.ObjectVal(map[string]cty.Value{"width": cty.NumberFloatVal(62.1)})}
	for i := range native.Calls {
		a, err := native.Calls[i].Stage(values)
		require.NoError(t, err)
		b, err := json.Calls[i].Stage(values)
		require.NoError(t, err)
		assert.Equal(t, a, b)
	}
	assert.Equal(t, "gauge.panel.json:9", json.Calls[1].Settled(nil)[6].Origin)
	assert.Equal(t, 8, json.Calls[1].Where.Line)
}

// TestNearerFileWins builds a small web of standards: top is built to left and right, and both of
// them to base.
func TestNearerFileWins(t *testing.T) {
	files := func(recipe, left, right, base string) string {
		return `-- p.panel.hcl --
panel "p" {
  revision = "A"
  built_to = ["left.standard.hcl", "right.standard.hcl"]
}
stage "board" {
  name  = "gauge"
  files = "boards/gauge"
}
stage "array" { board = "gauge" }
stage "rails" {
` + recipe + `
}
-- left.standard.hcl --
built_to = ["base.standard.hcl"]
standard "rails" {
` + left + `
}
-- right.standard.hcl --
built_to = ["base.standard.hcl"]
standard "rails" {
` + right + `
}
-- base.standard.hcl --
standard "rails" {
` + base + `
}
`
	}
	for _, c := range []struct{ name, recipe, left, right, base, value, origin, mistake string }{
		{name: "default", value: "", origin: "default"},
		{name: "base alone", base: "width = 5", value: `"5 mm"`, origin: "base.standard.hcl:2"},
		{name: "left over base", left: "width = 6", base: "width = 5", value: `"6 mm"`, origin: "left.standard.hcl:3"},
		{name: "right over base", right: "width = 7", base: "width = 5", value: `"7 mm"`, origin: "right.standard.hcl:3"},
		{name: "side by side, equal", left: "width = 6", right: `width = "6 mm"`, base: "width = 5", value: `"6 mm"`, origin: "left.standard.hcl:3"},
		{name: "side by side, different", left: "width = 6", right: "width = 7", mistake: `left.standard.hcl:3 says "6 mm" and right.standard.hcl:3 says "7 mm"`},
		{name: "the recipe decides", recipe: "width = 8", left: "width = 6", right: "width = 7", value: `"8 mm"`, origin: "p.panel.hcl:11"},
		{name: "a mistake that is overridden is told", recipe: "width = 8", base: `width = "5 kg"`, mistake: `base.standard.hcl:2:9: stage rails: option width has the wrong unit "kg"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Load(filepath.Join(write(t, files(c.recipe, c.left, c.right, c.base)), "p.panel.hcl"), fakes())
			if c.mistake != "" {
				require.ErrorContains(t, err, c.mistake)
				return
			}
			require.NoError(t, err)
			s := p.Calls[2].Settled(nil)[1]
			assert.Equal(t, Setting{"width", c.value, c.origin, false}, s)
		})
	}
}

func TestBadRules(t *testing.T) {
	s := fakes()
	s.Kinds = append(s.Kinds, s.Kinds[0])
	_, err := Load("x", s)
	require.EqualError(t, err, `two kinds of stage are called "board"`)
	_, err = Load(filepath.Join(t.TempDir(), "none.panel.hcl"), fakes())
	var m Mistakes
	require.True(t, errors.As(err, &m))
	assert.Equal(t, "no such file", m[0].What)
	_, err = Load(t.TempDir(), fakes())
	require.ErrorContains(t, err, "this is not a file")
}

// TestBounds feeds files that would hang or exhaust a reader without bounds.
func TestBounds(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"long":        {strings.Repeat("# x\n", 300_000), "longer than 1 MiB"},
		"signs":       {"let {\n a = " + strings.Repeat("-", 500_000) + "1\n}\n", "more than 20000 operators"},
		"sums":        {"let {\n a = 1" + strings.Repeat("+1", 400_000) + "\n}\n", "more than 20000 operators"},
		"index":       {"let {\n a = b" + strings.Repeat("[c]", 300_000) + "\n}\n", "more than 20000 operators"},
		"parentheses": {"let {\n a = " + strings.Repeat("(", 500_000) + "\n}\n", "nested more than"},
		"blocks":      {strings.Repeat("a {\n", 250_000), "nested more than"},
		"texts":       {"let {\n a = " + strings.Repeat(`"${`, 300_000) + "\n}\n", "nested more than"},
		"choices":     {"let {\n a = " + strings.Repeat("true ? 1 : ", 90_000) + "1\n}\n", "more than 20000 operators"},
		"exponent":    {"let {\n a = \"${1e999999999}\"\n}\n", "beyond any use"},
		"names":       {"let {\n a = b" + strings.Repeat(".c", 400_000) + "\n}\n", "nothing is called"},
		"mistakes":    {strings.Repeat("a = 1\n", 150_000), "more mistakes than these 200"},
		"stages":      {strings.Repeat("stage \"rules\" {}\n", 6_000), "more than 1000 stages"},
		"lets":        {"let {\n" + letChain(5000) + "}\n", "more than 200 deep"},
		"not text":    {"panel \"p\" {\n\xff\xfe\n}\n", "not text in UTF-8"},
		"zeros":       {string(make([]byte, 10_000)), "this character has no meaning here"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Load(filepath.Join(write(t, "-- p.panel.hcl --\n"+c.text), "p.panel.hcl"), fakes())
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.Less(t, len(err.Error()), 300_000)
		})
	}
	for name, c := range map[string]struct{ text, want string }{
		"arrays": {strings.Repeat("[", 500_000), "nested more than"},
		"deep":   {`{"let": {"a": "${` + strings.Repeat("(", 400_000) + `"}}`, "nested more than"},
		"number": {`{"let": {"a": ` + strings.Repeat("1", 400_000) + `}}`, "too many digits"},
		"huge":   {`{"let": {"a": 1e999999999}}`, "beyond any use"},
	} {
		t.Run("json "+name, func(t *testing.T) {
			_, err := Load(filepath.Join(write(t, "-- p.panel.json --\n"+c.text), "p.panel.json"), fakes())
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func letChain(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "a%d = let.a%d\n", i, i+1)
	}
	fmt.Fprintf(&b, "a%d = 1\n", n)
	return b.String()
}

func TestNearest(t *testing.T) {
	among := []string{"columns", "rows", "gap", "gap_x", "copper-to-edge"}
	for word, want := range map[string]string{"colums": "columns", "colunms": "columns", "rwos": "rows", "gab": "gap", "coper-to-edge": "copper-to-edge",
		"zzz": "", "": "", "x": "", "gap_y": "gap_x", strings.Repeat("x", 1000): ""} {
		assert.Equal(t, want, Nearest(word, among), word)
	}
}
