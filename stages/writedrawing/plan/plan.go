// Package plan draws the panel as a whole: its plan view with ordinate dimensions from the datum.
//
// Below the view stand the x ordinates, to its left the y ordinates; above and to the right are linear
// dimensions: the slots' widths, the pitches of arrays, the panel's size. What an ordinate line can be drawn to
// from one side alone stands on that side. Features that share a coordinate share an ordinate, so that each is
// stated once.
package plan

import (
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/place"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/detail"
)

// Input is what the plan is drawn from.
type Input struct {
	Panel    panel.Panel
	Material geom.Region // of the panel: what of it stays when it has been routed
	Style    drawing.Style
	Details  []detail.Detail
}

// Plan is the plan as a piece, and what could not be written on it.
type Plan struct {
	Sheet drawing.Sheet
	// Nameless are the copies whose names find no room at this scale, Unmarked the letters of details.
	Nameless, Unmarked []string
}

// The room between the panel's edge and what stands beside it, on paper.
const (
	margin   = 4 * geom.MM // from the panel's edge to where a label's line may bend
	bend     = 6 * geom.MM // in which it bends
	straight = 2 * geom.MM // from there to the label
	rowPitch = 6 * geom.MM // of linear dimensions
)

// Draw draws the plan at a scale. It is an error where the ordinates find no room beside the panel: at any larger
// scale, or in fewer units, they may.
func Draw(in Input, scale drawing.Scale) (Plan, error) {
	b := in.Panel.Outline().Box()
	if b.Empty() {
		return Plan{}, fmt.Errorf("the panel has no outline")
	}
	d := &drawer{in: in, s: in.Style, p: in.Panel, box: b, reach: map[panel.RailSide]geom.Length{}}
	d.view = drawing.View{Name: "plan", Scale: scale}
	d.paper = geom.Box{Min: d.view.Paper(b.Min), Max: d.view.Paper(b.Max)}
	d.all = d.spans()
	d.shapes()
	d.datum()
	d.callouts()
	if err := d.ordinates(); err != nil {
		return Plan{}, err
	}
	d.linear()
	d.rest()
	d.letters()
	d.printWords()
	d.names()
	d.title()
	d.out.Sheet.Views = []drawing.View{d.view}
	d.out.Sheet.Name = "plan"
	d.out.Sheet.Box = d.extent()
	d.out.Sheet = d.out.Sheet.Move(geom.Pt(-d.out.Sheet.Box.Min.X, -d.out.Sheet.Box.Min.Y))
	return d.out, nil
}

// drawer is a plan under way. On paper the datum lies at (0, 0) until the end.
type drawer struct {
	in    Input
	s     drawing.Style
	p     panel.Panel
	box   geom.Box // the panel, real
	paper geom.Box // the panel on paper
	view  drawing.View
	crowd place.Crowd
	out   Plan

	all      []linear                       // the linear dimensions
	unplaced []drawing.Dimension            // those that find no room beside the panel
	reach    map[panel.RailSide]geom.Length // how far ordinates reach beyond the panel's edges
}

func (d *drawer) text(t drawing.Text) {
	d.out.Sheet.Texts = append(d.out.Sheet.Texts, t)
	d.crowd.Take(t.LineBox())
}

func (d *drawer) shape(s drawing.Shape) {
	d.out.Sheet.Shapes = append(d.out.Sheet.Shapes, s)
	for _, p := range s.Paths {
		d.crowd.Draw(p, s.Pen.Width)
	}
}

func (d *drawer) dimension(x drawing.Dimension) {
	d.out.Sheet.Dimensions = append(d.out.Sheet.Dimensions, x)
	d.crowd.Take(x.Text.LineBox())
	for _, l := range x.Lines {
		for _, p := range l.Paths {
			d.crowd.Draw(p, l.Pen.Width)
		}
	}
}

// extent is all that the plan takes up, with a margin.
func (d *drawer) extent() geom.Box {
	b := d.paper
	for _, t := range d.out.Sheet.AllTexts() {
		b = b.Union(t.Box())
	}
	for _, s := range d.out.Sheet.Shapes {
		for _, p := range s.Paths {
			b = b.Union(p.Box())
		}
	}
	for _, x := range d.out.Sheet.Dimensions {
		for _, l := range x.Lines {
			for _, p := range l.Paths {
				b = b.Union(p.Box())
			}
		}
	}
	return b.Grow(2 * geom.MM)
}

// datum draws the sign of the place that ordinates count from: a circle with two opposite quarters filled.
func (d *drawer) datum() {
	at, r := d.paper.Min, 1500*geom.UM
	ring := circle(at, 2*r)
	d.shape(drawing.Shape{Layer: drawing.Dimensions, Pen: drawing.Fine, Paths: []geom.Path{ring}})
	quarter := func(a, b geom.Point) geom.Path {
		return geom.Path{geom.Line(at, a), geom.Arc(a, b, at, geom.CounterClockwise), geom.Line(b, at)}
	}
	d.out.Sheet.Shapes = append(d.out.Sheet.Shapes, drawing.Shape{Layer: drawing.Dimensions, Fill: drawing.Ink, Paths: []geom.Path{
		quarter(geom.Pt(at.X+r, at.Y), geom.Pt(at.X, at.Y+r)), quarter(geom.Pt(at.X-r, at.Y), geom.Pt(at.X, at.Y-r))}})
}

// title says what the view shows, above all else of it.
func (d *drawer) title() {
	b := d.extent()
	d.text(drawing.Text{Layer: drawing.Names, S: "Panel, seen from the top (" + d.view.Scale.String() + ")", Height: 3500 * geom.UM, Bold: true,
		At: geom.Pt(d.paper.Min.X, b.Max.Y+3*geom.MM)})
}
