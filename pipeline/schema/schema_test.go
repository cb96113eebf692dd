package schema_test

import (
	"context"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/schema"
)

// every is a stage with an option of every type.
type every struct {
	Length   geom.Length         `option:"length" range:"0.5..3" help:"a length"`
	Lengths  []geom.Length       `option:"lengths" count:"2" help:"two lengths"`
	Angle    geom.Angle          `option:"angle" help:"an angle"`
	Count    int                 `option:"count" range:"1.." help:"a count"`
	Number   *float64            `option:"number" range:"..9" help:"a number"`
	Text     string              `option:"text" required:"true" help:"a text"`
	Word     string              `option:"word" choice:"a|b" help:"a word"`
	Words    []string            `option:"words" choice:"a|b" help:"words"`
	Yes      bool                `option:"yes" help:"yes or no"`
	Path     pipeline.InPath     `option:"path" help:"a path"`
	Paths    []pipeline.InPath   `option:"paths" help:"paths"`
	Quantity pipeline.Quantity   `option:"quantity" help:"a quantity"`
	Many     []pipeline.Quantity `option:"many" help:"quantities"`
	Limits   []limit             `block:"limit" labels:"1" instead:"count" help:"limits"`
	Rows     []row               `block:"row" help:"rows"`
}

type limit struct {
	Rule string `label:"0"`
	At   int    `option:"at" required:"true" help:"where"`
}

type row struct {
	At int `option:"at" required:"true" help:"where"`
}

func (*every) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

func (*every) CheckRules([]pipeline.Rule) error { return nil }

func program() schema.Program {
	return schema.Program{Name: "acme-panels", Version: "7", Rules: []pipeline.Rule{{Name: "rail-width"}}, Stages: []pipeline.Kind{{
		Name: "every", Summary: "Takes everything.", New: func() pipeline.Stage { return &every{Length: geom.MM, Words: []string{"a"}} }}}}
}

// Every type of option has a form of its own: one that is not known here would be left open.
func TestEveryTypeHasAForm(t *testing.T) {
	text, ok, err := program().Stage("every")
	require.NoError(t, err)
	require.True(t, ok)
	var s struct {
		Properties map[string]json.RawMessage
		AllOf      json.RawMessage
		Required   []string
		Defs       map[string]json.RawMessage `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(text, &s))
	assert.Empty(t, s.Required, "a standard may have it")
	short := map[string]string{}
	for name, raw := range s.Properties {
		var p map[string]any
		require.NoError(t, json.Unmarshal(raw, &p))
		delete(p, "description")
		out, err := json.Marshal(p)
		require.NoError(t, err)
		short[name] = strings.ReplaceAll(string(out), "#/$defs/", "")
	}
	assert.Equal(t, map[string]string{
		"length":   `{"anyOf":[{"maximum":3,"minimum":0.5,"type":"number"},{"$ref":"length_text"},{"$ref":"expression"}],"default":"1 mm"}`,
		"lengths":  `{"anyOf":[{"items":{"anyOf":[{"type":"number"},{"$ref":"length_text"},{"$ref":"expression"}]},"maxItems":2,"minItems":2,"type":"array"},{"$ref":"expression"}]}`,
		"angle":    `{"anyOf":[{"type":"number"},{"$ref":"angle_text"},{"$ref":"expression"}],"default":"0 deg"}`,
		"count":    `{"anyOf":[{"minimum":1,"type":"integer"},{"$ref":"expression"}]}`,
		"number":   `{"anyOf":[{"maximum":9,"type":"number"},{"$ref":"expression"}]}`,
		"text":     `{"type":"string"}`,
		"word":     `{"anyOf":[{"enum":["a","b"]},{"$ref":"expression"}]}`,
		"words":    `{"anyOf":[{"anyOf":[{"enum":["a","b"]},{"$ref":"expression"}]},{"items":{"anyOf":[{"enum":["a","b"]},{"$ref":"expression"}]},"type":"array"}],"default":["a"]}`,
		"yes":      `{"anyOf":[{"type":"boolean"},{"$ref":"expression"}],"default":false}`,
		"path":     `{"anyOf":[{"$ref":"path"},{"$ref":"expression"}]}`,
		"paths":    `{"anyOf":[{"anyOf":[{"$ref":"path"},{"$ref":"expression"}]},{"items":{"anyOf":[{"$ref":"path"},{"$ref":"expression"}]},"type":"array"}]}`,
		"quantity": `{"anyOf":[{"type":"number"},{"$ref":"quantity_text"},{"$ref":"expression"}],"default":0}`,
		"many": `{"anyOf":[{"anyOf":[{"type":"number"},{"$ref":"quantity_text"},{"$ref":"expression"}]},` +
			`{"items":{"anyOf":[{"type":"number"},{"$ref":"quantity_text"},{"$ref":"expression"}]},"type":"array"}]}`,
		"limit": `{"anyOf":[{"additionalProperties":{"anyOf":[{"$ref":"every.limit"},{"items":{"$ref":"every.limit"},"type":"array"}]},` +
			`"minProperties":1,"propertyNames":{"$ref":"rule-names"},"type":"object"},{"items":{"additionalProperties":{"anyOf":[{"$ref":"every.limit"},{"items":{"$ref":"every.limit"},"type":"array"}]},` +
			`"minProperties":1,"propertyNames":{"$ref":"rule-names"},"type":"object"},"type":"array"}]}`,
		"row": `{"anyOf":[{"$ref":"every.row"},{"items":{"$ref":"every.row"},"type":"array"}]}`,
		"//":  `{}`,
	}, withoutInnerWords(short))
	assert.JSONEq(t, `[{"not": {"required": ["limit", "count"]}}]`, string(s.AllOf))
	assert.Contains(t, string(s.Defs["every.row"]), `"required"`)
	assert.NotContains(t, string(s.Defs["every.limit"]), `"required"`, "a standard's block of the same label may have it")
	assert.Contains(t, string(s.Defs["rule-names"]), `"rail-width"`)
	_, ok, _ = program().Stage("other")
	assert.False(t, ok)
}

// withoutInnerWords drops descriptions further in.
func withoutInnerWords(m map[string]string) map[string]string {
	for k, v := range m {
		m[k] = strings.ReplaceAll(v, `"description":"By rule.",`, "")
	}
	return m
}

// Equal programs give equal schemas, and everything that is referred to is there.
func TestSchemasAreWhole(t *testing.T) {
	for _, make := range []func() ([]byte, error){program().Recipe, program().Standard} {
		first, err := make()
		require.NoError(t, err)
		again, err := make()
		require.NoError(t, err)
		require.Equal(t, string(first), string(again))
		var s struct {
			Defs map[string]any `json:"$defs"`
		}
		require.NoError(t, json.Unmarshal(first, &s))
		refs := strings.Split(string(first), `"$ref": "#/$defs/`)
		require.Greater(t, len(refs), 10)
		for _, r := range refs[1:] {
			name, _, _ := strings.Cut(r, `"`)
			assert.Contains(t, s.Defs, name)
		}
	}
}

// A stage whose options cannot be read is told of.
func TestABrokenStage(t *testing.T) {
	p := program()
	p.Stages = append(p.Stages, pipeline.Kind{Name: "broken", New: func() pipeline.Stage { return nil }})
	_, err := p.Recipe()
	assert.ErrorContains(t, err, "stage broken")
}
