package drawing

import (
	"strconv"

	"panelwright/pipeline/geom"
)

// Flow is what is set on sheets as far as there is room, and goes on elsewhere: a table, a list of notes.
type Flow interface {
	// Set gives as much of the flow as room holds, as a piece whose lower left corner is at (0, 0), and what is left of it, nil
	// when nothing is. It gives ok = false where not even a beginning of it has room.
	Set(s Style, room geom.Point) (piece Sheet, rest Flow, ok bool)
	// Title names the flow.
	Title() string
}

// Endless is a width or height that holds everything.
const Endless geom.Length = 1000 * geom.Limit

// Pieces sets a flow in pieces that are no larger than room; those after the first say that they go on. It gives ok = false
// where room is too small for any of it.
func Pieces(f Flow, s Style, room geom.Point) (out []Sheet, ok bool) {
	for f != nil {
		p, rest, ok := f.Set(s, room)
		if !ok {
			return out, false
		}
		out = append(out, p)
		f = rest
	}
	return out, true
}

// titleHeight is how high the letters over tables and notes are.
func (s Style) titleHeight() geom.Length { return s.Letter * 7 / 5 } // the next size of ISO 3098

// titleRoom is how much of a piece its title takes.
func (s Style) titleRoom() geom.Length { return Stack(1, s.titleHeight()) + s.Letter*3/5 }

// continued words the title of a part.
func continued(name string, part int) string {
	switch part {
	case 0:
		return name
	case 1:
		return name + " (continued)"
	}
	return name + " (continued, part " + strconv.Itoa(part+1) + ")"
}

// titleWidth is the least width that holds a flow's title in each of its parts.
func (s Style) titleWidth(name string) geom.Length {
	return Width(continued(name, 1), s.titleHeight(), true) + s.Letter/2
}

// setter puts lines and letters into a piece, from its top downwards; y is 0 at the top.
type setter struct {
	piece Sheet
	layer Layer
}

func (t *setter) text(s string, at geom.Point, height geom.Length, align Align, bold bool) {
	t.piece.Texts = append(t.piece.Texts, Text{Layer: t.layer, S: s, At: at, Height: height, Align: align, Bold: bold})
}

// states sets words that state something.
func (t *setter) states(of []Fact, s string, at geom.Point, height geom.Length, align Align, bold bool) {
	t.text(s, at, height, align, bold)
	t.piece.Texts[len(t.piece.Texts)-1].Of = of
}

func (t *setter) line(p Pen, from, to geom.Point) {
	t.piece.Shapes = append(t.piece.Shapes, Shape{Layer: t.layer, Pen: p, Paths: []geom.Path{{geom.Line(from, to)}}})
}

// title sets a title at the top.
func (t *setter) title(s Style, words string, width geom.Length) {
	h := s.titleHeight()
	if w := Width(words, h, true); w > width {
		h = geom.Length(geom.MulDiv(int64(h), int64(width), int64(w))) - 1 // a title that is wider than its room is set smaller
	}
	t.text(words, geom.Pt(0, -s.titleHeight()), h, Start, true)
}

// done gives the piece with its lower left corner at (0, 0).
func (t *setter) done(name string, width, height geom.Length) Sheet {
	t.piece.Name = name
	t.piece.Box = geom.Box{Min: geom.Pt(0, -height), Max: geom.Pt(width, 0)}
	return t.piece.Move(geom.Pt(0, height))
}
