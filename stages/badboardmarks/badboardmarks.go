// Package badboardmarks gives every copy a mark that is blacked out when the copy is bad, so that the assembly
// line leaves it out, and says how many copies of a panel may be bad.
//
// On rails the marks stand in rows, in the order of the copies, each beside its copy's name (rail.go); on boards
// each copy has its own at the same place (board.go).
package badboardmarks

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/lettering"
	"panelwright/pipeline/panel/waste"
	"panelwright/stages/internal/xout"
)

// Kind is stage "bad_board_marks".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "bad_board_marks",
		Summary:  "Gives every copy a mark to be blacked out when it is bad, on a rail or on the board, and says how many copies of a panel may be bad (X-out).",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &BadBoardMarks{
				Where: onRail, MadeOf: copper, Sides: []string{"top", "bottom"},
				// From memory, no published source: cameras look for 1 to 3 mm; the opening as round a fiducial.
				Diameter: 2 * geom.MM, MaskDiameter: 3 * geom.MM,
				// Conveyors hold 3.0 mm of a panel's edge (boardor.com).
				FromPanelEdge: 3 * geom.MM,
				// Common practice, no published source.
				Clearance: 500 * geom.UM,
				Names:     true,
				// Strokes as thin, letters half as high again, as the rules legend-stroke and legend-height ask for:
				// common practice, no published source.
				LetterHeight: 1500 * geom.UM, StrokeWidth: 150 * geom.UM,
				XOutPercent: xout.UsualPercent,
			}
		},
	}
}

// Where marks are, and what of.
const (
	onRail  = "rail"
	onBoard = "board"
	copper  = "copper"
	legend  = "legend"
)

// BadBoardMarks is the options of stage "bad_board_marks".
type BadBoardMarks struct {
	Where         string        `option:"where" choice:"rail|board" help:"rail: in rows on the rails, in the order of the copies; board: on each copy, at the same place"`
	At            []geom.Length `option:"at" count:"2" range:"-1000..1000" help:"where the mark is on each board, in the coordinates of its files, for where = \"board\""`
	Places        []Place       `block:"place" labels:"1" help:"where the mark is on one board of several, by the board's name"`
	MadeOf        string        `option:"made_of" choice:"copper|legend" help:"copper: a dot in an opening of the soldermask, as a fiducial; legend: a dot of ink"`
	Diameter      geom.Length   `option:"diameter" range:"0.3..20" help:"of the dot"`
	MaskDiameter  geom.Length   `option:"mask_diameter" range:"0.3..30" help:"of the opening in the soldermask round a dot of copper"`
	Sides         []string      `option:"sides" choice:"top|bottom" help:"the sides of the panel that get them"`
	On            []string      `option:"on" choice:"upper|lower|left|right" help:"the rails that may carry them, in that order; unless given, all there are"`
	FromPanelEdge geom.Length   `option:"from_panel_edge" range:"0..50" help:"least distance to the panel's edge, which a conveyor covers"`
	Clearance     geom.Length   `option:"clearance" range:"0..20" help:"kept free round marks and names: to boards, breaks, holes, clear areas of fiducials, all that is printed; on a board to its edge, copper, openings, legend, holes and parts"`
	Names         bool          `option:"names" help:"prints the copy's name beside each mark on a rail"`
	LetterHeight  geom.Length   `option:"letter_height" range:"0.3..20" help:"of the names"`
	StrokeWidth   geom.Length   `option:"stroke_width" range:"0.05..5" help:"of the names"`
	XOuts         []xout.Row    `block:"x_out" help:"how many copies of a panel may be bad, by how many it has; without any: none up to 4, 1 up to 10, 2 up to 20, 3 beyond, or what stage rules states"`
	XOutPercent   float64       `option:"x_out_percent" range:"0..100" help:"of the panels of a shipment that may have bad copies"`
}

// Place is where one board's mark is.
type Place struct {
	Board string        `label:"0"`
	At    []geom.Length `option:"at" required:"true" count:"2" range:"-1000..1000" help:"in the coordinates of the board's files"`
}

