// Package thieving puts copper on the waste of a panel, on all copper layers alike, so that plating builds up
// evenly and the copper of the layers is balanced.
//
// The way there: package waste parts the panel into rails and other waste and lists what must be kept off; the
// pattern is laid on each piece, dots whole or not at all, lines cut where they would come too near; how much
// of each layer is copper is worked out before and after.
package thieving

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/waste"
)

// Kind is stage "thieving".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "thieving",
		Summary:  "Fills rails and other waste with dots or crossed lines of copper, on all copper layers, off all that needs room.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &Thieving{
				// Sizes and pitches: from memory, no published source; both patterns cover about 44 %.
				Pattern: dots, DotDiameter: 1500 * geom.UM, DotPitch: 2 * geom.MM, LineWidth: 500 * geom.UM, LinePitch: 2 * geom.MM,
				// From memory, no published source.
				FromBoard: 1 * geom.MM,
				// More than a fabricator asks for between copper and a routed edge on inner layers, 0.40 mm, or a score
				// line, 0.45 mm (eurocircuits.de, customer-panel guidelines).
				FromBreak: 500 * geom.UM, FromPanelEdge: 500 * geom.UM, FromHole: 500 * geom.UM,
				// From memory, no published source.
				FromMark:    250 * geom.UM,
				UnderPrints: "none", Mask: "covered",
			}
		},
	}
}

// The patterns.
const (
	dots         = "dots"
	crossedLines = "crossed_lines"
)

// Thieving is the options of stage "thieving".
type Thieving struct {
	Pattern       string      `option:"pattern" choice:"dots|crossed_lines" help:"what the waste is filled with"`
	DotDiameter   geom.Length `option:"dot_diameter" range:"0.1..20" help:"diameter of a dot"`
	DotPitch      geom.Length `option:"dot_pitch" range:"0.2..50" help:"from the middle of a dot to that of the next, along and across"`
	LineWidth     geom.Length `option:"line_width" range:"0.1..10" help:"width of a line"`
	LinePitch     geom.Length `option:"line_pitch" range:"0.2..50" help:"from the middle of a line to that of the next, both ways"`
	FromBoard     geom.Length `option:"from_board" range:"0..50" help:"least distance to a board's edge, and to what its files draw beyond it"`
	FromBreak     geom.Length `option:"from_break" range:"0..50" help:"least distance to slots, tabs, perforations and the grooves of score lines"`
	FromPanelEdge geom.Length `option:"from_panel_edge" range:"0..50" help:"least distance to the panel's edge"`
	FromHole      geom.Length `option:"from_hole" range:"0..50" help:"least distance to tooling holes, and to holes of boards beyond their edge"`
	FromMark      geom.Length `option:"from_mark" range:"0..50" help:"least distance to the clear areas of fiducials and to all that is printed: legend, codes, label areas, bad-board marks"`
	UnderPrints   string      `option:"under_prints" choice:"none|inner" help:"inner: inner layers are filled below what is printed on the outer ones, too; none: they are not"`
	Mask          string      `option:"mask" choice:"covered|open" help:"covered: the soldermask runs on over the waste; open: it is left out there"`
}

// Check refuses patterns that would be a plane.
func (s *Thieving) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if s.Pattern == dots && s.DotDiameter >= s.DotPitch {
		bad("dot_diameter", fmt.Sprintf("must be less than dot_pitch, %v: dots would touch", s.DotPitch))
	}
	if s.Pattern == crossedLines && s.LineWidth >= s.LinePitch {
		bad("line_width", fmt.Sprintf("must be less than line_pitch, %v: nothing would be left between the lines", s.LinePitch))
	}
	return errors.Join(errs...)
}

// Parts tells that thieving needs copies, and that it comes after all that it must keep off.
func (s *Thieving) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"thieving"},
		Ends: []string{"copies", "rails", "tooling_holes", "fiducials", "bad_board_marks", "legend", "tabs", "score_lines"}}
}

// ValueTypes tells what later stages may read: thieving.copper-1.before and after, as shares of the panel's area.
func (s *Thieving) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"thieving": cty.Map(shareType)}
}

var shareType = cty.Object(map[string]cty.Type{"before": cty.Number, "after": cty.Number})

// keep says how far copper stays from a thing.
func (s *Thieving) keep(t waste.Thing) geom.Length {
	switch t.Kind {
	case waste.Board, waste.Data:
		return s.FromBoard
	case waste.Break:
		return s.FromBreak
	case waste.Edge:
		return s.FromPanelEdge
	case waste.Hole:
		return s.FromHole
	}
	return s.FromMark
}

