package returned

import (
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

type slot = panel.Slot

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// shortMM writes a length in millimetres, rounded to the micrometre.
func shortMM(l geom.Length) string {
	s := strconv.FormatFloat(l.MM(), 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

func shortPoint(p geom.Point) string { return "(" + shortMM(p.X) + ", " + shortMM(p.Y) + ")" }

func platingWord(p artwork.Plating) string {
	switch p {
	case artwork.Plated:
		return "plated"
	case artwork.NonPlated:
		return "non-plated"
	}
	return "of unknown plating"
}

// words names a bore.
func (b bore) words() string {
	what := "hole"
	if b.path != nil {
		what = "slot"
	}
	return fmt.Sprintf("%s %s of %s mm", platingWord(b.plating), what, shortMM(b.diameter))
}

// mostNamed is how many names a sentence has.
const mostNamed = 4

func listed(names []string) string {
	if len(names) > mostNamed {
		return strings.Join(names[:mostNamed-1], ", ") + fmt.Sprintf(" and %d more", len(names)-mostNamed+1)
	}
	return strings.Join(names, ", ")
}
