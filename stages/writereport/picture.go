package writereport

import (
	"fmt"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// picture draws a panel from one side, in the panel's coordinates: whoever places it flips it.
type picture struct {
	c    *svg.Canvas
	p    panel.Panel
	side panel.Side
	// switched pictures say of everything which layer of the picture it belongs to, so that a page can hide it.
	switched bool
	left     leftOut
	keys     map[*panel.Board]string
}

// leftOut are the layers of boards that have no room in a page, by the ids of their definitions.
type leftOut map[string]bool

// newPicture draws on c. The parts that it uses are defined once for each side by define.
func newPicture(c *svg.Canvas, p panel.Panel, side panel.Side) *picture {
	d := &picture{c: c, p: p, side: side, keys: map[*panel.Board]string{}}
	for i, b := range p.Boards() {
		d.keys[b] = fmt.Sprintf("b%d", i+1) // names of boards are anybody's text; ids are not
	}
	return d
}

// id names what is defined of a board.
func (d *picture) id(b *panel.Board, part string) string { return d.keys[b] + "-" + part }

// of gives the attributes of something drawn in one colour: the colour, and the layer of the picture it belongs to.
func (d *picture) of(layer, color string) string {
	if !d.switched {
		return ` color="` + color + `"`
	}
	return ` color="` + color + `" class="la-` + layer + `"`
}

// on gives the function of the kind on the picture's side.
func (d *picture) on(kind panel.FunctionKind) panel.Function {
	return panel.Function{Kind: kind, Side: d.side}
}

// face gives the board's outermost copper on the picture's side, nil where there is none.
func (d *picture) face(b *panel.Board) *panel.Layer {
	for i, l := range b.Layers {
		if l.Function.Kind == panel.Copper && l.Function.Side == d.side {
			return &b.Layers[i]
		}
	}
	return nil
}

// layer gives the board's layer of the kind on the picture's side, nil where there is none or no room for it.
func (d *picture) layer(b *panel.Board, kind panel.FunctionKind) *panel.Layer {
	l := b.Layer(d.on(kind))
	if kind == panel.Copper {
		l = d.face(b)
	}
	if l == nil || d.left[d.id(b, l.Function.Key())] {
		return nil
	}
	return l
}

// shows tells whether holes of a drill file come out on the picture's side.
func (d *picture) shows(b *panel.Board, x panel.DrillFile) bool {
	if d.side == panel.Bottom {
		return x.To >= b.CopperCount
	}
	return x.From <= 1
}

// define defines what the copies of a board share.
func (d *picture) define(b *panel.Board, kinds []panel.FunctionKind) {
	for _, kind := range kinds {
		if l := d.layer(b, kind); l != nil {
			d.c.Layer(d.id(b, l.Function.Key()), l.Image)
		}
	}
	if l := d.layer(b, panel.Soldermask); l != nil {
		box := b.Outline.Box()
		d.c.Define(`<mask id="%s" maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"><use href="#%s" color="#fff"/></mask>`,
			d.id(b, "open-"+string(d.side)), svg.L(box.Min.X), svg.L(box.Min.Y), svg.L(box.Width()), svg.L(box.Height()), d.id(b, l.Function.Key()))
	}
	d.c.Define(`<g id="%s" fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">`, d.id(b, "holes-"+string(d.side)))
	for _, x := range b.Drills {
		if d.shows(b, x) {
			d.drilling(x.Drilling)
		}
	}
	d.c.Define("</g>")
}

// drilling defines the holes and slots of a drill file, one path for each tool.
func (d *picture) drilling(x *artwork.Drilling) {
	paths := make([]dotted, len(x.Tools))
	for _, h := range x.Holes {
		paths[h.Tool].dot(h.At)
	}
	for _, r := range x.Routs {
		paths[r.Tool].WriteString(svg.PathData(r.Path))
	}
	for i, p := range paths {
		if p.Len() > 0 {
			d.c.Define(`<path d="%s" stroke-width="%s"/>`, p.String(), svg.L(x.Tools[i].Diameter))
		}
	}
}

// edge defines a board's outline, to fill and to clip by, and its cut-outs.
func (d *picture) edge(b *panel.Board) {
	d.c.Define(`<clipPath id="%s"><path id="%s" d="%s"/></clipPath>`, d.id(b, "edge"), d.id(b, "outline"), svg.PathData(b.Outline.Outer))
	if len(b.Outline.CutOuts) > 0 {
		d.c.Define(`<path id="%s" d="%s" fill="currentColor"/>`, d.id(b, "cutouts"), outlineData(geom.Outline{CutOuts: b.Outline.CutOuts}))
	}
}

// copies draws every copy: mask over copper, what the mask lays bare, legend, holes.
func (d *picture) copies() {
	for _, x := range d.p.Copies() {
		d.copy(x)
	}
}

func (d *picture) copy(x panel.Copy) {
	c, b := d.c, x.Board
	c.Add(`<g transform="%s"><title>%s: %s</title>`, placeText(x.Place), svg.Escape(x.ID), svg.Escape(b.Name))
	c.Add(`<g clip-path="url(#%s)">`, d.id(b, "edge"))
	outline := d.id(b, "outline")
	if d.switched {
		c.Add(`<use href="#%s" fill="%s"/>`, outline, laminate)
	}
	use := func(id, attributes string) { c.Add(`<use href="#%s"%s/>`, id, attributes) }
	copper := d.layer(b, panel.Copper)
	c.Add(`<g fill="currentColor"%s><use href="#%s"/></g>`, d.of("mask", masked), outline)
	if copper != nil {
		use(d.id(b, copper.Function.Key()), d.of("copper", track))
	}
	if d.layer(b, panel.Soldermask) != nil {
		c.Add(`<g mask="url(#%s)"><g fill="currentColor"%s><use href="#%s"/></g>`, d.id(b, "open-"+string(d.side)), d.of("mask", laminate), outline)
		if copper != nil {
			use(d.id(b, copper.Function.Key()), d.of("copper", bareCopper))
		}
		c.Add("</g>")
	}
	if d.switched {
		d.inner(b)
	}
	if l := d.layer(b, panel.Legend); l != nil {
		use(d.id(b, l.Function.Key()), d.of("legend", letters))
	}
	if l := d.layer(b, panel.Paste); l != nil && d.switched {
		use(d.id(b, l.Function.Key()), d.of("paste", solder))
	}
	c.Add("</g>")
	use(d.id(b, "holes-"+string(d.side)), d.of("holes", ground))
	if len(b.Outline.CutOuts) > 0 {
		use(d.id(b, "cutouts"), d.of("slots", ground))
	}
	c.Add(`<use href="#%s" fill="none" stroke="%s" stroke-width="0.1"/>`, outline, holeRim)
	c.Add("</g>")
}

// inner draws the inner copper layers, each on a layer of the picture's own.
func (d *picture) inner(b *panel.Board) {
	for _, l := range b.Layers {
		if l.Function.Kind == panel.Copper && l.Function.Side == panel.Inner && !d.left[d.id(b, l.Function.Key())] {
			d.c.Add(`<use href="#%s"%s/>`, d.id(b, l.Function.Key()), d.of(l.Function.Key(), within))
		}
	}
}

// material draws the panel before anything is on it.
func (d *picture) material() {
	d.c.Add(`<path d="%s" fill="%s"/>`, svg.PathData(d.p.Outline().Outer), railFilm)
	for _, x := range d.p.Blanks() {
		d.c.Add(`<path d="%s" fill="%s"/>`, outlineData(x.Outline), blankFilm)
	}
}

// marks draws fiducials of the side, and tooling holes.
func (d *picture) marks() {
	c := d.c
	for _, m := range d.p.Marks() {
		if m.Kind == panel.ToolingHole {
			c.Add(`<g%s>%s</g>`, d.of("marks", ground), disc(m.At, m.Diameter))
			continue
		}
		if !on(m.Sides, d.side) {
			continue
		}
		c.Add(`<g%s><circle cx="%s" cy="%s" r="%s" fill="none" stroke="currentColor" stroke-width="0.1" stroke-dasharray="0.4 0.3"/>`,
			d.of("marks", letters), svg.L(m.At.X), svg.L(m.At.Y), svg.Num(m.Clear.MM()/2))
		c.Add(`<g color="%s">%s</g><g color="%s">%s</g></g>`, laminate, disc(m.At, m.Mask), bareCopper, disc(m.At, m.Diameter))
	}
}

// on tells whether a list of sides names the side; an empty list leaves none out.
func on(sides []panel.Side, side panel.Side) bool {
	for _, s := range sides {
		if s == side {
			return true
		}
	}
	return len(sides) == 0
}

// defineCuts defines slots, perforations and score lines, which look alike from both sides. unit is what lines of
// the picture are measured in.
func (d *picture) defineCuts(unit float64) {
	c := d.c
	// The picture shows no more of a slot than lies on the panel.
	c.Define(`<clipPath id="panel-edge"><path d="%s"/></clipPath>`, svg.PathData(d.p.Outline().Outer))
	c.Define(`<g id="slots" fill="currentColor">`)
	for _, s := range d.p.Slots() {
		c.Define(`<path d="%s"/>`, outlineData(s.Outline))
	}
	c.Define("</g>")
	d.definePerforations()
	c.Define(`<g id="scores" fill="none" stroke="currentColor" stroke-width="%s" stroke-dasharray="%s %s %s %s">`,
		svg.Num(times(0.25, unit)), svg.Num(times(2, unit)), svg.Num(times(0.5, unit)), svg.Num(times(0.5, unit)), svg.Num(times(0.5, unit)))
	for _, s := range d.p.Scores() {
		c.Define(`<path d="M%s %sL%s %s"/>`, svg.L(s.From.X), svg.L(s.From.Y), svg.L(s.To.X), svg.L(s.To.Y))
	}
	c.Define("</g>")
}

// definePerforations defines the holes of the rows: what is bored, and a rim within the hole that is seen.
func (d *picture) definePerforations() {
	const rim = 120 * geom.UM
	var sizes []geom.Length
	paths := map[geom.Length]*dotted{}
	for _, h := range d.p.Perforations() {
		if paths[h.Diameter] == nil {
			paths[h.Diameter] = &dotted{}
			sizes = append(sizes, h.Diameter)
		}
		paths[h.Diameter].dot(h.At)
	}
	for _, part := range []struct {
		id   string
		less geom.Length
	}{{"perforations-rim", 0}, {"perforations", 2 * rim}} {
		d.c.Define(`<g id="%s" fill="none" stroke="currentColor" stroke-linecap="round">`, part.id)
		for _, s := range sizes {
			d.c.Define(`<path d="%s" stroke-width="%s"/>`, paths[s].String(), svg.L(max(s-part.less, 0)))
		}
		d.c.Define("</g>")
	}
}

// cuts draws slots, perforations and score lines.
func (d *picture) cuts() {
	c := d.c
	c.Add(`<g clip-path="url(#panel-edge)">`)
	c.Add(`<use href="#slots"%s/>`, d.of("slots", ground))
	c.Add(`<g%s><use href="#perforations-rim"/></g><g%s><use href="#perforations"/></g>`, d.of("perforations", breakoff), d.of("perforations", ground))
	c.Add(`<use href="#scores"%s/>`, d.of("score", scoreLine))
	c.Add("</g>")
}
