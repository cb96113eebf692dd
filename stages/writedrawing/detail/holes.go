package detail

import (
	"fmt"
	"slices"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/writedrawing/tools"
)

// BoardView shows one board's holes and slots by the symbols of the table of holes, so that they need not crowd the plan.
type BoardView struct {
	Board *panel.Board
	Title string
	Holes int // of one copy, slots with them
	// Draw draws the view, its lower left corner at (0, 0), by the largest scale of ISO 5455 with which it is no larger
	// than room.
	Draw func(s drawing.Style, room geom.Point) drawing.Sheet
}

// BoardHoles gives a view of each placed board that has holes, in the order of the recipe.
func BoardHoles(p panel.Panel) (out []BoardView) {
	list := tools.List(p)
	placed := map[*panel.Board]bool{}
	for _, c := range p.Copies() {
		placed[c.Board] = true
	}
	for _, b := range p.Boards() {
		if !placed[b] {
			continue
		}
		d := newHoles(b, list)
		if d.count == 0 {
			continue
		}
		out = append(out, BoardView{Board: b, Title: d.title(), Holes: d.count, Draw: func(s drawing.Style, room geom.Point) drawing.Sheet {
			// It is the board that must fit: the words below it may be longer than a small board is wide.
			scale := drawing.Scale{Paper: 1, Real: 10}
			for _, x := range scales[slices.Index(scales, drawing.Scale{Paper: 5, Real: 1}) : slices.Index(scales, scale)+1] {
				if x.On(d.box.Width()) <= room.X-10*geom.MM && x.On(d.box.Height()) <= room.Y-25*geom.MM {
					scale = x
					break
				}
			}
			return d.draw(s, scale, true)
		}})
	}
	return out
}

// holesView is what a board's view shows, in the board's own coordinates.
type holesView struct {
	board *panel.Board
	count int
	at    [][]geom.Point // by tool: where its holes and the middles of its slots lie
	slots [][]geom.Path  // by tool: contours of its slots
	box   geom.Box       // of the board and its holes
	near  geom.Length    // how far apart holes lie where they lie close
	tools []tools.Tool
}

func newHoles(b *panel.Board, list []tools.Tool) *holesView {
	d := &holesView{board: b, tools: list, at: make([][]geom.Point, len(list)), slots: make([][]geom.Path, len(list))}
	d.box = b.Outline.Box()
	var points []geom.Point
	add := func(tool int, at geom.Point) {
		if tool < 0 {
			return // never: every tool of a placed board stands in the list
		}
		d.at[tool] = append(d.at[tool], at)
		d.box = d.box.Extend(at)
		points = append(points, at)
		d.count++
	}
	for _, f := range b.Drills {
		of := make([]int, len(f.Drilling.Tools))
		slot := make([]int, len(f.Drilling.Tools))
		for i, t := range f.Drilling.Tools {
			of[i], slot[i] = tools.Of(list, f, t.Diameter, tools.BoardHole), tools.Of(list, f, t.Diameter, tools.BoardSlot)
		}
		for _, h := range f.Drilling.Holes {
			add(of[h.Tool], h.At)
		}
		for _, r := range f.Drilling.Routs {
			tool := slot[r.Tool]
			if len(r.Path) == 0 || tool < 0 {
				continue
			}
			add(tool, r.Path[len(r.Path)/2].At(middle(len(r.Path))))
			for _, e := range r.Path {
				d.slots[tool] = append(d.slots[tool], stadium(e, f.Drilling.Tools[r.Tool].Diameter))
			}
		}
	}
	d.near = closeness(points)
	return d
}

