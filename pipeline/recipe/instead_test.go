package recipe

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

type tableRow struct {
	UpTo float64 `option:"up_to" required:"true" help:"up to"`
}

type figureLimit struct {
	Rule    string     `label:"0"`
	AtLeast *float64   `option:"at_least" help:"the least"`
	Source  string     `option:"source" beside:"by_thickness" help:"where it comes from"`
	Note    string     `option:"note" help:"anything"`
	Rows    []tableRow `block:"by_thickness" instead:"at_least" help:"a row"`
}

type figureStage struct {
	idle
	Limits []figureLimit `block:"limit" labels:"1" help:"a rule's limit"`
}

// Of options that stand instead of one another the nearest file's count, and what is said beside them is never a
// farther file's; what stands by itself is merged as ever.
func TestOptionsInsteadOfOneAnother(t *testing.T) {
	num := func(x float64) *float64 { return &x }
	least := func(n, source string) string { return "    at_least = " + n + "\n    source = \"" + source + "\"\n" }
	const rows, note = "    by_thickness {\n      up_to = 1\n    }\n", "    note = \"far\"\n"
	for name, c := range map[string]struct {
		recipe, near, far, side string
		want                    figureLimit
		mistake                 string
	}{
		"a figure instead of a farther table": {near: "    at_least = 2\n", far: rows + note, want: figureLimit{AtLeast: num(2), Note: "far"}},
		"a table instead of a farther figure": {near: rows, far: least("2", "far"), want: figureLimit{Rows: []tableRow{{1}}}},
		"no farther source":                   {near: "    at_least = 2\n", far: least("1", "far"), want: figureLimit{AtLeast: num(2)}},
		"a nearer source":                     {recipe: "    source = \"letter\"\n", near: "    at_least = 2\n", far: least("1", "far"), want: figureLimit{AtLeast: num(2), Source: "letter"}},
		"side by side, one alone":             {near: "    at_least = 2\n", side: note, want: figureLimit{AtLeast: num(2), Note: "far"}},
		"side by side, the same":              {near: "    at_least = 2\n", side: "    at_least = 2\n", want: figureLimit{AtLeast: num(2)}},
		"side by side, other things": {near: "    at_least = 2\n", side: rows,
			mistake: "p.panel.hcl:5:1: stage rules: limit x: standards disagree: near.standard.hcl:3 says at_least and side.standard.hcl:2 says by_thickness\n    stage \"rules\" {\n    ^^^^^^^^^^^^^\n    decide it here: write one of them in this stage"},
		"side by side, decided": {recipe: "    at_least = 3\n", near: "    at_least = 2\n", side: rows, want: figureLimit{AtLeast: num(3)}},
	} {
		t.Run(name, func(t *testing.T) {
			block := func(text string) string {
				if text == "" {
					return ""
				}
				return "  limit \"x\" {\n" + text + "  }\n"
			}
			dir := write(t, "-- p.panel.hcl --\npanel \"p\" {\n  revision = \"A\"\n  built_to = [\"near.standard.hcl\", \"side.standard.hcl\"]\n}\nstage \"rules\" {\n"+block(c.recipe)+
				"}\n-- near.standard.hcl --\nbuilt_to = [\"far.standard.hcl\"]\nstandard \"rules\" {\n"+block(c.near)+"}\n-- far.standard.hcl --\nstandard \"rules\" {\n"+block(c.far)+
				"}\n-- side.standard.hcl --\nstandard \"rules\" {\n"+block(c.side)+"}\n")
			s := fakes()
			s.Kinds[3] = pipeline.Kind{Name: "rules", Role: pipeline.Judge, New: func() pipeline.Stage { return &figureStage{} }}
			plan, err := Load(filepath.Join(dir, "p.panel.hcl"), s)
			if c.mistake != "" {
				require.EqualError(t, err, c.mistake)
				return
			}
			require.NoError(t, err)
			stage, err := plan.Calls[0].Stage(nil)
			require.NoError(t, err)
			c.want.Rule = "x"
			assert.Equal(t, []figureLimit{c.want}, stage.(*figureStage).Limits)
		})
	}
}
