package writereport

import (
	"fmt"
	"html/template"
	"math"

	"panelwright/pipeline"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// figure is one picture of the panel on the page, from one side, with the layers that can be switched.
type figure struct {
	ID     string
	Title  string
	Svg    template.HTML
	Layers []layerSwitch
	Marks  int // findings with a mark
	Beyond int // findings with a place that have no mark, because there are too many
}

// layerSwitch hides and shows one layer of a picture.
type layerSwitch struct {
	Layer, Label string
	On           bool
}

// mostMarks is how many findings are marked in one picture: more would hide the panel.
const mostMarks = 300

// figures draws the pictures of one moment.
type figures struct {
	p     panel.Panel
	sides map[panel.Side]*picture // what they share is defined on their canvases
	box   geom.Box
	unit  float64
	inner []panel.Function
}

// offAt are the layers that a moment's pictures leave out until they are asked for.
var offAt = map[pipeline.Moment][]string{
	pipeline.AsCut:      {"paste", "parts", "tabs"},
	pipeline.OnTheLine:  {"copper", "holes", "score", "tabs"},
	pipeline.AtBreakOff: {"copper", "paste", "legend", "holes", "rails", "marks"},
}

// view is what a picture shows in millimetres: the panel and a margin.
func (f *figures) view() (x, y, w, h float64) {
	width, height := f.box.Width().MM(), f.box.Height().MM()
	margin := times(0.04, math.Max(width, height))
	return -margin, -margin, width + float64(2*margin), height + float64(2*margin)
}

// at gives a place of the panel in the picture's coordinates, y down, mirrored where it is seen from below.
func (f *figures) at(side panel.Side, p geom.Point) (x, y float64) {
	x, y = (p.X - f.box.Min.X).MM(), (f.box.Max.Y - p.Y).MM()
	if side == panel.Bottom {
		x = (f.box.Max.X - p.X).MM()
	}
	return x, y
}

// flip puts the panel's coordinates into the picture.
func (f *figures) flip(side panel.Side) string {
	if side == panel.Bottom {
		return fmt.Sprintf("translate(%s %s) scale(-1 -1)", svg.L(f.box.Max.X), svg.L(f.box.Max.Y))
	}
	return fmt.Sprintf("translate(%s %s) scale(1 -1)", svg.Num(-f.box.Min.X.MM()), svg.L(f.box.Max.Y))
}

// draw draws one picture.
func (f *figures) draw(m pipeline.Moment, side panel.Side, rows []*row) figure {
	id := dashed(m) + "-" + string(side)
	out := figure{ID: id, Title: "Seen from the " + string(side)}
	if side == panel.Bottom {
		out.Title += ", mirrored"
	}
	c := svg.New()
	shared := f.sides[side]
	d := *shared
	d.c = c
	vx, vy, vw, vh := f.view()
	c.Add(`<svg class="panel" viewBox="%s %s %s %s" data-view="%s %s %s %s" style="--mm:%s" role="group" aria-labelledby="%s-title">`,
		svg.Num(vx), svg.Num(vy), svg.Num(vw), svg.Num(vh), svg.Num(vx), svg.Num(vy), svg.Num(vw), svg.Num(vh), num(vw/nominal), id)
	c.Add(`<title id="%s-title">%s</title>`, id, svg.Escape("The panel seen from the "+string(side)))
	c.Add(`<g transform="%s">`, f.flip(side))
	d.material()
	f.rails(c)
	d.copies()
	d.prints()
	d.marks()
	d.cuts()
	f.tabs(c)
	f.parts(&d)
	c.Add(`<path d="%s" class="edge"/>`, svg.PathData(f.p.Outline().Outer))
	c.Add("</g>")
	f.names(c, side)
	out.Marks, out.Beyond = f.marks(c, id, side, vw/nominal, rows)
	c.Add("</svg>")
	_, drawing := c.Pieces()
	out.Svg = template.HTML(drawing)
	out.Layers = f.switches(m, side, len(rows) > 0)
	return out
}

// switches lists the layers that there are.
func (f *figures) switches(m pipeline.Moment, side panel.Side, findings bool) []layerSwitch {
	d := f.sides[side]
	has := func(kind panel.FunctionKind) bool {
		for _, b := range f.p.Boards() {
			if d.layer(b, kind) != nil {
				return true
			}
		}
		return false
	}
	parts, holes := false, len(f.p.Marks()) > 0
	for _, b := range f.p.Boards() {
		holes = holes || len(b.Drills) > 0
		for _, x := range b.Parts {
			parts = parts || x.Side == side && !b.PartsElsewhere
		}
	}
	s := shownPrints(f.p, side)
	all := []struct {
		layer, label string
		there        bool
	}{
		{"copper", "copper", has(panel.Copper) || len(s.copper) > 0}, {"mask", "mask", true}, {"legend", "legend", has(panel.Legend) || len(s.legend) > 0},
		{"paste", "paste", has(panel.Paste)}, {"holes", "holes", holes}, {"slots", "slots", len(f.p.Slots()) > 0 || cutOuts(f.p)},
		{"perforations", "perforations", len(f.p.Perforations()) > 0}, {"tabs", "tabs", len(f.p.Tabs()) > 0}, {"score", "score lines", len(f.p.Scores()) > 0},
		{"rails", "rails", len(f.p.Rails()) > 0}, {"marks", "marks", len(f.p.Marks()) > 0}, {"parts", "parts", parts},
		{"names", "names", true}, {"findings", "findings", findings},
	}
	var out []layerSwitch
	off := map[string]bool{}
	for _, x := range offAt[m] {
		off[x] = true
	}
	for _, x := range all {
		if x.there {
			out = append(out, layerSwitch{x.layer, x.label, !off[x.layer]})
		}
	}
	for _, x := range f.inner {
		out = append(out, layerSwitch{x.Key(), fmt.Sprintf("inner copper %d", x.Index), false})
	}
	return out
}

func cutOuts(p panel.Panel) bool {
	for _, b := range p.Boards() {
		if len(b.Outline.CutOuts) > 0 {
			return true
		}
	}
	return false
}

func (f *figures) rails(c *svg.Canvas) {
	c.Add(`<g clip-path="url(#panel-edge)">`)
	defer c.Add("</g>")
	for _, r := range f.p.Rails() {
		c.Add(`<rect class="la-rails rail" x="%s" y="%s" width="%s" height="%s"><title>%s</title></rect>`,
			svg.L(r.Box.Min.X), svg.L(r.Box.Min.Y), svg.L(r.Box.Width()), svg.L(r.Box.Height()), svg.Escape(r.ID))
	}
}

// tabs draws the lines along which tabs break.
func (f *figures) tabs(c *svg.Canvas) {
	for _, t := range f.p.Tabs() {
		c.Add(`<g class="la-tabs tab"><title>%s</title>`, svg.Escape(t.ID))
		for _, r := range t.Rows {
			c.Add(`<path d="%s"/>`, svg.PathData(r.Line))
		}
		if len(t.Rows) == 0 {
			c.Add(`<path d="M%s %sL%s %s"/>`, svg.L(t.Feet[0].X), svg.L(t.Feet[0].Y), svg.L(t.Feet[1].X), svg.L(t.Feet[1].Y))
		}
		c.Add("</g>")
	}
}

func (f *figures) parts(d *picture) {
	for _, x := range f.p.Copies() {
		if !x.Board.PartsElsewhere && len(x.Board.Parts) > 0 {
			d.c.Add(`<use class="la-parts" href="#%s" transform="%s"/>`, d.id(x.Board, "parts-"+string(d.side)), placeText(x.Place))
		}
	}
}

// defineParts defines a board's parts: bodies where their size is known, else a cross at the place.
func (d *picture) defineParts(b *panel.Board) {
	d.c.Define(`<g id="%s" class="parts">`, d.id(b, "parts-"+string(d.side)))
	for _, x := range b.Parts {
		if x.Side != d.side {
			continue
		}
		if body, ok := x.BodyOutline(); ok {
			d.c.Define(`<path d="%s"/>`, svg.PathData(body))
			continue
		}
		d.c.Define(`<path d="M%s %sh1m-.5 -.5v1"/>`, svg.Num(x.At.X.MM()-0.5), svg.L(x.At.Y))
	}
	d.c.Define("</g>")
}

// names writes the names of the copies.
func (f *figures) names(c *svg.Canvas, side panel.Side) {
	c.Add(`<g class="la-names names">`)
	for _, x := range f.p.Copies() {
		box := x.Box()
		px, py := f.at(side, box.Center())
		size := math.Min(times(0.24, box.Height().MM()), times(0.9, box.Width().MM()/float64(max(len(x.ID), 2))))
		size = math.Min(size, times(0.045, math.Max(f.box.Width().MM(), f.box.Height().MM())))
		// No larger on the screen than lettering needs, however near the picture is brought.
		c.Add(`<text x="%s" y="%s" style="font-size:min(%spx,calc(26px*var(--mm)))">%s</text>`, svg.Num(px), svg.Num(py), svg.Num(size), svg.Escape(x.ID))
	}
	c.Add("</g>")
}

// num writes a number that is no length.
func num(v float64) string { return fmt.Sprintf("%.4g", v) }

// dashed writes a moment as ids do.
func dashed(m pipeline.Moment) string {
	return map[pipeline.Moment]string{pipeline.AsCut: "as-cut", pipeline.OnTheLine: "on-the-line", pipeline.AtBreakOff: "at-break-off"}[m]
}
