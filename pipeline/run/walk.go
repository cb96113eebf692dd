package run

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
)

// walk takes the panel through the stages, one after another.
type walk struct {
	b       *builder
	panel   panel.Panel
	values  map[string]cty.Value
	settled []StageValues
	tell    teller
	step    Step // the one under way

	made     map[string]*recipe.Call // outputs by the call that made them
	places   map[option]*pipeline.SetAt
	families map[string]pipeline.Family

	finishers []finisher // stages that go on when all is known, in the order of the recipe

	before *mark // how things stood before the first stage that writes

	mu         sync.Mutex
	found      []pipeline.Finding
	waivers    []pipeline.Waiver
	judged     []pipeline.Judged
	fields     []pipeline.Field
	badFinding error
	said       map[bool]bool // what stages that write were told of the gate
	decided    *bool         // what they are told, once the findings are known
}

// option is an option or block of a call, by its name.
type option struct {
	call *recipe.Call
	name string
}

// mark is how a walk stood at a point.
type mark struct {
	call, settled, found, waivers, judged, fields, finishers, log int
	values                                                        map[string]cty.Value
	panel                                                         panel.Panel
}

func newWalk(b *builder) *walk {
	w := &walk{b: b, tell: b.opt.Progress, values: map[string]cty.Value{}, settled: []StageValues{}, made: map[string]*recipe.Call{}, families: map[string]pipeline.Family{}, said: map[bool]bool{}, places: map[option]*pipeline.SetAt{}}
	for _, r := range b.opt.Rules {
		w.families[r.Name] = r.Family
	}
	return w
}

func (w *walk) all(ctx context.Context) error { return w.from(ctx, 0) }

// from carries out the calls from the given one on.
func (w *walk) from(ctx context.Context, first int) error {
	for i, call := range w.b.plan.Calls[first:] {
		if call.Kind.Role == pipeline.Write && w.before == nil {
			w.before = &mark{first + i, len(w.settled), w.told(), len(w.waivers), len(w.judged), len(w.fields), len(w.finishers), w.b.log.length(), maps.Clone(w.values), w.panel}
		}
		if !w.b.carriesOut(call) {
			w.settled = append(w.settled, settledValues(call, w.values))
			continue
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		w.begin(call, first+i)
		if err := w.one(ctx, call); err != nil {
			return located(call, err)
		}
		faultPoint("stage " + call.Kind.Name)
	}
	return nil
}

// begin tells that the call of that number begins.
func (w *walk) begin(call *recipe.Call, number int) {
	at := 1
	for _, c := range w.b.plan.Calls[:number] {
		if w.b.carriesOut(c) {
			at++
		}
	}
	w.step = Step{Name: call.Kind.Name, At: at, Of: w.b.steps()}
	w.tell.step(w.step)
}

// reached tells how far the step under way is.
func (w *walk) reached(done, of int) {
	s := w.step
	s.Done, s.Parts = done, of
	w.tell.step(s)
}

// located puts an error of a stage into the layout of a mistake in the recipe, once.
func located(call *recipe.Call, err error) error {
	var m recipe.Mistakes
	var fault *FaultError
	switch {
	case errors.As(err, &m), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &fault):
		fault.Where = fmt.Sprintf("%s: stage %s", call.Where, call.Kind.Name)
		return fault
	}
	what, rest, _ := strings.Cut(err.Error(), "\n")
	at := recipe.Mistake{
		File: call.Where.File, Line: call.Where.Line, Column: call.Where.Column,
		SourceLine: call.Where.SourceLine, Width: len("stage"),
		What: "stage " + call.Kind.Name + ": " + what,
		Do:   strings.TrimPrefix(rest, "    "),
	}
	if broken := (*MachineError)(nil); errors.As(err, &broken) {
		return &MachineError{recipe.Mistakes{at}}
	}
	return recipe.Mistakes{at}
}

