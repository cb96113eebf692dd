package faults

import (
	"bytes"
	"math/rand/v2"
	"regexp"
	"strings"

	"panelwright/pipeline/geom"
)

var (
	hole = regexp.MustCompile(`(?m)^X-?[\d.]+Y-?[\d.]+\n`)
	tool = regexp.MustCompile(`(?m)^(T\d+)C([\d.]+)\n`)
)

// decimal writes a length as drill files have it: at least three decimals.
func decimal(l geom.Length) string {
	whole, fraction, _ := strings.Cut(l.Decimal(), ".")
	return whole + "." + fraction + "000"[min(3, len(fraction)):]
}

// holeLine is a hole's line in a drill file.
func holeLine(at geom.Point) []byte { return []byte("X" + decimal(at.X) + "Y" + decimal(at.Y) + "\n") }

// holeMissing takes one line of a hole out of a drill file.
func holeMissing(s *subject, r *rand.Rand) (string, map[string][]byte) {
	name := pick(r, s.drills())
	text := s.files[name]
	all := hole.FindAllIndex(text, -1)
	if len(all) == 0 {
		return "", nil
	}
	at := pick(r, all)
	return name + " " + string(bytes.TrimSpace(text[at[0]:at[1]])), map[string][]byte{name: replaced(text, at, nil)}
}

// holeMoved moves a perforation towards the board whose edge its row follows.
func holeMoved(s *subject, r *rand.Rand) (string, map[string][]byte) {
	h := pick(r, s.in.Panel.Perforations())
	name := s.file("drill-breakoff.drl")
	line := holeLine(h.At)
	at := bytes.Index(s.files[name], append([]byte("\n"), line...)) + 1
	if at == 0 {
		return "", nil
	}
	var edge geom.Point
	best := -1.0
	for _, e := range s.outline(h.Copy).Edges() {
		if d, q := geom.PointEdgeDistance(h.At, e); best < 0 || d < best {
			best, edge = d, q
		}
	}
	by := float64(50 * geom.UM)
	to := geom.Pt(h.At.X+geom.Round(float64(edge.X-h.At.X)/best*by), h.At.Y+geom.Round(float64(edge.Y-h.At.Y)/best*by))
	return s.name + " " + h.ID, map[string][]byte{name: replaced(s.files[name], []int{at, at + len(line)}, holeLine(to))}
}

// toolChanged gives a tool of a drill file another diameter.
func toolChanged(s *subject, r *rand.Rand) (string, map[string][]byte) {
	name := pick(r, s.drills())
	text := s.files[name]
	all := tool.FindAllSubmatchIndex(text, -1)
	if len(all) == 0 {
		return "", nil
	}
	at := pick(r, all)
	was, now := string(text[at[4]:at[5]]), pick(r, []string{"0.350", "0.450", "0.510", "0.550", "0.650", "1.050", "2.100"})
	if was == now {
		return "", nil
	}
	return name + " " + string(text[at[2]:at[3]]) + " " + was + " to " + now, map[string][]byte{name: replaced(text, at[4:6], []byte(now))}
}

// replaced gives the text with the piece between two places replaced.
func replaced(text []byte, at []int, by []byte) []byte {
	return bytes.Join([][]byte{text[:at[0]], by, text[at[1]:]}, nil)
}

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }
