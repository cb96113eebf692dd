// Package samples has drawings made by hand, for tests of the formats that drawings are written in.
package samples

import (
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Pt gives a point of millimetres.
func Pt(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// Box gives a box of millimetres.
func Box(x1, y1, x2, y2 float64) geom.Box { return geom.Box{Min: Pt(x1, y1), Max: Pt(x2, y2)} }

// Circle gives a whole circle, begun on its right.
func Circle(at geom.Point, r geom.Length) geom.Path {
	p := geom.Pt(at.X+r, at.Y)
	return geom.Path{geom.Arc(p, p, at, geom.CounterClockwise)}
}

// A4 is the sheet of that size, lying.
var A4 = Box(0, 0, 297, 210)

// Everything is a sheet with every fill, line type, kind of arc and way of setting text, on it a plan at 1:2 and a
// detail at 5:1, both clipped.
func Everything() drawing.Sheet {
	s := drawing.Sheet{Name: "1", Box: A4}
	for i, f := range []drawing.Fill{drawing.NoFill, drawing.Paper, drawing.Light, drawing.Grey, drawing.Ink, drawing.Hatch, drawing.Hatch2} {
		x := 10 + 30*float64(i)
		s.Shapes = append(s.Shapes, drawing.Shape{Layer: drawing.Rails, Pen: drawing.Narrow, Fill: f, Paths: []geom.Path{
			geom.RoundedRectangle(Box(x, 10, x+25, 40), 5*geom.MM), Circle(Pt(x+12, 25), 5*geom.MM)}})
	}
	for i, d := range []drawing.Dash{drawing.Continuous, drawing.Dashed, drawing.LongDashDot, drawing.LongDashDot2} {
		y := 50 + 5*float64(i)
		s.Shapes = append(s.Shapes, drawing.Shape{Layer: drawing.Frame, Pen: drawing.Pen{Width: drawing.Wide.Width, Dash: d}, Paths: []geom.Path{{geom.Line(Pt(10, y), Pt(200, y))}}})
	}
	for i, a := range []drawing.Align{drawing.Start, drawing.Middle, drawing.End, ""} {
		s.Texts = append(s.Texts,
			drawing.Text{Layer: drawing.Notes, S: fmt.Sprintf("Ø%d.5 ±0.1°", i), At: Pt(100, 80+6*float64(i)), Height: 2500 * geom.UM, Align: a},
			drawing.Text{Layer: drawing.Notes, S: fmt.Sprintf("upright%d", i), At: Pt(200+10*float64(i), 100), Height: 2500 * geom.UM, Align: a, Upright: true, Bold: i == 1})
	}
	s.Texts = append(s.Texts, drawing.Text{Layer: drawing.Stamp, S: "NOT FOR RELEASE", At: Pt(148, 180), Height: 20 * geom.MM, Align: drawing.Middle, Bold: true, Light: true})
	s.Views = []drawing.View{
		{Name: "plan", Scale: drawing.Scale{Paper: 1, Real: 2}, Origin: Pt(20, 120), Clip: geom.Rectangle(Box(0, 0, 100, 60)), Shapes: []drawing.Shape{
			{Layer: drawing.Outline, Pen: drawing.Wide, Paths: []geom.Path{Circle(Pt(100, 30), 40*geom.MM), {geom.Arc(Pt(10, 10), Pt(20, 10), Pt(15, 10), geom.Clockwise)}}},
			{Layer: drawing.Slots, Fill: drawing.Hatch, Paths: []geom.Path{Circle(Pt(50, 30), 20*geom.MM)}},
		}},
		{Name: "detail A", Scale: drawing.Scale{Paper: 5, Real: 1}, Origin: Pt(150, 130), Clip: Circle(Pt(0, 0), 4*geom.MM), Shapes: []drawing.Shape{
			{Layer: drawing.Outline, Pen: drawing.Wide, Fill: drawing.Light, Paths: []geom.Path{geom.Rectangle(Box(-10, -10, 1, 10))}},
		}},
	}
	return s
}

// Measured is a sheet with a plan at 1:2, a detail at 10:1, and one dimension of each kind on each.
func Measured() drawing.Sheet {
	s := drawing.Sheet{Name: "1", Box: A4, Views: []drawing.View{
		{Name: "plan", Scale: drawing.Scale{Paper: 1, Real: 2}, Origin: Pt(20, 20), Shapes: []drawing.Shape{
			{Layer: drawing.Outline, Pen: drawing.Wide, Paths: []geom.Path{geom.RoundedRectangle(Box(0, 0, 200.123457, 150), 3*geom.MM)}}}},
		{Name: "detail B", Scale: drawing.Scale{Paper: 10, Real: 1}, Origin: Pt(200, 60), Shapes: []drawing.Shape{
			{Layer: drawing.Details, Pen: drawing.Wide, Paths: []geom.Path{Circle(Pt(1, 1), 250*geom.UM)}}}},
	}}
	for v := range s.Views {
		size := []float64{100, 3}[v]
		at := func(x, y float64) geom.Point { return Pt(float64(x*size), float64(y*size)) }
		r := geom.FromMM(size / 10)
		add := func(k drawing.DimensionKind, what, before string, from, to, vertex geom.Point, value int64) {
			i := float64(len(s.Dimensions))
			words := before + geom.Length(value).Decimal()
			if k == drawing.Angle {
				words += "°"
			}
			y := 150 - 6*i
			s.Dimensions = append(s.Dimensions, drawing.Dimension{Kind: k, View: v, From: from, To: to, Vertex: vertex, Value: value,
				Text:  drawing.Text{Layer: drawing.Dimensions, S: words, At: Pt(150, y), Height: 2500 * geom.UM, Align: drawing.Middle},
				Lines: []drawing.Shape{{Layer: drawing.Dimensions, Pen: drawing.Fine, Paths: []geom.Path{{geom.Line(Pt(140, y-1), Pt(160, y-1))}, {geom.Line(Pt(140, y-1), Pt(140, y+4))}}}},
				Of:    []drawing.Fact{{Feature: s.Views[v].Name, What: what}}})
		}
		length := func(l geom.Length) int64 { return int64(l) }
		add(drawing.OrdinateX, "x", "", at(0, 0), at(0.71, 0.3), geom.Point{}, length(at(0.71, 0).X))
		add(drawing.OrdinateY, "y", "", at(0, 0), at(0.71, 0.3), geom.Point{}, length(at(0, 0.3).Y))
		add(drawing.LinearX, "width", "", at(0.1, 0.1), at(0.633333, 0.4), geom.Point{}, length(at(0.633333, 0).X-at(0.1, 0).X))
		add(drawing.LinearY, "height", "", at(0.1, 0.1), at(0.6, 0.4), geom.Point{}, length(at(0, 0.4).Y-at(0, 0.1).Y))
		add(drawing.Aligned, "across", "", at(0.1, 0.1), at(0.4, 0.5), geom.Point{}, length(geom.FromMM(size/2)))
		add(drawing.Diameter, "hole_diameter", "Ø", geom.Pt(-r, 0), geom.Pt(r, 0), geom.Point{}, length(2*r))
		add(drawing.Radius, "radius", "R", geom.Point{}, geom.Pt(0, r), geom.Point{}, length(r))
		add(drawing.Angle, "angle", "", at(1, 0), at(0, 1), geom.Point{}, int64(90*geom.Degree))
	}
	return s
}
