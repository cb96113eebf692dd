// Package lettering writes words with a round pen of one width: the panel's own letters, drawn as lines
// and quarter circles, as plotters of layers and readers of them know. It knows the panel's pen lines and
// dots, and nothing of where they go.
//
// A letter's height is that of capitals, from outside to outside of the pen, as drawing standards count it.
package lettering

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Align says where the lines of a text stand to one another, and what of it lies at the origin.
type Align string

// The ways to align.
const (
	Left   Align = "left"
	Centre Align = "centre"
	Right  Align = "right"
)

// Thickest is how many times higher letters must be than the pen is wide: with a wider pen counters
// fill up. Drawing standards write with a tenth (ISO 3098, from memory); a fifth can still be read, as
// a look at the letters shows.
const Thickest = 5

// Layout is a text laid out: in reading direction along x, lines below one another.
type Layout struct {
	Lines []panel.PenLine
	Dots  []panel.Dot
	// Block is what the capitals take up, from the last line's foot to the first one's head; the origin lies on
	// its lower side, at its left, in its middle or at its right. Placed, it is the box round the placed block.
	Block geom.Box
	// Box holds all that is drawn: it reaches beyond Block where letters hang below or stand above capitals.
	Box geom.Box
}

// Pitch is the distance from line to line, foot to foot: 1.7 letter heights, so that what hangs from one
// line stays clear of the dots above the next.
func Pitch(height geom.Length) geom.Length { return geom.Length(geom.MulDiv(int64(height), 17, 10)) }

// Lay lays out a text of one or more lines (parted by "\n") in letters of the given height, with a pen of
// the given width. The drawn height falls short of the asked one by less than 24 nm, so that every line
// and arc is exact.
//
// Errors: a height or pen that is not positive or does not suit the other; a text that needs more room
// than a panel has; a text with nothing to print; and a character that there is no sign for, by name.
func Lay(text string, height, pen geom.Length, align Align) (Layout, error) {
	switch {
	case height <= 0 || pen <= 0:
		return Layout{}, fmt.Errorf("letters %v high with a pen of %v cannot be drawn", height, pen)
	case height > geom.Limit || height < Thickest*pen:
		return Layout{}, fmt.Errorf("letters %v high cannot be read with a pen of %v: make them at least %v high, or the pen thinner", height, pen, Thickest*pen)
	}
	half := (height - pen) / capitals
	if half == 0 {
		return Layout{}, fmt.Errorf("letters %v high are too small to be drawn", height)
	}
	if !utf8.ValidString(text) {
		return Layout{}, fmt.Errorf("the text %q is not valid UTF-8", text)
	}
	// Signs stand at least three grid units apart, from outside to outside of the pen.
	gap := 6*half + pen
	out := Layout{Block: geom.EmptyBox(), Box: geom.EmptyBox()}
	rows := strings.Split(text, "\n")
	for i, row := range rows {
		foot := geom.Length(len(rows)-1-i)*Pitch(height) + pen/2
		l := line{half: half, pen: pen, gap: gap, at: geom.Pt(0, foot)}
		for _, c := range row {
			if err := l.add(c); err != nil {
				return Layout{}, fmt.Errorf("%w in the text %q", err, text)
			}
			if foot > geom.Limit || l.at.X > geom.Limit {
				return Layout{}, fmt.Errorf("a text of %d characters in letters %v high is longer than any panel", utf8.RuneCountInString(text), height)
			}
		}
		out.add(l, height, align)
	}
	if len(out.Lines)+len(out.Dots) == 0 {
		return Layout{}, fmt.Errorf("the text %q has nothing to print", text)
	}
	return out, nil
}

// add adds a line of signs, moved so that it is aligned at x = 0.
func (l *Layout) add(x line, height geom.Length, align Align) {
	width := max(x.at.X-x.gap, 0) // from pen middle to pen middle
	if x.at.X > 0 {
		width += x.pen
	}
	shift := geom.Pt(x.pen/2, 0)
	switch align {
	case Centre:
		shift.X -= width / 2
	case Right:
		shift.X -= width
	}
	foot := x.at.Y - x.pen/2
	l.Block = l.Block.Union(geom.Box{Min: geom.Pt(shift.X-x.pen/2, foot), Max: geom.Pt(shift.X-x.pen/2+width, foot+height)})
	t := geom.Transform{Shift: shift}
	for _, p := range x.paths {
		l.Lines = append(l.Lines, panel.PenLine{Path: t.Path(p), Width: x.pen})
	}
	for _, d := range x.dots {
		l.Dots = append(l.Dots, panel.Dot{At: t.Apply(d), Diameter: dot(x.pen)})
	}
	l.Box = l.Box.Union(boxOf(l.Lines, l.Dots))
}

