package proof

import (
	"bytes"
	"encoding/csv"
	"maps"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// ruleScore is the rule of the table of score lines as written.
const ruleScore = "written-score"

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