func (w *walk) one(ctx context.Context, call *recipe.Call) error {
	stage, err := call.Stage(maps.Clone(w.values))
	if err != nil {
		return err
	}
	name := call.Kind.Name
	log := w.b.log.logger().With().Str("stage", name).Logger()
	log.Debug().Str("at", call.Where.String()).Msg("begins")
	before := w.told()
	var agreed *panel.XOut
	made := len(w.b.files.Outputs())
	files := w.b.files
	var handed pipeline.Files = files
	if call.Kind.Role != pipeline.Write {
		handed = readOnly{files}
	}
	env := w.env(call, handed, func(f pipeline.Finding) { w.report(call, f) }).With(pipeline.Hooks{
		Waive: func(all []pipeline.Waiver) { w.waive(call, all) }, Judged: func(j pipeline.Judged) { w.judge(call, j) }, Released: w.open,
		Agreed: func(x panel.XOut) { agreed = &x }, Show: func(f pipeline.Field) { w.show(f) }, Reached: w.reached,
		Once: w.once(handed), Variable: files.variable, Program: files.program, Scratch: files.makeScratch,
	})

	var result pipeline.Result
	err = guard("", func() (err error) { result, err = stage.Run(ctx, env, w.panel); return err })
	switch {
	case err != nil:
		return err
	case w.badFinding != nil:
		return w.badFinding
	}
	if open := files.unfinished(); open != "" {
		return &FaultError{What: fmt.Sprintf("left the file %s open", open)}
	}
	if err := w.take(call, stage, result); err != nil {
		return err
	}
	if f, ok := stage.(pipeline.Finisher); ok && call.Kind.Role == pipeline.Write {
		w.finishers = append(w.finishers, finisher{call, f})
	}
	if agreed != nil {
		if w.panel, err = w.panel.Agree(*agreed); err != nil {
			return err
		}
	}
	w.settled = append(w.settled, settledValues(call, w.values))
	done := log.Info()
	if n := w.told() - before; n > 0 {
		done = done.Int("findings", n)
	}
	outputs := files.Outputs()
	for _, o := range outputs {
		if w.made[o.Name] == nil {
			w.made[o.Name] = call
		}
	}
	if n := len(outputs) - made; n > 0 {
		done = done.Int("files", n)
	}
	done.Msg(stageEnds)
	return nil
}

// once gives Env.Once: nil where nothing is shared.
func (w *walk) once(handed pipeline.Files) func(context.Context, string, func(pipeline.Files) (any, error)) (any, error) {
	return func(ctx context.Context, key string, work func(pipeline.Files) (any, error)) (any, error) {
		if w.b.opt.Shared == nil {
			return work(handed)
		}
		return w.b.opt.Shared.once(ctx, w.b.files, key, work)
	}
}

// env gives what a stage may touch.
func (w *walk) env(call *recipe.Call, files pipeline.Files, report func(pipeline.Finding)) *pipeline.Env {
	return pipeline.NewEnv(pipeline.Env{
		Log: w.b.log.logger().With().Str("stage", call.Kind.Name).Logger(), Panel: w.b.plan.Name, Revision: w.b.plan.Revision, Supplier: w.b.plan.Supplier,
		Date: sourceDate(w.b.opt.SourceDateEpoch), Workers: w.b.opt.Workers,
		Files: files, Rules: slices.Clone(w.b.opt.Rules), Program: w.b.opt.Program, Gate: w.b.opt.Gate,
	}, report, w.findings)
}

// take holds a result against what the stage's kind and its Valuer promise.
func (w *walk) take(call *recipe.Call, stage pipeline.Stage, r pipeline.Result) error {
	if role := call.Kind.Role; role == pipeline.Judge || role == pipeline.Write {
		if r.Panel != w.panel && r.Panel != (panel.Panel{}) {
			return &FaultError{What: fmt.Sprintf("changed the panel, which a stage of the role %s must not", role)}
		}
		r.Panel = w.panel
	}
	told := map[string]cty.Type{}
	if v, ok := stage.(pipeline.Valuer); ok {
		told = v.ValueTypes()
	}
	for _, name := range slices.Sorted(maps.Keys(r.Values)) {
		want, ok := told[name]
		if !ok {
			return &FaultError{What: fmt.Sprintf("gave the value %s without having told its type", name)}
		}
		got := r.Values[name]
		if got == cty.NilVal || !got.IsWhollyKnown() || len(got.Type().TestConformance(want)) > 0 {
			return &FaultError{What: fmt.Sprintf("gave the value %s of another type than it told", name)}
		}
		w.values[name] = got
	}
	w.panel = r.Panel
	return nil
}

