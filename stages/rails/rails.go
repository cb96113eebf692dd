// Package rails adds strips of waste material along the panel's sides.
package rails

import (
	"context"
	"errors"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// defaultWidth is the rail's width where it carries nothing that asks for another: common practice,
// no published source; assemblers' pages ask for 5 to 10 mm or more.
const defaultWidth = 10 * geom.MM

// Kind is stage "rails".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "rails",
		Summary:  "Adds rails: strips of waste material that the conveyor carries and that hold the marks.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &Rails{Sides: []string{"upper", "lower"}, Gap: 2 * geom.MM}
		},
	}
}

// Rails is the options of stage "rails".
type Rails struct {
	Sides        []string     `option:"sides" choice:"upper|lower|left|right" help:"the panel's sides that get a rail"`
	Width        *geom.Length `option:"width" range:"1..100" help:"width of every rail; without it the marks that a rail carries settle it, and one that carries none is 10 mm wide"`
	Gap          geom.Length  `option:"gap" range:"0..100" help:"between the rails and the boards; 0 for score lines"`
	GapX         *geom.Length `option:"gap_x" range:"0..100" help:"between the left and right rails and the boards, instead of gap"`
	GapY         *geom.Length `option:"gap_y" range:"0..100" help:"between the upper and lower rails and the boards, instead of gap"`
	CornerRadius geom.Length  `option:"corner_radius" range:"0..50" help:"radius of the panel's corners"`
}

// Check refuses sides given twice.
func (r *Rails) Check() error {
	var errs []error
	if len(r.Sides) == 0 {
		errs = append(errs, &pipeline.BadOption{Option: "sides", Reason: "is empty: name one side at least, or leave the stage out"})
	}
	seen := map[string]bool{}
	for _, s := range r.Sides {
		if seen[s] {
			errs = append(errs, &pipeline.BadOption{Option: "sides", Reason: fmt.Sprintf("names %s twice", s)})
		}
		seen[s] = true
	}
	return errors.Join(errs...)
}

// Parts tells that rails need copies.
func (r *Rails) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"rails"}}
}

// Run lays the rails.
func (r *Rails) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	width, derived := defaultWidth, r.Width == nil
	if !derived {
		width = *r.Width
	}
	if len(in.Slots())+len(in.Tabs())+len(in.Scores()) > 0 {
		return pipeline.Result{}, errors.New("tabs or scores are there already, and would not reach these rails: put the stage rails before them")
	}
	size := in.Outline().Box()
	if c := r.CornerRadius; 2*c > min(size.Width(), size.Height()) {
		return pipeline.Result{}, fmt.Errorf("corner_radius %v is more than half of the panel's shorter side", c)
	}
	sides := make([]panel.RailSide, len(r.Sides))
	for i, s := range r.Sides {
		sides[i] = panel.RailSide(s)
	}
	gap := func(s panel.RailSide) geom.Length {
		own := r.GapY
		if s == panel.Left || s == panel.Right {
			own = r.GapX
		}
		if own == nil {
			return r.Gap
		}
		return *own
	}
	out, err := in.Edit().LayRailsApart(sides, width, gap, r.CornerRadius, derived).Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	for _, c := range out.Copies() {
		for _, e := range c.Outline().Outer {
			for _, q := range [2]geom.Point{e.From, e.At(0.5)} {
				if out.Outline().Locate(q) == geom.Outside {
					return pipeline.Result{}, fmt.Errorf("corner_radius %v would cut %s off at %v mm: make it smaller, or add rails at the sides", r.CornerRadius, c.ID, q)
				}
			}
		}
	}
	env.Log.Info().Strs("sides", r.Sides).Str("width", width.String()).Bool("width_may_follow_marks", derived).
		Str("panel", out.SizeText()).Msg("rails laid")
	return pipeline.Result{Panel: out}, nil
}
