package run

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/jsonlines"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
)

// Options say how to build. They never change a byte of the build folder, but for Program, Gate,
// SourceDateEpoch and what Prove and PanelData make.
type Options struct {
	OutDir          string // where build folders go, by panel name; "build" when empty
	Workers         int    // goroutines a stage may use; one per processor when 0
	Program         pipeline.Program
	Rules           []pipeline.Rule
	Gate            pipeline.Gate
	Console         io.Writer // the log for people, with times; may be nil
	SourceDateEpoch *int64    // seconds, for formats that want a date
	// Prove reads the staged files back and holds them against the panel; may be nil.
	Prove func(ctx context.Context, in ProofInput) ([]pipeline.Finding, error)
	// PanelData gives panel.json; may be nil, and there is none then.
	PanelData func(p panel.Panel, name, revision string) ([]byte, error)
	// CheckOnly runs all stages but those that write, and touches no file.
	CheckOnly bool
	// Progress is told when a step begins, and by stages that count how far they are; may be nil. It is called by
	// several goroutines at once.
	Progress func(Step)
	// Shared is what this build has in common with others of the same call; may be nil.
	Shared *Shared
}

// ProofInput is what the proof judges: the panel, and the files written for it.
type ProofInput = pipeline.Written

// Outcome is a finished build or check.
type Outcome struct {
	Dir      string // the build folder; empty after a check
	Findings []pipeline.Finding
	Judged   []pipeline.Judged // every rule that was judged, by family and name
	Panel    panel.Panel
	Released bool // no finding closes the gate
	Outputs  []FileSum
	Inputs   []FileSum
	Recipe   []FileSum        // the recipe and its standards
	Asked    []Asked          // all that the build hangs on besides recipe and program
	Stamps   map[string]Stamp // of recipe, standards and inputs, as they were when they were read
	Manifest string           // SHA-256 of manifest.json; empty after a check
	Values   []StageValues
	Settled  map[string]cty.Value // what stages settled for later ones, by dotted path
}

// Forget lets go of the panel and the values, which of many builds would fill the memory.
func (o *Outcome) Forget() { o.Panel, o.Settled = panel.Panel{}, nil }

// Build carries out the recipe. The build folder OutDir/<panel>, or OutDir/<panel>/<supplier> where the plan is for
// a supplier, is exchanged for the new one only when all of it is on disk; on any error it is as it was. Errors: recipe.Mistakes for what a recipe
// or input must mend, *MachineError, *FaultError, ErrInterrupted; others are for the user to mend.
func Build(ctx context.Context, plan *recipe.Plan, opt Options) (*Outcome, error) {
	if opt.OutDir == "" {
		opt.OutDir = "build"
	}
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	if err := cleanPart(plan.Name); err != nil || plan.Name == "" || strings.Contains(plan.Name, "/") || len(plan.Name) > 100 {
		return nil, fmt.Errorf("panel %q: the name becomes a folder and part of file names; use letters, digits, - and _", plan.Name)
	}
	if s := plan.Supplier; s != "" && (cleanPart(s) != nil || strings.Contains(s, "/") || len(s) > 100) {
		return nil, fmt.Errorf("supplier %q: the name becomes a folder; use letters, digits, - and _", s)
	}
	path, err := filepath.Abs(plan.Path)
	if err != nil {
		return nil, machine("the working folder is gone: %w", bare(err))
	}
	b := &builder{plan: plan, opt: opt, log: newJournal(opt.Console), base: filepath.Dir(path)}
	out, err := b.build(ctx)
	if err != nil && ctx.Err() != nil {
		return nil, ErrInterrupted
	}
	return out, err
}

// builder is one build under way.
type builder struct {
	plan   *recipe.Plan
	opt    Options
	log    *journal
	base   string // absolute: the recipe's folder
	folder *folder
	files  *Files
	stages *walk
}

func (b *builder) build(ctx context.Context) (*Outcome, error) {
	stage := ""
	if !b.opt.CheckOnly {
		d, err := openFolder(b.opt.OutDir, b.plan.Name, b.plan.Supplier, b.log)
		if err != nil {
			return nil, err
		}
		defer d.close()
		b.folder, stage = d, d.stage
	}
	b.files = NewFiles(ctx, b.base, stage)
	defer b.files.abandon() // before the folder closes
	if d := b.folder; d != nil {
		b.files.own = []string{d.target, d.stage, d.old}
	}
	defer b.files.removeScratch()
	recipeFiles, err := b.recipeFiles(ctx)
	if err != nil {
		return nil, err
	}
	b.stages = newWalk(b)
	if err := b.stages.all(ctx); err != nil {
		return nil, b.honest(err)
	}
	out := &Outcome{Panel: b.stages.panel, Values: b.stages.settled, Settled: b.stages.values, Recipe: recipeFiles}
	if b.opt.CheckOnly {
		out.Findings, out.Judged, out.Inputs = b.stages.findings(), b.judgedHere(), b.files.Inputs()
		out.Released = b.opt.Gate.Open(out.Findings)
		return out, nil
	}
	if err := b.judge(ctx, out); err != nil {
		return nil, b.honest(err)
	}
	if err := b.finish(ctx, out, recipeFiles); err != nil {
		return nil, b.honest(err)
	}
	return out, nil
}

