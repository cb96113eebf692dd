package proof

import (
	"bytes"
	"context"
	"encoding/csv"
	"maps"
	"slices"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// ruleScore is the rule of score lines and their table as written.
const ruleScore = "written-score"

// scores holds the score lines as written against the plan, line by line. What differs is told of here; boards
// are parted along the lines as written where all are right, else as planned.
func (p *prover) scores(context.Context) error {
	scores := p.in.Panel.Scores()
	if len(scores) == 0 {
		return nil
	}
	name := p.file("score", ".gbr")
	data, ok, err := p.take(name)
	if err != nil {
		return err
	}
	if ok {
		p.scoreLines(name, data, scores)
	}
	if len(p.scored) == 0 {
		for _, s := range scores {
			p.scored = append(p.scored, geom.Line(s.From, s.To))
		}
	}
	return p.scoreTable()
}

// scoreLines finds what of the lines differs; p.scored stays empty then.
func (p *prover) scoreLines(name string, data []byte, scores []panel.Score) {
	var lines []geom.Edge
	strange := 0
	if _, _, err := gerber.Read(name, data, gerber.Options{Visit: func(_ *artwork.Image, objects []artwork.Object) {
		for _, o := range objects {
			if o.Kind == artwork.Stroke && !o.Clear && o.Edge.Sense == geom.Straight {
				lines = append(lines, o.Edge)
			} else {
				strange++
			}
		}
	}}); err != nil {
		p.report(ruleScore, name, nil, nil, "cannot be read back: %v", err)
		return
	}
	before := len(p.findings)
	if strange > 0 {
		p.report(ruleScore, name, nil, nil, "%d objects are no score lines", strange)
	}
	same := func(e geom.Edge, s panel.Score) bool {
		return e.From == s.From && e.To == s.To || e.From == s.To && e.To == s.From
	}
	written := slices.Clone(lines)
	var missing []panel.Score
	for _, s := range scores {
		if i := slices.IndexFunc(lines, func(e geom.Edge) bool { return same(e, s) }); i >= 0 {
			lines = slices.Delete(lines, i, i+1)
		} else {
			missing = append(missing, s)
		}
	}
	for _, s := range missing {
		at := s.From
		best := -1
		for i, e := range lines {
			meant := (e.From.Y == e.To.Y) == (s.From.Y == s.To.Y) || away(e, s) < float64(geom.MM)
			if meant && (best < 0 || away(e, s) < away(lines[best], s)) {
				best = i
			}
		}
		if best < 0 {
			p.report(ruleScore, s.ID, nil, &at, "%s from %v to %v mm was not written", s.ID, s.From, s.To)
			continue
		}
		p.report(ruleScore, s.ID, nil, &at, "%s was written from %v to %v mm; planned is from %v to %v", s.ID, lines[best].From, lines[best].To, s.From, s.To)
		lines = slices.Delete(lines, best, best+1)
	}
	for _, e := range lines {
		at := e.From
		p.report(ruleScore, name, nil, &at, "a score line from %v to %v mm was written, and none is planned there", e.From, e.To)
	}
	if len(p.findings) == before {
		p.scored = written
	}
}

// away is how far a line lies from a planned one, by its ends.
func away(e geom.Edge, s panel.Score) float64 {
	return min(max(e.From.Distance(s.From), e.To.Distance(s.To)), max(e.From.Distance(s.To), e.To.Distance(s.From)))
}

// scoreTable holds the table of score lines against the plan: every line with its place and its section. The
// lines in the layer file tell nothing of how deep to cut.
func (p *prover) scoreTable() error {
	name := p.file("score-table", ".csv")
	data, ok, err := p.take(name)
	if err != nil || !ok {
		return err
	}
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		p.report(ruleScore, name, nil, nil, "cannot be read back: %v", err)
		return nil
	}
	if len(rows) == 0 {
		p.report(ruleScore, name, nil, nil, "is empty")
		return nil
	}
	thickness := p.in.Panel.Thickness()
	left := rows[1:]
	for _, s := range p.in.Panel.Scores() {
		i := slices.IndexFunc(left, func(r []string) bool { return len(r) > 0 && r[0] == s.ID })
		if i < 0 {
			p.report(ruleScore, s.ID, nil, &s.From, "%s is not in the table of score lines", s.ID)
			continue
		}
		says := told(s, thickness)
		for _, column := range slices.Sorted(maps.Keys(says)) {
			want := says[column]
			k := slices.Index(rows[0], column)
			if k < 0 || left[i][k] != want {
				got := "nothing"
				if k >= 0 {
					got = left[i][k]
				}
				p.report(ruleScore, s.ID, nil, &s.From, "the table of score lines says %s of %s is %s; planned is %s", column, s.ID, got, want)
			}
		}
		left = slices.Delete(slices.Clone(left), i, i+1)
	}
	for _, r := range left {
		p.report(ruleScore, name, nil, nil, "the table of score lines has a line %s that is not planned", r[0])
	}
	return nil
}

// told is what the table must say of a line, by column. Depth and web add up to the thickness.
func told(s panel.Score, thickness geom.Length) map[string]string {
	at, from, to, along := s.From.Y, s.From.X, s.To.X, "x"
	if s.From.X == s.To.X {
		at, from, to, along = s.From.X, s.From.Y, s.To.Y, "y"
	}
	return map[string]string{
		"runs_along": along, "position_mm": at.Decimal(), "from_mm": from.Decimal(), "to_mm": to.Decimal(), "thickness_mm": thickness.Decimal(),
		"remaining_web_mm": (thickness - 2*s.Depth).Decimal(), "depth_each_side_mm": ((thickness - s.RemainingWeb) / 2).Decimal(),
		"included_angle_deg": s.IncludedAngle.Decimal(), "web_tolerance_mm": s.WebTolerance.Decimal(), "blade_offset_tolerance_mm": s.BladeOffsetTolerance.Decimal(),
		"position_tolerance_mm": s.PositionTolerance.Decimal(), "leave_mm": s.Leave.Decimal(), "run_out_mm": s.RunOut.Decimal(),
	}
}
