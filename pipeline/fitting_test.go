package pipeline_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

type plainStage struct {
	Height int `option:"height" help:"how high"`
}

func (*plainStage) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

type untagged struct {
	plainStage
	Width int `option:"width" rnage:"1..2" help:"how wide"`
}

func TestCheckProgram(t *testing.T) {
	limit := 4.0
	kind := func(change func(*pipeline.Kind)) []pipeline.Kind {
		k := pipeline.Kind{Name: "acme_x", Summary: "Does.", Role: pipeline.Shape, New: func() pipeline.Stage { return &plainStage{} }, Contract: 1}
		change(&k)
		return []pipeline.Kind{k}
	}
	rule := func(change func(*pipeline.Rule)) []pipeline.Rule {
		r := pipeline.Rule{Name: "acme-x", Summary: "Holds.", Severity: pipeline.Error, Contract: 1, Bound: pipeline.AtLeast, Default: &limit,
			Judge: func(context.Context, pipeline.Case) ([]pipeline.Finding, error) { return nil, nil }}
		change(&r)
		return []pipeline.Rule{r}
	}
	good, lawful := kind(func(*pipeline.Kind) {}), rule(func(*pipeline.Rule) {})
	require.NoError(t, pipeline.CheckProgram(good, lawful))
	for _, c := range []struct {
		kinds []pipeline.Kind
		rules []pipeline.Rule
		want  string
	}{
		{kind(func(k *pipeline.Kind) { k.Contract = 0 }), nil, "stage acme_x does not say which version of the contract it is written for\n" +
			"    this program serves version 1: if that is what it is written for, set Contract: 1 in its pipeline.Kind, the number itself"},
		{kind(func(k *pipeline.Kind) { k.Contract = 2 }), nil, "stage acme_x is written for version 2 of the contract, and this program serves version 1\n" +
			"    build this program with a panelwright that serves version 2"},
		{kind(func(k *pipeline.Kind) { k.Contract = -1 }), nil, "stage acme_x is written for version -1 of the contract, and this program serves version 1\n" +
			"    bring it up to version 1 and set Contract: 1 in its pipeline.Kind, or build this program with a panelwright that serves version -1"},
		{nil, rule(func(r *pipeline.Rule) { r.Contract = 2 }), "rule acme-x is written for version 2 of the contract, and this program serves version 1\n" +
			"    build this program with a panelwright that serves version 2"},
		{append(good, good...), nil, "stage acme_x is there twice\n    two stages of a program have two names; a shop's own begin with the shop's: acme_acme_x"},
		{nil, append(lawful, lawful...), "rule acme-x is there twice\n    two rules of a program have two names; a shop's own begin with the shop's: acme-acme-x"},
		{kind(func(k *pipeline.Kind) { k.Name = "acme-x" }), nil, "stage \"acme-x\" has a name that recipes cannot write\n" +
			"    name it with lower-case words joined by underscores, a shop's own with the shop's name in front: acme_serial_area"},
		{nil, rule(func(r *pipeline.Rule) { r.Name = "Acme x" }), "rule \"Acme x\" has a name of another form than rules have\n" +
			"    name it with lower-case words joined by hyphens, a shop's own with the shop's name in front: acme-serial-readable"},
		{kind(func(k *pipeline.Kind) { k.Role = 4 }), nil, "stage acme_x has none of the four roles\n    set Role in its pipeline.Kind to pipeline.Source, Shape, Judge or Write"},
		{kind(func(k *pipeline.Kind) { k.Summary = " " }), nil, "stage acme_x says nothing of itself\n    give its pipeline.Kind a Summary, one sentence"},
		{kind(func(k *pipeline.Kind) { k.New = nil }), nil, "stage acme_x cannot be made\n    give its pipeline.Kind a New, which returns a pointer to its options with their defaults set"},
		{kind(func(k *pipeline.Kind) { k.New = func() pipeline.Stage { return nil } }), nil, "stage acme_x is nil when it is made\n" +
			"    have New return a pointer to its options with their defaults set"},
		{kind(func(k *pipeline.Kind) { k.New = func() pipeline.Stage { return &untagged{} } }), nil,
			"stage acme_x has options that cannot be read: *pipeline_test.untagged: field Width: tag \"rnage\" is not known; nearest: range\n" +
				"    mend the struct of its options; the tags are told of in pipeline/options.go"},
		{nil, rule(func(r *pipeline.Rule) { r.Summary = "" }), "rule acme-x says nothing of itself\n    give it a Summary, one sentence"},
		{nil, rule(func(r *pipeline.Rule) { r.Judge = nil }), "rule acme-x is judged by nobody, or by two\n" +
			"    give it either Judge, or JudgedBy with the stage that judges it: stage acme_serial_area"},
		{nil, rule(func(r *pipeline.Rule) { r.JudgedBy = "stage rules" }), "rule acme-x is judged by nobody, or by two\n" +
			"    give it either Judge, or JudgedBy with the stage that judges it: stage acme_serial_area"},
		{nil, rule(func(r *pipeline.Rule) { r.Severity = "bad" }), "rule acme-x weighs \"bad\", which is no severity\n    set Severity to pipeline.Error, Warning or Note"},
		{nil, rule(func(r *pipeline.Rule) { r.Bound = "least" }), "rule acme-x has the bound \"least\", which is none\n    set Bound to pipeline.AtLeast, AtMost or NoBound"},
		{nil, rule(func(r *pipeline.Rule) { r.Bound = pipeline.NoBound }), "rule acme-x has a limit and no bound\n" +
			"    set Bound to pipeline.AtLeast or AtMost, or take the limit away"},
		{nil, rule(func(r *pipeline.Rule) { r.NotLessThan = "acme-y" }), "rule acme-x asks for no less than the rule \"acme-y\" does, which there is not; nearest: acme-x\n" +
			"    name a rule of the program in NotLessThan, or none"},
	} {
		err := pipeline.CheckProgram(c.kinds, c.rules)
		assert.EqualError(t, err, c.want)
		var u *pipeline.Unfitting
		assert.True(t, errors.As(err, &u))
	}
	// All at once.
	err := pipeline.CheckProgram(kind(func(k *pipeline.Kind) { k.Contract, k.Summary = 7, "" }), rule(func(r *pipeline.Rule) { r.Contract = 0 }))
	assert.Len(t, err.(interface{ Unwrap() []error }).Unwrap(), 3)
}
