package recipe

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
)

// handStage takes values of any kind.
type handStage struct {
	idle
	As      string        `option:"role" choice:"shape|judge|write" early:"true" help:"what it does"`
	Handed  []hand        `block:"hand" labels:"1" help:"a value"`
	Default pipeline.Free `option:"also" help:"a value"`
}

type hand struct {
	Name  string        `label:"0"`
	Value pipeline.Free `option:"value" required:"true" help:"of any kind"`
}

func (h *handStage) Role() pipeline.Role {
	return map[string]pipeline.Role{"shape": pipeline.Shape, "judge": pipeline.Judge, "write": pipeline.Write}[h.As]
}

func withHand() Settings {
	s := fakes()
	s.Kinds = append(s.Kinds, pipeline.Kind{Name: "hand", Role: pipeline.Shape, New: func() pipeline.Stage { return &handStage{As: "shape"} }})
	return s
}

func TestValuesOfAnyKind(t *testing.T) {
	dir := write(t, `-- p.panel.hcl --
panel "p" { revision = "A" }
let { gap = mm(2.54) }
stage "board" {
  name  = "gauge"
  files = "boards/gauge"
}
stage "hand" {
  hand "length" { value = let.gap * 2 }
  hand "angle" { value = deg(45) }
  hand "text" { value = "2 \"mm\" <&>\n" }
  hand "yes" { value = true }
  hand "list" { value = [1, "a", [0.125, mil(1)]] }
  hand "object" { value = { b = 1, a = { c = false } } }
  hand "settled" { value = [boards.gauge.width, 1] }
}
`)
	plan, err := Load(filepath.Join(dir, "p.panel.hcl"), withHand())
	require.NoError(t, err)
	call := plan.Calls[1]
	for _, x := range call.Settled(nil) {
		if x.Option == "hand settled value" {
			assert.True(t, x.Open)
			assert.Equal(t, "settled by stage board", x.Value)
		}
	}
	stage, err := call.Stage(map[string]cty.Value{"boards.gauge": cty.ObjectVal(map[string]cty.Value{
		"width": cty.NumberFloatVal(30.5), "height": cty.NumberIntVal(1), "revision": cty.StringVal("A")})})
	require.NoError(t, err)
	got := map[string]pipeline.Free{}
	for _, h := range stage.(*handStage).Handed {
		got[h.Name] = h.Value
	}
	assert.Equal(t, map[string]pipeline.Free{
		"length":  {Text: `"5.08 mm"`, JSON: "5.08"},
		"angle":   {Text: `"45 deg"`, JSON: "45"},
		"text":    {Text: `"2 \"mm\" <&>\n"`, JSON: `"2 \"mm\" \u003c\u0026\u003e\n"`},
		"yes":     {Text: "true", JSON: "true"},
		"list":    {Text: `[1, "a", [0.125, "0.0254 mm"]]`, JSON: `[1,"a",[0.125,0.0254]]`},
		"object":  {Text: "{ a = { c = false }, b = 1 }", JSON: `{"a":{"c":false},"b":1}`},
		"settled": {Text: "[30.5, 1]", JSON: "[30.5,1]"},
	}, got)
}

// A stage's own options decide over its role: the loader and the plan go by that, and the role must be known beforehand.
func TestRoleByOptions(t *testing.T) {
	const head = "-- p.panel.hcl --\npanel \"p\" { revision = \"A\" }\n"
	for _, c := range []struct{ name, stages, mistake string }{
		{"shape", "stage \"hand\" {}\nstage \"rules\" {}\n", ""},
		{"judge after rules", "stage \"rules\" {}\nstage \"hand\" { role = \"judge\" }\n", ""},
		{"write after rules", "stage \"rules\" {}\nstage \"hand\" { role = \"write\" }\n", ""},
		{"shape after rules", "stage \"rules\" {}\nstage \"hand\" {}\n", "stage hand (shape) comes after stage rules (judge) on line 2"},
		{"write before judge", "stage \"hand\" { role = \"write\" }\nstage \"rules\" {}\n", "stage rules (judge) comes after stage hand (write) on line 2"},
		{"write without rules", "stage \"hand\" { role = \"write\" }\n", "stage hand writes, and no stage rules comes before it"},
		{"no such role", "stage \"rules\" {}\nstage \"hand\" { role = \"wirte\" }\n", "stage hand: option role knows no \"wirte\"; nearest: write"},
		{"by a let value", "let { r = \"judge\" }\nstage \"rules\" {}\nstage \"hand\" { role = let.r }\n", ""},
		{"by what a stage settles", "stage \"board\" {\nname = \"gauge\"\nfiles = \"boards/gauge\"\n}\nstage \"rules\" {}\nstage \"hand\" { role = boards.gauge.revision }\n",
			"stage hand: option role must be known before anything runs, and an earlier stage settles what this reads"},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan, err := Load(filepath.Join(write(t, head+c.stages), "p.panel.hcl"), withHand())
			if c.mistake != "" {
				var all Mistakes
				require.ErrorAs(t, err, &all)
				require.Len(t, all, 1, "%v", err)
				assert.Contains(t, all[0].What, c.mistake)
				return
			}
			require.NoError(t, err)
			last := plan.Calls[len(plan.Calls)-1]
			for _, call := range plan.Calls {
				if call.Kind.Name == "hand" {
					last = call
				}
			}
			stage, err := last.Stage(nil)
			require.NoError(t, err)
			assert.Equal(t, stage.(pipeline.Roler).Role(), last.Kind.Role)
		})
	}
}