// report takes a finding of a stage, or of the proof where call is nil.
func (w *walk) report(call *recipe.Call, f pipeline.Finding) {
	if f.Stage == "" && call != nil {
		f.Stage = call.Kind.Name
	}
	f.Copies, f.Waived = slices.Clone(f.Copies), nil
	if f.Family == "" {
		f.Family = w.families[f.Rule]
	}
	f.Set = w.setAt(call, f)
	var bad error
	switch {
	case f.Severity != pipeline.Error && f.Severity != pipeline.Warning && f.Severity != pipeline.Note:
		bad = &FaultError{What: fmt.Sprintf("reported a finding of the unknown severity %q", f.Severity)}
	case !finite(f.Measured) || !finite(f.Limit):
		bad = &FaultError{What: fmt.Sprintf("reported a finding of %s whose figure is not a number", f.Rule)}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if bad != nil {
		w.badFinding = cmp.Or(w.badFinding, bad)
		return
	}
	w.found = append(w.found, f)
}

// setAt gives the line that a finding's limit comes from, or that asked for what was judged: of a stage the
// option that the finding names, or its block; of the proof the block of the stage that wrote the file, or
// the first that writes, or the panel's.
func (w *walk) setAt(call *recipe.Call, f pipeline.Finding) *pipeline.SetAt {
	if call != nil {
		return w.placeOf(call, f.Option)
	}
	if maker := w.made[f.Feature]; maker != nil {
		return setAt(maker.Where)
	}
	for _, c := range w.b.plan.Calls {
		if c.Kind.Role == pipeline.Write {
			return setAt(c.Where)
		}
	}
	return setAt(w.b.plan.Where)
}

// placeOf gives the place of an option; each is looked for once, as many findings share it.
func (w *walk) placeOf(call *recipe.Call, name string) *pipeline.SetAt {
	w.mu.Lock()
	defer w.mu.Unlock()
	k := option{call, name}
	at, ok := w.places[k]
	if !ok {
		at = setAt(call.PlaceOf(name))
		w.places[k] = at
	}
	return at
}

func setAt(p recipe.Place) *pipeline.SetAt {
	if p.Line == 0 {
		return nil
	}
	return &pipeline.SetAt{File: p.File, Line: p.Line, Column: p.Column}
}

// waive takes waivers of a stage.
func (w *walk) waive(call *recipe.Call, all []pipeline.Waiver) {
	for _, x := range all {
		x.Set, x.Stage = w.placeOf(call, x.Option), call.Kind.Name
		w.mu.Lock()
		w.waivers = append(w.waivers, x)
		w.mu.Unlock()
	}
}

// judge takes what a stage tells of a rule that it judged.
func (w *walk) judge(call *recipe.Call, j pipeline.Judged) {
	j.Set, j.Stage = w.placeOf(call, j.Option), call.Kind.Name
	if j.Family == "" {
		j.Family = w.families[j.Rule]
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if !finite(j.Limit) || !finite(j.Worst) {
		w.badFinding = cmp.Or(w.badFinding, error(&FaultError{What: fmt.Sprintf("judged %s by a figure that is not a number", j.Rule)}))
		return
	}
	w.judged = append(w.judged, j)
}

// told counts what has been reported.
func (w *walk) told() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.found)
}

// open tells whether the release gate is open as things stand, or as they have turned out.
func (w *walk) open() bool {
	open := w.b.opt.Gate.Open(w.findings())
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.decided != nil {
		open = *w.decided
	}
	if w.before != nil {
		w.said[open] = true
	}
	return open
}

// contradicted tells whether a stage that writes was told otherwise of the gate than it turned out.
func (w *walk) contradicted(open bool) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.before != nil && w.said[!open]
}

// again runs the stages that write a second time, in a build folder that is empty again, and tells them what
// became of the gate: findings of the proof, or of stages that wrote later, have decided otherwise than
// earlier ones were told, and what they wrote of it must be true.
func (w *walk) again(ctx context.Context, open bool) error {
	m := w.before
	if err := w.b.files.reset(); err != nil {
		return err
	}
	w.b.log.cut(m.log)
	w.mu.Lock()
	w.found, w.waivers = w.found[:m.found:m.found], w.waivers[:m.waivers:m.waivers]
	w.judged = w.judged[:m.judged:m.judged]
	w.fields = w.fields[:m.fields:m.fields]
	w.finishers = w.finishers[:m.finishers:m.finishers]
	w.settled, w.values, w.panel = w.settled[:m.settled], m.values, m.panel
	w.said, w.decided = map[bool]bool{}, &open
	w.mu.Unlock()
	clear(w.made)
	log := w.b.log.logger()
	log.Info().Bool("released", open).Msg("written again: what was found after writing decides over the release")
	return w.from(ctx, m.call)
}

