package layout

import (
	"slices"
	"strconv"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// Size is a size of sheets, lying or upright.
type Size struct {
	Name                      string     // "A3", "ANSI B"
	Paper                     geom.Point // trimmed
	Left, Right, Lower, Upper geom.Length
	// Columns and Rows are the fields of the reference grid of sheets by ASME; those by ISO count theirs in fields of 50 mm.
	Columns, Rows int
}

// Sizes gives the sizes, the smallest first. Those by ISO 216 and ISO 5457: the frame 20 mm from the left edge, for filing,
// and 10 mm from the others (from memory). ANSI A to C by ASME Y14.1: sizes, margins and fields from memory.
func Sizes() []Size {
	iso := func(name string, width, height geom.Length) Size {
		return Size{Name: name, Paper: geom.Pt(width*geom.MM, height*geom.MM), Left: 20 * geom.MM, Right: 10 * geom.MM, Lower: 10 * geom.MM, Upper: 10 * geom.MM}
	}
	// Hundredths of an inch.
	ansi := func(name string, width, height, beside, above geom.Length, columns, rows int) Size {
		const u = geom.Inch / 100
		return Size{name, geom.Pt(width*u, height*u), beside * u, beside * u, above * u, above * u, columns, rows}
	}
	return []Size{
		iso("A4", 210, 297), iso("A4", 297, 210), iso("A3", 420, 297), iso("A2", 594, 420),
		ansi("ANSI A", 850, 1100, 25, 38, 2, 2), ansi("ANSI A", 1100, 850, 38, 25, 2, 2), ansi("ANSI B", 1700, 1100, 62, 38, 4, 2), ansi("ANSI C", 2200, 1700, 50, 75, 4, 4),
	}
}

// SizeNames are the names of sizes as an option has them.
func SizeNames() (out []string) {
	for _, s := range Sizes() {
		if !slices.Contains(out, s.Name) {
			out = append(out, s.Name)
		}
	}
	return out
}

// American tells whether the sheet is one by ASME.
func (s Size) American() bool { return s.Columns > 0 }

// Frame is the drawing space.
func (s Size) Frame() geom.Box {
	return geom.Box{Min: geom.Pt(s.Left, s.Lower), Max: geom.Pt(s.Paper.X-s.Right, s.Paper.Y-s.Upper)}
}

// The lines of ISO 5457, from memory: frame and centring marks 0.7 mm wide, reference grid 0.35 mm, its letters 3.5 mm high,
// its border 5 mm outside the frame, its fields 50 mm long from the middle of the sheet. Trimming marks are left out: the
// pages have the trimmed size. On A4 the standard has the grid above and to the right only; here it stands on all sides
// of every sheet.
const (
	frameWidth  = 700 * geom.UM
	gridWidth   = 350 * geom.UM
	gridBorder  = 5 * geom.MM
	gridField   = 50 * geom.MM
	gridLetters = 3500 * geom.UM
	// markInside is how far centring marks reach into the drawing space. Nothing is set there: see inset.
	markInside = 3 * geom.MM
)

// border draws frame, centring marks and reference grid. taken is what stands along the frame: centring marks end before it.
func (s Size) border(taken []geom.Box) (out drawing.Sheet) {
	frame, outer := s.Frame(), s.Frame().Grow(s.gridBand())
	pen := drawing.Pen{Width: frameWidth}
	draw := func(p drawing.Pen, paths ...geom.Path) {
		out.Shapes = append(out.Shapes, drawing.Shape{Layer: drawing.Frame, Pen: p, Paths: paths})
	}
	draw(pen, geom.Rectangle(frame))
	draw(drawing.Pen{Width: gridWidth}, geom.Rectangle(outer))
	mid := geom.Pt(s.Paper.X/2, s.Paper.Y/2)
	for _, m := range [][3]geom.Point{ // from outside, by the frame, to inside
		{geom.Pt(outer.Min.X, mid.Y), geom.Pt(frame.Min.X, mid.Y), geom.Pt(frame.Min.X+markInside, mid.Y)},
		{geom.Pt(outer.Max.X, mid.Y), geom.Pt(frame.Max.X, mid.Y), geom.Pt(frame.Max.X-markInside, mid.Y)},
		{geom.Pt(mid.X, outer.Min.Y), geom.Pt(mid.X, frame.Min.Y), geom.Pt(mid.X, frame.Min.Y+markInside)},
		{geom.Pt(mid.X, outer.Max.Y), geom.Pt(mid.X, frame.Max.Y), geom.Pt(mid.X, frame.Max.Y-markInside)},
	} {
		end := m[2]
		if slices.ContainsFunc(taken, func(b geom.Box) bool { return b.HoldsPoint(end) }) {
			end = m[1]
		}
		draw(pen, geom.Path{geom.Line(m[0], end)})
	}
	s.grid(&out, draw)
	return out
}

// gridBand is how far outside the frame the reference grid reaches.
func (s Size) gridBand() geom.Length {
	return min(gridBorder, s.Left-geom.MM, s.Right-geom.MM, s.Lower-geom.MM, s.Upper-geom.MM)
}

// letters of the reference grid's rows: I and O are left out, as ISO 5457 and ASME Y14.1 do (from memory).
const rowLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// grid draws the fields of the reference grid. By ISO letters run from the top and digits from the left, by ASME
// letters from the bottom and digits from the right (from memory).
func (s Size) grid(out *drawing.Sheet, draw func(drawing.Pen, ...geom.Path)) {
	frame, band := s.Frame(), s.gridBand()
	pen := drawing.Pen{Width: gridWidth}
	height := min(gridLetters, band*7/10)
	put := func(words string, at geom.Point) {
		at.Y = max(at.Y, at.Y-band/2+drawing.Below(height)+height/2+150*geom.UM) // descenders clear of the line, if there were any
		out.Texts = append(out.Texts, drawing.Text{Layer: drawing.Frame, S: words, At: geom.Pt(at.X, at.Y-height/2), Height: height, Align: drawing.Middle})
	}
	xs := s.ticks(s.Paper.X, frame.Min.X, frame.Max.X, s.Columns)
	for i, x := range xs {
		if i > 0 && i < len(xs)-1 && x != s.Paper.X/2 { // a centring mark stands in the middle
			draw(pen, geom.Path{geom.Line(geom.Pt(x, frame.Min.Y), geom.Pt(x, frame.Min.Y-band))}, geom.Path{geom.Line(geom.Pt(x, frame.Max.Y), geom.Pt(x, frame.Max.Y+band))})
		}
		if i+1 < len(xs) {
			n := i + 1
			if s.American() {
				n = len(xs) - 1 - i
			}
			mid := x + (xs[i+1]-x)/2
			put(strconv.Itoa(n), geom.Pt(mid, frame.Max.Y+band/2))
			put(strconv.Itoa(n), geom.Pt(mid, frame.Min.Y-band/2))
		}
	}
	ys := s.ticks(s.Paper.Y, frame.Min.Y, frame.Max.Y, s.Rows)
	for i, y := range ys {
		if i > 0 && i < len(ys)-1 && y != s.Paper.Y/2 {
			draw(pen, geom.Path{geom.Line(geom.Pt(frame.Min.X, y), geom.Pt(frame.Min.X-band, y))}, geom.Path{geom.Line(geom.Pt(frame.Max.X, y), geom.Pt(frame.Max.X+band, y))})
		}
		if i+1 < len(ys) {
			n := len(ys) - 2 - i
			if s.American() {
				n = i
			}
			mid := y + (ys[i+1]-y)/2
			put(rowLetters[n:n+1], geom.Pt(frame.Min.X-band/2, mid))
			put(rowLetters[n:n+1], geom.Pt(frame.Max.X+band/2, mid))
		}
	}
}

// ticks gives where fields begin and end along one side: in steps of 50 mm from the sheet's middle, what is over going to the
// fields at the corners; or n equal ones.
func (s Size) ticks(paper, from, to geom.Length, n int) []geom.Length {
	out := []geom.Length{from}
	if n > 0 {
		for i := 1; i < n; i++ {
			out = append(out, from+(to-from)*geom.Length(i)/geom.Length(n))
		}
		return append(out, to)
	}
	var inner []geom.Length
	for x := paper / 2; x > from; x -= gridField {
		inner = append(inner, x)
	}
	slices.Reverse(inner)
	for x := paper/2 + gridField; x < to; x += gridField {
		inner = append(inner, x)
	}
	return append(append(out, inner...), to)
}
