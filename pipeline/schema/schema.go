// Package schema describes recipes and standards in HCL's JSON syntax by JSON Schema (2020-12), for editors: from the same
// options of stages that recipes are read by, a shop's own among them.
//
// What the reader of recipes accepts the schema accepts, as long as the file is one object; what the schema refuses the reader
// refuses. What no form shows, the reader alone finds: what an expression comes to, a text's length beyond its range, stages out of
// order, an option that neither recipe nor standard sets.
package schema

import (
	"fmt"
	"strings"

	"panelwright/pipeline"
)

// Draft is the version of JSON Schema that is written.
const Draft = "https://json-schema.org/draft/2020-12/schema"

// Program is what schemas are of.
type Program struct {
	Name, Version string
	Stages        []pipeline.Kind
	Rules         []pipeline.Rule
}

// Recipe gives the schema of recipes. An error is the programmer's: a stage whose options cannot be read.
func (p Program) Recipe() ([]byte, error) {
	g := generator{defs: shared(), rules: p.Rules}
	text := of("type", "string", "pattern", `\S`)
	built := of("description", "The standards that it is built to: paths relative to this file.").merge(standards())
	panel := named("The panel's name.", fileName(), g.define("panel", body("The panel that the recipe makes.", []string{"revision"}, of(
		"revision", of("description", "The panel's own revision.").merge(text),
		"built_to", built)))).set("maxProperties", 1)
	given := named("Names that expressions read as given.NAME.", of("pattern", `^[\p{L}_][\p{L}\p{N}_-]*$`), many(g.define("given",
		body("A value from outside: --given name=value.", []string{"value"}, of(
			"value", of("description", "What it is unless another is given."),
			"help", of("description", "What it is for.").merge(text))))))
	supplier := named("Suppliers' names.", fileName().set("not", of("const", "all")), many(g.define("supplier",
		body("A supplier that the panel is built for.", []string{"built_to"}, of("built_to", built)))))
	return p.file(g, "recipes (*.panel.json)", "stage", []string{"panel", "stage"}, of(
		"panel", anyOf(panel, of("type", "array", "items", panel, "minItems", 1, "maxItems", 1)),
		"given", many(given), "let", many(lets()), "supplier", many(supplier)))
}

// Standard gives the schema of standards.
func (p Program) Standard() ([]byte, error) {
	return p.file(generator{defs: shared(), rules: p.Rules}, "standards (*.standard.json)", "standard", nil, of(
		"built_to", of("description", "The standards that this one is built to: paths relative to this file. What this one says counts before theirs.").merge(standards()),
		"let", many(lets())))
}

// Stage gives the schema of what stands in a block of that stage; ok is false where there is none.
func (p Program) Stage(stage string) (text []byte, ok bool, err error) {
	for _, k := range p.Stages {
		if k.Name != stage {
			continue
		}
		g := generator{defs: shared(), rules: p.Rules}
		s, err := g.stage(k)
		if err != nil {
			return nil, true, err
		}
		top := of("$schema", Draft, "title", fmt.Sprintf("stage %s of %s %s", stage, p.Name, p.Version))
		text, err := top.merge(s).set("$defs", g.defs).text()
		return text, true, err
	}
	return nil, false, nil
}

// file is the schema of a file: blocks, and by word what stages take.
func (p Program) file(g generator, what, word string, required []string, blocks *object) ([]byte, error) {
	kinds := of()
	for _, role := range []pipeline.Role{pipeline.Source, pipeline.Shape, pipeline.Judge, pipeline.Write} {
		for _, k := range p.Stages {
			if k.Role != role {
				continue
			}
			s, err := g.stage(k)
			if err != nil {
				return nil, err
			}
			one := g.define(k.Name, s)
			if word == "stage" { // several calls of a stage may stand one after another
				one = many(one)
			}
			kinds.set(k.Name, of("description", k.Summary).merge(one))
		}
	}
	blocks.set(word, many(of("description", "Stages by their names, in the order in which they run.", "type", "object", "properties", kinds, "additionalProperties", false)))
	blocks.set("$schema", of("description", "Where this schema is, for editors; nothing else looks at it."))
	top := of("$schema", Draft, "title", fmt.Sprintf("%s of %s %s", what, p.Name, p.Version))
	return top.merge(body("", required, blocks)).set("$defs", g.defs).text()
}

