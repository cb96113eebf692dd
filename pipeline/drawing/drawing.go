// Package drawing is a drawing on sheets of paper as data: what stands on which sheet, with which line, in
// which layer, and what each dimension states. It knows no file format and no panel; formats make PDF,
// DXF and SVG of it.
//
// All places are whole nanometres of paper, x right and y up, the sheet's lower left corner at the origin. A
// View holds shapes in the lengths of the thing drawn, and its scale: so that a format that keeps real lengths
// writes them exactly.
package drawing

import (
	"math"
	"strconv"

	"panelwright/pipeline/geom"
)

// Layer names what is drawn, in every format that has layers.
type Layer string

// The layers of a drawing.
const (
	Outline      Layer = "outline"      // contours of what is left of the panel: its edge, slots and cut-outs as cut
	Slots        Layer = "slots"        // openings, filled
	Boards       Layer = "boards"       // the copies' edges
	Perforations Layer = "perforations" // holes of break-off tabs
	Score        Layer = "score"
	Rails        Layer = "rails"
	Marks        Layer = "marks" // fiducials, tooling holes, prints
	Holes        Layer = "holes" // symbols of the boards' own holes
	Dimensions   Layer = "dimensions"
	Names        Layer = "names" // names of copies, orientation marks, letters of details
	Details      Layer = "details"
	Tables       Layer = "tables"
	Notes        Layer = "notes"
	Frame        Layer = "frame" // border, title block
	Stamp        Layer = "stamp" // NOT FOR RELEASE
)

// Layers gives all layers in the order in which they are drawn.
func Layers() []Layer {
	return []Layer{Frame, Rails, Slots, Boards, Outline, Perforations, Score, Marks, Holes, Details, Tables, Notes, Dimensions, Names, Stamp}
}

// Dash is how a line is broken, by ISO 128-2's line types 01, 02, 04, 05.
type Dash string

// The line types.
const (
	Continuous   Dash = ""
	Dashed       Dash = "dashed"             // 02
	LongDashDot  Dash = "long_dash_dot"      // 04: axes, sections
	LongDashDot2 Dash = "long_dash_two_dots" // 05: what is not part of the thing: neighbours, cells
)

// Pen is a line on paper.
type Pen struct {
	Width geom.Length
	Dash  Dash
}

// The pens, of widths of ISO 128's series: those of the line group 0.5, in which wide lines are twice as wide as narrow
// ones and letters between them, and the narrow one of the group 0.35 (from memory).
var (
	Wide   = Pen{Width: 500 * geom.UM}
	Medium = Pen{Width: 350 * geom.UM}
	Narrow = Pen{Width: 250 * geom.UM}
	Fine   = Pen{Width: 180 * geom.UM} // the narrow line of the group 0.35: hatching, dimension lines
	Hair   = Pen{Width: 130 * geom.UM} // the least of the series: small circles, axes
)

// Fill is what stands in a closed shape.
type Fill string

// The fills. Hatch is narrow lines at 45°, 2 mm apart on paper.
const (
	NoFill Fill = ""
	Paper  Fill = "paper" // white, to cover what lies below
	Light  Fill = "light" // the lightest grey that prints
	Grey   Fill = "grey"
	Ink    Fill = "ink"
	Hatch  Fill = "hatch"
	Hatch2 Fill = "hatch_other_way" // at 135°: a second material beside the first
)

// Shape is paths of one pen and fill. Filled paths are filled together by the even-odd rule.
type Shape struct {
	Layer Layer
	Pen   Pen // of no width: not drawn round
	Fill  Fill
	Paths []geom.Path
}

// Align is which end of a text stands at its place.
type Align string

// The alignments.
const (
	Start  Align = "start"
	Middle Align = "middle"
	End    Align = "end"
)

// Text is one line of letters.
type Text struct {
	Layer   Layer
	S       string
	At      geom.Point  // on the base line
	Height  geom.Length // of capitals, as ISO 3098 counts: 2.5 mm, 3.5 mm …
	Align   Align       // Start when empty
	Upright bool        // reads from below upwards: turned by 90° counter-clockwise about At
	Bold    bool
	Light   bool   // printed in grey: a stamp across the sheet
	Of      []Fact // what it states, as a table's cell does; each line of a cell has the cell's
}