// judge proves what the stages wrote and decides over the release.
func (b *builder) judge(ctx context.Context, out *Outcome) error {
	if err := b.prove(ctx); err != nil {
		return err
	}
	out.Findings = b.stages.findings()
	out.Released = b.opt.Gate.Open(out.Findings)
	if b.stages.contradicted(out.Released) {
		if err := b.stages.again(ctx, out.Released); err != nil {
			return err
		}
		if err := b.prove(ctx); err != nil {
			return err
		}
		out.Findings = b.stages.findings()
		out.Released = out.Released && b.opt.Gate.Open(out.Findings)
		out.Panel, out.Values, out.Settled = b.stages.panel, b.stages.settled, b.stages.values
	}
	out.Judged = b.judgedHere()
	faultPoint("proved")
	return nil
}

// honest gives the machine's failure where a stage has made a plain error of it.
func (b *builder) honest(err error) error {
	if m := (*MachineError)(nil); errors.As(err, &m) {
		return err
	}
	b.files.mu.Lock()
	defer b.files.mu.Unlock()
	if b.files.broken != nil {
		return &MachineError{err}
	}
	return err
}

// finish adds the runner's own files, and exchanges the folders.
func (b *builder) finish(ctx context.Context, out *Outcome, recipeFiles []FileSum) error {
	b.stages.tell.step(Step{Name: stepClosing, At: b.steps(), Of: b.steps()})
	counts := CountFindings(out.Findings)
	notice := ""
	if !out.Released {
		notice = NotForRelease + ": " + Closing(b.opt.Gate, counts)
	}

	log := b.log.logger()
	if out.Released {
		if err := b.files.makeArchives(b.opt.SourceDateEpoch, b.opt.Workers); err != nil {
			return err
		}
		log.Info().Int("archives", len(b.files.archives)).Msg("release gate open")
	} else {
		log.Warn().Int("archives_left_out", len(b.files.archives)).Msg(notice)
	}
	b.files.archives = nil
	if err := b.stages.finish(ctx, pipeline.End{
		Released: out.Released, Notice: notice, Findings: out.Findings, Judged: out.Judged, Recipe: recipeFiles, Inputs: b.files.Inputs(), Outputs: b.files.Outputs(),
		Given: b.plan.Given, Values: out.Values, Fields: b.stages.fields,
	}); err != nil {
		return err
	}

	found, err := jsonlines.Indented(findingsFile{
		Schema: 1, Panel: b.plan.Name, Revision: b.plan.Revision, Supplier: b.plan.Supplier, Reject: b.opt.Gate.Level(), Released: out.Released, Notice: notice,
		Counts: counts, ByFamily: totals(out.Findings, byFamily), ByRule: totals(out.Findings, byRule), Findings: FindingRows(out.Findings), Judged: out.Judged})
	if err != nil {
		return err
	}
	said := judgement{b.plan.Name, b.plan.Revision, b.plan.Supplier, b.opt.Program, b.opt.Rules, out.Judged, out.Findings, b.opt.Gate, out.Released, b.opt.SourceDateEpoch}
	sarif, err := said.sarif()
	if err != nil {
		return err
	}
	junit, err := said.junit()
	if err != nil {
		return err
	}
	own := []ownFile{{findingsName, found}, {sarifName, sarif}, {junitName, junit}}
	if b.opt.PanelData != nil {
		data, err := b.opt.PanelData(out.Panel, b.plan.Name, b.plan.Revision)
		if err != nil {
			return err
		}
		own = append(own, ownFile{panelName, data})
	}
	own = append(own, ownFile{logName, b.log.bytes()})
	for _, f := range own {
		if err := b.files.write(f.name, f.data); err != nil {
			return err
		}
	}

	out.Inputs, out.Outputs = b.files.Inputs(), b.files.Outputs()
	manifest, err := jsonlines.Indented(Manifest{
		Schema: 1, Panel: b.plan.Name, Revision: b.plan.Revision, Supplier: b.plan.Supplier,
		Tool:   ToolName{b.opt.Program.Name, b.opt.Program.Version},
		Reject: b.opt.Gate.Level(), Released: out.Released, Notice: notice, Findings: counts, Epoch: b.opt.SourceDateEpoch,
		Recipe: recipeFiles, Inputs: out.Inputs, Given: b.plan.Given, Values: out.Values, Outputs: out.Outputs,
	})
	if err != nil {
		return err
	}
	if err := b.files.write(manifestName, manifest); err != nil {
		return err
	}
	out.Manifest, out.Asked, out.Stamps = sumOf(manifest), b.files.Asked(), b.files.Stamps()
	if err := b.files.settle(); err != nil {
		return err
	}
	if ctx.Err() != nil {
		return ErrInterrupted
	}
	if err := b.folder.swapIn(b.log); err != nil {
		return err
	}
	out.Dir = b.folder.shown
	return nil
}

