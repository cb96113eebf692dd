package breakage

import (
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// score is one score line.
type score struct {
	panel.Score
	along  vector
	pieces []geom.Edge // where the line lies in material
	line   [2]float64  // moment for each length, N: weak and strong
	strip  [2]float64  // mm, how far the panel reaches to the right of the line and to the left, or as far as the next line beside it
}

// length is that of what breaks, in mm.
func (s score) length() float64 {
	sum := 0.0
	for _, e := range s.pieces {
		sum += e.Length() / float64(geom.MM)
	}
	return sum
}

// findScores works out where score lines lie in material, and what breaks them: web²/6 for each length, times the
// strength. The web varies by its tolerance, and is the thinner in weak material. A groove's run-outs, where a line jumps, do not
// count: there the web is thicker.
func (s *survey) findScores(ctx context.Context) error {
	scores := s.p.Scores()
	if len(scores) == 0 {
		return nil
	}
	// Whatever opens the panel, by its box.
	var index geom.Index[int]
	var openings []geom.Outline
	open := func(o geom.Outline) {
		index.Insert(o.Box(), len(openings))
		openings = append(openings, o)
	}
	for _, x := range s.p.Slots() {
		open(x.Outline)
	}
	for _, c := range s.copies {
		for _, cut := range c.Board.Outline.CutOuts {
			open(geom.Outline{Outer: c.Place.Path(cut)})
		}
	}
	outline := s.p.Outline()
	for _, x := range scores {
		if err := ctx.Err(); err != nil {
			return err
		}
		if x.From == x.To {
			continue
		}
		y := score{Score: x, along: along(geom.Line(x.From, x.To))}
		edges := outline.Edges()
		var hits []int
		index.Search(geom.Line(x.From, x.To).Box(), func(_ geom.Box, i int) bool {
			hits = append(hits, i)
			return true
		})
		slices.Sort(hits)
		for _, i := range hits {
			edges = append(edges, openings[i].Edges()...)
		}
		y.pieces = within(geom.Line(x.From, x.To), edges, func(q geom.Point) bool {
			if outline.Locate(q) == geom.Outside {
				return false
			}
			for _, i := range hits {
				if openings[i].Locate(q) == geom.Inside {
					return false
				}
			}
			return true
		})
		across := y.along.left()
		web, off := x.RemainingWeb.MM(), x.WebTolerance.MM()
		thin, thick := max(web-off, 0), web+off
		y.line = ordered(
			float64(thin*thin)/6*laminate.Strength(s.l, across.x, across.y, false)/s.l.Notch.Value,
			float64(thick*thick)/6*laminate.Highest(s.l, across.x, across.y))
		for _, e := range outline.Outer {
			d := across.of(e.From.Sub(x.From))
			y.strip[0], y.strip[1] = max(y.strip[0], -d), max(y.strip[1], d)
		}
		s.scores = append(s.scores, y)
	}
	for i := range s.scores {
		if err := ctx.Err(); err != nil {
			return err
		}
		for k := range s.scores {
			s.scores[i].beside(s.scores[k])
		}
	}
	return nil
}

// beside narrows the strips of a line to another that runs along it. Lines less than a tenth of a millimetre apart are one that
// jumps.
func (s *score) beside(o score) {
	across := s.along.left()
	if math.Abs(float64(across.x*o.along.x)+float64(across.y*o.along.y)) > 1e-6 {
		return
	}
	end, from, to := s.along.of(s.To.Sub(s.From)), s.along.of(o.From.Sub(s.From)), s.along.of(o.To.Sub(s.From))
	if max(from, to) <= 0 || min(from, to) >= end {
		return
	}
	d := across.of(o.From.Sub(s.From))
	switch {
	case d < -0.1:
		s.strip[0] = min(s.strip[0], -d)
	case d > 0.1:
		s.strip[1] = min(s.strip[1], d)
	}
}

// within gives the pieces of a straight line between the places where edges cross it whose middle is good.
func within(line geom.Edge, edges []geom.Edge, good func(geom.Point) bool) []geom.Edge {
	box := line.Box()
	cuts := []geom.Point{line.From, line.To}
	for _, e := range edges {
		if e.Box().Overlaps(box) {
			cuts = append(cuts, line.Intersections(e)...)
		}
	}
	slices.SortFunc(cuts, func(a, b geom.Point) int {
		d := line.To.Sub(line.From)
		switch x, y := a.Sub(line.From).Dot(d), b.Sub(line.From).Dot(d); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	var out []geom.Edge
	for i := 1; i < len(cuts); i++ {
		piece := geom.Line(cuts[i-1], cuts[i])
		if piece.From == piece.To || !good(piece.At(0.5)) {
			continue
		}
		if n := len(out); n > 0 && out[n-1].To == piece.From {
			out[n-1].To = piece.To
			continue
		}
		out = append(out, piece)
	}
	return out
}

// ofScores gives the breaks of score lines.
func (s *survey) ofScores() []Break {
	var out []Break
	for _, x := range s.scores {
		length := x.length()
		if length == 0 {
			continue
		}
		b := Break{Kind: ScoreLine, Feature: x.ID, At: geom.Line(x.From, x.To).At(0.5), Lever: lever(math.Max(x.strip[0], x.strip[1])),
			Moment: [2]float64{float64(x.line[0] * length), float64(x.line[1] * length)}}
		b.Force = over(b.Moment, b.Lever)
		window := geom.Line(x.From, x.To).Box().Grow(x.Leave + x.PositionTolerance + 10*geom.UM)
		for _, c := range s.copies {
			if c.Box().Overlaps(window) {
				b.Copies = append(b.Copies, c.ID)
			}
		}
		out = append(out, b)
	}
	return out
}
