// Package batch carries out many recipes: several at once, as processors and memory allow, each board read once; what would come
// out as it is there already is not built again. After a recipe that fails the others are built all the same.
package batch

import (
	"context"
	"io"
	"path/filepath"
	"runtime"
	"sync"

	"panelwright/pipeline/known"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// Job is one build: a recipe, for a supplier or nobody in particular.
type Job struct {
	Recipe   string // its path
	Supplier string
	// Problem, where there is one, is told in place of building.
	Problem error
}

// How says how a build came about.
type How string

// The ways.
const (
	Built     How = "built"
	Unchanged How = "unchanged"      // there already
	Taken     How = "from the store" // another worker's
	Checked   How = "checked"
)

// Done is what came of a job.
type Done struct {
	Job
	At              int // its number among the jobs, from 0
	Panel, Revision string
	How             How
	Why             string // why it was built again: what has changed
	// Outcome is the build or check, nil with an error. Its Panel is empty. Of a build that was not made
	// now, Findings, Judged, Inputs and Outputs are there when Details has been called.
	Outcome *run.Outcome
	Counts  run.FindingCounts
	Err     error
}

// Options say how.
type Options struct {
	Build  run.Options       // of every build, but for Console, Progress and Shared
	Given  map[string]string // as it came from outside
	Load   func(path, supplier string) (*recipe.Plan, error)
	AtOnce int   // builds at once; 0: one per processor
	Memory int64 // bytes that builds at once may need by estimate; 0: what the machine has to spare
	Force  bool  // builds what is unchanged, too
	// Records is the folder for records of what is built; see known.RecordsOf.
	Records string
	Keeper  Keeper
	// Console gives the log of a job, for people; may be nil.
	Console func(at int) io.Writer
	// Warnings takes what people should know of a job that nothing else tells: that the store cannot be reached, that builds cannot be
	// recorded. Nil: Console.
	Warnings func(at int) io.Writer
	// Progress is told the steps of a job; may be nil.
	Progress func(at int, s run.Step)
	// Begins is told before a job is carried out, by several goroutines at once; may be nil.
	Begins func(at int, j Job)
	// Ends is told of each job, in the order of the jobs.
	Ends func(Done)
}

// Run carries out the jobs. When ctx ends, those that have not begun end with run.ErrInterrupted.
func Run(ctx context.Context, jobs []Job, opt Options) {
	b := &batch{jobs: jobs, opt: opt, checker: &known.Checker{}}
	procs := runtime.GOMAXPROCS(0)
	if b.opt.AtOnce <= 0 {
		b.opt.AtOnce = procs
	}
	b.opt.AtOnce = max(1, min(b.opt.AtOnce, len(jobs)))
	if b.opt.Build.OutDir == "" {
		b.opt.Build.OutDir = "build"
	}
	if b.opt.Build.Workers <= 0 {
		b.opt.Build.Workers = max(1, (procs+b.opt.AtOnce-1)/b.opt.AtOnce)
	}
	b.records, _ = known.RecordsOf(b.opt.Records, b.opt.Build.OutDir) // without records, all is built
	b.memory = newMemory(b.opt.Memory)
	b.opt.Build.Shared = run.NewShared(b.memory.most / 40) // of the input: boards in memory are some ten times as large
	done := make([]chan Done, len(jobs))
	for i := range done {
		done[i] = make(chan Done, 1)
	}
	next := make(chan int)
	var workers sync.WaitGroup
	for range b.opt.AtOnce {
		workers.Go(func() {
			for i := range next {
				done[i] <- b.one(ctx, i)
			}
		})
	}
	go func() {
		defer close(next)
		for i := range jobs {
			next <- i
		}
	}()
	for i := range jobs {
		d := <-done[i]
		if opt.Ends != nil {
			opt.Ends(d)
		}
	}
	workers.Wait()
}

type batch struct {
	jobs    []Job
	opt     Options
	checker *known.Checker
	records known.Records
	memory  *memory
	told    sync.Once // that builds cannot be recorded
}

func (b *batch) one(ctx context.Context, at int) Done {
	d := Done{Job: b.jobs[at], At: at}
	switch {
	case ctx.Err() != nil:
		d.Err = run.ErrInterrupted
		return d
	case d.Problem != nil:
		d.Err = d.Problem
		return d
	}
	if b.opt.Begins != nil {
		b.opt.Begins(at, d.Job)
	}
	d.Err = b.carryOut(ctx, &d)
	if ctx.Err() != nil && d.Err != nil {
		d.Err = run.ErrInterrupted
	}
	if d.Err != nil {
		d.Outcome = nil
	}
	return d
}

func (b *batch) carryOut(ctx context.Context, d *Done) error {
	opt := b.opt.Build
	if b.opt.Console != nil {
		opt.Console = b.opt.Console(d.At)
	}
	warnings := opt.Console
	if b.opt.Warnings != nil {
		warnings = b.opt.Warnings(d.At)
	}
	if b.opt.Progress != nil {
		opt.Progress = func(s run.Step) { b.opt.Progress(d.At, s) }
	}
	var settings known.Settings
	if !opt.CheckOnly {
		var err error
		if settings, err = known.SettingsOf(opt, d.Supplier, b.opt.Given); err != nil {
			return &run.MachineError{Err: err}
		}
		if b.unchanged(ctx, d, settings) {
			return nil
		}
	}
	plan, err := b.opt.Load(d.Recipe, d.Supplier)
	if err != nil {
		return err
	}
	d.Panel, d.Revision = plan.Name, plan.Revision
	if !opt.CheckOnly && b.opt.Keeper != nil && !b.opt.Force {
		if took, err := b.take(ctx, d, plan, settings, opt.Console, warnings); err != nil || took {
			return err
		}
	}
	free, err := b.memory.take(ctx, plan)
	if err != nil {
		return err
	}
	defer free()
	out, err := run.Build(ctx, plan, opt)
	if err != nil {
		return err
	}
	out.Forget()
	d.Outcome, d.Counts, d.How = out, run.CountFindings(out.Findings), Built
	if opt.CheckOnly {
		d.How = Checked
		return nil
	}
	b.keep(ctx, d, plan, settings, warnings)
	return nil
}

// unchanged tells whether the build is there already, and fills in what is known of it.
func (b *batch) unchanged(ctx context.Context, d *Done, s known.Settings) bool {
	if b.opt.Force {
		return false
	}
	out := b.opt.Build.OutDir
	r := b.records.Load(d.Recipe, d.Supplier)
	base, err := recipeFolder(d.Recipe)
	if err != nil {
		return false
	}
	dir := ""
	if r != nil {
		dir = filepath.Join(out, r.Panel, d.Supplier)
	}
	why, renewed := b.checker.Unchanged(ctx, r, s, base, dir)
	if why == "" && run.CutOff(out, r.Panel, d.Supplier) {
		why = "another build is running or was cut off" // the build refuses, or clears up
	}
	if why != "" {
		d.Why = why
		return false
	}
	if renewed {
		b.records.Save(r, d.Recipe) // else the next run reads the files again, which does no harm
	}
	d.there(r, dir, Unchanged)
	return true
}

// there fills in what is known of a build that is in its place.
func (d *Done) there(r *known.Record, dir string, how How) {
	d.Panel, d.Revision, d.Counts, d.How = r.Panel, r.Revision, r.Counts, how
	d.Outcome = &run.Outcome{Dir: dir, Released: r.Released, Recipe: r.Files, Asked: r.Asked, Stamps: r.Stamps, Manifest: r.Manifest}
	for _, o := range r.Outputs {
		if o.Name != run.ManifestName {
			d.Outcome.Outputs = append(d.Outcome.Outputs, o.FileSum)
		}
	}
}

// Details reads what is not kept of a build that was there already, or was taken: findings and inputs. It does nothing for others.
func (d *Done) Details() error {
	if d.How != Unchanged && d.How != Taken || d.Outcome.Findings != nil {
		return nil
	}
	found, judged, err := run.ReadFindings(d.Outcome.Dir)
	if err != nil {
		return err
	}
	m, err := run.ReadManifest(d.Outcome.Dir)
	if err != nil {
		return err
	}
	d.Outcome.Findings, d.Outcome.Judged, d.Outcome.Inputs, d.Outcome.Values = found, judged, m.Inputs, m.Values
	return nil
}

func recipeFolder(path string) (string, error) {
	abs, err := filepath.Abs(path)
	return filepath.Dir(abs), err
}
