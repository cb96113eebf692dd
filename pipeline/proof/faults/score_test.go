package faults

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"

	"panelwright/pipeline/panel"
)

// scored is a panel of notched boards that are parted by score lines, with a relief routed in each notch.
const scored = `
panel "relay-scored" {
  revision = "A"
  built_to = ["standards/v-score.standard.hcl"]
}
stage "board" {
  name      = "relay"
  files     = "../testdata/boards/relay"
  thickness = "1.6 mm"
}
stage "array" {
  board   = "relay"
  columns = 3
  rows    = 2
}
stage "rails" {}
stage "tooling_holes" {}
stage "fiducials" {}
stage "score_lines" {}
stage "rules" {}
stage "write_fab" {}
`

// drawn is where in the score file a line is drawn: the move to its beginning and the stroke to its end.
func drawn(text []byte, s panel.Score) string {
	for _, way := range [2][2]string{{coordinate(s, true), coordinate(s, false)}, {coordinate(s, false), coordinate(s, true)}} {
		if both := way[0] + "D02*\n" + way[1] + "D01*\n"; bytes.Contains(text, []byte(both)) {
			return both
		}
	}
	return ""
}

func coordinate(s panel.Score, from bool) string {
	p := s.To
	if from {
		p = s.From
	}
	return fmt.Sprintf("X%dY%d", p.X, p.Y)
}

// scoreMoved moves a score line by 10 µm, ends and all.
func scoreMoved(s *subject, r *rand.Rand) (string, map[string][]byte) {
	return s.rescored(r, "moved by 10 um", func(x panel.Score) string {
		if x.From.Y == x.To.Y {
			x.From.Y, x.To.Y = x.From.Y+10_000, x.To.Y+10_000
		} else {
			x.From.X, x.To.X = x.From.X+10_000, x.To.X+10_000
		}
		return coordinate(x, true) + "D02*\n" + coordinate(x, false) + "D01*\n"
	})
}

// scoreLost leaves a score line out.
func scoreLost(s *subject, r *rand.Rand) (string, map[string][]byte) {
	return s.rescored(r, "left out", func(panel.Score) string { return "" })
}

// scoreCut ends a line a millimetre early.
func scoreCut(s *subject, r *rand.Rand) (string, map[string][]byte) {
	return s.rescored(r, "ends 1 mm early", func(x panel.Score) string {
		if x.From.Y == x.To.Y {
			x.To.X -= 1_000_000
		} else {
			x.To.Y -= 1_000_000
		}
		return coordinate(x, true) + "D02*\n" + coordinate(x, false) + "D01*\n"
	})
}

func (s *subject) rescored(r *rand.Rand, what string, as func(panel.Score) string) (string, map[string][]byte) {
	scores := s.in.Panel.Scores()
	if len(scores) == 0 {
		return "", nil
	}
	x := pick(r, scores)
	name := s.file("score.gbr")
	text := s.files[name]
	was := drawn(text, x)
	if was == "" {
		return "", nil
	}
	return s.name + " " + x.ID + " " + what, map[string][]byte{name: bytes.Replace(text, []byte(was), []byte(as(x)), 1)}
}

// scoreTold changes one figure of the table of score lines.
func scoreTold(s *subject, r *rand.Rand) (string, map[string][]byte) {
	if len(s.in.Panel.Scores()) == 0 {
		return "", nil
	}
	name := s.file("score-table.csv")
	lines := strings.Split(strings.TrimSuffix(string(s.files[name]), "\n"), "\n")
	row := 1 + r.IntN(len(lines)-1)
	cells, heads := strings.Split(lines[row], ","), strings.Split(lines[0], ",")
	column := 2 + r.IntN(len(cells)-2)
	if heads[column] == "half_width_at_surface_mm" {
		return "", nil // follows from depth and angle
	}
	cells[column] += "1"
	if cells[column] == "01" || strings.HasSuffix(cells[column], ".01") {
		cells[column] = "0.2"
	}
	lines[row] = strings.Join(cells, ",")
	return s.name + " row " + cells[0] + " " + heads[column], map[string][]byte{name: []byte(strings.Join(lines, "\n") + "\n")}
}
