package pipeline

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

type idle struct{}

func (idle) Run(context.Context, *Env, panel.Panel) (Result, error) { return Result{}, nil }

type Shared struct {
	Corners []string `option:"corners" choice:"upper_left|lower_right" help:"where they lie"`
}

type sample struct {
	idle
	Shared
	Board   string        `option:"board" required:"true" help:"which board"`
	Columns int           `option:"columns" range:"1..200" help:"copies side by side"`
	Gap     *geom.Length  `option:"gap" range:"0..100" help:"edge to edge"`
	Width   geom.Length   `option:"width" range:"0.5.." help:"of a rail"`
	Turn    geom.Angle    `option:"turn" help:"counter-clockwise"`
	Every   string        `option:"turn_every_second" choice:"row|column" help:"turned"`
	Fit     []geom.Length `option:"fit_within" count:"2" help:"width and height"`
	Share   *float64      `option:"share" range:"..1" help:"of the sheet"`
	Tidy    bool          `option:"tidy" help:"in order"`
	Files   []InPath      `option:"files" help:"inputs"`
	Note    int           `option:"-"`
	Limits  []struct {
		RuleName string      `label:"0"`
		AtLeast  *float64    `option:"at_least" help:"the least"`
		Reach    geom.Length `option:"reach" required:"true" help:"how far"`
	} `block:"limit" labels:"1" help:"a rule's limit"`
}

func TestOptionsOf(t *testing.T) {
	f := func(x float64) *float64 { return &x }
	gap := 2_500_000 * geom.NM
	got, err := OptionsOf(&sample{Gap: &gap, Width: 10 * geom.MM, Turn: 90 * geom.Degree, Fit: []geom.Length{geom.MM, 2 * geom.MM}, Shared: Shared{[]string{"upper_left"}}})
	require.NoError(t, err)
	assert.Equal(t, []Option{
		{Name: "corners", Type: "list of texts", Help: "where they lie", Default: `["upper_left"]`, Choices: []string{"upper_left", "lower_right"}, Field: "Corners"},
		{Name: "board", Type: "text", Help: "which board", Required: true, Field: "Board"},
		{Name: "columns", Type: "count", Help: "copies side by side", Range: "1..200", Low: f(1), High: f(200), Field: "Columns"},
		{Name: "gap", Type: "length", Unit: "mm", Help: "edge to edge", Default: `"2.5 mm"`, Range: "0..100", Low: f(0), High: f(100), Field: "Gap"},
		{Name: "width", Type: "length", Unit: "mm", Help: "of a rail", Default: `"10 mm"`, Range: "0.5..", Low: f(0.5), Field: "Width"},
		{Name: "turn", Type: "angle", Unit: "deg", Help: "counter-clockwise", Default: `"90 deg"`, Field: "Turn"},
		{Name: "turn_every_second", Type: "text", Help: "turned", Choices: []string{"row", "column"}, Field: "Every"},
		{Name: "fit_within", Type: "list of lengths", Unit: "mm", Help: "width and height", Default: `["1 mm", "2 mm"]`, Count: 2, Field: "Fit"},
		{Name: "share", Type: "number", Help: "of the sheet", Range: "..1", High: f(1), Field: "Share"},
		{Name: "tidy", Type: "yes/no", Help: "in order", Default: "false", Field: "Tidy"},
		{Name: "files", Type: "list of paths", Help: "inputs", Field: "Files"},
		{Name: "limit", Type: "block", Help: "a rule's limit", Block: true, Labels: []string{"rule_name"}, LabelFields: []string{"RuleName"}, Field: "Limits", Options: []Option{
			{Name: "at_least", Type: "number", Help: "the least", Field: "AtLeast"},
			{Name: "reach", Type: "length", Unit: "mm", Help: "how far", Required: true, Field: "Reach"},
		}},
	}, got)
}

type recursive struct {
	Inner []recursive `block:"inner" help:"x"`
}

