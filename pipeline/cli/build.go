package cli

import (
	"context"
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// building is what build and check are called with.
type building struct {
	out     string
	given   []string
	workers int
	reject  string
	whom    string
	check   bool
}

func (a *app) buildCommand() *cobra.Command {
	var b building
	c := &cobra.Command{
		Use:   "build [-o DIR] [--given NAME=VALUE] [--supplier NAME|all] [--reject SEVERITY] RECIPE|FOLDER...",
		Short: "carry out recipes: judge the panel, write and prove its files",
		Long: "Carries out each recipe, and each recipe of a folder (*.panel.hcl, *.panel.json). The files of a\n" +
			"panel go to DIR/<panel>, which is exchanged for the new build in one step when all of it is written\n" +
			"and proved. A recipe with supplier blocks is built for each of them, into DIR/<panel>/<supplier>.\n" +
			"After a recipe that fails the next one is built all the same. With findings at error level that are\n" +
			"not waived there is no zip, and the build says NOT FOR RELEASE; with --reject warning those at\n" +
			"warning level count as well.",
		Args: takes(1, 0, "a recipe or a folder of recipes"),
		RunE: func(c *cobra.Command, args []string) error { return a.build(c.Context(), b, args) },
	}
	c.Flags().StringVarP(&b.out, "out", "o", "build", "the folder `DIR` that build folders go to (build)")
	b.flags(a, c)
	return c
}

func (a *app) checkCommand() *cobra.Command {
	b := building{check: true}
	c := &cobra.Command{
		Use:   "check [--given NAME=VALUE] [--supplier NAME|all] [--reject SEVERITY] RECIPE|FOLDER...",
		Short: "carry out recipes but for the writing: findings only",
		Long: "Carries out each recipe, and each recipe of a folder (*.panel.hcl, *.panel.json), but for the\n" +
			"stages that write. No file is touched. What the proof would find in written files is not judged.\n" +
			"With --reject warning findings at warning level end it with code 1 too.",
		Args: takes(1, 0, "a recipe or a folder of recipes"),
		RunE: func(c *cobra.Command, args []string) error { return a.build(c.Context(), b, args) },
	}
	b.flags(a, c)
	return c
}

func (b *building) flags(a *app, c *cobra.Command) {
	c.Flags().StringArrayVar(&b.given, "given", nil, "a given value of the recipe, as `NAME=VALUE`; may be repeated")
	c.Flags().StringVar(&b.whom, "supplier", "", supplierHelp)
	c.Flags().StringVar(&b.reject, "reject", string(pipeline.Error), "the least severity that closes the release gate, `SEVERITY`: error or warning (error)")
	a.quietFlag(c, quietly)
	c.Flags().IntVar(&b.workers, "workers", 0, "tasks that a stage may do at once, `N`; one per processor unless given")
}

// report is what came of one recipe, for --json.
type report struct {
	Recipe   string             `json:"recipe"`
	Panel    string             `json:"panel,omitempty"`
	Revision string             `json:"revision,omitempty"`
	Supplier string             `json:"supplier,omitempty"`
	Build    string             `json:"build,omitempty"` // the build folder
	Released *bool              `json:"released,omitempty"`
	Notice   string             `json:"notice,omitempty"`
	Counts   *run.FindingCounts `json:"counts,omitempty"`
	Findings []run.FindingRow   `json:"findings,omitzero"` // nil where nothing was judged
	Judged   []pipeline.Judged  `json:"judged,omitempty"`  // every rule that was judged, by which limit
	Outputs  []run.FileSum      `json:"outputs,omitempty"`
	Inputs   []run.FileSum      `json:"inputs,omitempty"`
	Error    string             `json:"error,omitempty"`
	Mistakes []mistake          `json:"mistakes,omitempty"`
	Exit     int                `json:"exit"`
}

// mistake is one mistake in a recipe, for --json.
type mistake struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	What   string `json:"what"`
	Do     string `json:"do,omitempty"`
}

