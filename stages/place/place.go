// Package place puts single copies where the recipe says.
package place

import (
	"context"
	"errors"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "place".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "place",
		Summary:  "Places single copies of boards where the recipe says.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New:      func() pipeline.Stage { return &Place{} },
	}
}

// Place is the options of stage "place".
type Place struct {
	Copies []Copy `block:"copy" labels:"1" help:"one copy, by its name"`
}

// Copy is one placed copy.
type Copy struct {
	Name  string      `label:"0"`
	Board string      `option:"board" required:"true" help:"name of the board"`
	X     geom.Length `option:"x" required:"true" range:"-1000..1000" help:"left edge of the copy's bounding box; all of x and y are relative to one another"`
	Y     geom.Length `option:"y" required:"true" range:"-1000..1000" help:"lower edge of the copy's bounding box"`
	Turn  geom.Angle  `option:"turn" range:"-360..360" help:"counter-clockwise seen from the top"`
}

// Check refuses a call without copies and names given twice.
func (p *Place) Check() error {
	if len(p.Copies) == 0 {
		return &pipeline.BadOption{Option: "copy", Reason: `is missing: add copy "name" { board, x, y }`}
	}
	var errs []error
	seen := map[string]bool{}
	for _, c := range p.Copies {
		if c.Name == "" {
			errs = append(errs, &pipeline.BadOption{Option: "copy", Reason: "has no name"})
		} else if seen[c.Name] {
			errs = append(errs, &pipeline.BadOption{Option: "copy " + c.Name, Reason: "is given twice"})
		}
		seen[c.Name] = true
	}
	return errors.Join(errs...)
}

// Parts tells which boards are needed.
func (p *Place) Parts() pipeline.Parts {
	parts := pipeline.Parts{Gives: []string{"copies"}}
	seen := map[string]bool{}
	for _, c := range p.Copies {
		if need := "boards." + c.Board; !seen[need] {
			seen[need] = true
			parts.Needs = append(parts.Needs, need)
		}
	}
	return parts
}

// Run places the copies.
func (p *Place) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	b := in.Edit()
	for _, c := range p.Copies {
		board := in.Board(c.Board)
		if board == nil {
			return pipeline.Result{}, fmt.Errorf("there is no board %q", c.Board)
		}
		b.AddCopy(panel.Copy{ID: c.Name, Board: board, Place: panel.Settle(board, c.Turn, geom.Pt(c.X, c.Y))})
	}
	out, err := b.FitOutline().Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("copies", len(p.Copies)).Msg("copies placed")
	return pipeline.Result{Panel: out}, nil
}
