package plan

import (
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// names writes each copy's name into it, with an arrow that points to what is up in the board's own data. Names
// alike in length are alike in size: the largest at which all find room, or most of them.
func (d *drawer) names() {
	copies := d.p.Copies()
	for _, height := range []geom.Length{5 * geom.MM, 3500 * geom.UM, d.s.Letter, d.s.Small} {
		spots, ok := d.tryNames(copies, height)
		if !ok && height > d.s.Small {
			continue
		}
		for i, c := range copies {
			if spots[i].Empty() {
				d.out.Nameless = append(d.out.Nameless, c.ID)
				continue
			}
			d.name(c, spots[i], height)
		}
		return
	}
}

// nameSize is the room that a name and its arrow need.
func nameSize(id string, height geom.Length) (width, words geom.Length) {
	words = drawing.Width(id, height, true)
	return words + height/2 + height, words
}

// tryNames looks for room for all names without writing them; what finds none is empty, and ok is false.
func (d *drawer) tryNames(copies []panel.Copy, height geom.Length) (spots []geom.Box, ok bool) {
	ok = true
	spots = make([]geom.Box, len(copies))
	for i, c := range copies {
		b := c.Box()
		paper := geom.Box{Min: d.view.Paper(b.Min), Max: d.view.Paper(b.Max)}.Grow(-height / 3)
		w, _ := nameSize(c.ID, height)
		spots[i] = geom.EmptyBox()
		// Letters with descenders reach below the line.
		h := height * 13 / 10
		spot, found := d.crowd.Spot(paper, w, h, paper.Center(), max(height/3, paper.Width()/60))
		if found && c.Outline().Locate(d.real(spot.Center())) == geom.Inside {
			spots[i] = spot
			continue
		}
		ok = false
	}
	return spots, ok
}

// real gives the real point of one on paper.
func (d *drawer) real(p geom.Point) geom.Point {
	return geom.Pt(d.view.Scale.Of(p.X-d.view.Origin.X), d.view.Scale.Of(p.Y-d.view.Origin.Y))
}

func (d *drawer) name(c panel.Copy, b geom.Box, height geom.Length) {
	_, words := nameSize(c.ID, height)
	base := b.Max.Y - height
	d.text(drawing.Text{Layer: drawing.Names, S: c.ID, At: geom.Pt(b.Min.X, base), Height: height, Bold: true})
	d.crowd.Take(b)
	middle := geom.Pt(b.Min.X+words+height, base+height/2)
	arrow := orientation(middle, height, c.Place.Turn)
	d.out.Sheet.Shapes = append(d.out.Sheet.Shapes, arrow)
}

// orientation is a filled arrow about a point, turned as the board is.
func orientation(at geom.Point, height geom.Length, turn geom.Angle) drawing.Shape {
	h := height / 2
	t := geom.Transform{Turn: turn, Shift: at}
	pts := []geom.Point{{X: 0, Y: h}, {X: -h * 7 / 10, Y: 0}, {X: -h / 5, Y: 0}, {X: -h / 5, Y: -h}, {X: h / 5, Y: -h}, {X: h / 5, Y: 0}, {X: h * 7 / 10, Y: 0}}
	var path geom.Path
	for i, p := range pts {
		path = append(path, geom.Line(t.Apply(p), t.Apply(pts[(i+1)%len(pts)])))
	}
	return drawing.Shape{Layer: drawing.Names, Fill: drawing.Ink, Paths: []geom.Path{path}}
}

// Unwritten says in words what found no room; empty when all did.
func (p Plan) Unwritten() string {
	switch n := len(p.Nameless); {
	case n == 0 && len(p.Unmarked) == 0:
		return ""
	case len(p.Unmarked) == 0:
		return fmt.Sprintf("the names of %d copies, %s first, find no room on the plan at this scale", n, p.Nameless[0])
	}
	return fmt.Sprintf("the letters of %d details and the names of %d copies find no room on the plan at this scale", len(p.Unmarked), len(p.Nameless))
}
