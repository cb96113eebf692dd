// Package support says how a panel is carried while boards are printed, placed and soldered, what presses on it, and what
// its laminate is like: what the rules about sagging, strength and breaking reckon with.
package support

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "support".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "support",
		Summary:  "Says how the panel is carried, what presses on it and what its laminate is like: whether it holds is reckoned with that.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &Support{Carried: string(panel.ByTwoRails), Grip: grip, Force: force,
				// Fine enough for one in a hundred on plates that have an answer in a book, and quick: chosen by the
				// verification table of the mechanics.
				OpenMesh: 4 * geom.MM, FineMesh: 500 * geom.UM}
		},
	}
}

// Defaults, and where they come from.
var force = pipeline.Quantity{Value: 2, Unit: "N"}

const (
	grip      = 5 * geom.MM // an assembler's advice (boardor.com): 3.0 mm of an edge are held, 5.0 mm advised
	forceFrom = "from memory, no published source: placement heads press with 1 to 5 N"
	ownFigure = "the recipe or its standard"
)

// Support is the options of stage "support".
type Support struct {
	Carried        string            `option:"carried" choice:"rails|pins|one_rail" help:"rails: two opposite edges lie on the conveyor, free to turn; pins: the panel lies on pins; one_rail: one edge is held fast"`
	Sides          []string          `option:"sides" choice:"upper|lower|left|right" help:"two opposite edges, or the one that is held; unless given, those with rails, above and below first, else the longer ones"`
	Grip           geom.Length       `option:"grip" range:"0.5..50" help:"how much of the edge is held, for carried = \"one_rail\""`
	Pins           []Pin             `block:"pin" help:"where a pin carries the panel, for carried = \"pins\"; without any, at the tooling holes"`
	Force          pipeline.Quantity `option:"force" help:"that a hand or a placement head presses on one copy with, in N; 0: none"`
	Pressed        string            `option:"pressed" help:"the copy that is pressed on, in its middle; unless given, the one whose tabs, or where there are none whose sag, bear it worst"`
	Warp           string            `option:"warp" choice:"x|y" help:"the direction of the panel in which the laminate's warp runs; unless given, x"`
	Laminate       []Laminate        `block:"laminate" help:"the laminate's constants, of a datasheet; those not given are usual ones; it stands in place of a standard's whole block"`
	OpenMesh       geom.Length       `option:"open_mesh" range:"0.5..50" help:"how large the triangles are that it is reckoned by, in the open"`
	FineMesh       geom.Length       `option:"fine_mesh" range:"0.1..20" help:"the same at tabs"`
	MostSag        *float64          `option:"most_sag" range:"0.001..100" help:"limit of rule panel-sag where the rules stage sets none, in % of the span between supports"`
	LeastReserve   *float64          `option:"least_reserve" range:"0.1..1000" help:"limit of rule tab-strength where the rules stage sets none: strength over stress"`
	LeastFrequency *float64          `option:"least_frequency" range:"0.1..10000" help:"limit of rule panel-frequency where the rules stage sets none, in Hz"`
}

// Pin is a place at which a pin carries the panel.
type Pin struct {
	X geom.Length `option:"x" required:"true" range:"-1000..1000" help:"on the panel as it is at this stage, from its left edge; it moves along where later stages add to the panel"`
	Y geom.Length `option:"y" required:"true" range:"-1000..1000" help:"the same from its lower edge"`
}

// Check refuses what carries nothing, and what cannot be.
func (s *Support) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	switch panel.Carrying(s.Carried) {
	case panel.ByTwoRails:
		if len(s.Sides) > 0 && !opposite(s.Sides) {
			bad("sides", `must name two opposite sides, upper and lower or left and right, for carried = "rails"`)
		}
	case panel.ByOneRail:
		if len(s.Sides) > 1 {
			bad("sides", `must name one side, for carried = "one_rail"`)
		}
	case panel.ByPins:
		if len(s.Sides) > 0 {
			bad("sides", `does not go with carried = "pins": say where the pins are with pin blocks, or leave it out`)
		}
		if len(s.Pins) > 0 && !carry(s.places()) {
			bad("pin", "must be at three places at least that do not lie in one line: the panel tips over fewer")
		}
	}
	if len(s.Pins) > 0 && s.Carried != string(panel.ByPins) {
		bad("pin", `goes with carried = "pins" alone`)
	}
	switch {
	case !s.Force.Fits("N"):
		bad("force", "must be in N, and is in "+s.Force.Unit)
	case s.Force.Value < 0 || s.Force.Value > 1000:
		bad("force", "must lie between 0 and 1000 N")
	}
	if s.Pressed != "" && s.Force.Value == 0 {
		bad("pressed", "names a copy, and nothing presses on it: force is 0")
	}
	if s.FineMesh > s.OpenMesh {
		bad("fine_mesh", "must not be more than open_mesh, "+s.OpenMesh.String())
	}
	if len(s.Laminate) > 1 {
		bad("laminate 2", "is one too many: the panel is one piece of laminate")
	}
	_, wrong := s.laminate()
	return errors.Join(append(errs, wrong...)...)
}

