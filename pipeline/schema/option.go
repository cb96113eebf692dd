package schema

import (
	"encoding/json"
	"strings"

	"panelwright/pipeline"
)

// names of what schemas refer to, and what each is.
const (
	expression = "expression"
	length     = "length_text"
	angle      = "angle_text"
	quantity   = "quantity_text"
	path       = "path"
)

// number is a number at the head of a text, as recipes read it.
const number = `[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)`

// shared gives the definitions that options of every stage refer to.
func shared() *object {
	return of(
		expression, of("description", "An expression of the recipe language between ${ and }, such as \"${given.columns}\" or \"${boards.gauge.width + mm(2)}\".",
			"type", "string", "pattern", `(^|[^$])(\$\$)*\$\{|(^|[^%])(%%)*%\{`),
		length, of("description", "A length with its unit, such as \"2 mm\", \"70 mil\", \"0.25 in\" or \"35 um\".",
			"type", "string", "pattern", `^\s*`+number+`[ \t]*(`+strings.Join(pipeline.LengthUnits(), "|")+`)\s*$`),
		angle, of("description", "An angle with its unit, such as \"45 deg\".",
			"type", "string", "pattern", `^\s*`+number+`[ \t]*deg\s*$`),
		quantity, of("description", "A number with its unit, such as \"0.25 mm\" or \"2 N\".",
			"type", "string", "pattern", `^\s*`+number),
		path, of("description", "A path, relative to the folder of the file that says it, its folders joined by /.",
			"type", "string", "pattern", `^(?!.:)[^/~\\][^\\]*$`),
	)
}

func ref(name string) *object { return of("$ref", "#/$defs/"+name) }

func anyOf(s ...*object) *object { return of("anyOf", s) }

// single is what one value of a type of option may be: as it stands, and as a text in place of it.
func single(kind string, o pipeline.Option) *object {
	limited := func(s *object) *object {
		if o.Low != nil {
			s.set("minimum", *o.Low)
		}
		if o.High != nil {
			s.set("maximum", *o.High)
		}
		return s
	}
	switch kind {
	case "length":
		return anyOf(limited(of("type", "number")), ref(length), ref(expression))
	case "angle":
		return anyOf(limited(of("type", "number")), ref(angle), ref(expression))
	case "number with unit":
		return anyOf(limited(of("type", "number")), ref(quantity), ref(expression))
	case "count":
		return anyOf(limited(of("type", "integer")), ref(expression))
	case "number":
		return anyOf(limited(of("type", "number")), ref(expression))
	case "yes/no":
		return anyOf(of("type", "boolean"), ref(expression))
	case "path":
		return anyOf(ref(path), ref(expression))
	case "text":
		if o.Choices != nil {
			return anyOf(of("enum", o.Choices), ref(expression))
		}
		return of("type", "string")
	}
	return of() // of a type that came later: anything
}

// singular gives one of what lists hold.
var singular = map[string]string{"lengths": "length", "angles": "angle", "paths": "path", "texts": "text", "counts": "count",
	"numbers": "number", "numbers with units": "number with unit", "yes/no": "yes/no"}

// value is what an option takes, with what it means.
func value(o pipeline.Option, required bool) *object {
	members, list := strings.CutPrefix(o.Type, "list of ")
	var s *object
	if !list {
		s = single(o.Type, o)
	} else {
		one := single(singular[members], o)
		many := of("type", "array", "items", one)
		if o.Count > 0 {
			many.set("minItems", o.Count).set("maxItems", o.Count)
		}
		forms := []*object{many, ref(expression)}
		if o.Count < 2 { // one member may stand by itself
			forms = []*object{one, many}
		}
		s = anyOf(forms...)
	}
	out := of("description", describe(o, required))
	if preset := presetOf(o); preset != nil {
		out.set("default", preset)
	}
	return out.merge(s)
}

func describe(o pipeline.Option, required bool) string {
	text := o.Help + " (" + o.Takes()
	switch {
	case required:
		text += "; required"
	case o.Required:
		text += "; required, here or in a standard"
	}
	return text + ")"
}

// presetOf gives an option's default where JSON writes it as recipes do; nil where there is none.
func presetOf(o pipeline.Option) json.RawMessage {
	if o.Default == "" || !json.Valid([]byte(o.Default)) {
		return nil
	}
	return json.RawMessage(o.Default)
}
