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
	var whom string
	c := &cobra.Command{
		Use:   "values [--given NAME=VALUE] [--supplier NAME|all] RECIPE",
		Short: "a recipe with every value filled in, and where each came from",
		Long: "Prints every option of every stage of the recipe as it ends up, with the file and line that its\n" +
			"value came from. Where one reads what an earlier stage settles, the stages that do not write are\n" +
			"carried out to learn it. A recipe with supplier blocks is shown for each of them.",
		Args: takes(1, 1, "one recipe"),
		RunE: func(c *cobra.Command, args []string) error { return a.values(c.Context(), args[0], whom, texts) },
	}
	c.Flags().StringVar(&whom, "supplier", "", supplierHelp)
	c.Flags().StringArrayVar(&texts, "given", nil, "a given value of the recipe, as `NAME=VALUE`; may be repeated")
	return c
}

// recipeValues is what a recipe ends up with, for --json.
type recipeValues struct {
	Panel    string            `json:"panel"`
	Revision string            `json:"revision"`
	Supplier string            `json:"supplier,omitempty"`
	Given    map[string]string `json:"given,omitempty"`
	Stages   []run.StageValues `json:"stages"`
}

func (a *app) values(ctx context.Context, path, whom string, texts []string) error {
	given, err := givens(texts)
	if err != nil {
		return err
	}
	var all []recipeValues
	var failed error // told after the values that are known all the same
	list := suppliers(recipe.GlanceAt(path), whom)
	for i, s := range list {
		plan, err := a.load(path, s, given)
		if err != nil {
			return err
		}
		v := recipeValues{plan.Name, plan.Revision, plan.Supplier, plan.Given, nil}
		settled := false
		if v.Stages, settled = unrun(plan); !settled {
			out, err := run.Build(ctx, plan, run.Options{
				CheckOnly: true, Rules: a.Rules, Program: pipeline.Program{Name: a.Name, Version: a.Version},
			})
			if err == nil {
				v.Stages = out.Values
			} else if failed == nil {
				failed = err
			}
		}
		if !a.asJSON {
			if i > 0 {
				fmt.Fprintln(a.out)
			}
			fmt.Fprint(a.out, valuesText(v))
		}
		all = append(all, v)
	}
	switch {
	case a.asJSON && len(list) == 1:
		err = a.printJSON(struct {
			Schema int    `json:"schema"`
			Recipe string `json:"recipe"`
			recipeValues
		}{1, path, all[0]})
	case a.asJSON:
		err = a.printJSON(struct {
			Schema    int            `json:"schema"`
			Recipe    string         `json:"recipe"`
			Suppliers []recipeValues `json:"suppliers"`
		}{1, path, all})
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

func valuesText(v recipeValues) string {
	var b strings.Builder
	fmt.Fprintf(&b, "panel %q", v.Panel)
	if v.Revision != "" {
		fmt.Fprintf(&b, ", revision %s", v.Revision)
	}
	if v.Supplier != "" {
		fmt.Fprintf(&b, ", for supplier %s", v.Supplier)
	}
	b.WriteString("\n")
	for _, s := range v.Stages {
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
