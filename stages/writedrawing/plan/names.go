package plan

import (
	"fmt"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// names writes each copy's name into it, with an arrow that points to what is up in the board's own data. Names of
// one array are alike in size: the largest at which all find room, in one line or, with the array's name above, in two.
func (d *drawer) names() {
	for _, a := range arrays(d.p) {
		d.namesOf(a.copies)
	}
}

func (d *drawer) namesOf(copies []panel.Copy) {
	heights := []geom.Length{5 * geom.MM, 3500 * geom.UM, d.s.Letter, d.s.Small}
	var best []label
	for _, h := range heights {
		for _, split := range []bool{false, true} {
			all, room := d.tryNames(copies, h, split)
			if room == len(copies) {
				d.write(copies, all)
				return
			}
			if best == nil || room > roomed(best) {
				best = all
			}
		}
	}
	d.write(copies, best)
}

func (d *drawer) write(copies []panel.Copy, all []label) {
	for i, c := range copies {
		if all[i].box.Empty() {
			d.out.Nameless = append(d.out.Nameless, c.ID)
			continue
		}
		d.name(c, all[i])
	}
}

// label is a name in one or two lines, and the room that it and its arrow take.
type label struct {
	lines  []string
	height geom.Length
	box    geom.Box
}

func roomed(all []label) (n int) {
	for _, l := range all {
		if !l.box.Empty() {
			n++
		}
	}
	return n
}

// lead is how far the base lines of a name's two lines are apart, in tenths of the height; above stands over the first
// and below under the last what the font's line needs.
const lead, above, below = 17, 4, 3

func newLabel(id string, height geom.Length, split bool) label {
	l := label{lines: []string{id}, height: height}
	if array, place, ok := strings.Cut(id, "."); ok && split {
		l.lines = []string{array + ".", place}
	}
	return l
}

// size is the room that a label needs; the arrow stands after the last line.
func (l label) size() (width, height geom.Length) {
	for _, s := range l.lines {
		width = max(width, drawing.Width(s, l.height, true))
	}
	last := drawing.Width(l.lines[len(l.lines)-1], l.height, true) + l.height*3/2
	return max(width, last), l.height + l.height*(above+below)/10 + geom.Length(len(l.lines)-1)*l.height*lead/10
}

// tryNames looks for room for all names without writing them; what finds none has an empty box.
func (d *drawer) tryNames(copies []panel.Copy, height geom.Length, split bool) (out []label, room int) {
	for _, c := range copies {
		l := newLabel(c.ID, height, split)
		w, h := l.size()
		b := c.Box()
		paper := geom.Box{Min: d.view.Paper(b.Min), Max: d.view.Paper(b.Max)}.Grow(-height / 4)
		l.box = geom.EmptyBox()
		spot, found := d.crowd.Spot(paper, w, h, paper.Center(), max(height/3, paper.Width()/60))
		if found && c.Outline().Locate(d.real(spot.Center())) == geom.Inside {
			l.box = spot
			room++
		}
		out = append(out, l)
	}
	return out, room
}

// real gives the real point of one on paper.
func (d *drawer) real(p geom.Point) geom.Point {
	return geom.Pt(d.view.Scale.Of(p.X-d.view.Origin.X), d.view.Scale.Of(p.Y-d.view.Origin.Y))
}

func (d *drawer) name(c panel.Copy, l label) {
	base := l.box.Max.Y - l.height*(10+above)/10
	for i, s := range l.lines {
		if i > 0 {
			base -= l.height * lead / 10
		}
		d.text(drawing.Text{Layer: drawing.Names, S: s, At: geom.Pt(l.box.Min.X, base), Height: l.height, Bold: true})
	}
	d.crowd.Take(l.box)
	words := drawing.Width(l.lines[len(l.lines)-1], l.height, true)
	d.out.Sheet.Shapes = append(d.out.Sheet.Shapes, orientation(geom.Pt(l.box.Min.X+words+l.height, base+l.height/2), l.height, c.Place.Turn))
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
	var parts []string
	if n := len(p.Unmarked); n > 0 {
		parts = append(parts, counted(n, "the letter of a detail", "the letters of %d details", p.Unmarked))
	}
	if n := len(p.Nameless); n > 0 {
		parts = append(parts, counted(n, "the name of a copy", "the names of %d copies", p.Nameless))
	}
	if len(parts) == 0 {
		return ""
	}
	verb := " find no room on the plan at this scale"
	if len(p.Unmarked)+len(p.Nameless) == 1 {
		verb = " finds no room on the plan at this scale"
	}
	return strings.Join(parts, " and ") + verb
}

// counted words how many there are, and which: the first few.
func counted(n int, one, many string, which []string) string {
	if n == 1 {
		return one + " (" + which[0] + ")"
	}
	list := strings.Join(which[:min(n, 3)], ", ")
	if n > 3 {
		list += " …"
	}
	return fmt.Sprintf(many, n) + " (" + list + ")"
}
