package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

// building is what build and check are called with.
type building struct {
	out     string
	given   []string
	workers int
	atOnce  int
	memory  string
	reject  string
	whom    string
	records string
	store   string
	part    string
	summary []string
	all     bool
	check   bool
	force   bool

	changedFrom revision
	watch       bool
	watchEvery  time.Duration
}

func (a *app) buildCommand() *cobra.Command {
	var b building
	c := &cobra.Command{
		Use:   "build [-o DIR] [--given NAME=VALUE] [--supplier NAME|all] [--reject SEVERITY] RECIPE|FOLDER...",
		Short: "carry out recipes: judge the panel, write and prove its files",
		Long: "Carries out each recipe, and each recipe of a folder and the folders in it (*.panel.hcl,\n" +
			"*.panel.json), several at once. The files of a panel go to DIR/<panel>, which is exchanged for the\n" +
			"new build in one step when all of it is written and proved. A recipe with supplier blocks is built\n" +
			"for each of them, into DIR/<panel>/<supplier>. After a recipe that fails the others are built all the\n" +
			"same. With findings at error level that are not waived there is no zip, and the build says NOT FOR\n" +
			"RELEASE; with --reject warning those at warning level count as well.\n" +
			"\n" +
			"What would come out as it is in DIR already is not built again: the same program, recipe and\n" +
			"standards, inputs and settings, by content, whatever their dates are. --force builds it all the same.\n" +
			"\n" + partHelp,
		Args: takes(1, 0, "a recipe or a folder of recipes"),
		RunE: func(c *cobra.Command, args []string) error { return a.build(c.Context(), b, args) },
	}
	c.Flags().StringVarP(&b.out, "out", "o", "build", "the folder `DIR` that build folders go to (build)")
	b.flags(a, c)
	c.Flags().StringVar(&b.records, "records", "", "the folder `DIR` that keeps what is known of builds; the user's cache folder unless given")
	b.storeFlag(a, c)
	b.watchFlags(c)
	c.Flags().BoolVar(&b.force, "force", false, "build what is unchanged, too")
	return c
}

func (a *app) checkCommand() *cobra.Command {
	b := building{check: true}
	c := &cobra.Command{
		Use:   "check [--given NAME=VALUE] [--supplier NAME|all] [--reject SEVERITY] RECIPE|FOLDER...",
		Short: "carry out recipes but for the writing: findings only",
		Long: "Carries out each recipe, and each recipe of a folder and the folders in it (*.panel.hcl,\n" +
			"*.panel.json), but for the stages that write. No file is touched. What the proof would find in\n" +
			"written files is not judged. With --reject warning findings at warning level end it with code 1 too.\n" +
			"\n" + partHelp,
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
	b.partFlags(c)
	b.changedFlag(c)
	a.quietFlag(c, quietly)
	c.Flags().IntVar(&b.atOnce, "at-once", 0, "recipes under way at once at most, `N`; one per processor unless given")
	c.Flags().StringVar(&b.memory, "memory", "", "what they may need by estimate, `SIZE`: 2GiB; three quarters of what is free unless given")
	c.Flags().IntVar(&b.workers, "workers", 0, "tasks a stage may do at once, `N`; the processors shared out to recipes unless given")
}

// report is what came of one recipe, for --json.
type report struct {
	Recipe    string             `json:"recipe"`
	Panel     string             `json:"panel,omitempty"`
	Revision  string             `json:"revision,omitempty"`
	Supplier  string             `json:"supplier,omitempty"`
	Build     string             `json:"build,omitempty"` // the build folder
	Released  *bool              `json:"released,omitempty"`
	Notice    string             `json:"notice,omitempty"`
	How       batch.How          `json:"how,omitempty"`       // how the build came about: built, unchanged, from the store
	Why       string             `json:"why,omitempty"`       // what has changed since it was built before
	Concerned string             `json:"concerned,omitempty"` // what has changed since --changed-from
	Counts    *run.FindingCounts `json:"counts,omitempty"`
	Findings  []run.FindingRow   `json:"findings,omitzero"` // nil where nothing was judged
	Judged    []pipeline.Judged  `json:"judged,omitempty"`  // every rule that was judged, by which limit
	Outputs   []run.FileSum      `json:"outputs,omitempty"`
	Inputs    []run.FileSum      `json:"inputs,omitempty"`
	Error     string             `json:"error,omitempty"`
	Mistakes  []mistake          `json:"mistakes,omitempty"`
	Exit      int                `json:"exit"`
}

// mistake is one mistake in a recipe, for --json.
type mistake struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	What   string `json:"what"`
	Do     string `json:"do,omitempty"`
}

