package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

func (a *app) valuesCommand() *cobra.Command {
	var texts []string
	c := &cobra.Command{
		Use:   "values [--given NAME=VALUE] RECIPE",
		Short: "a recipe with every value filled in, and where each came from",
		Long: "Prints every option of every stage of the recipe as it ends up, with the file and line that its\n" +
			"value came from. Where one reads what an earlier stage settles, the stages that do not write are\n" +
			"carried out to learn it.",
		Args: takes(1, 1, "one recipe"),
		RunE: func(c *cobra.Command, args []string) error { return a.values(c.Context(), args[0], texts) },
	}
	c.Flags().StringArrayVar(&texts, "given", nil, "a given value of the recipe, as `NAME=VALUE`; may be repeated")
	return c
}

func (a *app) values(ctx context.Context, path string, texts []string) error {
	given, err := givens(texts)
	if err != nil {
		return err
	}
	plan, err := a.load(path, given)
	if err != nil {
		return err
	}
	stages, settled := unrun(plan)
	var failed error
	if !settled {
		out, err := run.Build(ctx, plan, run.Options{
			CheckOnly: true, Rules: a.Rules, Program: pipeline.Program{Name: a.Name, Version: a.Version},
		})
		if err == nil {
			stages = out.Values
		}
		failed = err // told after the values that are known all the same
	}
	if a.asJSON {
		err = a.printJSON(struct {
			Schema   int               `json:"schema"`
			Recipe   string            `json:"recipe"`
			Panel    string            `json:"panel"`
			Revision string            `json:"revision"`
			Given    map[string]string `json:"given,omitempty"`
			Stages   []run.StageValues `json:"stages"`
		}{1, path, plan.Name, plan.Revision, plan.Given, stages})
	} else {
		fmt.Fprint(a.out, valuesText(plan, stages))
	}
	if err != nil {
		return err
	}
	return failed
}

// unrun gives the values as far as they are known before anything runs, and whether that is all.
func unrun(plan *recipe.Plan) (stages []run.StageValues, settled bool) {
	settled = true
	for _, c := range plan.Calls {
		s := run.StageValues{Stage: c.Kind.Name, At: c.Where.String(), Values: []run.Value{}}
		for _, v := range c.Settled(nil) {
			settled = settled && !v.Open
			s.Values = append(s.Values, run.Value{Option: v.Option, Value: v.Value, Origin: v.Origin})
		}
		stages = append(stages, s)
	}
	return stages, settled
}

func valuesText(plan *recipe.Plan, stages []run.StageValues) string {
	var b strings.Builder
	fmt.Fprintf(&b, "panel %q", plan.Name)
	if plan.Revision != "" {
		fmt.Fprintf(&b, ", revision %s", plan.Revision)
	}
	b.WriteString("\n")
	for _, s := range stages {
		fmt.Fprintf(&b, "\nstage %s  (%s)\n", s.Stage, s.At)
		rows := [][]string{}
		for _, v := range s.Values {
			value := v.Value
			if value == "" {
				value = "not set"
			}
			rows = append(rows, []string{v.Option, value, v.Origin})
		}
		if len(rows) == 0 {
			rows = [][]string{{"no options"}}
		}
		b.WriteString(table(rows, "  "))
	}
	return b.String()
}
