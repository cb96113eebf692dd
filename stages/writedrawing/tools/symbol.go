package tools

import (
	"strconv"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Symbol is the sign of a tool, by its place in the list: a figure with lines in it, no two alike.
type Symbol int

// symbols is how many there are: eight figures, each with eight kinds of lines.
const symbols = 64

// figures are contours as corners of a square from −1 to 1, in hundredths.
var figures = [][][2]int{
	nil, // a circle
	{{-100, -100}, {100, -100}, {100, 100}, {-100, 100}},
	{{0, -100}, {100, 0}, {0, 100}, {-100, 0}},
	{{-100, -90}, {100, -90}, {0, 100}},
	{{-100, 90}, {0, -100}, {100, 90}},
	{{-100, -100}, {100, -100}, {-100, 100}, {100, 100}}, // an hourglass: what has more corners looks like a circle
	{{-90, 0}, {90, -100}, {90, 100}},
	{{-90, -100}, {90, 0}, {-90, 100}},
}

// inner are the lines within a figure.
var inner = [][][4]int{
	nil,
	{{-100, 0, 100, 0}, {0, -100, 0, 100}},
	{{-70, -70, 70, 70}, {-70, 70, 70, -70}},
	{{-100, 0, 100, 0}},
	{{0, -100, 0, 100}},
	{{-70, -70, 70, 70}},
	{{-70, 70, 70, -70}},
	{{-100, -35, 100, -35}, {-100, 35, 100, 35}},
}

// Label is what stands for tools beyond those that there are symbols for: their number. It is empty otherwise.
func (s Symbol) Label() string {
	if int(s) < symbols {
		return ""
	}
	return strconv.Itoa(int(s) + 1)
}

// Paths gives the symbol about a point, size across.
func (s Symbol) Paths(at geom.Point, size geom.Length) []geom.Path {
	if s.Label() != "" {
		return nil
	}
	// The first ones go through the figures first: they are told apart most easily.
	figure, lines := figures[int(s)%len(figures)], inner[int(s)/len(figures)]
	point := func(x, y int) geom.Point {
		return geom.Pt(at.X+geom.Length(geom.MulDiv(int64(size)*int64(x), 1, 200)), at.Y+geom.Length(geom.MulDiv(int64(size)*int64(y), 1, 200)))
	}
	var out []geom.Path
	if figure == nil {
		right := point(100, 0)
		out = append(out, geom.Path{geom.Arc(right, right, at, geom.CounterClockwise)})
	} else {
		var p geom.Path
		for i, c := range figure {
			d := figure[(i+1)%len(figure)]
			p = append(p, geom.Line(point(c[0], c[1]), point(d[0], d[1])))
		}
		out = append(out, p)
	}
	for _, l := range lines {
		out = append(out, geom.Path{geom.Line(point(l[0], l[1]), point(l[2], l[3]))})
	}
	return out
}

// Size is how large symbols are in the table, on paper.
const Size = 2200 * geom.UM

// Cell gives the symbol for a table.
func (s Symbol) Cell() drawing.Cell {
	if l := s.Label(); l != "" {
		return drawing.Cell{S: l}
	}
	return drawing.Cell{Symbol: []drawing.Shape{{Layer: drawing.Holes, Pen: drawing.Fine, Paths: s.Paths(geom.Point{}, Size)}}}
}