// ownFile is a file of the runner's own.
type ownFile struct {
	name string
	data []byte
}

func (b *builder) prove(ctx context.Context) error {
	if b.opt.Prove == nil {
		return nil
	}
	var names []string
	for _, o := range b.files.Outputs() {
		names = append(names, o.Name)
	}
	b.stages.tell.step(Step{Name: stepProof, At: b.steps() - 1, Of: b.steps()})
	var found []pipeline.Finding
	err := guard("the proof", func() (err error) {
		found, err = b.opt.Prove(ctx, ProofInput{Panel: b.stages.panel, Name: b.plan.Name, Read: b.files.ReadBack, Outputs: names, Workers: b.opt.Workers})
		return err
	})
	if err != nil {
		if _, ours := err.(*FaultError); ours {
			return err
		}
		return fmt.Errorf("the proof of the written files cannot be carried out: %w", err)
	}
	for _, f := range found {
		f.Stage = cmp.Or(f.Stage, pipeline.ProofStage)
		b.stages.report(nil, f)
	}
	log := b.log.logger()
	log.Info().Str("stage", "proof").Int("files", len(names)).Int("findings", len(found)).Msg("read back")
	return b.stages.badFinding
}

// recipeFiles sums the recipe and its standards, and makes sure that they are as they were loaded.
func (b *builder) recipeFiles(ctx context.Context) ([]FileSum, error) {
	sums := map[string]FileSum{}
	for _, s := range b.plan.Sources {
		path, err := filepath.Abs(s.Path)
		if err != nil {
			return nil, machine("the working folder is gone: %w", bare(err))
		}
		name, err := b.files.name(path)
		if err != nil {
			return nil, err
		}
		if s.Unread {
			sums[name] = FileSum{Name: name, SHA256: s.SHA256}
			continue
		}
		data, stamp, err := readWhole(ctx, path, name)
		if err != nil {
			return nil, err
		}
		if s.SHA256 != "" && sumOf(data) != s.SHA256 {
			return nil, fmt.Errorf("%s: changed while the build was reading it; build again", name)
		}
		sums[name] = FileSum{Name: name, SHA256: sumOf(data), Bytes: int64(len(data))}
		b.files.stampRecipe(name, stamp)
	}
	return sortedSums(sums, func(s FileSum) FileSum { return s }), nil
}

// EpochFromEnvironment reads SOURCE_DATE_EPOCH, the reproducible-builds convention: seconds since
// 1970 in decimal digits. It gives nil when the variable is not set.
func EpochFromEnvironment() (*int64, error) {
	s, ok := os.LookupEnv("SOURCE_DATE_EPOCH")
	if !ok || s == "" {
		return nil, nil
	}
	var n int64
	for _, c := range s {
		if c < '0' || c > '9' || len(s) > 12 {
			return nil, fmt.Errorf("SOURCE_DATE_EPOCH is %q: it must be a number of seconds since 1970, in digits", s)
		}
		n = n*10 + int64(c-'0')
	}
	return &n, nil
}

// Closing words what keeps the gate closed: 2 findings at error level.
func Closing(g pipeline.Gate, n FindingCounts) string {
	errors := Count(n.Error, "finding", "findings") + " at error level"
	switch {
	case g.Level() == pipeline.Error || n.Warning == 0:
		return errors
	case n.Error == 0:
		return Count(n.Warning, "finding", "findings") + " at warning level, which --reject warning rejects"
	}
	return errors + fmt.Sprintf(", and %d at warning level, which --reject warning rejects", n.Warning)
}

// Count words a number of things: 1 finding, 2 findings.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
