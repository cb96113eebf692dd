// Package scorelines cuts V-score lines into both faces of a panel, from edge to edge.
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
		Name:    "score_lines",
		Summary: "Cuts V-score lines into both faces, from edge to edge of the panel, between rows, columns and rails.",
		Role:    pipeline.Shape,
		New: func() pipeline.Stage {
			// A fabricator's page (wedirekt.co.uk, routing and scoring) counts the angle as a whole.
			return &ScoreLines{Between: []string{"rows", "columns", "rails"}, IncludedAngle: 30 * geom.Degree}
		},
	}
}

// ScoreLines is the options of stage "score_lines".
type ScoreLines struct {
	Between       []string     `option:"between" choice:"rows|columns|rails" help:"the pairs of neighbours that a line goes between"`
	RemainingWeb  *geom.Length `option:"remaining_web" range:"0.05..3" help:"material left between the two cuts; without it 0.3 mm up to 2.0 mm thickness, 0.4 mm above"`
	IncludedAngle geom.Angle   `option:"included_angle" range:"10..120" help:"whole angle of the blade, from flank to flank; some suppliers name half of it"`
	Leave         *geom.Length `option:"leave" range:"0..50" help:"blank laminate that stays on each board where boards are spaced: half of the gap"`
}

// Check refuses a call that scores nothing.
func (s *ScoreLines) Check() error {
	if len(s.Between) == 0 {
		return &pipeline.BadOption{Option: "between", Reason: "is empty: name rows, columns or rails, or leave the stage out"}
	}
	return nil
}

// Parts tells that score lines need copies.
func (s *ScoreLines) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"copies"}, Gives: []string{"score_lines"}}
}

// web is the material left between the cuts. The default is a fabricator's page
// (wedirekt.co.uk, routing and scoring): 0.30 mm to 2.0 mm thickness, 0.40 mm above.
func (s *ScoreLines) web(thickness geom.Length) geom.Length {
	switch {
	case s.RemainingWeb != nil:
		return *s.RemainingWeb
	case thickness > 2*geom.MM:
		return 400 * geom.UM
	}
	return 300 * geom.UM
}

// Run cuts the lines.
func (s *ScoreLines) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	web, thick := s.web(in.Thickness()), in.Thickness()
	if web >= thick {
		return pipeline.Result{}, fmt.Errorf("remaining_web %v is not less than the boards' thickness %v", web, thick)
	}
	for _, c := range in.Copies() {
		if c.Board.ThicknessAssumed {
			env.Report(pipeline.Finding{Rule: "thickness-assumed", Severity: pipeline.Warning, Feature: "boards." + c.Board.Name,
				Message: fmt.Sprintf("nobody says how thick the boards are: %v is assumed, and the depth of the score lines follows from it; say it with thickness in the board stage", thick)})
			break
		}
	}
	b := in.Edit()
	total := 0
	box := in.Outline().Box()
	for _, axis := range []axis{alongX, alongY} {
		lines, err := s.lines(in, axis)
		if err != nil {
			return pipeline.Result{}, err
		}
		for i, at := range lines {
			x := panel.Score{RemainingWeb: web, Depth: (thick - web) / 2, IncludedAngle: s.IncludedAngle, Leave: s.leave()}
			if axis == alongX {
				x.ID, x.From, x.To = fmt.Sprintf("score/y%d", i+1), geom.Pt(box.Min.X, at), geom.Pt(box.Max.X, at)
			} else {
				x.ID, x.From, x.To = fmt.Sprintf("score/x%d", i+1), geom.Pt(at, box.Min.Y), geom.Pt(at, box.Max.Y)
			}
			b.AddScore(x)
			total++
		}
	}
	if total == 0 {
		return pipeline.Result{}, errors.New("no two of the boards or rails named in between face each other: there is nothing to score")
	}
	out, err := b.Build()
	if err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Int("lines", total).Str("remaining_web", web.String()).Str("included_angle", s.IncludedAngle.String()).Msg("score lines cut")
	return pipeline.Result{Panel: out}, nil
}

func (s *ScoreLines) leave() geom.Length {
	if s.Leave == nil {
		return 0
	}
	return *s.Leave
}

// axis is the direction of a line.
type axis bool

const (
	alongX axis = false
	alongY axis = true
)

// across gives a box's extent across the axis, along the extent along it.
func (a axis) across(b geom.Box) (lo, hi geom.Length) {
	if a == alongX {
		return b.Min.Y, b.Max.Y
	}
	return b.Min.X, b.Max.X
}

func (a axis) along(b geom.Box) (lo, hi geom.Length) { return (!a).across(b) }

// body is a copy or a rail that a line may part from another.
type body struct {
	name string
	box  geom.Box
	copy *panel.Copy
}

