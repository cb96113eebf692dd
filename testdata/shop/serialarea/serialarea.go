// Package serialarea gives panels a patch of white ink on a rail, on which the shop's line writes each panel's serial
// number: a stage that finds room for it and prints it, one that lists where patches lie, and the rules about them.
package serialarea

import (
	"context"
	"errors"
	"fmt"

	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// Kind is stage "acme_serial_area".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "acme_serial_area",
		Summary:  "Prints a patch of ink on a rail, on which the line writes the panel's serial number.",
		Role:     pipeline.Shape,
		Contract: 1,
		New: func() pipeline.Stage {
			return &SerialArea{Side: "top", Corner: "upper_left", Width: 20 * geom.MM, Height: 6 * geom.MM, Clearance: geom.MM}
		},
	}
}

// SerialArea is the options of stage "acme_serial_area".
type SerialArea struct {
	Side      string      `option:"side" choice:"top|bottom" help:"the side of the panel; a panel can have a patch on each"`
	Corner    string      `option:"corner" choice:"lower_left|lower_right|upper_right|upper_left" help:"the corner of the panel from which room is looked for, along the lower or the upper rail"`
	Width     geom.Length `option:"width" range:"5..100" help:"along the rail"`
	Height    geom.Length `option:"height" range:"2..30" help:"across the rail"`
	Clearance geom.Length `option:"clearance" range:"0..10" help:"kept free round the patch: to edges, holes, slots, marks and other prints"`
}

// Check refuses what no laser writes on.
func (s *SerialArea) Check() error {
	if s.Width < 2*s.Height {
		return &pipeline.BadOption{Option: "width", Reason: fmt.Sprintf("must be at least twice the height, %v: a serial number is long and low", 2*s.Height)}
	}
	return nil
}

// Parts tells that there must be rails, and that nothing may come later that the patch must keep off.
func (s *SerialArea) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"rails"}, Gives: []string{"acme_serial_area"},
		Ends: []string{"rails", "tooling_holes", "fiducials", "bad_board_marks"}}
}

// ValueTypes tells what later stages may read: acme_serial.top.x and so on, of the patch's lower left corner and its size.
func (s *SerialArea) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"acme_serial." + s.Side: cty.Object(map[string]cty.Type{
		"x": cty.Number, "y": cty.Number, "width": cty.Number, "height": cty.Number,
	})}
}

// Run looks for the first free place from the corner, and prints the patch there. Where there is none it says so, and leaves
// the panel as it was; what later stages read is then the corner's own place.
func (s *SerialArea) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	rail, ok := in.Rail(s.rail())
	if !ok {
		return pipeline.Result{}, &pipeline.BadOption{Option: "corner", Reason: fmt.Sprintf("is %s, and the panel has no %s rail: name a corner of one that it has", s.Corner, s.rail())}
	}
	places := s.places(rail.Box)
	if len(places) == 0 {
		return pipeline.Result{}, errors.New("the patch is larger than the rail: make it smaller, or the rails wider")
	}
	things, err := waste.Things(ctx, in)
	if err != nil {
		return pipeline.Result{}, err
	}
	keepOff := waste.KeepOff(things, func(x waste.Thing) (geom.Length, bool) { return s.Clearance, x.Print == nil || s.shows(*x.Print) })
	first, inTheWay := places[0], ""
	for _, at := range places {
		patch := geom.Outline{Outer: geom.Rectangle(at)}
		if keepOff.FreeShape(patch) {
			out, err := in.Edit().AddPrint(panel.Print{ID: s.id(), Use: panel.LabelArea, Text: "for the panel's serial number",
				Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Side(s.Side)}}, Area: at, Areas: []geom.Path{patch.Outer}}).Build()
			env.Log.Info().Str("patch", s.id()).Str("from", at.Min.String()).Str("to", at.Max.String()).Msg("room for the serial number")
			return pipeline.Result{Panel: out, Values: s.values(at)}, err
		}
		if inTheWay == "" {
			inTheWay = keepOff.Nearest(patch)
		}
	}
	at := first.Center()
	env.Report(pipeline.Finding{Rule: room, Severity: pipeline.Error, Feature: s.id(), At: &at,
		Message: fmt.Sprintf("%s, %v along it and %v across, kept %v clear, has no room on %s: from the corner on, the first thing in the way is %s",
			s.id(), s.Width, s.Height, s.Clearance, rail.ID, inTheWay)})
	return pipeline.Result{Panel: in, Values: s.values(first)}, nil
}

// step is how finely room is looked for.
const step = 500 * geom.UM

// places gives where the patch could go on a rail, in its middle, from the corner on.
func (s *SerialArea) places(rail geom.Box) []geom.Box {
	room := rail.Grow(-s.Clearance)
	low := geom.Pt(room.Min.X, rail.Center().Y-s.Height/2)
	if low.Y < room.Min.Y {
		return nil
	}
	var out []geom.Box
	for along := geom.Length(0); along+s.Width <= room.Width(); along += step {
		at := low.Add(geom.Pt(along, 0))
		if s.Corner == "lower_right" || s.Corner == "upper_right" {
			at.X = room.Max.X - s.Width - along
		}
		out = append(out, geom.Box{Min: at, Max: at.Add(geom.Pt(s.Width, s.Height))})
	}
	return out
}

func (s *SerialArea) rail() panel.RailSide {
	if s.Corner == "lower_left" || s.Corner == "lower_right" {
		return panel.Lower
	}
	return panel.Upper
}

// prefix begins the id of every patch.
const prefix = "acme_serial_area/"

func (s *SerialArea) id() string { return prefix + s.Side }

// shows tells whether a print shows on the patch's side.
func (s *SerialArea) shows(p panel.Print) bool {
	for _, f := range p.Layers {
		if f.Side == panel.Side(s.Side) {
			return true
		}
	}
	return false
}

// values are in mm, to the nanometre.
func (s *SerialArea) values(at geom.Box) map[string]cty.Value {
	mm := func(l geom.Length) cty.Value { return cty.MustParseNumberVal(l.Decimal()) }
	return map[string]cty.Value{"acme_serial." + s.Side: cty.ObjectVal(map[string]cty.Value{
		"x": mm(at.Min.X), "y": mm(at.Min.Y), "width": mm(at.Width()), "height": mm(at.Height()),
	})}
}
