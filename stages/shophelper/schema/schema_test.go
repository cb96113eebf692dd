package schema

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/stages/shophelper/jsonplace"
)

// sample uses everything that a description can say.
func sample() *Document {
	point := &Node{Type: List, Ref: "point", Item: &Node{Type: Number}, Least: 2, Most: 2}
	kind := &Node{Type: Text, Choices: []string{"dot", "line"}}
	return &Document{Title: "A sample", Root: &Node{Type: Object, Props: []Prop{
		{"version", &Node{Type: Count, Const: F(1)}, true},
		{"kind", kind, false},
		{"at", point, false},
		{"to", point, false},
		{"width", &Node{Type: Number, Above: F(0), High: F(10)}, false},
		{"count", &Node{Type: Count, Low: F(1)}, false},
		{"word", &Node{Type: Text, Least: 1, Most: 3, Pattern: `^\P{Cc}*$`}, false},
		{"on", &Node{Type: YesNo}, false},
		{"any", &Node{}, false},
		{"open", &Node{Type: Object, Open: true}, false},
		{"map", &Node{Type: Object, Names: "^[a-z]+$", Map: &Node{Type: Several, OneOf: []Type{Number, Text}}}, false},
	}, When: []When{{Name: "kind", Is: []string{"line"}, Needs: []string{"to"}, Bars: []string{"count"}}}}}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct{ text, pointer, what string }{
		{`{"version": 1}`, "", ""},
		{`{"version": 1.0, "at": [1, 2], "open": {"x": null}, "map": {"a": 1, "b": "c"}, "any": [{}], "on": true, "word": "äöü", "count": 2e0, "kind": "dot", "width": 10}`, "", ""},
		{`[]`, "", "must be an object, and is a list"},
		{`{}`, "", "lacks version"},
		{`{"version": 2}`, "/version", "must be 1, and is 2"},
		{`{"version": "1"}`, "/version", "must be a number, and is a text"},
		{`{"version": 1, "ver~s/ion": 1}`, "/ver~0s~1ion", "is not known here; known are version, kind, at, to, width, count, word, on, any, open, map"},
		{`{"version": 1, "at": [1]}`, "/at", "must have 2 members, and has 1"},
		{`{"version": 1, "at": [1, null]}`, "/at/1", "must be a number, and is null"},
		{`{"version": 1, "width": 0}`, "/width", "must be more than 0, and is 0"},
		{`{"version": 1, "width": 10.5}`, "/width", "must be at most 10, and is 10.5"},
		{`{"version": 1, "count": 0}`, "/count", "must be at least 1, and is 0"},
		{`{"version": 1, "count": 1.5}`, "/count", "must be a whole number, and is 1.5"},
		{`{"version": 1, "word": ""}`, "/word", "must have 1 to 3 characters, and has 0"},
		{`{"version": 1, "word": "äöüß"}`, "/word", "must have 1 to 3 characters, and has 4"},
		{`{"version": 1, "word": "a\nb"}`, "/word", `must fit ^\P{Cc}*$, and is "a\nb"`},
		{`{"version": 1, "on": 1}`, "/on", "must be true or false, and is a number"},
		{`{"version": 1, "kind": "lime"}`, "/kind", `must be one of dot, line, and is "lime"`},
		{`{"version": 1, "kind": "line"}`, "", "lacks to, which kind line needs"},
		{`{"version": 1, "kind": "line", "to": [1, 2], "count": 3}`, "/count", "cannot stand beside kind line"},
		{`{"version": 1, "map": {"a": true}}`, "/map/a", "must be a number or a text, and is true or false"},
		{`{"version": 1, "map": {"A": 1}}`, "/map/A", "is no name that may stand here: names fit ^[a-z]+$"},
	} {
		v, err := jsonplace.Parse([]byte(c.text))
		require.NoError(t, err, c.text)
		faults := sample().Check(v, 5)
		if c.what == "" {
			assert.Empty(t, faults, c.text)
			continue
		}
		require.Len(t, faults, 1, c.text)
		assert.Equal(t, [2]string{c.pointer, c.what}, [2]string{faults[0].Pointer, faults[0].What}, c.text)
	}
}

// Of many faults as many are told as are asked for.
func TestFaultsAreBounded(t *testing.T) {
	v, err := jsonplace.Parse([]byte(`{"a":1,"b":1,"c":1,"d":1}`))
	require.NoError(t, err)
	assert.Len(t, sample().Check(v, 3), 3)
	assert.Len(t, sample().Check(v, 9), 5)
}

// The text is JSON, the same each time, with every definition that it refers to.
func TestText(t *testing.T) {
	text := sample().Text()
	assert.Equal(t, string(text), string(sample().Text()))
	var s struct {
		Schema string                     `json:"$schema"`
		Defs   map[string]json.RawMessage `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(text, &s))
	assert.Equal(t, Draft, s.Schema)
	assert.Contains(t, s.Defs, "point")
}