// closeness is how close a tenth of all points lie to their next; 0 for fewer than two.
func closeness(points []geom.Point) geom.Length {
	const beyond = 10 * geom.MM // farther apart they might as well be alone
	slices.SortFunc(points, geom.Point.Compare)
	points = slices.Compact(points)
	next := make([]geom.Length, len(points))
	for i := range next {
		next[i] = beyond
	}
	for i, q := range points {
		for k := i + 1; k < len(points) && points[k].X-q.X < beyond; k++ {
			if (points[k].Y-q.Y).Abs() >= beyond || points[k].X-q.X >= max(next[i], next[k]) && next[i] < beyond {
				continue
			}
			l := geom.Round(q.Distance(points[k]))
			next[i], next[k] = min(next[i], l), min(next[k], l)
		}
	}
	slices.Sort(next)
	if len(next) < 2 {
		return 0
	}
	return next[len(next)/10]
}

// middle is where along its middle edge a path of n edges has its middle, for a sign to stand.
func middle(n int) float64 {
	if n%2 == 1 {
		return 0.5
	}
	return 0
}

// stadium is the contour of what a round cutter takes along an edge.
func stadium(e geom.Edge, diameter geom.Length) geom.Path {
	r := diameter / 2
	if e.From == e.To && e.Sense == geom.Straight {
		return circle(e.From, diameter)
	}
	if e.Sense != geom.Straight && (e.From == e.To || e.Radius() <= float64(r)) {
		return geom.Path{e} // round about, or tighter than its cutter: its middle line
	}
	a, b := e.Beside(0, r), e.Beside(1, r)
	c, d := e.Beside(1, -r), e.Beside(0, -r)
	there, back := geom.Line(a, b), geom.Line(c, d)
	if e.Sense != geom.Straight {
		there = geom.Arc(a, b, e.Center, e.Sense)
		back = geom.Arc(c, d, e.Center, -e.Sense)
	}
	// The left side runs with the edge, so that the ends turn clockwise.
	return geom.Path{there, geom.Arc(b, c, e.To, geom.Clockwise), back, geom.Arc(d, a, e.From, geom.Clockwise)}
}

func (d *holesView) title() string { return "Holes of board " + d.board.Name }

// size is how large symbols are on paper: as small as neighbours ask for, as large as can be told apart.
func (d *holesView) size(scale drawing.Scale) geom.Length {
	const least, most = 900 * geom.UM, 2000 * geom.UM
	if d.near == 0 {
		return most
	}
	return min(max(scale.On(d.near), least), most)
}

func (d *holesView) draw(s drawing.Style, scale drawing.Scale, signs bool) drawing.Sheet {
	size := d.size(scale)
	box := d.box
	p := newPiece("holes of "+d.board.Name, s, scale, box.Grow(scale.Of(size)))
	p.draw(0, lines(drawing.Outline, drawing.Medium, append([]geom.Path{d.board.Outline.Outer}, d.board.Outline.CutOuts...)...))
	pen := drawing.Fine
	if size < 1500*geom.UM {
		pen.Width = 130 * geom.UM // ISO 128-2's thinnest
	}
	v := p.Views[0]
	for i, t := range d.tools {
		if len(d.at[i]) == 0 || !signs {
			continue
		}
		all := drawing.Shape{Layer: drawing.Holes, Pen: pen, Paths: make([]geom.Path, 0, 2*len(d.at[i])+len(d.slots[i]))}
		all.Paths = append(all.Paths, d.slots[i]...)
		for _, at := range d.at[i] {
			all.Paths = append(all.Paths, t.Symbol.Paths(at, scale.Of(size))...)
			if l := t.Symbol.Label(); l != "" {
				p.Texts = append(p.Texts, drawing.Text{Layer: drawing.Holes, S: l, At: v.Paper(at).Sub(geom.Pt(0, size/2)), Height: size, Align: drawing.Middle})
			}
		}
		p.draw(0, all)
	}
	var words []string
	for _, x := range []struct{ before, s string }{{"", d.board.PartNumber}, {"revision ", d.board.Revision}} {
		if x.s != "" {
			words = append(words, x.before+x.s)
		}
	}
	words = append(words, fmt.Sprintf("%d holes and slots a copy", d.count))
	return p.finish("", d.title(), say{words: strings.Join(words, ", ") + ", seen from the top, not turned"}, say{words: "Symbols: see the table of holes and slots"})
}
