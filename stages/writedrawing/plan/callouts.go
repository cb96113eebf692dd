package plan

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/stages/writedrawing/detail"
)

// letter is the height of a detail's letter, as ISO 128 has it: larger than the dimensions'.
const letter = 3500 * geom.UM

// callouts draws where details are; letters stands by for when all else is drawn.
func (d *drawer) callouts() {
	for _, x := range d.in.Details {
		switch {
		case x.Section():
			d.section(x)
		case !x.Where.Empty():
			at, r := d.ring(x)
			d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Narrow, Paths: []geom.Path{circle(at, 2*r)}})
		}
	}
}

// letters writes the letters of what callouts has drawn.
func (d *drawer) letters() {
	for _, x := range d.in.Details {
		written := true
		switch {
		case x.Section():
			written = d.sectionLetters(x)
		case !x.Where.Empty():
			written = d.ringLetter(x)
		}
		if !written {
			d.out.Unmarked = append(d.out.Unmarked, x.Letter)
		}
	}
}

// ring is the circle round what a detail shows.
func (d *drawer) ring(x detail.Detail) (at geom.Point, r geom.Length) {
	box := geom.BoxOf(d.view.Paper(x.Where.Min), d.view.Paper(x.Where.Max))
	at = box.Center()
	return at, max(geom.Length(box.Max.Distance(at))+500*geom.UM, 3*geom.MM)
}

func (d *drawer) ringLetter(x detail.Detail) bool {
	at, r := d.ring(x)
	size := letterBox(x.Letter)
	spot, ok := d.crowd.Spot(d.around(at, r, size), size.X, size.Y, geom.Pt(at.X+r, at.Y+r), geom.MM)
	if !ok {
		return false
	}
	d.letter(x.Letter, spot)
	// A line leads to a letter that stands apart, where it crosses no words.
	c := spot.Center()
	dir := drawing.Toward(at, c)
	from, to := dir.From(at, r), dir.From(at, geom.Length(c.Distance(at))-max(size.X, size.Y)*3/4)
	if c.Distance(at) > float64(r+size.X+size.Y) && d.crowd.Passes(from, to) {
		d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Fine, Paths: []geom.Path{{geom.Line(from, to)}}})
	}
	return true
}

func letterBox(s string) geom.Point {
	return geom.Pt(drawing.Width(s, letter, true)+800*geom.UM, letter*17/10)
}

// around is where a letter may stand about a circle.
func (d *drawer) around(at geom.Point, r geom.Length, size geom.Point) geom.Box {
	return geom.BoxOf(at).Grow(r + size.X + size.Y + 12*geom.MM)
}

func (d *drawer) letter(s string, spot geom.Box) {
	d.text(drawing.Text{Layer: drawing.Names, S: s, Bold: true, Height: letter, Align: drawing.Middle, At: geom.Pt(spot.Center().X, spot.Max.Y-letter*14/10)})
	d.crowd.Take(spot)
}

// feet are the outer ends of a section's strokes, and which way out they lie.
func (d *drawer) feet(x detail.Detail) (at, foot [2]geom.Point, out [2]drawing.Direction) {
	at = [2]geom.Point{d.view.Paper(x.Cut[0]), d.view.Paper(x.Cut[1])}
	dir := drawing.Toward(at[0], at[1])
	out = [2]drawing.Direction{dir.Back(), dir}
	for i := range foot {
		foot[i] = out[i].From(at[i], 4*geom.MM)
	}
	return at, foot, out
}

// section draws the ends of a section's plane: wide strokes, and arrows that say which way one looks.
func (d *drawer) section(x detail.Detail) {
	at, foot, out := d.feet(x)
	look := out[1].Left()
	for i := range at {
		tip := look.From(foot[i], 4*geom.MM)
		d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Wide, Paths: []geom.Path{{geom.Line(at[i], foot[i])}}})
		d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Narrow, Paths: []geom.Path{{geom.Line(foot[i], tip)}}})
		arrow := drawing.Arrow(tip, look)
		arrow.Layer = drawing.Names
		d.shape(arrow)
	}
}

// sectionLetters writes the letter at both ends, or at one where the other has no room.
func (d *drawer) sectionLetters(x detail.Detail) (written bool) {
	_, foot, out := d.feet(x)
	size := letterBox(x.Letter)
	for i := range foot {
		if spot, ok := d.crowd.Spot(geom.BoxOf(foot[i]).Grow(15*geom.MM), size.X, size.Y, out[i].From(foot[i], 3*geom.MM), 500*geom.UM); ok {
			d.letter(x.Letter, spot)
			written = true
		}
	}
	return written
}
