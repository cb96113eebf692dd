package drawing

import (
	"math"

	"panelwright/pipeline/geom"
)

// The parts of a dimension on paper. ISO 129-1 draws them from the letters' height; the figures here are from memory.
const (
	ArrowLength = 2500 * geom.UM
	ArrowWidth  = 800 * geom.UM
	ExtendGap   = 800 * geom.UM  // between the thing drawn and an extension line
	ExtendOver  = 1500 * geom.UM // how far an extension line goes on past the dimension line
	textGap     = 500 * geom.UM  // between a line and the letters above it: clear of arrows' wings
	besideGap   = 1000 * geom.UM // between a line's end and the letters beside it
)

// Direction is a unit vector on paper.
type Direction [2]float64

// Toward gives the direction from one point to another; to the right when they are one.
func Toward(from, to geom.Point) Direction {
	d := to.Sub(from)
	n := d.Norm()
	if n == 0 {
		return Direction{1, 0}
	}
	return Direction{float64(d.X) / n, float64(d.Y) / n}
}

// Left is the direction turned by a quarter to the left.
func (d Direction) Left() Direction { return Direction{-d[1], d[0]} }

// Back is the opposite direction.
func (d Direction) Back() Direction { return Direction{-d[0], -d[1]} }

// From gives the point at a distance from p.
func (d Direction) From(p geom.Point, by geom.Length) geom.Point {
	return geom.Pt(p.X+geom.Round(float64(d[0]*float64(by))), p.Y+geom.Round(float64(d[1]*float64(by))))
}

// Arrow is a filled arrowhead with its tip at a point of paper.
func Arrow(tip geom.Point, points Direction) Shape {
	foot := points.Back().From(tip, ArrowLength)
	a, b := points.Left().From(foot, ArrowWidth/2), points.Left().From(foot, -ArrowWidth/2)
	return Shape{Layer: Dimensions, Fill: Ink, Paths: []geom.Path{{geom.Line(tip, a), geom.Line(a, b), geom.Line(b, tip)}}}
}

// Line is a straight line of a dimension.
func Line(pts ...geom.Point) Shape {
	s := Shape{Layer: Dimensions, Pen: Fine}
	var path geom.Path
	for i := 1; i < len(pts); i++ {
		if pts[i] != pts[i-1] {
			path = append(path, geom.Line(pts[i-1], pts[i]))
		}
	}
	if len(path) > 0 {
		s.Paths = []geom.Path{path}
	}
	return s
}

// Above gives the words as a text that stands over a level line, clear of it; at is on the line.
func Above(at geom.Point, words string, a Align, s Style) Text {
	t := Text{Layer: Dimensions, S: words, Height: s.Letter, Align: a}
	t.At = geom.Pt(at.X, at.Y+textGap-t.Box().Min.Y)
	return t
}

// LeftOf gives the words as an upright text that stands to the left of an upright line, clear of it; at is on the line.
func LeftOf(at geom.Point, words string, a Align, s Style) Text {
	t := Text{Layer: Dimensions, S: words, Height: s.Letter, Align: a, Upright: true}
	t.At = geom.Pt(at.X-textGap-t.Box().Max.X, at.Y)
	return t
}

// Leader is a line from what words tell of, at tip, over knees, the last of which begins a level landing; the words
// stand beside its end. With an arrow it ends on an edge.
func Leader(words string, right, arrow bool, s Style, tip geom.Point, knees ...geom.Point) ([]Shape, Text) {
	const landing = 2000 * geom.UM
	last := knees[len(knees)-1]
	end := geom.Pt(last.X+landing, last.Y)
	if !right {
		end.X = last.X - landing
	}
	pts := append(append([]geom.Point{tip}, knees...), end)
	lines := []Shape{Line(pts...)}
	if arrow {
		lines = append(lines, Arrow(tip, Toward(knees[0], tip)))
	}
	return lines, beside(end, words, right, besideGap, s)
}

// beside gives words that stand level to the right or left of a point, a gap from it, their middle at its height.
func beside(at geom.Point, words string, right bool, gap geom.Length, s Style) Text {
	t := Text{Layer: Dimensions, S: words, At: geom.Pt(at.X+gap, at.Y-s.Letter/2), Height: s.Letter, Align: Start}
	if !right {
		t.At.X, t.Align = at.X-gap, End
	}
	return t
}

// unit gives the direction at an angle in radians.
func unit(angle float64) Direction {
	sin, cos := geom.SinCos(angle)
	return Direction{cos, sin}
}

// angleOf gives a direction's angle in radians, from 0 to 2π.
func angleOf(d Direction) float64 {
	a := geom.Atan2(d[1], d[0])
	if a < 0 {
		a += 2 * math.Pi
	}
	return a
}