// opposite tells whether two sides lie opposite each other.
func opposite(sides []string) bool {
	has := func(s panel.RailSide) bool { return slices.Contains(sides, string(s)) }
	return len(sides) == 2 && (has(panel.Upper) && has(panel.Lower) || has(panel.Left) && has(panel.Right))
}

// carry tells whether pins carry a panel so that it cannot tip: three of them do not lie in one line.
func carry(pins []geom.Point) bool {
	var along geom.Point // from the first to another
	for _, p := range pins {
		d := p.Sub(pins[0])
		if along == (geom.Point{}) {
			along = d
		}
		if along.X*d.Y != along.Y*d.X { // whole numbers: lengths are within 2 m
			return true
		}
	}
	return false
}

func (s *Support) places() []geom.Point {
	var out []geom.Point
	for _, p := range s.Pins {
		out = append(out, geom.Pt(p.X, p.Y))
	}
	return out
}

// Parts tells what must be there, and what may not come afterwards because it would change what is carried, or by what.
func (s *Support) Parts() pipeline.Parts {
	p := pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"support"}, Ends: []string{"copies"}}
	switch {
	case s.Carried == string(panel.ByPins) && len(s.Pins) == 0:
		p.Needs = append(p.Needs, "tooling_holes")
		p.Ends = append(p.Ends, "rails", "tooling_holes", "fiducials") // which may widen rails, and move what stands on them
	case s.Carried != string(panel.ByPins) && len(s.Sides) == 0:
		p.Ends = append(p.Ends, "rails")
	}
	return p
}

// Run states the support.
func (s *Support) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if in.Support() != nil {
		return pipeline.Result{}, errors.New("an earlier stage says already how the panel is carried: leave one of them out")
	}
	x := panel.Support{Carried: panel.Carrying(s.Carried), Pressed: s.Pressed, Open: s.OpenMesh, Fine: s.FineMesh,
		Force:   panel.Constant{Value: s.Force.Value, Unit: "N", Source: ownFigure},
		MostSag: s.MostSag, LeastReserve: s.LeastReserve, LeastFrequency: s.LeastFrequency}
	if s.Force == force {
		x.Force.Source = forceFrom
	}
	x.Laminate, _ = s.laminate()
	if err := s.carriedBy(in, &x); err != nil {
		return pipeline.Result{}, err
	}
	if s.Pressed != "" && !slices.ContainsFunc(in.Copies(), func(c panel.Copy) bool { return c.ID == s.Pressed }) {
		return pipeline.Result{}, &pipeline.BadOption{Option: "pressed", Reason: "names no copy" + nearestCopy(in, s.Pressed)}
	}
	out, err := in.Edit().SetSupport(x).Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	line := env.Log.Info().Str("carried", s.Carried)
	for _, side := range x.Sides {
		line = line.Str("side", string(side))
	}
	line.Int("pins", len(x.Pins)).Float64("force", x.Force.Value).Str("warp", x.Warp).Msg("support stated")
	return pipeline.Result{Panel: out}, nil
}

// carriedBy settles the sides or pins.
func (s *Support) carriedBy(in panel.Panel, x *panel.Support) error {
	if x.Carried == panel.ByPins {
		x.Pins = s.places()
		if len(x.Pins) == 0 {
			for _, m := range in.Marks() {
				if m.Kind == panel.ToolingHole {
					x.Pins = append(x.Pins, m.At)
				}
			}
			if !carry(x.Pins) {
				return &pipeline.BadOption{Option: "carried", Reason: fmt.Sprintf(`= "pins" takes the tooling holes, and there are %d, or they lie in one line: drill more, or say with pin blocks where the pins are`, len(x.Pins))}
			}
		}
		for i, p := range s.places() {
			if in.Outline().Locate(p) == geom.Outside {
				return &pipeline.BadOption{Option: fmt.Sprintf("pin %d", i+1), Reason: fmt.Sprintf("is at %v mm, beside the panel", p)}
			}
		}
		return nil
	}
	for _, side := range s.Sides {
		x.Sides = append(x.Sides, panel.RailSide(side))
	}
	if len(x.Sides) == 0 {
		x.Sides = in.CarriedSides()
	}
	if x.Carried == panel.ByOneRail {
		x.Grip = s.Grip
		if len(x.Sides) > 1 { // the first that has a rail
			k := max(0, slices.IndexFunc(x.Sides, func(side panel.RailSide) bool { _, ok := in.Rail(side); return ok }))
			x.Sides = x.Sides[k : k+1]
		}
		if b := in.Outline().Box(); s.Grip >= min(b.Width(), b.Height()) {
			return &pipeline.BadOption{Option: "grip", Reason: "is as much as the panel is broad"}
		}
	}
	return nil
}

// mostNamed is how many copies are named where none has a name like the one that was given.
const mostNamed = 6

// nearestCopy says which copies a name may mean.
func nearestCopy(in panel.Panel, name string) string {
	var all []string
	for _, c := range in.Copies() {
		all = append(all, c.ID)
	}
	if n := pipeline.Nearest(name, all); n != "" {
		return "; nearest: " + n
	}
	text := "; there are " + strings.Join(all[:min(len(all), mostNamed)], ", ")
	if n := len(all) - mostNamed; n > 0 {
		text += fmt.Sprintf(" and %d more", n)
	}
	return text
}