// lines gives the coordinates of the lines along an axis, in order.
func (s *ScoreLines) lines(in panel.Panel, a axis) ([]geom.Length, error) {
	copies := in.Copies()
	var bodies []body
	for i, c := range copies {
		bodies = append(bodies, body{c.ID, c.Box(), &copies[i]})
	}
	for _, r := range in.Rails() {
		bodies = append(bodies, body{name: r.ID, box: r.Box})
	}
	found := map[geom.Length]bool{}
	for _, p := range bodies {
		for _, q := range bodies {
			if !s.wanted(a, p, q) {
				continue
			}
			_, pHi := a.across(p.box)
			qLo, _ := a.across(q.box)
			gap := qLo - pHi
			if gap < 0 || !facing(a, p, q, bodies) {
				continue
			}
			at, err := s.between(p, q, pHi, gap)
			if err != nil {
				return nil, err
			}
			found[at] = true
		}
	}
	var out []geom.Length
	for at := range found {
		out = append(out, at)
	}
	slices.Sort(out)
	for _, at := range out {
		if err := s.clear(a, at, copies); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// wanted tells whether the recipe asks for lines between two bodies, q above or to the right of p.
func (s *ScoreLines) wanted(a axis, p, q body) bool {
	if p.name == q.name {
		return false
	}
	switch {
	case p.copy == nil && q.copy == nil:
		return false
	case p.copy == nil || q.copy == nil:
		return slices.Contains(s.Between, "rails")
	case a == alongX:
		return slices.Contains(s.Between, "rows")
	}
	return slices.Contains(s.Between, "columns")
}

// facing tells whether q lies next to p across the axis with nothing between them.
func facing(a axis, p, q body, all []body) bool {
	lo, hi := overlap(a, p.box, q.box)
	if lo >= hi {
		return false
	}
	_, pHi := a.across(p.box)
	qLo, _ := a.across(q.box)
	for _, r := range all {
		if r.name == p.name || r.name == q.name {
			continue
		}
		rLo, rHi := a.across(r.box)
		from, to := a.along(r.box)
		if rLo >= pHi && rHi <= qLo && from < hi && to > lo {
			return false
		}
	}
	return true
}

func overlap(a axis, p, q geom.Box) (lo, hi geom.Length) {
	pl, ph := a.along(p)
	ql, qh := a.along(q)
	return max(pl, ql), min(ph, qh)
}

// between gives the line's coordinate between two bodies.
func (s *ScoreLines) between(p, q body, edge, gap geom.Length) (geom.Length, error) {
	want := 2 * s.leave()
	if p.copy == nil || q.copy == nil {
		want = s.leave() // a rail may give all of its side
	}
	switch {
	case gap == 0:
		return edge, nil
	case s.Leave == nil:
		return 0, fmt.Errorf("%s and %s are spaced %v: abut them (gap = 0), or say with leave how much blank laminate stays on each board (here %v)",
			p.name, q.name, gap, gap/2)
	case gap == 2*s.leave():
		return edge + s.leave(), nil
	case gap == want && p.copy == nil:
		return edge, nil
	case gap == want:
		return edge + gap, nil
	}
	return 0, fmt.Errorf("%s and %s are spaced %v, but leave = %v asks for a gap of %v", p.name, q.name, gap, s.leave(), want)
}

// clear refuses a line that runs through a copy, or along a copy whose edge there is not straight
// from corner to corner.
func (s *ScoreLines) clear(a axis, at geom.Length, copies []panel.Copy) error {
	for _, c := range copies {
		box := c.Box()
		lo, hi := a.across(box)
		if lo < at && at < hi {
			return fmt.Errorf("the score line at %s = %v mm would run through %s: line the boards up in full rows and columns", a.name(), at.Decimal(), c.ID)
		}
		var edge geom.Length
		switch {
		case at <= lo && lo-at <= s.leave():
			edge = lo
		case at >= hi && at-hi <= s.leave():
			edge = hi
		default:
			continue
		}
		from, to := a.along(box)
		if got := straightAlong(a, edge, c.Outline().Outer); got < to-from {
			return fmt.Errorf("%s (board %s) has an edge on the score line at %s = %v mm that is not straight: %v of %v are; "+
				"rounded corners and notches on a line need a routed relief, which is not made yet",
				c.ID, c.Board.Name, a.name(), at.Decimal(), got, to-from)
		}
	}
	return nil
}

func (a axis) name() string {
	if a == alongX {
		return "y"
	}
	return "x"
}

// straightAlong gives how much of a path runs along the line at coordinate at, to within 1 µm.
func straightAlong(a axis, at geom.Length, p geom.Path) geom.Length {
	var sum geom.Length
	for _, e := range p {
		if e.Sense != geom.Straight {
			continue
		}
		b := geom.BoxOf(e.From, e.To)
		lo, hi := a.across(b)
		if (lo-at).Abs() <= geom.UM && (hi-at).Abs() <= geom.UM {
			from, to := a.along(b)
			sum += to - from
		}
	}
	return sum
}
