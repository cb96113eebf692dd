package breakofftabs

import (
	"context"
	"fmt"
	"slices"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/stages/breakofftabs/holding"
)

// notHeld is the rule that findings of this stage name: a board is not held as the limits ask.
const notHeld = "board-not-held"

// choose settles which of the candidates become tabs, and reports what no tab can mend.
func (s *standing) choose(ctx context.Context, env *pipeline.Env) ([]candidate, error) {
	pins, err := s.pins()
	if err != nil {
		return nil, err
	}
	all := s.candidates()
	if s.Placing == "even" {
		pins = s.even(all, pins)
		for i := range pins {
			pins[i].pinned = true
		}
		all = nil
	}
	offered := append(slices.Clone(pins), all...)
	boards, places := s.forHolding(offered)
	choice, err := holding.Choose(ctx, boards, places,
		holding.Limits{FreeSpan: s.LongestFreeSpan, Overhang: s.LongestOverhang, Between: s.corner}, holding.Options{})
	if err != nil {
		return nil, err
	}
	chosen := make([]candidate, 0, len(choice.Chosen))
	for _, k := range choice.Chosen {
		chosen = append(chosen, offered[k])
	}
	env.Log.Info().Int("candidates", len(all)).Int("pinned", len(pins)).Int("tabs", len(chosen)).
		Int("fewest_possible", choice.LowerBound).Bool("proved_fewest", choice.Proven).Msg("tabs chosen")
	s.reportLacks(env, choice.Lacks, chosen)
	return chosen, nil
}

// forHolding says the same in the words of package holding.
func (s *standing) forHolding(offered []candidate) ([]holding.Board, []holding.Candidate) {
	var boards []holding.Board
	for _, c := range s.copies {
		b := holding.Board{ID: c.ID, Outline: c.Place.Path(c.track.path), Mass: c.Place.Apply(c.Board.Outline.Moments().Centroid())}
		for _, z := range c.zones {
			if z.convex() {
				b.Corners = append(b.Corners, geom.Round(c.track.wrap(z.middle())))
			}
		}
		boards = append(boards, b)
	}
	var places []holding.Candidate
	for _, k := range offered {
		p := holding.Candidate{Board: k.copy, At: geom.Round(k.at), Foot: k.foot, Outward: k.out, Half: geom.Round(k.half), Width: k.waist, Other: -1, Pinned: k.pinned}
		if k.target >= 0 {
			_, along := s.copies[k.target].onPanel(k.otherAt)
			p.Other, p.OtherAt, p.OtherFoot, p.OtherOutward, p.OtherHalf = k.target, geom.Round(k.otherAt), k.other, along.right(), geom.Round(k.half)
		}
		places = append(places, p)
	}
	return boards, places
}

// lackSentence says what is wanting, and by which limit.
func (s *standing) lackSentence(l holding.Lack) (text string, limit *geom.Length, option string) {
	switch l.Kind {
	case holding.FreeSpan:
		return fmt.Sprintf("%v of its edge would be free between two tabs, more than longest_free_span (%v)", l.Measured, s.LongestFreeSpan), &s.LongestFreeSpan, "longest_free_span"
	case holding.Overhang:
		return fmt.Sprintf("a corner would overhang its nearest tab by %v, more than longest_overhang (%v)", l.Measured, s.LongestOverhang), &s.LongestOverhang, "longest_overhang"
	case holding.OppositeSides:
		return "no two of its tabs lie on opposite sides", nil, ""
	case holding.CentreOfMass:
		return fmt.Sprintf("its centre of mass lies %v outside of the polygon of its tabs", l.Measured), nil, ""
	case holding.Room:
		return fmt.Sprintf("two pinned tabs leave only %v of slot between their feet, and a cutter needs %v", l.Measured, s.corner), nil, ""
	}
	return "no tab may stand anywhere on its edge", nil, ""
}

// reportLacks reports what no tab mends. Copies of a board that want the same are told of once.
func (s *standing) reportLacks(env *pipeline.Env, lacks []holding.Lack, chosen []candidate) {
	type key struct {
		board, text string
		from, to    geom.Length
	}
	at := map[key]int{}
	var found []pipeline.Finding
	for _, l := range lacks {
		c := s.copies[l.Board]
		text, limit, _ := s.lackSentence(l)
		from, to := float64(l.From), float64(l.To)
		if to <= from {
			to += c.track.length
		}
		begin, middle := c.place(from), c.place((from+to)/2)
		side := sideOf(middle.along.right())
		why := ""
		if bars := c.why(from, to); bars != "" && s.Placing == "planned" {
			why = ": no tab can stand nearer, for of the stretch from " + fmt.Sprintf("%v to %v mm, %s", begin.at, c.place(to).at, bars)
		}
		k := key{c.Board.Name, text + why, l.From, l.To}
		if i, ok := at[k]; ok {
			found[i].Copies = append(found[i].Copies, c.ID)
			continue
		}
		at[k] = len(found)
		place := middle.at
		f := pipeline.Finding{Rule: notHeld, Severity: pipeline.Error, Feature: c.ID, Copies: []string{c.ID}, At: &place,
			Message: fmt.Sprintf("%s (board %s), %s edge: %s%s", c.ID, c.Board.Name, side, text, why)}
		if limit != nil {
			measured, bound := l.Measured.MM(), limit.MM()
			f.Measured, f.Limit, f.Unit = &measured, &bound, "mm"
		}
		found = append(found, f)
	}
	pipeline.SortFindings(found)
	for _, f := range found {
		env.Report(f)
	}
}

// spot is a place on a copy's edge on the panel.
type spot struct {
	at    geom.Point
	along vector
}

func (c *placed) place(at float64) spot {
	p, v := c.onPanel(at)
	return spot{p, v}
}
