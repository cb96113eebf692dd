package cli

import (
	"context"
	"fmt"
	"runtime"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/recipe"
)

// findJobs gives the builds that the arguments ask for, in their order. Of two recipes that make panels of one name the
// second is a problem: one would replace the other.
func findJobs(args []string, b building) []batch.Job {
	paths, missing := findRecipes(args)
	glances := make([]recipe.Glance, len(paths))
	// The error is of a context that never ends.
	_ = pipeline.Each(context.Background(), runtime.GOMAXPROCS(0), len(paths), func(i int) error {
		if missing[paths[i]] == nil {
			glances[i] = recipe.GlanceAt(paths[i])
		}
		return nil
	})
	var jobs []batch.Job
	madeBy := map[string]string{}
	for i, path := range paths {
		j := batch.Job{Recipe: path, Problem: missing[path]}
		if name := glances[i].Panel; name != "" && !b.check && j.Problem == nil {
			if other := madeBy[name]; other != "" {
				j.Problem = fmt.Errorf("panel %q is what %s makes too: one would replace the other; give one of them another name", name, other)
			} else {
				madeBy[name] = path
			}
		}
		for _, s := range suppliers(glances[i], b.whom) {
			j.Supplier = s
			jobs = append(jobs, j)
		}
	}
	return jobs
}

// suppliers gives whom a recipe is to be built for: the one that is asked for, or all that it has blocks for, or
// nobody in particular.
func suppliers(g recipe.Glance, asked string) []string {
	switch {
	case asked != "" && asked != recipe.AllSuppliers:
		return []string{asked}
	case len(g.Suppliers) > 0:
		return g.Suppliers
	}
	return []string{""}
}
