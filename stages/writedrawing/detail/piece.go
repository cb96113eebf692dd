package detail

import (
	"slices"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/drawing/place"
	"panelwright/pipeline/geom"
)

// scales are those of ISO 5455, the largest first.
var scales = []drawing.Scale{{Paper: 50, Real: 1}, {Paper: 20, Real: 1}, {Paper: 10, Real: 1}, {Paper: 5, Real: 1}, {Paper: 2, Real: 1}, {Paper: 1, Real: 1},
	{Paper: 1, Real: 2}, {Paper: 1, Real: 5}, {Paper: 1, Real: 10}, {Paper: 1, Real: 20}, {Paper: 1, Real: 50}}

// fitted draws by the largest scale, up to the one given, with which the piece is no larger than room; by the smallest
// tried where none is.
func fitted(most, least drawing.Scale, room geom.Point, draw func(drawing.Scale) drawing.Sheet) drawing.Sheet {
	var sheet drawing.Sheet
	from := slices.Index(scales, most)
	to := max(from, slices.Index(scales, least))
	for _, s := range scales[from : to+1] {
		sheet = draw(s)
		if sheet.Box.Width() <= room.X && sheet.Box.Height() <= room.Y {
			break
		}
	}
	return sheet
}

// piece is a detail in the making. Its first view's window has its lower left corner at the origin of paper.
type piece struct {
	drawing.Sheet
	style  drawing.Style
	labels []label // to the right of the view
}

// label is words beside the view with a leader to what they tell of.
type label struct {
	words string
	at    geom.Point // on paper
	end   end
	// dim makes the label a dimension, all but its text and lines.
	dim *drawing.Dimension
}

// end is how a leader ends.
type end int

const (
	onEdge  end = iota // with an arrow
	onArea             // with a dot
	onPlace            // with nothing
)

// newPiece begins a piece with a view.
func newPiece(name string, s drawing.Style, scale drawing.Scale, window geom.Box) *piece {
	p := &piece{style: s}
	p.Name = name
	p.view(name, scale, window, geom.Point{})
	return p
}

// view adds a view whose window's lower left corner lies at a point of paper.
func (p *piece) view(name string, scale drawing.Scale, window geom.Box, at geom.Point) int {
	v := drawing.View{Name: name, Scale: scale, Clip: geom.Rectangle(window),
		Origin: geom.Pt(at.X-scale.On(window.Min.X), at.Y-scale.On(window.Min.Y))}
	p.Views = append(p.Views, v)
	return len(p.Views) - 1
}

// frame gives where on paper a view's window lies.
func (p *piece) frame(i int) geom.Box {
	v := p.Views[i]
	return v.Path(v.Clip).Box()
}

// border draws the line round a view's window, where the part is cut off: on paper, for the view itself shows the inner half
// of a line on its border only.
func (p *piece) border(i int) {
	p.Shapes = append(p.Shapes, lines(drawing.Details, drawing.Fine, geom.Rectangle(p.frame(i))))
}

// draw adds shapes to a view.
func (p *piece) draw(i int, s ...drawing.Shape) { p.Views[i].Shapes = append(p.Views[i].Shapes, s...) }

func (p *piece) dimension(d drawing.Dimension) { p.Dimensions = append(p.Dimensions, d) }

// lines draws a shape's closed or open paths with a pen.
func lines(l drawing.Layer, pen drawing.Pen, paths ...geom.Path) drawing.Shape {
	return drawing.Shape{Layer: l, Pen: pen, Paths: paths}
}

// circle is a full circle.
func circle(middle geom.Point, diameter geom.Length) geom.Path {
	right := geom.Pt(middle.X+diameter/2, middle.Y)
	return geom.Path{geom.Arc(right, right, middle, geom.CounterClockwise)}
}

