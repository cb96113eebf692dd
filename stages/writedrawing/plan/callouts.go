package plan

import (
	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/stages/writedrawing/detail"
)

// letter is the height of a detail's letter, as ISO 128 has it: larger than the dimensions'.
const letter = 3500 * geom.UM

// callouts marks on the plan where details are.
func (d *drawer) callouts() {
	for _, x := range d.in.Details {
		switch {
		case x.Section():
			d.section(x)
		case !x.Where.Empty():
			d.ring(x)
		}
	}
}

// ring draws a circle round what a detail shows, and its letter beside it.
func (d *drawer) ring(x detail.Detail) {
	a, b := d.view.Paper(x.Where.Min), d.view.Paper(x.Where.Max)
	box := geom.BoxOf(a, b)
	at := box.Center()
	r := max(geom.Length(float64(box.Max.Distance(at)))+500*geom.UM, 3*geom.MM)
	d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Narrow, Paths: []geom.Path{circle(at, 2*r)}})
	size := letterBox(x.Letter)
	near := d.around(at, r, size)
	if spot, ok := d.crowd.Spot(near, size.X, size.Y, geom.Pt(at.X+r, at.Y+r), geom.MM); ok {
		d.letter(x.Letter, spot)
		// A line leads to letters that stand apart.
		if c := spot.Center(); c.Distance(at) > float64(r+size.X+size.Y) {
			dir := drawing.Toward(at, c)
			d.out.Sheet.Shapes = append(d.out.Sheet.Shapes, drawing.Shape{Layer: drawing.Names, Pen: drawing.Fine,
				Paths: []geom.Path{{geom.Line(dir.From(at, r), dir.From(at, geom.Length(c.Distance(at))-size.Y*3/4))}}})
		}
		return
	}
	d.out.Unmarked = append(d.out.Unmarked, x.Letter)
}

func letterBox(s string) geom.Point {
	return geom.Pt(drawing.Width(s, letter, true)+800*geom.UM, letter*14/10)
}

// around is where a letter may stand about a circle.
func (d *drawer) around(at geom.Point, r geom.Length, size geom.Point) geom.Box {
	return geom.BoxOf(at).Grow(r + size.X + size.Y + 12*geom.MM)
}

func (d *drawer) letter(s string, spot geom.Box) {
	d.text(drawing.Text{Layer: drawing.Names, S: s, Bold: true, Height: letter, Align: drawing.Middle, At: geom.Pt(spot.Center().X, spot.Max.Y-letter)})
	d.crowd.Take(spot)
}

// section draws the ends of a section's plane: wide strokes, arrows that say which way one looks, and the letter.
func (d *drawer) section(x detail.Detail) {
	a, b := d.view.Paper(x.Cut[0]), d.view.Paper(x.Cut[1])
	dir := drawing.Toward(a, b)
	look := dir.Left()
	placed := false
	for _, e := range []struct {
		at  geom.Point
		out drawing.Direction
	}{{a, dir.Back()}, {b, dir}} {
		foot := e.out.From(e.at, 4*geom.MM)
		tip := look.From(foot, 4*geom.MM)
		d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Wide, Paths: []geom.Path{{geom.Line(e.at, foot)}}})
		d.shape(drawing.Shape{Layer: drawing.Names, Pen: drawing.Narrow, Paths: []geom.Path{{geom.Line(foot, tip)}}})
		arrow := drawing.Arrow(tip, look)
		arrow.Layer = drawing.Names
		d.shape(arrow)
		size := letterBox(x.Letter)
		if spot, ok := d.crowd.Spot(geom.BoxOf(foot).Grow(15*geom.MM), size.X, size.Y, e.out.From(foot, 3*geom.MM), 500*geom.UM); ok {
			d.letter(x.Letter, spot)
			placed = true
		}
	}
	if !placed {
		d.out.Unmarked = append(d.out.Unmarked, x.Letter)
	}
}