// Check refuses marks that nobody could see, and places that are not said or of no use.
func (s *BadBoardMarks) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if s.MadeOf == copper && s.MaskDiameter < s.Diameter {
		bad("mask_diameter", "must be at least diameter, "+s.Diameter.String())
	}
	if s.Names && s.Where == onRail && s.LetterHeight < lettering.Thickest*s.StrokeWidth {
		bad("letter_height", fmt.Sprintf("must be at least %v for strokes of %v: thinner letters fill up", lettering.Thickest*s.StrokeWidth, s.StrokeWidth))
	}
	if len(s.Sides) == 0 {
		bad("sides", "is empty: name top, bottom or both")
	}
	if s.Where == onBoard && len(s.At) == 0 && len(s.Places) == 0 {
		bad("where", `= "board" needs the place on the board: at = [x, y]`)
	}
	if s.Where == onRail && len(s.At)+len(s.Places) > 0 {
		bad("at", `is a place on a board: say where = "board", or leave it out`)
	}
	if s.Where == onBoard && len(s.On) > 0 {
		bad("on", `names rails: say where = "rail", or leave it out`)
	}
	errs = append(errs, xout.Check(s.XOuts)...)
	named := map[string]bool{}
	for _, p := range s.Places {
		if named[p.Board] {
			bad("place "+p.Board, "is there twice")
		}
		named[p.Board] = true
	}
	return errors.Join(errs...)
}

// Parts tells what must be there, and what must not come afterwards: marks on rails keep off all of it.
func (s *BadBoardMarks) Parts() pipeline.Parts {
	if s.Where == onBoard {
		return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"bad_board_marks"}, Ends: []string{"copies", "fiducials"}}
	}
	return pipeline.Parts{Needs: []string{"rails"}, Gives: []string{"bad_board_marks"},
		Ends: []string{"copies", "rails", "tooling_holes", "fiducials", "tabs", "score_lines"}}
}

// reach is the diameter of all that belongs to a mark.
func (s *BadBoardMarks) reach() geom.Length {
	if s.MadeOf == copper {
		return s.MaskDiameter
	}
	return s.Diameter
}

// Run places the marks.
func (s *BadBoardMarks) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	layers, err := s.layers(in)
	if err != nil {
		return pipeline.Result{}, err
	}
	var places []spot
	if s.Where == onBoard {
		places, err = s.onBoards(ctx, in)
	} else {
		in, places, err = s.onRails(ctx, in)
	}
	if err != nil {
		return pipeline.Result{}, err
	}
	var masks []panel.Function
	if s.MadeOf == copper { // where there is no soldermask, copper is bare anyway
		masks = slices.DeleteFunc(s.on(panel.Soldermask), func(f panel.Function) bool { return !waste.Masked(in, f.Side) })
	}
	b := in.Edit()
	for _, p := range places {
		id := "bad_board_mark/" + p.copy
		dot := func(id string, on []panel.Function, d geom.Length) {
			b.AddPrint(panel.Print{ID: id, Use: panel.BadBoard, Copy: p.copy, Layers: on, Area: geom.BoxOf(p.at).Grow((d + 1) / 2),
				Dots: []panel.Dot{{At: p.at, Diameter: d}}})
		}
		dot(id, layers, s.Diameter)
		if len(masks) > 0 {
			dot(id+"/mask", masks, s.MaskDiameter)
		}
		for _, n := range p.names {
			b.AddPrint(n)
		}
	}
	x := s.xOut(len(in.Copies()))
	out, err := b.SetXOut(x).Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("marks", len(places)).Str("where", s.Where).Str("made_of", s.MadeOf).Strs("sides", s.Sides).
		Int("bad_copies_at_most", x.Copies).Str("of_panels", x.Panels.Percent()).Msg("bad-board marks placed")
	return pipeline.Result{Panel: out}, nil
}

// spot is where a copy's mark is.
type spot struct {
	copy  string
	at    geom.Point
	names []panel.Print
}

// on gives the layers of a kind on the sides that get marks.
func (s *BadBoardMarks) on(kind panel.FunctionKind) []panel.Function {
	var out []panel.Function
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		if slices.Contains(s.Sides, string(side)) {
			out = append(out, panel.Function{Kind: kind, Side: side})
		}
	}
	return out
}

// layers gives the layers that the marks are drawn on: of copper, those that placed boards have.
func (s *BadBoardMarks) layers(in panel.Panel) ([]panel.Function, error) {
	if s.MadeOf == legend {
		return s.on(panel.Legend), nil
	}
	var out []panel.Function
	for _, f := range s.on(panel.Copper) {
		for _, c := range in.Copies() {
			for _, l := range c.Board.Layers {
				if l.Function.Kind == panel.Copper && l.Function.Side == f.Side {
					f.Index = l.Function.Index
				}
			}
		}
		if f.Index == 0 {
			return nil, fmt.Errorf(`no placed board has copper on the %s: take that side out of sides, or say made_of = "legend"`, f.Side)
		}
		out = append(out, f)
	}
	return out, nil
}

// xOut gives what is agreed for a panel of so many copies.
func (s *BadBoardMarks) xOut(copies int) panel.XOut {
	if len(s.XOuts) == 0 {
		x := xout.For(xout.Usual(), s.XOutPercent, copies)
		x.Usual = true
		return x
	}
	return xout.For(s.XOuts, s.XOutPercent, copies)
}
