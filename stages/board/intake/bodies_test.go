package intake

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Guesses take the box round a part's own pads, in the part's directions; positions by hand.
func TestGuessedBodies(t *testing.T) {
	mm := func(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }
	at := func(x, y, w, h float64, refdes string) pad {
		return pad{mm(x, y), geom.Box{Min: mm(x-w/2, y-h/2), Max: mm(x+w/2, y+h/2)}, refdes}
	}
	pads := []pad{
		at(9, 10, 0.5, 1, ""), at(11, 10, 0.5, 1, ""), // R1
		at(13, 9, 1, 0.5, ""), at(13, 11, 1, 0.5, ""), // R2, a quarter turned, 3 mm beside it
		at(29, 10.95, 1, 0.6, ""), at(29, 9.05, 1, 0.6, ""), at(31, 10, 1, 0.6, ""), // Q1: no pad has its opposite
		at(40, 10, 2, 2, "J1"), at(45, 10, 1, 1, "J1"), // J1, named by the file, its place on pin 1
		at(69, 10, 1, 1, ""), at(71, 10, 1, 1, ""), at(70, 13, 2, 2, ""), at(70, 7, 0.5, 0.5, ""), // D1, and two that are unlike
		at(50, 10, 0.5, 1, "Z9"), // of a part that is not placed
	}
	parts := []panel.Part{
		{Refdes: "R1", Side: panel.Bottom, At: mm(10, 10)},
		{Refdes: "R2", Side: panel.Bottom, At: mm(13, 10), Turn: geom.Quarter},
		{Refdes: "Q1", Side: panel.Bottom, At: mm(30, 10)},
		{Refdes: "J1", Side: panel.Bottom, At: mm(40, 10), Turn: geom.Half},
		{Refdes: "K1", Side: panel.Bottom, At: mm(48, 10), Body: panel.Body{By: panel.ByTable, Length: 1, Width: 2}},
		{Refdes: "R9", Side: panel.Top, At: mm(10, 10)},
		{Refdes: "X1", Side: panel.Bottom, At: mm(90, 90)},
		{Refdes: "D1", Side: panel.Bottom, At: mm(70, 10)},
	}
	guessBodies(parts, panel.Bottom, newField(pads))
	body := func(length, width, x, y float64) panel.Body {
		return panel.Body{By: panel.ByPads, Length: geom.FromMM(length), Width: geom.FromMM(width), Offset: mm(x, y)}
	}
	assert.Equal(t, []panel.Body{
		body(2.5, 1, 0, 0), body(2.5, 1, 0, 0), body(3, 2.5, 0, 0), body(6.5, 2, 2.25, 0),
		{By: panel.ByTable, Length: 1, Width: 2}, {}, {}, body(3, 1, 0, 0),
	}, []panel.Body{parts[0].Body, parts[1].Body, parts[2].Body, parts[3].Body, parts[4].Body, parts[5].Body, parts[6].Body, parts[7].Body})
	outline, _ := parts[3].BodyOutline()
	assert.Equal(t, geom.Box{Min: mm(39, 9), Max: mm(45.5, 11)}, outline.Box(), "where its pads are")
}
