package cli

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
)

const partHelp = "--part I/N takes the part I, from 0, of the recipes split into N: several machines do all of them,\n" +
	"each called with the same recipes and a part of its own. I may be the name of an environment\n" +
	"variable: --part JOB_COMPLETION_INDEX/8. merge-summary joins what they write with --summary."

func (b *building) partFlags(c *cobra.Command) {
	c.Flags().StringVar(&b.part, "part", "", "only part I, from 0, of the recipes split into N, `I/N`")
	c.Flags().StringArrayVar(&b.summary, "summary", nil, "what came of it, to `FILE`: .json, .xml (JUnit) or .md (Markdown); may be repeated")
	c.Flags().BoolVar(&b.all, "all", false, fmt.Sprintf("the closing table has a line for each of more than %d recipes, good ones too", mostGood))
}

// readyForSummary reads --part, and sees to it that summaries can be written after the work: their names are right, and
// their folders are there.
func (b *building) readyForSummary() (*summary.Part, error) {
	if err := checkSummaryNames("--summary", b.summary); err != nil {
		return nil, err
	}
	var part *summary.Part
	if b.part != "" {
		p, err := summary.PartOf(b.part)
		if err != nil {
			return nil, misuse("option --part does not take %q: %v", b.part, err)
		}
		part = &p
	}
	for _, name := range b.summary {
		dir := filepath.Dir(name)
		if err := os.MkdirAll(dir, 0o777); err != nil {
			return nil, &run.MachineError{Err: fmt.Errorf("option --summary: the folder %s cannot be made: %w", filepath.ToSlash(dir), pipeline.Bare(err))}
		}
	}
	return part, nil
}

// partOfJobs leaves those jobs that belong to the part, and gives the part with what was split.
func partOfJobs(jobs []batch.Job, part *summary.Part) ([]batch.Job, *summary.Part) {
	if part == nil {
		return jobs, nil
	}
	names := make([]string, len(jobs))
	for i, j := range jobs {
		names[i] = j.Recipe
	}
	takes := part.Takes(names)
	split := part.Split(names)
	mine := []batch.Job{}
	for i, j := range jobs {
		if takes[i] {
			mine = append(mine, j)
		}
	}
	return mine, &split
}

// row is what the summary says of a job that ended.
func (t *telling) row(r report, d batch.Done) summary.Row {
	row := summary.Row{Recipe: filepath.ToSlash(filepath.Clean(r.Recipe)), Panel: r.Panel, Revision: r.Revision, Supplier: r.Supplier, State: summary.StateOf(r.Exit), Exit: r.Exit}
	switch {
	case r.Exit == exitInterrupted:
		row.Error = run.ErrInterrupted.Error()
		return row
	case r.Exit >= exitInput:
		row.Error = r.Error
		return row
	}
	t.hows[row.Title()] = d.How
	row.Findings = r.Counts
	if d.Outcome.Dir != "" {
		row.Build, row.Manifest = path.Join(r.Panel, r.Supplier), d.Outcome.Manifest
	}
	for i, f := range d.Outcome.Findings {
		if t.gate.Rejects(f) {
			row.Closing = append(row.Closing, run.FindingRows(d.Outcome.Findings[i:i+1])...)
		}
	}
	return row
}

// rowOfCutOff is what the summary says of a job that ended after another was interrupted.
func (t *telling) rowOfCutOff(d batch.Done) summary.Row {
	r := report{Recipe: d.Recipe, Panel: d.Panel, Revision: d.Revision, Supplier: d.Supplier, Counts: &d.Counts}
	err := placed(d.Err, d.Recipe)
	if err == nil {
		err = d.Details()
	}
	switch {
	case err != nil:
		r.Exit, r.Error = exitCode(err), t.a.wording(err)
	case !d.Outcome.Released:
		r.Exit = exitFindings
	}
	return t.row(r, d)
}

// tellAll ends a call with several recipes.
func (t *telling) tellAll(s summary.Summary) {
	out := t.a.out
	if out.used { // something has been told before
		fmt.Fprintln(out)
	}
	if s.Part != nil {
		fmt.Fprintf(out, "part %s of %s\n", s.Part, run.Count(s.Part.Recipes, "recipe", "recipes"))
	}
	fmt.Fprint(out, buildsText(s, t.b.all, t.b.out, t.hows))
	count := map[batch.How]int{}
	for _, how := range t.hows {
		count[how]++
	}
	if count[batch.Unchanged]+count[batch.Taken] == 0 {
		return
	}
	var parts []string
	for _, how := range []batch.How{batch.Built, batch.Unchanged, batch.Taken} {
		if n := count[how]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, how))
		}
	}
	fmt.Fprintln(out, strings.Join(parts, ", "))
}
