package mechanics

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
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

// Exact writes a constant as it was given, with six digits at most.
func Exact(v float64) string { return strconv.FormatFloat(rounded(v, 6), 'f', -1, 64) }

// Small writes the size of a figure of either sign, such as a moment's: what is below a ten-thousandth is rounding, not bending.
func Small(v float64) string {
	if v = math.Abs(v); v < 1e-4 {
		return "0"
	}
	return Figure(v)
}

// Place rounds a place that was reckoned, such as a node's, to hundredths of a millimetre.
func Place(p geom.Point) geom.Point { return geom.Pt(Rounded(p.X), Rounded(p.Y)) }

// Distance writes a length that was reckoned, to hundredths of a millimetre.
func Distance(l geom.Length) string { return Rounded(l).String() }

// Rounded rounds a length that was reckoned to hundredths of a millimetre.
func Rounded(l geom.Length) geom.Length {
	const step = 10 * geom.UM
	return geom.Round(float64(l)/float64(step)) * step
}

// SpanWords says what a panel's span is: "between its supports".
func SpanWords(s panel.Support) string {
	switch s.Carried {
	case panel.ByPins:
		return "between the pins that lie furthest apart"
	case panel.ByOneRail:
		return "from the held edge to the far one"
	}
	return "between its supports"
}

// TooFar is from what sag on, in % of the span, the theory of small sags does not hold: slopes are no longer small (common
// practice, no published source).
const TooFar = 10.0

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

// CarriedBy says how the panel is carried, without pins under nothing.
func (a *Answers) CarriedBy() string {
	s := a.Support
	if n := len(s.Pins) - len(a.IdlePins); n >= 0 {
		s.Pins = s.Pins[:n]
	}
	return CarriedBy(s)
}

// Unweighed counts the parts of a panel whose mass nobody says, which are reckoned to weigh nothing, and all parts.
func Unweighed(p panel.Panel) (unknown, all int) {
	for _, c := range p.Copies() {
		for _, x := range c.Board.Parts {
			if x.OnlyDrawn() {
				continue
			}
			all++
			if x.Body.Mass <= 0 {
				unknown++
			}
		}
	}
	return unknown, all
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