func TestTheProgrammersMistakes(t *testing.T) {
	for want, s := range map[string]Stage{
		"must be a pointer to a struct": idle{},
		"needs a tag option, block or label": &struct {
			idle
			A int
		}{},
		"needs a line of help": &struct {
			idle
			A int `option:"a"`
		}{},
		"lower-case words": &struct {
			idle
			A int `option:"A" help:"x"`
		}{},
		`two options are called "a"`: &struct {
			idle
			A int `option:"a" help:"x"`
			B int `option:"a" help:"x"`
		}{},
		"fields of type int8 cannot be options": &struct {
			idle
			A int8 `option:"a" help:"x"`
		}{},
		"a list needs no pointer": &struct {
			idle
			A *[]int `option:"a" help:"x"`
		}{},
		"write it low..high": &struct {
			idle
			A int `option:"a" range:"1-2" help:"x"`
		}{},
		"its low end lies above its high end": &struct {
			idle
			A int `option:"a" range:"2..1" help:"x"`
		}{},
		"only numbers have a range": &struct {
			idle
			A string `option:"a" range:"1..2" help:"x"`
		}{},
		"only texts have choices": &struct {
			idle
			A int `option:"a" choice:"1|2" help:"x"`
		}{},
		"a choice is empty": &struct {
			idle
			A string `option:"a" choice:"1|" help:"x"`
		}{},
		"the number of members of a list is wanted": &struct {
			idle
			A int `option:"a" count:"2" help:"x"`
		}{},
		`only "true" is known`: &struct {
			idle
			A int `option:"a" required:"yes" help:"x"`
		}{},
		`tag "rnge" is not known; nearest: range`: &struct {
			idle
			A int `option:"a" rnge:"1..2" help:"x"`
		}{},
		"is required and has a default": &struct {
			idle
			A int `option:"a" required:"true" help:"x"`
		}{A: 1},
		"the default 3 lies outside the range 1..2": &struct {
			idle
			A int `option:"a" range:"1..2" help:"x"`
		}{A: 3},
		`the default "c" is none of the choices`: &struct {
			idle
			A string `option:"a" choice:"a|b" help:"x"`
		}{A: "c"},
		"the default has 1 members, and count says 2": &struct {
			idle
			A []int `option:"a" count:"2" help:"x"`
		}{A: []int{1}},
		"a block must be a slice of structs": &struct {
			idle
			A int `block:"a" help:"x"`
		}{},
		"labels says 1, and the block's struct has 0": &struct {
			idle
			A []struct{} `block:"a" labels:"1" help:"x"`
		}{},
		"a label must be a string": &struct {
			idle
			A []struct {
				B int `label:"0"`
			} `block:"a" labels:"1" help:"x"`
		}{},
		`no field is tagged label:"0"`: &struct {
			idle
			A []struct {
				B string `label:"1"`
			} `block:"a" labels:"1" help:"x"`
		}{},
		"only a block has labels": &struct {
			idle
			A string `label:"0"`
		}{},
		"must be exported": &struct {
			idle
			a int `option:"a" help:"x"`
		}{},
		"blocks lie more than 4 deep": &struct {
			idle
			A []recursive `block:"a" help:"x"`
		}{},
	} {
		_, err := OptionsOf(s)
		assert.ErrorContains(t, err, want)
	}
}

func TestOptionText(t *testing.T) {
	n := 3
	for want, v := range map[string]any{
		`"a \"b\" \\ \n $${x} %%{ $"`: "a \"b\" \\ \n ${x} %{ $",
		`"-0.5 mm"`:                   geom.Length(-500_000),
		`3`:                           &n,
		``:                            (*int)(nil),
		`[1, 2]`:                      []int{1, 2},
		`0.1`:                         0.1,
		`"0.25 mm"`:                   &Quantity{0.25, "mm"},
		`12`:                          Quantity{12, ""},
		`"a/b"`:                       InPath{Text: "a/b", Dir: "/x"},
		`"\U00000007"`:                "\a",
	} {
		assert.Equal(t, want, OptionText(v))
	}
}
