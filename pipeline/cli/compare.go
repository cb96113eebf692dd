package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline/compare"
	"panelwright/pipeline/run"
)

// comparing is what compare is called with.
type comparing struct {
	markdown, page string
	all            bool
	workers        int
}

// mostTold is how many changes of one group the terminal shows.
const mostTold = 12

func (a *app) compareCommand() *cobra.Command {
	var v comparing
	c := &cobra.Command{
		Use:   "compare [--page FILE] [--markdown FILE] OLD NEW",
		Short: "what changed between two builds, in words and as a picture",
		Long: "Compares two finished build folders and tells what changed: by the names of features (tab A1/tab/upper/2\n" +
			"moved 3.5 mm to the right), by area where artwork changed, by part, finding and recipe value, and last by file.\n" +
			"Nothing but the two folders is read: no recipe, no board.\n" +
			"\n" +
			"Builds are the same when both folders hold the same files with the same bytes. Only manifest.json and\n" +
			"build.log are held by what they say: the version of the program, the recipe's own bytes and the lines that\n" +
			"values come from may differ while every output is the same. Files' names may begin with other panels' names.\n" +
			"\n" +
			"Ends with 0 where the builds are the same, 1 where they differ, 2 where a folder is no build, 3 where the\n" +
			"machine failed.",
		Args: takes(2, 2, "two build folders, the old and the new"),
		RunE: func(c *cobra.Command, args []string) error { return a.compare(c.Context(), v, args) },
	}
	c.Flags().BoolVar(&v.all, "all", false, fmt.Sprintf("every change, not the first %d of each group", mostTold))
	c.Flags().StringVar(&v.page, "page", "", "a page with both panels over one another, to `FILE`")
	c.Flags().StringVar(&v.markdown, "markdown", "", "the changes as Markdown for a merge request, to `FILE`; - is standard output")
	a.quietFlag(c, "what is wrong: the exit code says whether the builds differ")
	c.Flags().IntVar(&v.workers, "workers", 0, "tasks that may be done at once, `N`; one per processor unless given")
	return c
}

func (a *app) compare(ctx context.Context, v comparing, args []string) error {
	if v.workers < 0 || v.workers > 1024 {
		return misuse("option --workers does not take %d: a number from 1 to 1024 is wanted", v.workers)
	}
	if a.asJSON && v.markdown == "-" {
		return misuse("options --json and --markdown - both want standard output\n    name a file for one of them: --markdown changes.md")
	}
	steps := 1
	if v.page != "" {
		steps = 2
	}
	a.begin(ctx, job{kind: "comparison", at: 1, of: 1, name: filepath.ToSlash(args[1])})
	defer a.wait.end()
	a.wait.reached(run.Step{Name: "comparing", At: 1, Of: steps})
	r, err := compare.Folders(ctx, args[0], args[1], compare.Options{Workers: v.workers})
	if err != nil && ctx.Err() != nil {
		return run.ErrInterrupted
	} else if err != nil {
		return err
	}
	if !r.Same {
		a.count(exitFindings)
	}
	if v.page != "" {
		a.wait.reached(run.Step{Name: "drawing the page", At: 2, Of: steps})
		page, err := r.Page(ctx)
		if err != nil {
			return err
		}
		if err := writeResult(v.page, page); err != nil {
			return err
		}
	}
	a.wait.end()
	switch v.markdown {
	case "":
	case "-":
		_, err := a.out.Write(r.Markdown())
		return err
	default:
		if err := writeResult(v.markdown, r.Markdown()); err != nil {
			return err
		}
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema int `json:"schema"`
			*compare.Result
			Exit int `json:"exit"`
		}{1, r, a.code})
	}
	if a.quiet {
		return nil
	}
	fmt.Fprint(a.out, comparedText(r, v.all))
	for _, x := range []string{v.page, v.markdown} {
		if x != "" {
			fmt.Fprintf(a.out, "\nwritten: %s\n", filepath.ToSlash(x))
		}
	}
	return nil
}

// comparedText tells a comparison to people.
func comparedText(r *compare.Result, all bool) string {
	var b strings.Builder
	side := func(s compare.Side) string {
		state := ""
		if !s.Released {
			state = ", " + run.NotForRelease
		}
		return fmt.Sprintf("%s, %s (%s)%s", s.Folder, panelTitle(s.Panel, s.Revision, s.Supplier), run.Count(s.Files, "file", "files"), state)
	}
	rows := [][]string{{"old", side(r.Old)}, {"new", side(r.New)}, {"result", r.Summary()}}
	b.WriteString(table(rows, ""))
	for _, w := range r.Warnings {
		b.WriteString(wrap("caution: ", w, "    "))
	}
	for _, g := range compare.Groups {
		changes := r.In(g)
		if len(changes) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n%s\n", g)
		shown := changes
		if !all && len(changes) > mostTold {
			shown = changes[:mostTold]
		}
		for _, x := range shown {
			b.WriteString(wrap("  - ", x.Text, "    "))
		}
		if left := len(changes) - len(shown); left > 0 {
			fmt.Fprintf(&b, "    and %d more; --all shows them\n", left)
		}
	}
	if len(r.Notes) > 0 {
		b.WriteString("\nnoted, and no difference of what was built\n")
		for _, n := range r.Notes {
			b.WriteString(wrap("  - ", n, "    "))
		}
	}
	return b.String()
}
