// Package scorelines cuts V-score lines into both faces of a panel.
//
// The way there: lines finds where lines go, between rows, columns and rails; extents says how far they
// run, from edge to edge of the panel or, where they jump, along what they part; relief finds what lies
// beside a line and belongs to no board: rounded corners and notches are routed away, and what stays of the
// blank laminate belongs to the board beside it.
package scorelines

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "score_lines".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:     "score_lines",
		Summary:  "Cuts V-score lines into both faces, between rows, columns and rails, and routs reliefs where a board's edge leaves its line.",
		Role:     pipeline.Shape,
		Contract: pipeline.Contract,
		New: func() pipeline.Stage {
			return &ScoreLines{
				Between: []string{"rows", "columns", "rails"},
				// A fabricator's page (wedirekt.co.uk, routing and scoring) counts the angle as a whole.
				IncludedAngle: 30 * geom.Degree,
				// From memory, no published source: ± 0.075 to 0.10 mm.
				BladeOffsetTolerance: 100 * geom.UM,
				// A fabricator's page (multi-circuit-boards.eu, v-scoring): the line lies within ± 0.15 mm.
				PositionTolerance: 150 * geom.UM,
				// Least distance of two lines (eurocircuits.de, customer-panel guidelines).
				LeastStrip: 5 * geom.MM,
				// A cutter that fabricators keep (wedirekt.co.uk, routing and scoring: 1.6, 2.0 and 2.4 mm).
				Cutters: []geom.Length{1600 * geom.UM},
				// From memory, no published source. With 0.7 mm depth a blade of 100 mm runs out in 8.3 mm; a fabricator
				// (multi-circuit-boards.eu, v-scoring) asks for 15 mm in all.
				BladeDiameter: 100 * geom.MM, LeadIn: 6_700 * geom.UM,
			}
		},
	}
}

// ScoreLines is the options of stage "score_lines".
type ScoreLines struct {
	Between              []string      `option:"between" choice:"rows|columns|rails|upper_and_lower_rails|left_and_right_rails" help:"the pairs of neighbours that a line goes between"`
	RemainingWeb         *geom.Length  `option:"remaining_web" range:"0.05..3" help:"material left between the two cuts; without it as the sections say for the boards' thickness"`
	WebTolerance         *geom.Length  `option:"web_tolerance" range:"0..1" help:"of the remaining web, either way; without it as the sections say"`
	IncludedAngle        geom.Angle    `option:"included_angle" range:"10..120" help:"whole angle of the blade, from flank to flank; some suppliers name half of it"`
	Sections             []Section     `block:"section" instead:"remaining_web" help:"the section by the boards' thickness: the first row that is thick enough counts; without any, a fabricator's"`
	BladeOffsetTolerance geom.Length   `option:"blade_offset_tolerance" range:"0..1" help:"how far the upper cut may lie beside the lower one, either way"`
	PositionTolerance    geom.Length   `option:"position_tolerance" range:"0..1" help:"how far both cuts may lie beside the line, either way"`
	Leave                *geom.Length  `option:"leave" range:"0..50" help:"blank laminate that stays on each board where boards are spaced: half of the gap for one line"`
	LeastStrip           geom.Length   `option:"least_strip" range:"0.5..100" help:"least distance of two lines between boards whose gap is more than twice leave"`
	Relieve              string        `option:"relieve" choice:"corners_and_notches|notches|nothing" help:"what is routed away beside a line where a board's edge leaves it: without it both where boards lie on the line, and notches alone where they leave blank laminate"`
	Cutters              []geom.Length `option:"cutters" range:"0.3..20" help:"cutter diameters for what is relieved; the thinnest counts"`
	Jump                 bool          `option:"jump" help:"lines run only along what they part, and not from edge to edge of the panel; ask the fabricator whether the blade can be lifted"`
	BladeDiameter        geom.Length   `option:"blade_diameter" range:"20..500" help:"of the round blade, for how far a line that jumps runs on, getting shallower"`
	LeadIn               geom.Length   `option:"lead_in" range:"0..100" help:"what the supplier adds to that before and after a line that jumps"`
}

