package recipe

import (
	"encoding/json"
	"reflect"
	"strings"

	"panelwright/pipeline"
)

// free takes a value of any kind.
func (d *decoder) free(v value, field reflect.Value) bool {
	if v.holds(func(x value) bool { return x.kind == numberKind && x.measure == other }) {
		d.bad(v, "holds a number that is neither a length nor an angle", "write it as a plain number")
		return false
	}
	if v.holds(func(x value) bool { return x.unknown }) {
		return false
	}
	field.Set(reflect.ValueOf(pipeline.Free{Text: v.write(), JSON: v.json()}))
	return true
}

// holds tells whether the value, or one within it, is as asked.
func (v value) holds(is func(value) bool) bool {
	if is(v) {
		return true
	}
	for _, x := range v.items {
		if x.holds(is) {
			return true
		}
	}
	for _, x := range v.fields {
		if x.holds(is) {
			return true
		}
	}
	return false
}

// json gives a known value as JSON, lengths in millimetres and angles in degrees.
func (v value) json() string {
	switch v.kind {
	case numberKind:
		return decimal(v.num)
	case textKind:
		return jsonText(v.text)
	case yesNoKind:
		return v.write()
	case listKind:
		parts := make([]string, len(v.items))
		for i, x := range v.items {
			parts[i] = x.json()
		}
		return "[" + strings.Join(parts, ",") + "]"
	}
	parts := []string{}
	for _, n := range v.names() {
		parts = append(parts, jsonText(n)+":"+v.fields[n].json())
	}
	return "{" + strings.Join(parts, ",") + "}"
}

func jsonText(s string) string {
	out, _ := json.Marshal(s) // a text always can be
	return string(out)
}
