package drawing

import (
	"math"

	"panelwright/pipeline/geom"
)

// Pattern gives a line type's strokes and gaps in turn, for a line so wide; nil for a continuous line. Source: ISO
// 128-2, line elements in widths of the line: dash 12, long dash 24, gap 3, dot half a width at most (from memory).
func (d Dash) Pattern(width geom.Length) []geom.Length {
	var halves []geom.Length // half widths
	switch d {
	case Dashed:
		halves = []geom.Length{24, 6}
	case LongDashDot:
		halves = []geom.Length{48, 6, 1, 6}
	case LongDashDot2:
		halves = []geom.Length{48, 6, 1, 6, 1, 6}
	}
	return each(halves, func(n geom.Length) geom.Length { return n * width / 2 })
}

// Hatching, and how light the greys are: common practice, no published source. Below a tenth of ink office printers
// print nothing.
const (
	HatchPitch = 2 * geom.MM // across the lines, on paper
	stampWhite = 75
)

// White is how much of the paper's white a fill leaves, in hundredths: 0 for ink. It is false for hatchings and
// for no fill.
func (f Fill) White() (int, bool) {
	switch f {
	case Paper:
		return 100, true
	case Light:
		return 90, true
	case Grey:
		return 70, true
	case Ink:
		return 0, true
	}
	return 0, false
}

// Hatched tells whether the fill is lines.
func (f Fill) Hatched() bool { return f == Hatch || f == Hatch2 }

// White is how light the letters are, as of a Fill.
func (t Text) White() int {
	if t.Light {
		return stampWhite
	}
	return 0
}

// HatchLines gives the lines of a hatching through a box of paper. All hatchings of one kind lie on the same
// lines of the sheet, so that areas side by side have no seam.
func HatchLines(b geom.Box, f Fill) []geom.Edge {
	if b.Empty() || !f.Hatched() {
		return nil
	}
	step := float64(HatchPitch) * math.Sqrt2 // along an axis
	// At 45° a line is y = x + c, at 135° y = c − x.
	low, high := b.Min.Y-b.Max.X, b.Max.Y-b.Min.X
	if f == Hatch2 {
		low, high = b.Min.Y+b.Min.X, b.Max.Y+b.Max.X
	}
	var out []geom.Edge
	for k := math.Ceil(float64(low) / step); ; k++ {
		c := geom.Round(float64(k * step))
		if c > high {
			return out
		}
		x1, x2 := max(b.Min.X, b.Min.Y-c), min(b.Max.X, b.Max.Y-c)
		y1, y2 := x1+c, x2+c
		if f == Hatch2 {
			x1, x2 = max(b.Min.X, c-b.Max.Y), min(b.Max.X, c-b.Min.Y)
			y1, y2 = c-x1, c-x2
		}
		if x1 < x2 {
			out = append(out, geom.Line(geom.Pt(x1, y1), geom.Pt(x2, y2)))
		}
	}
}

// Pass is what a sheet shows on one layer: first the parts in their order, then the texts.
type Pass struct {
	Layer Layer
	Parts []Part
	Texts []Text
}

// Part is shapes on one layer that belong to one view, or to the paper.
type Part struct {
	View   *View // nil: the shapes are on paper
	Shapes []Shape
}

// Passes gives what the sheet shows in the order in which it is drawn, layer by layer; layers with nothing on
// them are left out. Layers that Layers does not know come last.
func (s *Sheet) Passes() []Pass {
	at := map[Layer]*Pass{}
	order := Layers()
	for _, l := range order {
		at[l] = &Pass{Layer: l}
	}
	pass := func(l Layer) *Pass {
		if at[l] == nil {
			at[l] = &Pass{Layer: l}
			order = append(order, l)
		}
		return at[l]
	}
	add := func(v *View, shapes []Shape) {
		for _, x := range shapes {
			p := pass(x.Layer)
			if n := len(p.Parts); n == 0 || p.Parts[n-1].View != v {
				p.Parts = append(p.Parts, Part{View: v})
			}
			part := &p.Parts[len(p.Parts)-1]
			part.Shapes = append(part.Shapes, x)
		}
	}
	for i := range s.Views {
		add(&s.Views[i], s.Views[i].Shapes)
	}
	add(nil, s.Shapes)
	for _, d := range s.Dimensions {
		add(nil, d.Lines)
	}
	for _, t := range s.AllTexts() {
		p := pass(t.Layer)
		p.Texts = append(p.Texts, t)
	}
	var out []Pass
	for _, l := range order {
		if p := at[l]; len(p.Parts) > 0 || len(p.Texts) > 0 {
			out = append(out, *p)
		}
	}
	return out
}

// OnPaper gives a part's shapes on paper.
func (p Part) OnPaper() []Shape {
	if p.View == nil {
		return p.Shapes
	}
	return each(p.Shapes, func(x Shape) Shape { x.Paths = each(x.Paths, p.View.Path); return x })
}

// Apart tells whether no two of the paths' boxes overlap: then each may be filled by itself.
func Apart(paths []geom.Path) bool {
	var ix geom.Index[int]
	for i, p := range paths {
		b, free := p.Box(), true
		ix.Search(b, func(geom.Box, int) bool { free = false; return false })
		if !free {
			return false
		}
		ix.Insert(b, i)
	}
	return true
}