// Section is a row of the table of sections.
type Section struct {
	UpTo         geom.Length `option:"up_to" required:"true" range:"0.1..10" help:"thickness of the boards, at most"`
	RemainingWeb geom.Length `option:"remaining_web" required:"true" range:"0.05..3" help:"material left between the two cuts"`
	WebTolerance geom.Length `option:"web_tolerance" range:"0..1" help:"of the remaining web, either way"`
	Source       string      `option:"source" help:"where the row comes from"`
}

// Check refuses a call that scores nothing.
func (s *ScoreLines) Check() error {
	var errs []error
	bad := func(o, why string) { errs = append(errs, &pipeline.BadOption{Option: o, Reason: why}) }
	if len(s.Between) == 0 {
		bad("between", "is empty: name rows, columns or rails, or leave the stage out")
	}
	if len(s.Cutters) == 0 {
		bad("cutters", "is empty: name the cutter for what is relieved")
	}
	for i, x := range s.Sections {
		if i > 0 && x.UpTo <= s.Sections[i-1].UpTo {
			bad(fmt.Sprintf("section %d up_to", i+1), "must be more than that of the section before it")
		}
		if x.RemainingWeb >= x.UpTo {
			bad(fmt.Sprintf("section %d remaining_web", i+1), "must be less than up_to, the boards' thickness")
		}
	}
	return errors.Join(errs...)
}

// Parts tells that score lines need copies.
func (s *ScoreLines) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"score_lines"}}
}

// Run cuts the lines.
func (s *ScoreLines) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if len(in.Tabs()) > 0 {
		return pipeline.Result{}, errors.New("there are tabs already, planned as if no line held the boards: put score_lines before breakoff_tabs")
	}
	section, err := s.section(in.Thickness())
	if err != nil {
		return pipeline.Result{}, err
	}
	for _, c := range in.Copies() {
		if c.Board.ThicknessAssumed {
			env.Report(pipeline.Finding{Rule: "thickness-assumed", Severity: pipeline.Warning, Feature: "boards." + c.Board.Name,
				Message: fmt.Sprintf("nobody says how thick the boards are: %v is assumed, and the depth of the score lines follows from it; say it with thickness in the board stage", in.Thickness())})
			break
		}
	}
	scores, err := s.scores(in, section)
	if err != nil {
		return pipeline.Result{}, err
	}
	if len(scores) == 0 {
		return pipeline.Result{}, errors.New("no two of the boards or rails named in between face each other: there is nothing to score")
	}
	b := in.Edit()
	for _, x := range scores {
		b.AddScore(x)
	}
	relieved, err := s.relieve(ctx, env, in, scores, b)
	if err != nil {
		return pipeline.Result{}, err
	}
	if relieved > 0 {
		b.SetCutters(cutters(in.Cutters(), s.Cutters))
	}
	out, err := b.Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	one := scores[0]
	env.Log.Info().Int("lines", len(scores)).Int("reliefs", relieved).Stringer("thickness", in.Thickness()).Stringer("remaining_web", one.RemainingWeb).
		Stringer("depth_each_side", one.Depth).Stringer("included_angle", one.IncludedAngle).Stringer("half_width_at_surface", one.HalfWidth()).
		Str("source", one.Source).Msg("score lines cut")
	return pipeline.Result{Panel: out}, nil
}

// cutters joins two lists of diameters, the largest first.
func cutters(a, b []geom.Length) []geom.Length {
	all := slices.Concat(a, b)
	slices.SortFunc(all, func(a, b geom.Length) int { return int(b - a) })
	return slices.Compact(all)
}

func (s *ScoreLines) leave() geom.Length {
	if s.Leave == nil {
		return 0
	}
	return *s.Leave
}

// relieves tells whether corners or notches are routed away.
func (s *ScoreLines) relieves(what string) bool {
	switch s.Relieve {
	case "":
		return s.leave() == 0 || what == notches
	case "nothing":
		return false
	}
	return s.Relieve == "corners_and_notches" || what == notches
}
