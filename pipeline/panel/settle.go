package panel

import "panelwright/pipeline/geom"

// Settle gives the transform that turns a board and puts the lower left corner of its turned
// bounding box at the point given.
func Settle(b *Board, turn geom.Angle, lowerLeft geom.Point) geom.Transform {
	t := geom.Transform{Turn: turn.Normal()}
	t.Shift = lowerLeft.Sub(t.Path(b.Outline.Outer).Box().Min)
	return t
}