func finite(x *float64) bool { return x == nil || !math.IsNaN(*x) && !math.IsInf(*x, 0) }

// findings gives what has been found so far, in an order that does not depend on who reported first; what
// waivers cover is marked, and those that cover nothing are told.
func (w *walk) findings() []pipeline.Finding {
	w.mu.Lock()
	found, waivers := slices.Clone(w.found), slices.Clone(w.waivers)
	w.mu.Unlock()
	SortFindings(found)
	if w.b.opt.CheckOnly {
		waivers = slices.DeleteFunc(waivers, func(x pipeline.Waiver) bool { return w.leftOut(x.Rule) })
	}
	var boards []string
	for _, b := range w.panel.Boards() {
		boards = append(boards, b.Name)
	}
	found = append(found, pipeline.ApplyWaivers(found, waivers, w.b.opt.Rules, w.b.plan.Revision, boards)...)
	SortFindings(found)
	return found
}

// leftOut tells whether a rule is judged by a stage that writes, which a check does not run: nothing is known of
// what it would find.
func (w *walk) leftOut(rule string) bool {
	for _, r := range w.b.opt.Rules {
		if r.Name == rule {
			return slices.ContainsFunc(w.b.plan.Calls, func(c *recipe.Call) bool {
				return c.Kind.Role == pipeline.Write && r.JudgedBy == "stage "+c.Kind.Name
			})
		}
	}
	return false
}

// SortFindings orders findings as pipeline.SortFindings does, and what that leaves equal by all the
// rest that they say.
func SortFindings(found []pipeline.Finding) {
	type keyed struct {
		f   pipeline.Finding
		key []byte
	}
	all := make([]keyed, len(found))
	for i, f := range found {
		key, _ := json.Marshal(f)
		all[i] = keyed{f, key}
	}
	slices.SortStableFunc(all, func(a, b keyed) int { return bytes.Compare(a.key, b.key) })
	for i := range all {
		found[i] = all[i].f
	}
	pipeline.SortFindings(found)
}

func settledValues(call *recipe.Call, values map[string]cty.Value) StageValues {
	s := StageValues{Stage: call.Kind.Name, At: call.Where.String(), Values: []Value{}}
	for _, x := range call.Settled(values) {
		s.Values = append(s.Values, Value{Option: x.Option, Value: x.Value, Origin: x.Origin})
	}
	return s
}

// guard turns a panic into a FaultError that names the line of the program.
func guard(where string, f func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &FaultError{Where: where, What: fmt.Sprint(r), Code: PanicLine()}
		}
	}()
	return f()
}

// PanicLine gives file:line of the code that panicked, for a report; it is called while recovering.
func PanicLine() string {
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(2, pcs)])
	raised := false
	for {
		fr, more := frames.Next()
		runtimeOwn := strings.HasPrefix(fr.Function, "runtime.")
		if raised && !runtimeOwn {
			return fmt.Sprintf("%s/%s:%d", path.Base(path.Dir(fr.File)), path.Base(fr.File), fr.Line)
		}
		raised = raised || fr.Function == "runtime.gopanic"
		if !more {
			return ""
		}
	}
}

// readOnly is what stages that may not write are handed.
type readOnly struct{ *Files }

func (readOnly) Create(name string) (io.WriteCloser, error) { return nil, notByRole(name) }
func (readOnly) Archive(name string, _ []string) error      { return notByRole(name) }

func notByRole(name string) error {
	return &FaultError{What: fmt.Sprintf("makes the file %q, which only stages of the role %s may", name, pipeline.Write)}
}

// sourceDate words SOURCE_DATE_EPOCH.
func sourceDate(epoch *int64) string {
	if epoch == nil {
		return ""
	}
	return time.Unix(*epoch, 0).UTC().Format("2006-01-02T15:04:05+00:00")
}
