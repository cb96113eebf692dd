package tables

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/detail"
)

// scores is the table of score lines. What the plan states, where they lie, it repeats in brackets, and their web, depth
// and angle it leaves to the section that shows them.
func scores(p panel.Panel, s drawing.Style) drawing.Table {
	sections := detail.Sections(p)
	untold := false // a line that no section shows
	for _, x := range p.Scores() {
		untold = untold || sections[x.ID] == ""
	}
	t := drawing.Table{Name: "Score lines", Columns: heads("Line", "Lies at, "+unit(s.Units), "From>", "To>", "Section")}
	if untold {
		t.Columns = append(t.Columns, heads("Remaining web", "Depth each face>", "Included angle>")...)
	}
	repeats := false
	for _, x := range p.Scores() {
		of := func(what string) drawing.Fact { return drawing.Fact{Feature: x.ID, What: what} }
		axis, at, from, to := "x", x.From.X, x.From.Y, x.To.Y
		if x.From.Y == x.To.Y {
			axis, at, from, to = "y", x.From.Y, x.From.X, x.To.X
		}
		place := words(axis+" "+s.Units.Length(at), of(axis))
		if x.From.X == x.To.X || x.From.Y == x.To.Y { // others have no ordinate on the plan
			place, repeats = repeated(place), true
		}
		row := []drawing.Cell{words(x.ID), place, words(s.Units.Length(from), of("from")), words(s.Units.Length(to), of("to"))}
		switch letter := sections[x.ID]; {
		case letter != "":
			row = append(row, words(letter+"–"+letter))
			if untold {
				row = append(row, words(""), words(""), words(""))
			}
		default:
			row = append(row, words("none"), words(s.Units.Toleranced("", x.RemainingWeb, x.WebTolerance), tolerated(x, of)...),
				words(s.Units.Length(x.Depth), of("depth")), words(x.IncludedAngle.Decimal()+"°", of("included_angle")))
		}
		t.Rows = append(t.Rows, row)
	}
	if repeats {
		t.Foot = append(t.Foot, "In brackets: stated on the plan.")
	}
	t.Foot = append(t.Foot, "Web, depth each face and included angle: stated in the section of each line.")
	if jumps(p) {
		t.Foot = append(t.Foot, "From and To are where a line is at its full depth; where it ends within the panel the groove may run on, getting shallower.")
	}
	return t
}

// tolerated are the facts of a web with its tolerance, where it has one.
func tolerated(x panel.Score, of func(string) drawing.Fact) []drawing.Fact {
	if x.WebTolerance > 0 {
		return []drawing.Fact{of("remaining_web"), of("web_tolerance")}
	}
	return []drawing.Fact{of("remaining_web")}
}

func jumps(p panel.Panel) bool {
	for _, x := range p.Scores() {
		if x.Jumps() {
			return true
		}
	}
	return false
}

// degrees gives the direction of a vector.
func degrees(d geom.Point) geom.Angle {
	const half = 3.141592653589793
	return geom.FromDegrees(geom.Atan2(float64(d.Y), float64(d.X)) * 180 / half).Normal()
}
