package pipeline

import (
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Moment is when in a panel's life something is told of: reports follow it.
type Moment string

// The moments in the order in which a panel is handled.
const (
	AsCut      Moment = "as_cut"       // at the fabricator, finished
	OnTheLine  Moment = "on_the_line"  // printed, placed, soldered
	AtBreakOff Moment = "at_break_off" // taken apart
)

// Field is a figure that varies over the panel, in squares of a grid, to be shown as a shaded picture.
type Field struct {
	ID     string // "copper-share/copper-1-top": unique within a build
	Title  string // "Copper on the top"
	Unit   string // "%", "mm", "MPa"
	Moment Moment
	Side   panel.Side // whose picture it lies over; NoSide for the whole thickness
	// The first square's lower left corner is Origin; squares have the side Step and lie row by row, the lowest first.
	Origin        geom.Point
	Step          geom.Length
	Columns, Rows int
	Values        []float64 // Columns × Rows; NaN where there is nothing
	// Least and Most are limits that the figure should keep, nil for none.
	Least, Most *float64
	Source      string // how it was reckoned
}
