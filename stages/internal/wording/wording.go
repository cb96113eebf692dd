// Package wording has what several of the papers say of a panel in words: the fabricator's notes, the drawing. What is worded
// once cannot contradict itself.
package wording

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/waste"
)

// Cautions, and who has the last word.
const (
	Dust     = "Routing, scoring and breaking set free glass-fibre dust and sharp chips."
	LastWord = "Where these notes or files are not what you can or may build, say so before building: your own limits and local rules have the last word."
)

// WholeAngle says what an included angle is, since some call blades by half of it.
const WholeAngle = "the whole angle from flank to flank; say so if your blades are called by half of it"

// Count words a number of things: "1 dot", "3 dots".
func Count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Jump says what becomes of score lines that begin or end within the panel; runOut is the longest run-out in words.
func Jump(runOut string) string {
	return "a line that begins or ends within the panel is at its full depth from there to there, and may run on by " + runOut + ", getting shallower"
}

// LongestRunOut is that of the lines that jump, 0 where none does.
func LongestRunOut(scores []panel.Score) (l geom.Length) {
	for _, x := range scores {
		l = max(l, x.RunOut)
	}
	return l
}

// Blanks says what stays on boards beside score lines; empty where nothing does that nobody asked for.
func Blanks(p panel.Panel) string {
	n, scores := len(p.Blanks()), p.Scores()
	if n == 0 || len(scores) == 0 || scores[0].Leave > 0 {
		return ""
	}
	return fmt.Sprintf("blank laminate stays on boards where their edge leaves a line, at corners or notches (%s), and belongs to them", Count(n, "piece"))
}

// RowFigures are the worst figures of all rows of perforations: the narrowest material between holes and to the slots, the
// highest stub, and that at worst tolerance. All are 0 where tabs have no rows.
type RowFigures struct{ Web, Shoulder, Stub, WorstStub geom.Length }

// Rows gives the worst figures of the tabs' rows.
func Rows(tabs []panel.Tab) (f RowFigures) {
	for _, t := range tabs {
		for _, r := range t.Rows {
			if r.Web > 0 && (f.Web == 0 || r.Web < f.Web) {
				f.Web = r.Web
			}
			if r.Shoulder > 0 && (f.Shoulder == 0 || r.Shoulder < f.Shoulder) {
				f.Shoulder = r.Shoulder
			}
			f.Stub, f.WorstStub = max(f.Stub, r.Stub), max(f.WorstStub, r.WorstStub)
		}
	}
	return f
}

// Tolerances gives those of holes of perforations that the rows' worst figures are reckoned with, either way.
func Tolerances(tabs []panel.Tab) (position, diameter geom.Length) {
	for _, t := range tabs {
		for _, r := range t.Rows {
			if r.Web > 0 {
				// A row's worst stub is off by its position, its worst web by two positions and a diameter.
				position = r.WorstStub - r.Stub
				return position, r.Web - r.WorstWeb - 2*position
			}
		}
	}
	return 50 * geom.UM, 76 * geom.UM // as the stage has them: 3 mil is common practice, no published source
}

// XOut says what is agreed about bad copies; empty where nothing is. Where recipe or standard say where the
// figures come from, that is told; where the usual ones come from stands in panel.json: papers quote no other supplier.
func XOut(p panel.Panel) string {
	x, agreed := p.XOut()
	copies := len(p.Copies())
	switch {
	case !agreed:
		return ""
	case x.Copies == 0 || x.Panels == 0:
		return fmt.Sprintf("X-out: none of the %d copies of a panel may be bad, unless agreed otherwise%s", copies, source(x))
	}
	return fmt.Sprintf("X-out: at most %d of the %d copies of a panel may be bad, in at most %s of the panels delivered, unless agreed otherwise%s",
		x.Copies, copies, x.Panels.Percent(), source(x))
}

func source(x panel.XOut) string {
	if x.Usual {
		return ""
	}
	return from(x.Source)
}

func from(s string) string {
	if s == "" {
		return ""
	}
	return "; " + s
}

// BlackOut says what is done with marks of bad copies.
const BlackOut = "where a copy is bad, black its mark out and strike the copy itself through"

// BadBoardMarks says what the bad-board marks are; empty where there are none.
func BadBoardMarks(p panel.Panel) string {
	var of []string
	copper := false
	for _, x := range p.Prints() {
		if x.Use != panel.BadBoard || len(x.Dots) == 0 || x.Layers[0].Kind == panel.Soldermask {
			continue
		}
		copper = copper || x.Layers[0].Kind == panel.Copper
		if !slices.Contains(of, x.Copy) {
			of = append(of, x.Copy)
		}
	}
	switch {
	case len(of) == 0:
		return ""
	case copper:
		return Count(len(of), "bad-board mark") + ", one for each copy, copper dots in mask openings"
	}
	return Count(len(of), "bad-board mark") + ", one for each copy, dots of legend"
}

// Thieving counts what is filled; empty where nothing is.
func Thieving(p panel.Panel) string {
	dots, lines := 0, 0
	open := false
	var layers []string
	for _, x := range p.Prints() {
		open = open || bares(p, x)
		if x.Use != panel.Thieving {
			continue
		}
		dots, lines = dots+len(x.Dots), lines+len(x.Lines)
		for _, f := range x.Layers {
			if !slices.Contains(layers, f.Key()) {
				layers = append(layers, f.Key())
			}
		}
	}
	text := ""
	switch {
	case dots+lines == 0:
		return ""
	case lines == 0:
		text = Count(dots, "dot")
	case dots == 0:
		text = Count(lines, "line")
	default:
		text = Count(dots, "dot") + " and " + Count(lines, "line")
	}
	mask := "below soldermask"
	if open {
		mask = "with the soldermask left out over it"
	}
	return fmt.Sprintf("%s of copper on the waste, on %s, %s", text, Count(len(layers), "copper layer"), mask)
}

// Mask says on which sides mask lies over the rails; empty where there are no rails or no mask.
func Mask(p panel.Panel) string {
	if len(p.Rails()) == 0 {
		return ""
	}
	var masked, opened []string
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		if !waste.Masked(p, side) {
			continue
		}
		masked = append(masked, string(side))
		if slices.ContainsFunc(p.Prints(), func(x panel.Print) bool {
			return bares(p, x) && x.On(panel.Function{Kind: panel.Soldermask, Side: side})
		}) {
			opened = append(opened, string(side))
		}
	}
	switch {
	case len(masked) == 0:
		return ""
	case len(opened) == 0:
		return "covers the rails on " + strings.Join(masked, " and ") + ", but for the openings drawn"
	}
	return "is left out over the thieved waste on " + strings.Join(opened, " and ") + "; it covers the rails elsewhere, but for the openings drawn"
}

// bares tells that a print opens the mask over thieving.
func bares(p panel.Panel, x panel.Print) bool {
	return x.Use == panel.RailMask && slices.ContainsFunc(p.Prints(), func(o panel.Print) bool { return o.Use == panel.Thieving && x.Area.Holds(o.Area) })
}
