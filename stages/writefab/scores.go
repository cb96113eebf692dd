package writefab

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/wording"
)

// scoreLines writes the V-score lines, each at its full depth, and the table of their sections. A bare Vcut is
// cut alike from both sides.
func (s *set) scoreLines() error {
	scores := s.panel.Scores()
	if len(scores) == 0 {
		return nil
	}
	d := &dots{function: []string{"Other", "Score"}}
	for _, x := range scores {
		d.stroke(geom.Path{geom.Line(x.From, x.To)}, lineWidth)
	}
	s.plan("fab/"+s.env.Panel+"-score-table.csv", func(w io.Writer) error { return scoreTable(w, s.panel) })
	return s.gerber("score", []string{"Vcut"}, "Positive", []gerber.Piece{{Image: &d.image}}, scoreSections(s.panel.Thickness(), scores)...)
}

// sections groups lines that are cut alike, in the order of the first of each.
func sections(scores []panel.Score) (out [][]panel.Score) {
	alike := func(a, b panel.Score) bool {
		a.ID, a.From, a.To, a.RunOut, a.BladeDiameter = b.ID, b.From, b.To, b.RunOut, b.BladeDiameter
		return a == b
	}
	for _, x := range scores {
		i := slices.IndexFunc(out, func(g []panel.Score) bool { return alike(x, g[0]) })
		if i < 0 {
			i = len(out)
			out = append(out, nil)
		}
		out[i] = append(out[i], x)
	}
	return out
}

// scoreSections says in words what the score lines' section is, each section once: lines alone do not
// tell how deep to cut.
func scoreSections(thickness geom.Length, scores []panel.Score) []string {
	var out []string
	groups := sections(scores)
	for _, g := range groups {
		x := g[0]
		s := fmt.Sprintf("V-score from both faces: thickness %v, remaining web %v%s, depth %v each face, included angle %v (the whole angle, flank to flank), half width of the groove at the surface %v",
			thickness, x.RemainingWeb, within(x.WebTolerance), x.Depth, x.IncludedAngle, x.HalfWidth())
		if len(groups) > 1 {
			s += "; so are cut: " + strings.Join(idsOf(g), " ")
		}
		out = append(out, s)
	}
	return out
}

func idsOf(scores []panel.Score) (out []string) {
	for _, x := range scores {
		out = append(out, x.ID)
	}
	return out
}

// within words a tolerance, nothing for none.
func within(l geom.Length) string {
	if l == 0 {
		return ""
	}
	return " within " + l.String() + " either way"
}

// run gives a line's coordinate, and where it begins and ends along itself; level tells that it runs along x.
func run(x panel.Score) (level bool, at, from, to geom.Length) {
	if x.From.Y == x.To.Y {
		return true, x.From.Y, x.From.X, x.To.X
	}
	return false, x.From.X, x.From.Y, x.To.Y
}

// scoreTable writes every line with its place and its section, one a row.
func scoreTable(w io.Writer, p panel.Panel) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"score", "runs_along", "position_mm", "from_mm", "to_mm", "thickness_mm", "remaining_web_mm", "web_tolerance_mm", "depth_each_side_mm",
		"included_angle_deg", "half_width_at_surface_mm", "blade_offset_tolerance_mm", "position_tolerance_mm", "leave_mm", "run_out_mm"}}
	for _, x := range p.Scores() {
		level, at, from, to := run(x)
		along := "y"
		if level {
			along = "x"
		}
		row := []string{x.ID, along}
		for _, l := range []geom.Length{at, from, to, p.Thickness(), x.RemainingWeb, x.WebTolerance, x.Depth} {
			row = append(row, l.Decimal())
		}
		row = append(row, x.IncludedAngle.Decimal())
		for _, l := range []geom.Length{x.HalfWidth(), x.BladeOffsetTolerance, x.PositionTolerance, x.Leave, x.RunOut} {
			row = append(row, l.Decimal())
		}
		rows = append(rows, row)
	}
	return out.WriteAll(rows)
}

// scoreNotes tells people of the score lines: their section, and where they lie.
func scoreNotes(line func(format string, a ...any), name string, p panel.Panel) {
	scores := p.Scores()
	if len(scores) == 0 {
		return
	}
	jump := slices.ContainsFunc(scores, panel.Score.Jumps)
	how := "from edge to edge of the panel"
	if jump {
		how = "some begin or end within the panel: the blade is lifted there"
	}
	line("")
	line("Score lines  in %s-score.gbr and %s-score-table.csv, cut alike from both faces, %s", name, name, how)
	groups := sections(scores)
	for i, g := range groups {
		if len(groups) > 1 {
			line("             section %d of %d, for the lines below it", i+1, len(groups))
		}
		sectionNotes(line, p.Thickness(), g)
	}
	if jump {
		line("             %s", wording.Jump(wording.LongestRunOut(scores).Decimal()))
	}
	if text := wording.Blanks(p); text != "" {
		line("             %s", text)
	}
}

// sectionNotes tells of lines that are cut alike.
func sectionNotes(line func(format string, a ...any), thickness geom.Length, scores []panel.Score) {
	one := scores[0]
	line("             thickness                   %s", thickness.Decimal())
	line("             remaining web               %s%s", one.RemainingWeb.Decimal(), within(one.WebTolerance))
	line("             depth each face             %s", one.Depth.Decimal())
	line("             included angle              %v, %s", one.IncludedAngle, wording.WholeAngle)
	line("             half width at the surface   %s", one.HalfWidth().Decimal())
	if one.BladeOffsetTolerance > 0 {
		line("             upper beside lower cut      %s at most", one.BladeOffsetTolerance.Decimal())
	}
	if one.PositionTolerance > 0 {
		line("             line within                 %s either way", one.PositionTolerance.Decimal())
	}
	if one.Source != "" {
		line("             section from                %s; tell us yours where it differs", one.Source)
	}
	if one.Leave > 0 {
		line("             blank laminate              %s stays on each board beside a line, and belongs to it", one.Leave.Decimal())
	}
	rows := [][]string{{"line", "position", "from", "to"}}
	for _, x := range scores {
		level, at, from, to := run(x)
		axis := "x"
		if level {
			axis = "y"
		}
		rows = append(rows, []string{x.ID, axis + " = " + at.Decimal(), from.Decimal(), to.Decimal()})
	}
	for _, r := range columns(rows, 14, 12, 12) {
		line("             %s", r)
	}
}

// columns sets rows in columns, two spaces apart, each as wide as its longest entry and at least as given.
func columns(rows [][]string, least ...int) (out []string) {
	wide := make([]int, len(rows[0]))
	copy(wide, least)
	for _, r := range rows {
		for i, s := range r {
			wide[i] = max(wide[i], len(s)+1)
		}
	}
	for _, r := range rows {
		var b strings.Builder
		for i, s := range r {
			fmt.Fprintf(&b, "%-*s ", wide[i], s)
		}
		out = append(out, strings.TrimRight(b.String(), " "))
	}
	return out
}
