package run

import (
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/recipe"
)

// finisher is a stage that goes on when all is known.
type finisher struct {
	call  *recipe.Call
	stage pipeline.Finisher
}

// finish lets the stages that wait for it write what tells of the whole build.
func (w *walk) finish(ctx context.Context, end pipeline.End) error {
	for _, f := range w.finishers {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := w.finishOne(ctx, f, end); err != nil {
			return located(f.call, err)
		}
		faultPoint("finish " + f.call.Kind.Name)
	}
	return nil
}

func (w *walk) finishOne(ctx context.Context, f finisher, end pipeline.End) error {
	log := w.b.log.logger().With().Str("stage", f.call.Kind.Name).Logger()
	before := len(w.b.files.Outputs())
	late := error(nil)
	env := w.env(f.call, finishing{w.b.files}, func(x pipeline.Finding) {
		late = &FaultError{What: fmt.Sprintf("reported a finding of %s when all findings had been told", x.Rule)}
	}).With(pipeline.Hooks{Released: func() bool { return end.Released },
		Variable: w.b.files.variable, Program: w.b.files.program, Scratch: w.b.files.makeScratch})
	err := guard("", func() error { return f.stage.Finish(ctx, env, w.panel, end) })
	switch {
	case err != nil:
		return err
	case late != nil:
		return late
	}
	if open := w.b.files.unfinished(); open != "" {
		return &FaultError{What: fmt.Sprintf("left the file %s open", open)}
	}
	log.Info().Int("files", len(w.b.files.Outputs())-before).Msg("report written")
	return nil
}

// finishing is what stages are handed when nothing more goes into archives.
type finishing struct{ *Files }

func (finishing) Archive(name string, _ []string) error {
	return &FaultError{What: fmt.Sprintf("asks for the archive %q when the archives have been made", name)}
}

// show takes a field.
func (w *walk) show(f pipeline.Field) {
	w.mu.Lock()
	defer w.mu.Unlock()
	var bad error
	switch {
	case f.ID == "" || slices.ContainsFunc(w.fields, func(x pipeline.Field) bool { return x.ID == f.ID }):
		bad = &FaultError{What: fmt.Sprintf("shows a field by the id %q, which is empty or taken", f.ID)}
	case f.Columns <= 0 || f.Rows <= 0 || f.Step <= 0 || len(f.Values) != f.Columns*f.Rows:
		bad = &FaultError{What: fmt.Sprintf("shows the field %s, whose values are not those of its grid", f.ID)}
	case slices.ContainsFunc(f.Values, func(x float64) bool { return math.IsInf(x, 0) }) || !finite(f.Least) || !finite(f.Most):
		bad = &FaultError{What: fmt.Sprintf("shows the field %s, which has a figure that is not a number", f.ID)}
	}
	if bad != nil {
		if w.badFinding == nil {
			w.badFinding = bad
		}
		return
	}
	f.Values = slices.Clone(f.Values)
	w.fields = append(w.fields, f)
}