func (a *app) build(ctx context.Context, b building, args []string) error {
	given, err := givens(b.given)
	if err != nil {
		return err
	}
	if b.workers < 0 || b.workers > 1024 {
		return misuse("option --workers does not take %d: a number from 1 to 1024 is wanted", b.workers)
	}
	gate, err := gateOf(b.reject)
	if err != nil {
		return err
	}
	epoch, err := run.EpochFromEnvironment()
	if err != nil {
		return err
	}
	opt := run.Options{
		OutDir: b.out, Workers: b.workers, CheckOnly: b.check,
		Program: pipeline.Program{Name: a.Name, Version: a.Version}, Rules: a.Rules, Gate: gate,
		Console: a.console(), Progress: a.wait.reached, SourceDateEpoch: epoch, Prove: a.Prove, PanelData: a.PanelData,
	}
	paths, missing := findRecipes(args)
	reports := []report{}
	builtBy := map[string]string{}
	var jobs []struct{ path, supplier string }
	for _, path := range paths {
		for _, s := range suppliers(path, b.whom) {
			jobs = append(jobs, struct{ path, supplier string }{path, s})
		}
	}
	told := map[string]bool{}
	for i, j := range jobs {
		path := j.path
		if i > 0 && !a.asJSON && !a.quiet {
			fmt.Fprintln(a.err)
		}
		r := report{Recipe: path, Supplier: j.supplier}
		a.begin(ctx, job{kind: "recipe", at: i + 1, of: len(jobs), name: filepath.ToSlash(path), whom: j.supplier})
		out, err := a.one(ctx, path, j.supplier, missing[path], given, opt, builtBy, &r)
		a.wait.end()
		if err != nil {
			a.tellError(&r, path, b.check, err, told)
		} else {
			if i > 0 && !a.asJSON && !a.quiet {
				fmt.Fprintln(a.out)
			}
			a.tellOutcome(&r, out, gate)
		}
		a.count(r.Exit)
		reports = append(reports, r)
		if r.Exit == exitInterrupted {
			break
		}
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema int      `json:"schema"`
			Builds []report `json:"builds"`
			Exit   int      `json:"exit"`
		}{1, reports, a.code})
	}
	if len(jobs) > 1 && !a.quiet {
		fmt.Fprint(a.out, "\n"+ledger(reports))
	}
	return nil
}

// gateOf reads --reject.
func gateOf(level string) (pipeline.Gate, error) {
	switch s := pipeline.Severity(level); s {
	case pipeline.Error, pipeline.Warning:
		return pipeline.Gate{Reject: s}, nil
	}
	return pipeline.Gate{}, misuse("option --reject does not take %q: error or warning is wanted", level)
}

// one loads and carries out one recipe.
func (a *app) one(ctx context.Context, path, supplier string, missing error, given map[string]string, opt run.Options, builtBy map[string]string, r *report) (*run.Outcome, error) {
	switch {
	case ctx.Err() != nil:
		return nil, run.ErrInterrupted
	case missing != nil:
		return nil, missing
	}
	plan, err := a.load(path, supplier, given)
	if err != nil {
		return nil, err
	}
	r.Panel, r.Revision = plan.Name, plan.Revision
	if other := builtBy[plan.Name]; other != "" && other != path && !opt.CheckOnly {
		return nil, fmt.Errorf("panel %q is what %s makes too: one would replace the other; give one of them another name", plan.Name, other)
	}
	builtBy[plan.Name] = path
	out, err := run.Build(ctx, plan, opt)
	return out, placed(err, path)
}

// tellError tells why a recipe came to nothing. told are the mistakes that a terminal has seen: a recipe that is built
// for several suppliers has most of them each time.
func (a *app) tellError(r *report, path string, check bool, err error, told map[string]bool) {
	r.Exit = exitCode(err)
	r.Error = a.wording(err)
	var list recipe.Mistakes
	if errors.As(err, &list) {
		for _, m := range list {
			r.Mistakes = append(r.Mistakes, mistake{m.File, m.Line, m.Column, m.What, m.Do})
		}
	}
	if r.Exit == exitInterrupted {
		if !check {
			r.Error += "; the build folder is as it was"
		}
		fmt.Fprintln(a.err, r.Error)
		return
	}
	text := r.Error
	var fresh recipe.Mistakes
	for _, m := range list {
		if key := path + "\n" + m.Error(); !told[key] {
			told[key] = true
			fresh = append(fresh, m)
		}
	}
	again := 0
	if text == list.Error() {
		again, text = len(list)-len(fresh), fresh.Error()
	}
	if again > 0 || !strings.HasPrefix(text, path) {
		head := path + whomText(r.Supplier) + " stopped"
		if len(list) > 1 || again > 0 {
			head += ": " + run.Count(len(list), "mistake", "mistakes")
		}
		switch {
		case again == 0:
		case again == len(list):
			head += ", told above"
		default:
			head += fmt.Sprintf(", %d of them told above", again)
		}
		fmt.Fprintln(a.err, head)
	}
	if text != "" {
		fmt.Fprintln(a.err, text)
	}
}

