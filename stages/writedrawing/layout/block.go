package layout

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Block is what the title block says: the data fields of ISO 7200 (from memory), and what a drawing needs besides.
type Block struct {
	Owner, Number, Revision, Date, Language string // legal owner, identification number, revision index, date of issue, language code
	Title, Supplement                       string
	Department, Reference, Approver         string // responsible department, technical reference, approval person
	Creator, Type, Classification, Status   string
	Units, Tolerances                       string
	ThirdAngle                              bool // projection method
}

// The title block is 180 mm wide, as ISO 7200 has it: just what an upright A4 sheet has between its margins.
const (
	blockWidth  = 180 * geom.MM
	blockHeight = 50 * geom.MM
	rowHeight   = 10 * geom.MM
)

// Letters of the block: labels and the smallest entries 1.8 mm, entries 2.5 or 3.5 mm (ISO 3098's sizes).
const (
	labelHeight = 1800 * geom.UM
	entryHeight = 2500 * geom.UM
	titleHeight = 3500 * geom.UM
	leastHeight = 1800 * geom.UM
	cellSide    = 1 * geom.MM
)

// cell is a field of the block: where it stands, from the block's lower left corner in millimetres, its name and its entry.
type cell struct {
	x, y, width, height geom.Length
	label, entry        string
	letters             geom.Length
	bold                bool
	open                string // "lower" or "upper": which side has no line, towards what belongs to it
}

// cells gives the fields of a sheet's block.
func (b Block) cells(scale, page, sheet string) []cell {
	return []cell{
		{0, 40, 45, 10, "Responsible department", b.Department, entryHeight, false, ""},
		{45, 40, 45, 10, "Technical reference", b.Reference, entryHeight, false, ""},
		{90, 40, 45, 10, "Creator", b.Creator, entryHeight, false, ""},
		{135, 40, 45, 10, "Approval person", b.Approver, entryHeight, false, ""},
		{0, 30, 60, 10, "Document type", b.Type, entryHeight, false, ""},
		{60, 30, 45, 10, "Document status", b.Status, entryHeight, true, ""},
		{105, 30, 75, 10, "Classification, key words", b.Classification, entryHeight, false, ""},
		{0, 10, 50, 20, "Legal owner", b.Owner, titleHeight, false, ""},
		{50, 19, 80, 11, "Title", b.Title, titleHeight, true, "lower"},
		{50, 10, 80, 9, "Supplementary title", b.Supplement, entryHeight, false, "upper"},
		{130, 20, 50, 10, "Identification number", b.Number, titleHeight, true, ""},
		{130, 10, 22, 10, "Revision index", b.Revision, titleHeight, true, ""},
		{152, 10, 28, 10, "Date of issue", b.Date, entryHeight, false, ""},
		{0, 0, 26, 10, "Projection", "", entryHeight, false, ""},
		{26, 0, 18, 10, "Scale", scale, entryHeight, false, ""},
		{44, 0, 22, 10, "Units", b.Units, entryHeight, false, ""},
		{66, 0, 60, 10, "General tolerances", b.Tolerances, entryHeight, false, ""},
		{126, 0, 20, 10, "Paper size", page, entryHeight, false, ""},
		{146, 0, 14, 10, "Language", b.Language, entryHeight, false, ""},
		{160, 0, 20, 10, "Sheet / sheets", sheet, entryHeight, false, ""},
	}
}

// sides gives the lines round the cell.
func (c cell) sides(b geom.Box) (out []geom.Path) {
	lower, upper := geom.Line(b.Min, geom.Pt(b.Max.X, b.Min.Y)), geom.Line(geom.Pt(b.Min.X, b.Max.Y), b.Max)
	out = []geom.Path{{geom.Line(b.Min, upper.From)}, {geom.Line(lower.To, b.Max)}}
	if c.open != "lower" {
		out = append(out, geom.Path{lower})
	}
	if c.open != "upper" {
		out = append(out, geom.Path{upper})
	}
	return out
}