// Run lays the pattern.
func (s *Thieving) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	layers := copperLayers(in)
	if len(layers) == 0 {
		return pipeline.Result{}, errors.New("no placed board has a copper layer: there is nothing to fill")
	}
	things, err := waste.Things(ctx, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	pieces, err := waste.Pieces(ctx, in, env.Workers)
	if err != nil {
		return pipeline.Result{}, err
	}
	outer := waste.KeepOff(things, func(t waste.Thing) (geom.Length, bool) { return s.keep(t), true })
	filled, err := s.fill(ctx, env, in, pieces, outer)
	if err != nil {
		return pipeline.Result{}, err
	}
	b := in.Edit()
	same := s.UnderPrints == "none" || !slices.ContainsFunc(layers, isInner)
	on := layers
	if !same {
		on = slices.DeleteFunc(slices.Clone(layers), isInner)
	}
	add(b, filled, on, "")
	if !same {
		inner := waste.KeepOff(things, func(t waste.Thing) (geom.Length, bool) { return s.keep(t), !onlyOuter(t) })
		below, err := s.fill(ctx, env, in, pieces, inner)
		if err != nil {
			return pipeline.Result{}, err
		}
		add(b, below, slices.DeleteFunc(slices.Clone(layers), func(f panel.Function) bool { return !isInner(f) }), "/inner")
	}
	if s.Mask == "open" {
		if err := s.open(ctx, env, in, b, filled, outer); err != nil {
			return pipeline.Result{}, err
		}
	}
	out, err := b.Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	before, after, err := shares(ctx, env, out, layers)
	if err != nil {
		return pipeline.Result{}, err
	}
	list, values := compare(env, layers, before, after)
	if out, err = out.Edit().SetCopperShares(list).Build(); err != nil {
		return pipeline.Result{}, err
	}
	drawn := 0
	for _, f := range filled {
		drawn += len(f.dots) + len(f.lines)
	}
	if drawn == 0 {
		env.Report(pipeline.Finding{Rule: "no-thieving", Severity: pipeline.Warning,
			Message: "nowhere on the waste is there room for " + strings.ReplaceAll(s.Pattern, "_", " ") + ": make them smaller, or the distances that they keep"})
	}
	env.Log.Info().Str("pattern", s.Pattern).Int("pieces", len(filled)).Int("drawn", drawn).Int("layers", len(layers)).Str("mask", s.Mask).Msg("waste filled")
	return pipeline.Result{Panel: out, Values: map[string]cty.Value{"thieving": values}}, nil
}

func isInner(f panel.Function) bool { return f.Side == panel.Inner }

// onlyOuter tells whether a thing is printed on outer layers only.
func onlyOuter(t waste.Thing) bool {
	return t.Print != nil && !slices.ContainsFunc(t.Print.Layers, isInner)
}

// copperLayers lists the copper layers that placed boards have, from the top.
func copperLayers(p panel.Panel) []panel.Function {
	var out []panel.Function
	for _, c := range p.Copies() {
		for _, l := range c.Board.Layers {
			f := l.Function
			f.Type = ""
			if f.Kind == panel.Copper && !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	slices.SortFunc(out, func(a, b panel.Function) int { return a.Index - b.Index })
	return out
}

// add prints what was filled.
func add(b *panel.Builder, filled []filling, layers []panel.Function, of string) {
	for _, f := range filled {
		if len(f.dots)+len(f.lines) > 0 {
			b.AddPrint(panel.Print{ID: "thieving/" + f.name + of, Use: panel.Thieving, Layers: layers, Area: f.box(), Dots: f.dots, Lines: f.lines})
		}
	}
}

// open leaves the mask out over the pieces that were filled, on the sides that have a mask.
func (s *Thieving) open(ctx context.Context, env *pipeline.Env, in panel.Panel, b *panel.Builder, filled []filling, off *waste.Off) error {
	var layers []panel.Function
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		if waste.Masked(in, side) {
			layers = append(layers, panel.Function{Kind: panel.Soldermask, Side: side})
		}
	}
	if len(layers) == 0 {
		env.Log.Warn().Msg("the panel has no soldermask: there is none to open over the waste")
		return nil
	}
	for _, f := range filled {
		if len(f.dots)+len(f.lines) == 0 {
			continue
		}
		room, err := off.Room(ctx, f.region, 0, env.Workers)
		if err != nil {
			return err
		}
		areas, err := artwork.WithoutHoles(ctx, room)
		if err != nil {
			return err
		}
		box := geom.EmptyBox()
		for _, a := range areas {
			box = box.Union(a.Box())
		}
		if len(areas) > 0 {
			b.AddPrint(panel.Print{ID: "rail_mask/" + f.name, Use: panel.RailMask, Layers: layers, Area: box, Areas: areas})
		}
	}
	return nil
}
