package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/changed"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// changedFrom is what --changed-from has made of a call's builds.
type changedFrom struct {
	Revision string `json:"revision"`
	Builds   int    `json:"builds"` // that the call asks for
	LeftOut  int    `json:"left_out"`

	why map[string]string // why builds are concerned, see buildKey
}

// revision is the value of --changed-from. An empty one, as of a command that failed, is a mistake and not the whole of the recipes.
type revision struct {
	text string
	set  bool
}

func (r *revision) String() string        { return r.text }
func (r *revision) Set(text string) error { r.text, r.set = text, true; return nil }
func (r *revision) Type() string          { return "string" }

func (b *building) changedFlag(c *cobra.Command) {
	c.Flags().Var(&b.changedFrom, "changed-from", "only recipes that are concerned by what has changed since the revision `REV` in Git")
	c.Long += "\n\n" +
		"--changed-from REV leaves out recipes that nothing concerns which is not as it was at REV, a commit,\n" +
		"branch or tag in Git: the recipe, its standards, files it names or that lie in its folders, committed\n" +
		"since, saved only, new or gone. For what a branch has done since it left main, REV is\n" +
		"$(git merge-base main HEAD)."
}

// concerned gives those of the jobs that what has changed since the revision concerns. What cannot be loaded is concerned:
// its mistakes must be shown.
func concerned(ctx context.Context, rev string, jobs []batch.Job, load func(path, supplier string) (*recipe.Plan, error)) ([]batch.Job, *changedFrom, error) {
	repositories := changed.NewSets(rev)
	of := make([]*changed.Set, len(jobs))
	for i, j := range jobs {
		if j.Problem != nil {
			continue
		}
		var err error
		if of[i], err = repositories.Of(ctx, filepath.Dir(j.Recipe)); err != nil {
			return nil, nil, fmt.Errorf("--changed-from: %w", err)
		}
	}
	why := make([]string, len(jobs))
	err := pipeline.Each(ctx, runtime.GOMAXPROCS(0), len(jobs), func(i int) error {
		if of[i] == nil {
			why[i] = "it cannot be read"
			return nil
		}
		plan, err := load(jobs[i].Recipe, jobs[i].Supplier)
		if err != nil {
			why[i] = "it cannot be loaded"
			return nil
		}
		why[i], _ = of[i].Concerns(plan)
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	c := &changedFrom{Revision: rev, Builds: len(jobs), why: map[string]string{}}
	var left []batch.Job
	for i, j := range jobs {
		if why[i] != "" {
			left = append(left, j)
			c.why[buildKey(j)] = why[i]
		}
	}
	c.LeftOut = len(jobs) - len(left)
	return left, c, nil
}

// tell tells people which builds are left.
func (c *changedFrom) tell(a *app, left []batch.Job) {
	if a.quiet || a.asJSON {
		return
	}
	since := "what has changed since " + c.Revision
	if len(left) == 0 {
		fmt.Fprintf(a.out, "nothing to do: %s concerns none of %s\n", since, run.Count(c.Builds, "build", "builds"))
		return
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s concerns %d of %s:\n", since, len(left), run.Count(c.Builds, "build", "builds"))
	rows := make([][]string, len(left))
	for i, j := range left {
		rows[i] = []string{j.Recipe + whomText(j.Supplier), c.why[buildKey(j)]}
	}
	b.WriteString(table(rows, "  "))
	fmt.Fprintln(a.err, b.String())
}

// buildKey names a build among those of a call.
func buildKey(j batch.Job) string { return j.Recipe + "\n" + j.Supplier }