// generator makes schemas of stages' blocks.
type generator struct {
	defs  *object // what they refer to
	rules []pipeline.Rule
}

// define sets a definition, and gives what refers to it.
func (g generator) define(name string, s *object) *object {
	g.defs.set(name, s)
	return ref(name)
}

// stage is what a block of a stage holds. Whatever a recipe leaves out may stand in a standard, so nothing is required.
func (g generator) stage(k pipeline.Kind) (*object, error) {
	s := k.New()
	options, err := pipeline.OptionsOf(s)
	if err != nil {
		return nil, fmt.Errorf("stage %s: %w", k.Name, err)
	}
	_, knowsRules := s.(pipeline.RuleChecker)
	if knowsRules && !g.defs.has(ruleNames) {
		var names []string
		for _, r := range g.rules {
			names = append(names, r.Name)
		}
		g.defs.set(ruleNames, of("description", "A rule's name.", "enum", names))
	}
	return g.body(k.Name, k.Summary, options, false, knowsRules), nil
}

// ruleNames is the definition of the names of rules.
const ruleNames = "rule-names"

// body is what a block with those options holds; name is its definition's. alone tells that no other file adds to it: then what
// is required must be there. Where the stage knows rules, a label called rule is one.
func (g generator) body(name, summary string, options []pipeline.Option, alone, knowsRules bool) *object {
	properties := of()
	var required []string
	var apart []*object
	for _, o := range options {
		if alone && o.Required {
			required = append(required, o.Name)
		}
		for _, other := range o.Instead {
			apart = append(apart, of("not", of("required", []string{o.Name, other})))
		}
		if !o.Block {
			properties.set(o.Name, value(o, alone))
			continue
		}
		// Blocks with labels are merged with those of standards; others, and those that stand by themselves, are not.
		here := name + "." + o.Name
		inner := many(g.define(here, g.body(here, o.Help, o.Options, alone || len(o.Labels) == 0 || o.Each, knowsRules)))
		for i := range o.Labels {
			label := o.Labels[len(o.Labels)-1-i]
			names := of("type", "string")
			if knowsRules && label == "rule" {
				names = ref(ruleNames)
			}
			inner = many(named("By "+strings.ReplaceAll(label, "_", " ")+".", names, inner))
		}
		properties.set(o.Name, of("description", describe(o, alone)).merge(inner))
	}
	s := body(summary, required, properties)
	if apart != nil {
		s.set("allOf", apart)
	}
	return s
}

// body is an object with those members and no other, but for remarks.
func body(summary string, required []string, properties *object) *object {
	s := of()
	if summary != "" {
		s.set("description", summary)
	}
	s.set("type", "object").set("properties", properties.set("//", of("description", "A remark, which is not read.")))
	if len(required) > 0 {
		s.set("required", required)
	}
	return s.set("additionalProperties", false)
}

// named is blocks by their names.
func named(summary string, names, inner *object) *object {
	return of("description", summary, "type", "object", "minProperties", 1, "propertyNames", names, "additionalProperties", inner)
}

// many is one block of a kind, or a list of them.
func many(one *object) *object { return anyOf(one, of("type", "array", "items", one)) }

func lets() *object {
	return of("description", "Values by names that expressions read as let.NAME.", "type", "object")
}

// standards is what built_to takes.
func standards() *object {
	return anyOf(ref(path), of("type", "array", "items", ref(path), "uniqueItems", true))
}

// fileName is the form of names that become names of folders.
func fileName() *object { return of("pattern", "^[a-z0-9][a-z0-9-]{0,99}$") }
