package recipe

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

type accepted struct {
	Rule   string   `label:"0"`
	Where  []string `option:"where" required:"true" help:"where"`
	Reason string   `option:"reason" help:"why"`
}

type acceptStage struct {
	idle
	Limits  []limit    `block:"limit" labels:"1" help:"a rule's limit"`
	Waivers []accepted `block:"waive" labels:"1" each:"true" help:"accepts findings"`
}

func (a *acceptStage) CheckRules([]pipeline.Rule) error {
	var all []error
	n := map[string]int{}
	for _, w := range a.Waivers {
		n[w.Rule]++
		name := fmt.Sprintf("waive %s %d", w.Rule, n[w.Rule])
		if w.Reason == "" {
			all = append(all, &pipeline.BadOption{Option: name + " reason", Reason: "is empty"})
		}
		if w.Rule == "none" {
			all = append(all, &pipeline.BadOption{Option: name, Reason: "names no rule"})
		}
	}
	return errors.Join(all...)
}

func accepting() Settings {
	s := fakes()
	s.Kinds[3] = pipeline.Kind{Name: "rules", Role: pipeline.Judge, New: func() pipeline.Stage { return &acceptStage{} }}
	return s
}

const acceptingRecipe = `-- a.panel.hcl --
panel "a" {
  revision = "A"
  built_to = ["near.standard.hcl", "side.standard.hcl"]
}
stage "rules" {
  limit "panel-size" {
    severity = "note"
  }
  waive "panel-size" {
    where  = ["A1", "B1"]
    reason = "first"
  }
  waive "panel-size" {
    where  = "C1"
    reason = "second"
  }
}
-- near.standard.hcl --
built_to = ["far.standard.hcl"]
standard "rules" {
  waive "panel-size" {
    where  = "D1"
    reason = "near"
  }
}
-- far.standard.hcl --
standard "rules" {
  limit "panel-size" {
    at_most = 300
  }
  waive "copper-to-edge" {
    where  = "A1"
    reason = "far"
  }
}
-- side.standard.hcl --
standard "rules" {
  waive "panel-size" {
    where  = "E1"
    reason = "side"
  }
}
`

// Blocks that stand by themselves are those of every file, in order, none merged; each tells where it stands.
func TestBlocksThatStandByThemselves(t *testing.T) {
	dir := write(t, acceptingRecipe)
	plan, err := Load(filepath.Join(dir, "a.panel.hcl"), accepting())
	require.NoError(t, err)
	call := plan.Calls[0]
	stage, err := call.Stage(nil)
	require.NoError(t, err)
	assert.Equal(t, []accepted{
		{"panel-size", []string{"A1", "B1"}, "first"}, {"panel-size", []string{"C1"}, "second"},
		{"panel-size", []string{"D1"}, "near"}, {"copper-to-edge", []string{"A1"}, "far"}, {"panel-size", []string{"E1"}, "side"},
	}, stage.(*acceptStage).Waivers)
	for option, want := range map[string]string{
		"":                              "a.panel.hcl:5:1",
		"limit panel-size at_most":      "far.standard.hcl:3:5",
		"limit panel-size severity":     "a.panel.hcl:7:5",
		"limit panel-size at_least":     "a.panel.hcl:6:3", // not set: its block
		"limit panel-size":              "a.panel.hcl:6:3",
		"limit copper-to-edge at_least": "a.panel.hcl:5:1", // no block either
		"waive panel-size 1":            "a.panel.hcl:9:3",
		"waive panel-size 2 where":      "a.panel.hcl:14:5",
		"waive panel-size 3":            "near.standard.hcl:3:3",
		"waive panel-size 4":            "side.standard.hcl:2:3",
		"waive copper-to-edge 1 reason": "far.standard.hcl:7:5",
	} {
		p := call.PlaceOf(option)
		assert.Equal(t, want, fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column), option)
	}
	assert.Equal(t, Place{File: "a.panel.hcl", Line: 1, Column: 1, SourceLine: `panel "a" {`}, plan.Where)

	again, err := FromRecord(dir, []Recorded{{"rules", call.Settled(nil)}}, accepting())
	require.NoError(t, err)
	same, err := again.Calls[0].Stage(nil)
	require.NoError(t, err)
	assert.ElementsMatch(t, stage.(*acceptStage).Waivers, same.(*acceptStage).Waivers)
}

func TestMistakesInBlocksThatStandByThemselves(t *testing.T) {
	dir := write(t, `-- a.panel.hcl --
panel "a" { revision = "A" }
stage "rules" {
  waive "panel-size" {
    where  = "A1"
    reason = "good"
  }
  waive "panel-size" {
    where = "B1"
  }
  waive "none" {
    where  = "B1"
    reason = "good"
  }
  waive "panel-size" {
    whree  = "B1"
    reason = "good"
  }
  waive {
    where = "B1"
  }
}
`)
	_, err := Load(filepath.Join(dir, "a.panel.hcl"), accepting())
	var list Mistakes
	require.ErrorAs(t, err, &list)
	var got []string
	for _, m := range list {
		got = append(got, fmt.Sprintf("%d:%d %s", m.Line, m.Column, m.What))
	}
	assert.Equal(t, []string{
		"7:3 stage rules: option waive panel-size 2 reason is empty",
		"10:3 stage rules: option waive none 1 names no rule",
		`15:5 stage rules: waive panel-size 3 has no option "whree"; nearest: where`,
		"18:3 stage rules: block waive takes 1 name in quotes, and here are 0",
	}, got)
}
