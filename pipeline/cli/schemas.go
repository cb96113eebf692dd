package cli

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
	"panelwright/pipeline/schema"
)

// schema writes a JSON Schema: of recipes, standards, one stage's block, or a form of JSON that the stage has of its own.
func (a *app) schema(args []string) error {
	p := schema.Program{Name: a.Name, Version: a.Version, Stages: a.Stages, Rules: a.Rules}
	var text []byte
	var err error
	switch {
	case len(args) == 0:
		text, err = p.Recipe()
	case len(args) == 2:
		if text, err = a.ownSchema(args[0], args[1]); err != nil {
			return err
		}
	case args[0] == "standard":
		text, err = p.Standard()
	default:
		var ok bool
		if text, ok, err = p.Stage(args[0]); !ok {
			return a.unknownStage(args[0], "standard")
		}
	}
	if err != nil {
		return &run.FaultError{What: err.Error()}
	}
	_, err = a.out.Write(text)
	return err
}

// ownSchema gives the schema that a stage has under a word.
func (a *app) ownSchema(stage, word string) ([]byte, error) {
	i := slices.IndexFunc(a.Stages, func(k pipeline.Kind) bool { return k.Name == stage })
	if i < 0 {
		return nil, a.unknownStage(stage)
	}
	s, ok := a.Stages[i].New().(pipeline.Schemer)
	if !ok {
		return nil, misuse("stage %s has no JSON of its own: %q is too much\n    see %s options --schema %[1]s", stage, word, a.Name)
	}
	if text, ok := s.Schemas()[word]; ok {
		return text, nil
	}
	known := formsOf(a.Stages[i].New())
	return nil, misuse("stage %s has no JSON called %q%s\n    what it has is called %s", stage, word, nearest(word, known), strings.Join(known, ", "))
}

// formsOf gives the words for the forms of JSON that a stage has of its own.
func formsOf(s pipeline.Stage) []string {
	if p, ok := s.(pipeline.Schemer); ok {
		return slices.Sorted(maps.Keys(p.Schemas()))
	}
	return nil
}

// unknownStage says that there is no such stage; more are words that would do too.
func (a *app) unknownStage(name string, more ...string) error {
	for _, k := range a.Stages {
		more = append(more, k.Name)
	}
	return misuse("%s has no stage %q%s\n    see %[1]s options", a.Name, name, nearest(name, more))
}

// formsText says which forms of JSON a stage has of its own; empty for none.
func (a *app) formsText(stage string, forms []string) string {
	if len(forms) == 0 {
		return ""
	}
	return fmt.Sprintf("  JSON of its own: %s options --schema %s %s\n", a.Name, stage, strings.Join(forms, " | "))
}
