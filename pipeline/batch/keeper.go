package batch

import (
	"context"
	"errors"
	"fmt"
	"io"

	"panelwright/pipeline/known"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
	"panelwright/pipeline/store"
)

// Keeper is a shared store of finished builds.
type Keeper interface {
	// Candidates gives the builds that are kept of a recipe by its key; the caller sees which of them fits.
	Candidates(ctx context.Context, recipeKey string) ([]store.Entry, error)
	// Fetch writes a kept build into an empty folder.
	Fetch(ctx context.Context, recipeKey string, e store.Entry, dir string) error
	// Put keeps the build in dir.
	Put(ctx context.Context, recipeKey string, e store.Entry, dir string) error
}

// recipeKey names all builds of a plan by these settings.
func recipeKey(plan *recipe.Plan, s known.Settings) (string, error) {
	files := make([]run.FileSum, len(plan.Sources))
	for i, x := range plan.Sources {
		files[i] = run.FileSum{Name: x.Name, SHA256: x.SHA256}
	}
	return known.RecipeKey(s, files)
}

// take looks for the build in the store. Whatever is wrong there is told, and the build is made here.
func (b *batch) take(ctx context.Context, d *Done, plan *recipe.Plan, s known.Settings, console, warnings io.Writer) (bool, error) {
	key, err := recipeKey(plan, s)
	if err != nil {
		return false, err
	}
	base, err := recipeFolder(d.Recipe)
	if err != nil {
		return false, &run.MachineError{Err: err}
	}
	entries, err := b.opt.Keeper.Candidates(ctx, key)
	if err != nil { // there may be sound ones among damaged ones
		if err := b.storeFails(ctx, warnings, err); err != nil {
			return false, err
		}
	}
	for _, e := range entries {
		if _, ok := b.checker.Agrees(ctx, base, e.Asked); !ok {
			continue
		}
		dir, whole, err := run.Take(ctx, b.opt.Build.OutDir, plan.Name, d.Supplier, e.Manifest, console, func(dir string) error {
			if err := b.opt.Keeper.Fetch(ctx, key, e, dir); err != nil {
				return &fetchError{err}
			}
			return nil
		})
		var fetch *fetchError
		switch {
		case errors.As(err, &fetch):
			if err := b.storeFails(ctx, warnings, fetch.error); err != nil {
				return false, err
			}
			continue
		case err != nil:
			return false, err
		case !whole:
			b.warn(warnings, fmt.Sprintf("what the store keeps of %s is damaged; building it here", plan.Name))
			continue
		}
		r, err := b.record(d, plan, s, dir, e.Manifest, e.Asked, nil)
		if r == nil {
			return false, &run.MachineError{Err: fmt.Errorf("%s: cannot be read: %w", dir, err)}
		}
		b.unrecorded(warnings, err)
		d.there(r, dir, Taken)
		return true, nil
	}
	return false, nil
}

// fetchError tells an error of the store from one of the build folder.
type fetchError struct{ error }

// storeFails tells of the store's failure; only an interruption ends the job.
func (b *batch) storeFails(ctx context.Context, warnings io.Writer, err error) error {
	if ctx.Err() != nil {
		return run.ErrInterrupted
	}
	if !b.storeGone(warnings, err) {
		b.warn(warnings, fmt.Sprintf("the store: %v; it is not taken from there", err))
	}
	return nil
}

// storeGone tells once that the store cannot be reached.
func (b *batch) storeGone(warnings io.Writer, err error) bool {
	var gone *store.UnreachableError
	if !errors.As(err, &gone) {
		return false
	}
	if !gone.Again {
		b.warn(warnings, fmt.Sprintf("the store %v; going on without", err))
	}
	return true
}

func (b *batch) warn(warnings io.Writer, text string) {
	if warnings != nil {
		fmt.Fprintln(warnings, "warning: "+text)
	}
}

// keep keeps a build that was made in the store, and records it here. A failure to do so costs time later, and no more. The record
// comes last: of a worker that is stopped in between, the store gets its build when it goes on.
func (b *batch) keep(ctx context.Context, d *Done, plan *recipe.Plan, s known.Settings, warnings io.Writer) {
	out := d.Outcome
	if b.opt.Keeper != nil {
		key, err := recipeKey(plan, s)
		if err == nil {
			err = b.opt.Keeper.Put(ctx, key, store.Entry{Panel: plan.Name, Supplier: d.Supplier, Asked: out.Asked, Manifest: out.Manifest}, out.Dir)
		}
		switch {
		case err != nil && ctx.Err() != nil:
			return
		case err != nil && !b.storeGone(warnings, err):
			b.warn(warnings, fmt.Sprintf("the store: %v; %s is not kept there", err, plan.Name))
		}
	}
	_, err := b.record(d, plan, s, out.Dir, out.Manifest, out.Asked, out.Stamps)
	b.unrecorded(warnings, err)
}

// unrecorded tells once that builds cannot be recorded.
func (b *batch) unrecorded(warnings io.Writer, err error) {
	if err != nil {
		b.told.Do(func() {
			b.warn(warnings, fmt.Sprintf("what is built cannot be recorded, and will be built again the next time: %v; --records names another folder", err))
		})
	}
}

// record keeps the record of a build that is in place.
func (b *batch) record(d *Done, plan *recipe.Plan, s known.Settings, dir, manifest string, asked []run.Asked, stamps map[string]run.Stamp) (*known.Record, error) {
	files := d.recipeFiles(plan)
	if stamps == nil {
		stamps = map[string]run.Stamp{}
	}
	r, err := known.RecordOf(s, plan.Name, plan.Revision, dir, manifest, files, asked, stamps)
	if err != nil {
		return nil, err
	}
	return r, b.records.Save(r, d.Recipe)
}

func (d *Done) recipeFiles(plan *recipe.Plan) []run.FileSum {
	if d.Outcome != nil {
		return d.Outcome.Recipe
	}
	files := make([]run.FileSum, len(plan.Sources))
	for i, x := range plan.Sources {
		files[i] = run.FileSum{Name: x.Name, SHA256: x.SHA256}
	}
	return files
}
