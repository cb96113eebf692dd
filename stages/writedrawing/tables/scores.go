package tables

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// scores is the table of score lines.
func scores(p panel.Panel, s drawing.Style) drawing.Table {
	t := drawing.Table{Name: "Score lines", Columns: heads("Line", "Lies at, "+unit(s.Units), "From>", "To>", "Remaining web", "Depth each face>", "Included angle>")}
	for _, x := range p.Scores() {
		axis, at, from, to := "x", x.From.X, x.From.Y, x.To.Y
		if x.From.Y == x.To.Y {
			axis, at, from, to = "y", x.From.Y, x.From.X, x.To.X
		}
		of := func(what string) drawing.Fact { return drawing.Fact{Feature: x.ID, What: what} }
		t.Rows = append(t.Rows, []drawing.Cell{words(x.ID), words(axis+" "+s.Units.Length(at), of(axis)),
			words(s.Units.Length(from), of("from")), words(s.Units.Length(to), of("to")),
			words(s.Units.Toleranced("", x.RemainingWeb, x.WebTolerance), of("remaining_web")),
			words(s.Units.Length(x.Depth), of("depth")), words(x.IncludedAngle.Decimal()+"°", of("included_angle"))})
	}
	if jumps(p) {
		t.Foot = append(t.Foot, "From and To are where a line is at its full depth; where it ends within the panel the groove may run on, getting shallower.")
	}
	return t
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