// setLabels places the labels to the right of the view, none over another, as near as may be to what they tell of.
func (p *piece) setLabels(view int) {
	const (
		away = 5000 * geom.UM // from the window to the leaders' knees
		dot  = 1000 * geom.UM
	)
	list := p.labels
	p.labels = nil
	if len(list) == 0 {
		return
	}
	slices.SortStableFunc(list, func(a, b label) int { return int(a.at.Y - b.at.Y) })
	f := p.frame(view)
	column := f.Max.X + away
	for _, d := range p.Dimensions {
		for _, l := range d.Lines {
			column = max(column, boxOf(l.Paths, func(q geom.Path) geom.Path { return q }).Max.X+away/2)
		}
	}
	var at []geom.Length
	for _, l := range list {
		at = append(at, l.at.Y)
	}
	size := p.style.Letter * 9 / 5
	need := size * geom.Length(len(list)+1)
	low, high := f.Min.Y, f.Max.Y
	if extra := need - (high - low); extra > 0 {
		low, high = low-extra/2, high+extra/2
	}
	places, ok := place.Spread(at, size, nil, low, high)
	if !ok {
		places = at // never: there is room for all
	}
	for i, l := range list {
		knee := geom.Pt(column, places[i])
		shapes, text := drawing.Leader(l.words, true, l.end == onEdge, p.style, l.at, knee)
		if l.end == onArea {
			shapes = append(shapes, drawing.Shape{Layer: drawing.Dimensions, Fill: drawing.Ink, Paths: []geom.Path{circle(l.at, dot)}})
		}
		if l.dim == nil {
			text.Layer = drawing.Names
			p.Texts = append(p.Texts, text)
			p.Shapes = append(p.Shapes, shapes...)
			continue
		}
		d := *l.dim
		d.Text, d.Lines = text, shapes
		p.dimension(d)
	}
}

// drawn gives what the piece takes up so far.
func (p *piece) drawn() geom.Box {
	box := geom.EmptyBox()
	for i, v := range p.Views {
		f := p.frame(i)
		box = box.Union(f)
		for _, s := range v.Shapes {
			box = box.Union(geom.EmptyBox().Union(intersect(boxOf(s.Paths, v.Path), f)))
		}
	}
	same := func(q geom.Path) geom.Path { return q }
	for _, s := range p.Shapes {
		box = box.Union(boxOf(s.Paths, same))
	}
	for _, d := range p.Dimensions {
		for _, s := range d.Lines {
			box = box.Union(boxOf(s.Paths, same))
		}
	}
	for _, t := range p.AllTexts() {
		box = box.Union(t.Box())
	}
	return box
}

func boxOf(paths []geom.Path, on func(geom.Path) geom.Path) geom.Box {
	box := geom.EmptyBox()
	for _, q := range paths {
		box = box.Union(on(q).Box())
	}
	return box
}

func intersect(a, b geom.Box) geom.Box {
	return geom.Box{Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)), Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y))}
}

// say is a line below the view, which may state a figure.
type say struct {
	words string
	value int64
	of    drawing.Fact // none: just words
}

// finish sets title and lines below what is drawn, and moves the piece's lower left corner to the origin.
func (p *piece) finish(letter, title string, below ...say) drawing.Sheet {
	const (
		margin = 1000 * geom.UM
		above  = 5000 * geom.UM
	)
	box := p.drawn()
	head := p.style.Letter * 7 / 5
	y := box.Min.Y - above - head
	x := box.Min.X
	if letter != "" {
		title = letter + "   " + title
	}
	p.Texts = append(p.Texts, drawing.Text{Layer: drawing.Names, S: title + "   " + p.Views[0].Scale.String(), At: geom.Pt(x, y), Height: head, Bold: true})
	for i, l := range below {
		if i == 0 { // clear of the title's descenders
			y -= p.style.Letter * 2 / 5
		}
		y -= p.style.Letter * 17 / 10
		t := drawing.Text{Layer: drawing.Notes, S: l.words, At: geom.Pt(x, y), Height: p.style.Letter}
		if l.of.Feature == "" {
			p.Texts = append(p.Texts, t)
			continue
		}
		p.dimension(drawing.Dimension{Kind: drawing.Aligned, Value: l.value, Text: t, Of: []drawing.Fact{l.of}})
	}
	p.Box = p.drawn().Grow(margin)
	return p.Sheet.Move(geom.Pt(-p.Box.Min.X, -p.Box.Min.Y))
}
