package mechanics

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/panel"
)

// Digits rounds a reckoned figure to four digits that count: more would be noise.
func Digits(v float64) float64 { return rounded(v, 4) }

// Figure writes a reckoned figure with three digits that count.
func Figure(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "not known"
	}
	return strconv.FormatFloat(rounded(v, 3), 'f', -1, 64)
}

// Times writes a reserve: how many times as strong something is as it is strained.
func Times(v float64) string {
	if v >= highest {
		return "far more than needed"
	}
	return Figure(v)
}

func rounded(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// CarriedBy says how a panel is carried: "carried at its upper and lower edges".
func CarriedBy(s panel.Support) string {
	var sides []string
	for _, x := range s.Sides {
		sides = append(sides, string(x))
	}
	switch s.Carried {
	case panel.ByPins:
		return fmt.Sprintf("carried on %d pins", len(s.Pins))
	case panel.ByOneRail:
		return "held at its " + strings.Join(sides, " and ") + " edge"
	}
	return "carried at its " + strings.Join(sides, " and ") + " edges"
}

// Words says in which state something was reckoned: "in the oven".
func (s State) Words(a *Answers) string {
	switch s.Kind {
	case Hot:
		return "in the oven"
	case Pressed:
		return fmt.Sprintf("cold, %s %s pressing on %s", Figure(a.Support.Force.Value), a.Support.Force.Unit, s.Pressed)
	}
	return "cold"
}

// What holds of every result; reports state it.
const (
	Reckoned  = "All of it is reckoned, nothing measured. The fabricator's and the assembler's own limits and local rules have the last word."
	Estimated = "What breaking takes, and how it strains parts, are estimates, uncalibrated: no published measurements of strain over distance from a break were found to hold them against."
)