// Scale is a scale by ISO 5455: Paper to Real, 1:2 or 5:1.
type Scale struct{ Paper, Real int64 }

// String writes the scale: "1:2".
func (s Scale) String() string {
	return strconv.FormatInt(s.Paper, 10) + ":" + strconv.FormatInt(s.Real, 10)
}

// On gives a real length on paper.
func (s Scale) On(l geom.Length) geom.Length {
	return geom.Length(geom.MulDiv(int64(l), s.Paper, s.Real))
}

// Of gives the real length of one on paper.
func (s Scale) Of(l geom.Length) geom.Length {
	return geom.Length(geom.MulDiv(int64(l), s.Real, s.Paper))
}

// View is a part of a sheet that is drawn to scale.
type View struct {
	Name   string // "plan", "detail B"
	Scale  Scale
	Origin geom.Point // where on paper the view's own (0, 0) lies
	Shapes []Shape    // in real lengths
	Clip   geom.Path  // real; closed; nothing is drawn outside; nil for none
}

// Paper gives where a real point of the view lies on paper.
func (v View) Paper(p geom.Point) geom.Point {
	return geom.Pt(v.Origin.X+v.Scale.On(p.X), v.Origin.Y+v.Scale.On(p.Y))
}

// Path gives a real path on paper.
func (v View) Path(p geom.Path) geom.Path {
	out := make(geom.Path, len(p))
	for i, e := range p {
		from, to := v.Paper(e.From), v.Paper(e.To)
		if _, sweep := e.Angles(); from == to && e.From != e.To && math.Abs(sweep) < math.Pi {
			e.Sense = geom.Straight // so short an arc must not become a whole circle
		}
		e.From, e.To, e.Center = from, to, v.Paper(e.Center)
		out[i] = e
	}
	return out
}

// Sheet is one sheet, or a piece of one that has yet to be placed.
type Sheet struct {
	Name       string   // "1", or what a piece shows: "plan", "detail B", "table of holes"
	Box        geom.Box // the sheet's trimmed size from (0, 0); of a piece all that it takes up
	Views      []View
	Shapes     []Shape
	Texts      []Text
	Dimensions []Dimension
}

// Move gives a piece elsewhere.
func (s Sheet) Move(d geom.Point) Sheet {
	t := geom.Transform{Shift: d}
	s.Box = s.Box.Move(d)
	s.Views = each(s.Views, func(v View) View { v.Origin = v.Origin.Add(d); return v })
	s.Shapes = each(s.Shapes, func(x Shape) Shape { x.Paths = each(x.Paths, t.Path); return x })
	s.Texts = each(s.Texts, func(x Text) Text { x.At = x.At.Add(d); return x })
	s.Dimensions = each(s.Dimensions, func(x Dimension) Dimension {
		x.Lines = each(x.Lines, func(l Shape) Shape { l.Paths = each(l.Paths, t.Path); return l })
		x.Text.At = x.Text.At.Add(d)
		return x
	})
	return s
}

// Add puts a piece on the sheet, where the piece says.
func (s *Sheet) Add(p Sheet) {
	first := len(s.Views)
	s.Views = append(s.Views, p.Views...)
	s.Shapes = append(s.Shapes, p.Shapes...)
	s.Texts = append(s.Texts, p.Texts...)
	for _, d := range p.Dimensions {
		d.View += first
		s.Dimensions = append(s.Dimensions, d)
	}
}

// AllTexts gives every text of the sheet, those of dimensions too.
func (s Sheet) AllTexts() []Text {
	out := append([]Text(nil), s.Texts...)
	for _, d := range s.Dimensions {
		out = append(out, d.Text)
	}
	return out
}

func each[T any](in []T, f func(T) T) []T {
	if in == nil {
		return nil
	}
	out := make([]T, len(in))
	for i, x := range in {
		out[i] = f(x)
	}
	return out
}
