package dxf

import (
	"bytes"
	"slices"
	"strconv"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// entities is where entities are written to: a space or a block.
type entities struct {
	x     *writer
	b     *bytes.Buffer
	owner string
	per   geom.Length // millimetres of the drawing for a millimetre of paper, as a length
}

// panelOnly are the layers on which the drawing has the panel in real size and nothing else.
var panelOnly = []drawing.Layer{drawing.Outline, drawing.Slots, drawing.Boards, drawing.Perforations, drawing.Score, drawing.Rails}

func (x *writer) sheet(s *drawing.Sheet, f frame, plan string) error {
	e := &entities{x: x, b: &x.entities, owner: x.space, per: f.length(geom.MM)}
	found := -1
	if plan != "" {
		found = slices.IndexFunc(s.Views, func(v drawing.View) bool { return v.Name == plan })
	}
	symbols := x.repeated(s, f)
	for _, pass := range s.Passes() {
		if !slices.Contains(x.layers, pass.Layer) {
			x.layers = append(x.layers, pass.Layer)
		}
		for _, part := range pass.Parts {
			g := f
			var clip geom.Path
			real := false
			if part.View != nil {
				g = f.of(*part.View)
				real = found >= 0 && part.View == &s.Views[found]
				clip = part.View.Clip
			}
			if part.View == nil && pass.Layer == drawing.Dimensions {
				// The lines of dimensions stand in the blocks of the dimensions; others on that layer are drawn.
				part.Shapes = slices.DeleteFunc(slices.Clone(s.Shapes), func(h drawing.Shape) bool { return h.Layer != drawing.Dimensions })
			}
			for _, h := range part.Shapes {
				if !real && slices.Contains(panelOnly, h.Layer) {
					h.Layer = drawing.Details
				}
				all := []drawing.Shape{h}
				if len(clip) > 0 {
					var err error
					if all, err = clipped(h, clip); err != nil {
						return err
					}
				}
				for _, h := range all {
					h.Paths = mapped(h.Paths, g)
					if key, at, ok := symbol(h); ok && symbols[key] >= often {
						e.insert(x.symbol(key, h, at, e.per), h.Layer, at)
						continue
					}
					e.shape(h)
				}
			}
		}
	}
	for _, t := range s.Texts {
		if e.text(t, f) && len(t.Of) > 0 {
			e.facts(t.Of)
		}
	}
	for _, d := range s.Dimensions {
		x.dimension(e, s, d, f)
	}
	return nil
}

func mapped(paths []geom.Path, f frame) []geom.Path {
	out := make([]geom.Path, 0, len(paths))
	for _, p := range paths {
		if q := f.path(p); len(q) > 0 {
			out = append(out, q)
		}
	}
	return out
}

// often is from how many times on a symbol is a block.
const often = 10

// symbol tells whether a shape is a symbol of a hole, and gives what tells equal ones apart from others, and its middle.
func symbol(h drawing.Shape) (key string, at geom.Point, ok bool) {
	if h.Layer != drawing.Holes || len(h.Paths) == 0 || len(h.Paths) > 16 {
		return "", at, false
	}
	box := geom.EmptyBox()
	for _, p := range h.Paths {
		box = box.Union(p.Box())
	}
	at = box.Center()
	b := strconv.AppendInt(nil, int64(h.Pen.Width), 10)
	b = append(b, h.Pen.Dash...)
	b = append(b, h.Fill...)
	for _, p := range h.Paths {
		b = append(b, ';')
		for _, e := range p {
			for _, q := range [3]geom.Point{e.From, e.To, e.Center} {
				if e.Sense == geom.Straight && q == e.Center {
					q = at
				}
				b = append(strconv.AppendInt(append(b, ' '), int64(q.X-at.X), 10), ' ')
				b = strconv.AppendInt(b, int64(q.Y-at.Y), 10)
			}
			b = append(b, byte('b'+e.Sense))
		}
	}
	return string(b), at, true
}

// repeated counts the symbols of a sheet.
func (x *writer) repeated(s *drawing.Sheet, f frame) map[string]int {
	out := map[string]int{}
	count := func(shapes []drawing.Shape, g frame) {
		for _, h := range shapes {
			if h.Layer == drawing.Holes {
				h.Paths = mapped(h.Paths, g)
				if key, _, ok := symbol(h); ok {
					out[key]++
				}
			}
		}
	}
	for _, v := range s.Views {
		count(v.Shapes, f.of(v))
	}
	count(s.Shapes, f)
	return out
}

// symbol gives the name of the block that draws a shape about its middle.
func (x *writer) symbol(key string, h drawing.Shape, at geom.Point, per geom.Length) string {
	if x.symbols[key] == "" {
		r := record{"hole-symbol-" + strconv.Itoa(len(x.symbols)+1), x.next()}
		x.symbols[key] = r.name
		x.records = append(x.records, r)
		h.Paths = mapped(h.Paths, frame{origin: at, num: 1, den: 1})
		x.block(&x.blocks, r, 0, func(e *entities) { e.per = per; e.shape(h) })
	}
	return x.symbols[key]
}

// begin begins an entity.
func (e *entities) begin(kind string, l drawing.Layer, groups ...any) {
	put(e.b, 0, kind, 5, e.x.next(), 330, e.owner, 100, "AcDbEntity", 8, name(string(l)))
	put(e.b, groups...)
}

// pen gives the groups that make a line look as a pen draws it.
func (e *entities) pen(h drawing.Shape) []any {
	var g []any
	if h.Pen.Dash != drawing.Continuous {
		g = append(g, 6, string(h.Pen.Dash), 48, geom.Length(geom.MulDiv(int64(h.Pen.Width), int64(e.per), int64(geom.MM))))
	}
	if w := lineWidth(h.Pen.Width); w != lineWidth(usual(h.Layer).Width) {
		g = append(g, 370, w)
	}
	return g
}

func (e *entities) insert(block string, l drawing.Layer, p geom.Point) {
	e.begin("INSERT", l, 100, "AcDbBlockReference", 2, block)
	putAt(e.b, 10, p)
}

// shape draws a shape that stands where it belongs.
func (e *entities) shape(h drawing.Shape) {
	e.fill(h)
	if h.Pen.Width <= 0 {
		return
	}
	groups := e.pen(h)
	for _, p := range h.Paths {
		for _, run := range runs(p) {
			e.run(run, h.Layer, groups)
		}
	}
}

// runs parts a path into whole circles and what is drawn in one go.
func runs(p geom.Path) []geom.Path {
	var out []geom.Path
	begun := 0
	for i, e := range p {
		whole := e.Sense != geom.Straight && e.From == e.To
		if i > begun && (whole || p[i-1].To != e.From) {
			out = append(out, p[begun:i])
			begun = i
		}
		if whole {
			out = append(out, p[i:i+1])
			begun = i + 1
		}
	}
	if begun < len(p) {
		out = append(out, p[begun:])
	}
	return out
}

func (e *entities) run(p geom.Path, l drawing.Layer, groups []any) {
	first := p[0]
	switch {
	case len(p) == 1 && first.Sense == geom.Straight:
		e.begin("LINE", l, groups...)
		put(e.b, 100, "AcDbLine")
		putAt(e.b, 10, first.From)
		putAt(e.b, 11, first.To)
	case len(p) == 1 && first.From == first.To:
		e.begin("CIRCLE", l, groups...)
		put(e.b, 100, "AcDbCircle")
		putAt(e.b, 10, first.Center)
		put(e.b, 40, radius(first))
	default:
		corners, closed := cornersOf(p)
		flags := 0
		if closed {
			flags = 1
		}
		e.begin("LWPOLYLINE", l, groups...)
		put(e.b, 100, "AcDbPolyline", 90, len(corners), 70, flags, 43, "0.0")
		for _, c := range corners {
			put(e.b, 10, c.at.X, 20, c.at.Y)
			if c.bulge != 0 {
				put(e.b, 42, c.bulge)
			}
		}
	}
}

// fill draws what stands in a shape.
func (e *entities) fill(h drawing.Shape) {
	colour, pattern := 0, h.Fill.Hatched()
	switch h.Fill {
	case drawing.Light:
		colour = colourLight
	case drawing.Grey:
		colour = colourGrey
	case drawing.Ink:
		colour = colourInk
	}
	var paths []geom.Path
	for _, p := range h.Paths {
		for _, run := range runs(p) {
			if run.Closed() {
				paths = append(paths, run)
			}
		}
	}
	if colour == 0 && !pattern || len(paths) == 0 {
		return
	}
	if pattern {
		e.begin("HATCH", h.Layer, 370, lineWidth(drawing.Fine.Width))
	} else {
		e.begin("HATCH", h.Layer, 62, colour)
	}
	put(e.b, 100, "AcDbHatch", 10, "0.0", 20, "0.0", 30, "0.0", 210, "0.0", 220, "0.0", 230, "1.0")
	if pattern {
		put(e.b, 2, "lines", 70, 0)
	} else {
		put(e.b, 2, "SOLID", 70, 1)
	}
	put(e.b, 71, 0, 91, len(paths))
	for i, p := range paths {
		kind := 1 | 2 // the outer one, a polyline
		if i > 0 {
			kind = 16 | 2
		}
		if p[0].From == p[0].To { // a whole circle, as two arcs
			half := p[0].At(0.5)
			a, b := p[0], p[0]
			a.To, b.From = half, half
			p = geom.Path{a, b}
		}
		corners, _ := cornersOf(p)
		put(e.b, 92, kind, 72, 1, 73, 1, 93, len(corners))
		for _, c := range corners {
			put(e.b, 10, c.at.X, 20, c.at.Y, 42, c.bulge)
		}
		put(e.b, 97, 0)
	}
	put(e.b, 75, 0, 76, 0) // by the even-odd rule; a pattern of the entity's own
	if pattern {
		// One family of lines: its angle, a place on it, the way to the next line.
		step := digits(hatchStep(e.per))
		angle, dx := "45.0", "-"+step
		if h.Fill == drawing.Hatch2 {
			angle = "135.0"
		}
		dy := step
		if h.Fill == drawing.Hatch2 {
			dy = "-" + step
		}
		put(e.b, 52, "0.0", 41, "1.0", 77, 0, 78, 1, 53, angle, 43, "0.0", 44, "0.0", 45, dx, 46, dy, 79, 0)
	}
	put(e.b, 98, 0)
}

// text writes a line of letters between its two ends, so that it is as long in any font. It is false for an empty one.
func (e *entities) text(t drawing.Text, f frame) bool {
	s := words(t.S, false)
	b := t.Box()
	from, to := t.At, t.At
	if t.Upright {
		from.Y, to.Y = b.Min.Y, b.Max.Y
	} else {
		from.X, to.X = b.Min.X, b.Max.X
	}
	from, to = f.point(from), f.point(to)
	if t.S == "" || from == to {
		return false
	}
	style, angle := "letters", "0.0"
	if t.Bold {
		style = "strong"
	}
	if t.Upright {
		angle = "90.0"
	}
	var groups []any
	if t.Light {
		groups = []any{62, colourLight}
	}
	e.begin("TEXT", t.Layer, groups...)
	put(e.b, 100, "AcDbText")
	putAt(e.b, 10, from)
	put(e.b, 40, f.length(t.Height), 1, s, 50, angle, 7, style, 72, 5) // 5: fitted between the two places
	putAt(e.b, 11, to)
	put(e.b, 100, "AcDbText", 73, 0)
	return true
}