// settings reads what the options say of every build.
func (b building) settings(a *app) (opt batch.Options, err error) {
	if opt.Given, err = givens(b.given); err != nil {
		return opt, err
	}
	for name, n := range map[string]int{"workers": b.workers, "at-once": b.atOnce} {
		if n < 0 || n > 1024 {
			return opt, misuse("option --%s does not take %d: a number from 1 to 1024 is wanted", name, n)
		}
	}
	if opt.Memory, err = sizeOf("memory", b.memory); err != nil {
		return opt, err
	}
	gate, err := gateOf(b.reject)
	if err != nil {
		return opt, err
	}
	epoch, err := run.EpochFromEnvironment()
	if err != nil {
		return opt, err
	}
	opt.AtOnce, opt.Force, opt.Records = b.atOnce, b.force, b.records
	opt.Load = func(path, supplier string) (*recipe.Plan, error) {
		return a.loadPlain(path, supplier, opt.Given)
	}
	opt.Build = run.Options{
		OutDir: b.out, Workers: b.workers, CheckOnly: b.check,
		Program: pipeline.Program{Name: a.Name, Version: a.Version}, Rules: a.Rules, Gate: gate,
		SourceDateEpoch: epoch, Prove: a.Prove, PanelData: a.PanelData,
	}
	return opt, nil
}

func (a *app) build(ctx context.Context, b building, args []string) error {
	opt, err := b.settings(a)
	if err != nil {
		return err
	}
	part, err := b.readyForSummary()
	if err != nil {
		return err
	}
	if err := b.checkWatch(); err != nil {
		return err
	}
	if b.watch {
		return a.watchBuilds(ctx, b, opt, part, args)
	}
	return a.buildOnce(ctx, newTelling(a, b, opt), opt, part, args)
}

// buildOnce carries out what the arguments ask for, and tells what came of it.
func (a *app) buildOnce(ctx context.Context, t *telling, opt batch.Options, part *summary.Part, args []string) (err error) {
	b := t.b
	jobs := findJobs(args, b)
	if b.changedFrom.set {
		if jobs, t.since, err = concerned(ctx, b.changedFrom.text, jobs, opt.Load); err != nil {
			return err
		}
		t.since.tell(a, jobs)
	}
	jobs, part = partOfJobs(jobs, part)
	kept, err := a.openStore(ctx, b.store)
	if err != nil {
		return err
	}
	if kept != nil {
		defer kept.Close()
		opt.Keeper = kept
	}
	t.carryOut(ctx, jobs, opt)
	s := summary.New(run.ToolName{Name: a.Name, Version: a.Version}, t.gate.Reject, part, t.rows)
	s.Given, s.Epoch = opt.Given, opt.Build.SourceDateEpoch
	if err := writeSummary(s, b.summary); err != nil {
		return err
	}
	if a.asJSON {
		return a.printJSON(struct {
			Schema      int          `json:"schema"`
			ChangedFrom *changedFrom `json:"changed_from,omitempty"`
			Builds      []report     `json:"builds"`
			Exit        int          `json:"exit"`
		}{1, t.since, t.reports, a.code})
	}
	if (len(jobs) > 1 || part != nil) && !a.quiet {
		t.tellAll(s)
	}
	a.tellWritten(b.summary)
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