// draw draws the block with its lower left corner at a place, and tells which of its entries had to be cut.
func (b Block) draw(at geom.Point, scale, page, sheet string) (out drawing.Sheet, cut []string) {
	out.Name = "title block"
	out.Box = geom.Box{Max: geom.Pt(blockWidth, blockHeight)}
	line := func(p drawing.Pen, paths ...geom.Path) {
		out.Shapes = append(out.Shapes, drawing.Shape{Layer: drawing.Frame, Pen: p, Paths: paths})
	}
	for _, c := range b.cells(scale, page, sheet) {
		box := geom.Box{Max: geom.Pt(c.width*geom.MM, c.height*geom.MM)}.Move(geom.Pt(c.x*geom.MM, c.y*geom.MM))
		line(drawing.Narrow, c.sides(box)...)
		top := box.Max.Y - 700*geom.UM
		if c.open != "upper" {
			base := top - labelHeight
			out.Texts = append(out.Texts, drawing.Text{Layer: drawing.Frame, S: c.label, At: geom.Pt(box.Min.X+cellSide, base), Height: labelHeight})
			top = base - drawing.Below(labelHeight) - 300*geom.UM
		}
		room := geom.Pt(box.Width()-2*cellSide, top-box.Min.Y-500*geom.UM)
		f := drawing.Fit(c.entry, room, c.letters, leastHeight, c.bold)
		if f.Cut {
			cut = append(cut, c.label)
		}
		if c.open != "upper" {
			top -= (room.Y - drawing.Stack(len(f.Lines), f.Height)) / 2 // in the middle of what is left of the cell
		}
		for i, l := range f.Lines {
			out.Texts = append(out.Texts, drawing.Text{Layer: drawing.Frame, S: l, Bold: c.bold, Height: f.Height,
				At: geom.Pt(box.Min.X+cellSide, top-f.Height-geom.Length(i)*drawing.Pitch(f.Height))})
		}
	}
	line(drawing.Wide, geom.Rectangle(out.Box))
	out.Shapes = append(out.Shapes, b.projection(geom.Pt(13*geom.MM, 3600*geom.UM))...)
	return out.Move(at), cut
}

// projection draws the symbol of the projection method of ISO 5456-2: a cut-off cone and its view, the two apart as the
// method has them. The view is from the cone's narrow end: to its right by the first angle, beside that end by the third.
func (b Block) projection(at geom.Point) []drawing.Shape {
	const u = geom.MM
	cone, view := at.Sub(geom.Pt(5*u, 0)), at.Add(geom.Pt(5*u, 0))
	if b.ThirdAngle {
		cone, view = view, cone
	}
	pt := func(c geom.Point, x, y geom.Length) geom.Point { return c.Add(geom.Pt(x*u/10, y*u/10)) }
	trapezoid := geom.Path{
		geom.Line(pt(cone, -25, -12), pt(cone, 25, -24)), geom.Line(pt(cone, 25, -24), pt(cone, 25, 24)),
		geom.Line(pt(cone, 25, 24), pt(cone, -25, 12)), geom.Line(pt(cone, -25, 12), pt(cone, -25, -12)),
	}
	circle := func(r geom.Length) geom.Path {
		p := pt(view, r, 0)
		return geom.Path{geom.Arc(p, p, view, geom.CounterClockwise)}
	}
	axis := drawing.Pen{Width: drawing.Fine.Width, Dash: drawing.LongDashDot}
	return []drawing.Shape{
		{Layer: drawing.Frame, Pen: drawing.Medium, Paths: []geom.Path{trapezoid, circle(12), circle(24)}},
		{Layer: drawing.Frame, Pen: axis, Paths: []geom.Path{
			{geom.Line(pt(cone, -32, 0), pt(cone, 32, 0))}, {geom.Line(pt(view, -30, 0), pt(view, 30, 0))}, {geom.Line(pt(view, 0, -30), pt(view, 0, 30))}}},
	}
}