// dot is a dot's diameter: a third wider than the pen, which a dot alone needs to look as black as a line.
func dot(pen geom.Length) geom.Length { return pen + pen/3 }

func boxOf(lines []panel.PenLine, dots []panel.Dot) geom.Box {
	b := geom.EmptyBox()
	for _, l := range lines {
		b = b.Union(l.Path.Box().Grow((l.Width + 1) / 2))
	}
	for _, d := range dots {
		b = b.Union(geom.BoxOf(d.At).Grow((d.Diameter + 1) / 2))
	}
	return b
}

// line is one line of a text in the making.
type line struct {
	half, pen, gap geom.Length
	at             geom.Point // where the next sign's left pen middle goes
	paths          []geom.Path
	dots           []geom.Point
}

func (l *line) add(c rune) error {
	text, ok := glyphs[c]
	if !ok {
		text, ok = glyphs[alike[c]]
	}
	if !ok {
		return fmt.Errorf("there is no sign for %s", name(c))
	}
	g, err := read(text)
	if err != nil {
		return fmt.Errorf("the sign for %s: %w", name(c), err)
	}
	onto := func(p geom.Point) geom.Point { return l.at.Add(geom.Pt(p.X*l.half, p.Y*l.half)) }
	for _, p := range g.paths {
		out := make(geom.Path, len(p))
		for i, e := range p {
			out[i] = geom.Edge{From: onto(e.From), To: onto(e.To), Sense: e.Sense}
			if e.Sense != geom.Straight {
				out[i].Center = onto(e.Center)
			}
		}
		l.paths = append(l.paths, out)
	}
	for _, d := range g.dots {
		l.dots = append(l.dots, onto(d))
	}
	l.at.X += g.width*l.half + l.gap
	return nil
}

// name names a character so that it can be found in a recipe: "'Σ' (U+03A3)".
func name(c rune) string {
	if unicode.IsPrint(c) {
		return fmt.Sprintf("'%c' (%U)", c, c)
	}
	return fmt.Sprintf("the character %U", c)
}

// Pose is where something drawn in reading direction goes on a panel: mirrored for the bottom side, which is
// seen from the top like all layers, then turned about the origin, counter-clockwise as seen from the
// top, then shifted.
type Pose struct {
	Side panel.Side
	Turn geom.Angle
	At   geom.Point
}

func (p Pose) transform() geom.Transform { return geom.Transform{Turn: p.Turn, Shift: p.At} }

// Point maps a point.
func (p Pose) Point(q geom.Point) geom.Point {
	if p.Side == panel.Bottom {
		q = mirror(q)
	}
	return p.transform().Apply(q)
}

// Path maps a path into a new one. That of the bottom turns the other way round.
func (p Pose) Path(in geom.Path) geom.Path {
	t := p.transform()
	out := make(geom.Path, len(in))
	for i, e := range in {
		if p.Side == panel.Bottom {
			e.From, e.To, e.Sense = mirror(e.From), mirror(e.To), -e.Sense
			if e.Sense != geom.Straight {
				e.Center = mirror(e.Center)
			}
		}
		out[i] = t.Edge(e)
	}
	return out
}

// Box maps a box: the smallest box round the mapped corners.
func (p Pose) Box(b geom.Box) geom.Box {
	if p.Side == panel.Bottom && !b.Empty() {
		b = geom.BoxOf(mirror(b.Min), mirror(b.Max))
	}
	return p.transform().Box(b)
}

// Place gives the layout elsewhere: see Pose.
func (l Layout) Place(side panel.Side, turn geom.Angle, at geom.Point) Layout {
	p := Pose{side, turn, at}
	out := Layout{Block: p.Box(l.Block)}
	for _, x := range l.Lines {
		out.Lines = append(out.Lines, panel.PenLine{Path: p.Path(x.Path), Width: x.Width})
	}
	for _, d := range l.Dots {
		out.Dots = append(out.Dots, panel.Dot{At: p.Point(d.At), Diameter: d.Diameter})
	}
	out.Box = boxOf(out.Lines, out.Dots)
	return out
}

func mirror(p geom.Point) geom.Point { return geom.Pt(-p.X, p.Y) }