// placed names the files of mistakes from where the program was started, so that a terminal can jump to
// them; records name them from the recipe's folder. Other errors stay as they are.
func placed(err error, recipePath string) error {
	var list recipe.Mistakes
	dir := filepath.ToSlash(filepath.Dir(recipePath))
	if !errors.As(err, &list) || dir == "." {
		return err
	}
	out := slices.Clone(list)
	for i, m := range out {
		if m.Line > 0 && !path.IsAbs(m.File) {
			out[i].File = path.Join(dir, m.File)
		}
	}
	return out
}

func (a *app) tellOutcome(r *report, out *run.Outcome, gate pipeline.Gate) {
	counts := run.CountFindings(out.Findings)
	r.Build, r.Released, r.Counts = out.Dir, &out.Released, &counts
	r.Findings, r.Judged, r.Outputs, r.Inputs = run.FindingRows(out.Findings), out.Judged, out.Outputs, out.Inputs
	if !out.Released {
		r.Exit, r.Notice = exitFindings, run.NotForRelease
	}
	switch {
	case a.asJSON:
	case a.quiet:
		a.tellClosing(panelTitle(r.Panel, r.Revision, r.Supplier), r.Recipe, out.Findings, gate, r.Build != "")
	default:
		fmt.Fprint(a.out, summary(*r, out.Findings, gate))
	}
}

// summary says where the results are and what was found.
func summary(r report, found []pipeline.Finding, gate pipeline.Gate) string {
	var b strings.Builder
	b.WriteString(panelTitle(r.Panel, r.Revision, r.Supplier) + "\n")
	rows := [][]string{{"recipe", r.Recipe}}
	if r.Build != "" {
		rows = append(rows, []string{"build", fmt.Sprintf("%s (%s)", r.Build, run.Count(len(r.Outputs)+1, "file", "files"))})
	}
	rows = append(rows, []string{"findings", countsText(*r.Counts)})
	switch {
	case r.Notice != "" && r.Build != "":
		rows = append(rows, []string{"release", r.Notice + ": no zip is made while there are findings at " + levels(gate)})
	case r.Notice != "":
		rows = append(rows, []string{"release", r.Notice})
	case r.Build != "":
		rows = append(rows, []string{"release", "open: no finding at " + levels(gate)})
	}
	b.WriteString(table(rows, "  "))
	b.WriteString(findingsText(found, r.Build != ""))
	return b.String()
}

// panelTitle names a panel, its revision, and whom it is built for.
func panelTitle(panel, revision, supplier string) string {
	title := "panel " + panel
	if revision != "" {
		title += ", revision " + revision
	}
	if supplier != "" {
		title += ", for supplier " + supplier
	}
	return title
}

// whomText words whom a recipe is built for.
func whomText(supplier string) string {
	if supplier == "" {
		return ""
	}
	return " for " + supplier
}

// levels words the severities that close the gate.
func levels(gate pipeline.Gate) string {
	if gate.Level() == pipeline.Warning {
		return "error or warning level"
	}
	return "error level"
}

func countsText(n run.FindingCounts) string {
	s := fmt.Sprintf("%s, %s, %s", run.Count(n.Error, "error", "errors"), run.Count(n.Warning, "warning", "warnings"), run.Count(n.Note, "note", "notes"))
	if n.Waived > 0 {
		s += fmt.Sprintf(", %d waived", n.Waived)
	}
	return s
}

// ledger ends a call with several recipes.
func ledger(reports []report) string {
	rows := [][]string{}
	for _, r := range reports {
		what := "good"
		switch {
		case r.Exit == exitInterrupted:
			what = "interrupted"
		case r.Exit >= exitInput:
			what = "stopped"
		case r.Exit == exitFindings:
			what = run.NotForRelease
		}
		detail := r.Build
		if r.Counts != nil {
			detail = strings.TrimSpace(countsText(*r.Counts) + "  " + detail)
		}
		rows = append(rows, []string{r.Recipe + whomText(r.Supplier), what, detail})
	}
	return table(rows, "")
}
