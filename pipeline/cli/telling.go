package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

// telling tells people and machines what becomes of the jobs of one call, in the order of the jobs.
type telling struct {
	a       *app
	b       building
	gate    pipeline.Gate
	told    map[string]bool // mistakes that a terminal has seen
	reports []report
	rows    []summary.Row        // of all jobs, those that are not told too
	hows    map[string]batch.How // how those came about that were not stopped, by their titles
	stopped bool                 // interrupted: the rest is not told
	since   *changedFrom         // nil without --changed-from
	again   bool                 // all of this has been told before: of a pass of --watch but the first
	ended   func(batch.Done)     // is told of each build; may be nil

	mu   sync.Mutex
	logs map[int]*bytes.Buffer // of jobs that are not told yet
	over int                   // how many have ended
}

func newTelling(a *app, b building, opt batch.Options) *telling {
	return &telling{a: a, b: b, gate: opt.Build.Gate, told: map[string]bool{}, reports: []report{}, hows: map[string]batch.How{}}
}

// carryOut carries out the jobs. The log of a single one is shown as it goes; those of several when their turn comes.
func (t *telling) carryOut(ctx context.Context, jobs []batch.Job, opt batch.Options) {
	a, several := t.a, len(jobs) > 1
	t.logs = map[int]*bytes.Buffer{}
	opt.Console = func(at int) io.Writer {
		switch {
		case a.quiet:
			return nil
		case !several:
			return a.err
		}
		return t.log(at)
	}
	opt.Warnings = func(at int) io.Writer {
		if !several {
			return a.err
		}
		return t.log(at)
	}
	opt.Begins = func(at int, j batch.Job) {
		t.mu.Lock()
		defer t.mu.Unlock()
		a.begin(ctx, job{kind: "recipe", at: t.over + 1, of: len(jobs), name: filepath.ToSlash(j.Recipe), whom: j.Supplier})
	}
	if !several {
		opt.Progress = func(_ int, s run.Step) { a.wait.reached(s) }
	}
	opt.Ends = func(d batch.Done) {
		t.mu.Lock()
		t.over++
		t.mu.Unlock()
		if !several || t.over == len(jobs) {
			a.wait.end()
		}
		if t.ended != nil {
			t.ended(d)
		}
		t.tell(ctx, d, several)
	}
	batch.Run(ctx, jobs, opt)
}

// log gives the buffer of a job's log.
func (t *telling) log(at int) io.Writer {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.logs[at] == nil {
		t.logs[at] = &bytes.Buffer{}
	}
	return t.logs[at]
}

// takeLog gives what a job has logged.
func (t *telling) takeLog(at int) []byte {
	t.mu.Lock()
	defer t.mu.Unlock()
	b := t.logs[at]
	delete(t.logs, at)
	if b == nil {
		return nil
	}
	return b.Bytes()
}

// tell tells what came of one job.
func (t *telling) tell(ctx context.Context, d batch.Done, several bool) {
	a := t.a
	log := t.takeLog(d.At)
	if t.stopped {
		t.rows = append(t.rows, t.rowOfCutOff(d))
		return
	}
	r := report{Recipe: d.Recipe, Panel: d.Panel, Revision: d.Revision, Supplier: d.Supplier, How: d.How, Why: d.Why}
	if t.since != nil {
		r.Concerned = t.since.why[buildKey(d.Job)]
	}
	err := placed(d.Err, d.Recipe)
	// Of many builds, those that are there already and may be released are told by the closing table alone, or have been told before.
	silent := err == nil && d.How == batch.Unchanged && (several && d.Outcome.Released || t.again) && !a.asJSON
	if err == nil && !silent {
		err = d.Details()
	}
	apart := !a.asJSON && !a.quiet && !silent && d.At > 0
	if apart {
		fmt.Fprintln(a.err)
	}
	a.err.Write(log)
	switch {
	case err != nil:
		a.tellError(&r, d.Recipe, t.b.check, err, t.told)
	case silent:
		r.Build, r.Released, r.Counts = d.Outcome.Dir, &d.Outcome.Released, &d.Counts
	default:
		if apart {
			fmt.Fprintln(a.out)
		}
		a.tellOutcome(&r, d.Outcome, d.Counts, t.gate)
	}
	a.count(r.Exit)
	t.rows = append(t.rows, t.row(r, d))
	if !a.asJSON { // only JSON needs them all; of many recipes they would fill the memory
		r.Findings, r.Judged, r.Outputs, r.Inputs = nil, nil, nil, nil
	}
	t.reports = append(t.reports, r)
	t.stopped = r.Exit == exitInterrupted
}

// how says in a word how a build came about, where it was not built now.
func (r report) how() string {
	switch r.How {
	case batch.Unchanged, batch.Taken:
		return ", " + string(r.How)
	}
	return ""
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

func (a *app) tellOutcome(r *report, out *run.Outcome, counts run.FindingCounts, gate pipeline.Gate) {
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
		fmt.Fprint(a.out, outcomeText(*r, out.Findings, gate))
	}
}

// outcomeText says where the results are and what was found.
func outcomeText(r report, found []pipeline.Finding, gate pipeline.Gate) string {
	var b strings.Builder
	b.WriteString(panelTitle(r.Panel, r.Revision, r.Supplier) + "\n")
	rows := [][]string{{"recipe", r.Recipe}}
	if r.Build != "" {
		rows = append(rows, []string{"build", fmt.Sprintf("%s (%s%s)", r.Build, run.Count(len(r.Outputs)+1, "file", "files"), r.how())})
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
