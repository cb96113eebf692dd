// Package writereport draws the panel for people to look at.
package writereport

import (
	"context"
	"fmt"

	"panelwright/pipeline"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// Kind is stage "write_report".
func Kind() pipeline.Kind {
	return pipeline.Kind{
		Name:    "write_report",
		Summary: "Draws the panel from above as report/panel.svg.",
		Role:    pipeline.Write,
		New:     func() pipeline.Stage { return &WriteReport{} },
	}
}

// WriteReport has no options yet.
type WriteReport struct{}

// Parts tells that a picture needs copies.
func (w *WriteReport) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"copies"}} }

// Colours: our own; told apart by lightness too, so that they work for colour-blind eyes and in
// grey print. Perforations and score lines differ in shape as well.
const (
	ground     = "#ffffff" // where there is no material
	ink        = "#20303a"
	masked     = "#2b5f63" // laminate under mask
	track      = "#3f8281" // copper under mask
	laminate   = "#d8c79a" // laminate laid bare
	bareCopper = "#e9a93c"
	letters    = "#f7f4ea"
	railFilm   = "#9fa8a3"
	blankFilm  = "#5f8f86" // blank laminate that stays on a board
	holeRim    = "#0f2a3a"
	breakoff   = "#c8322b"
	scoreLine  = "#e6007a"
)

// Run draws the panel.
func (w *WriteReport) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	f, err := env.Files.Create("report/panel.svg")
	if err != nil {
		return pipeline.Result{}, err
	}
	name := env.Panel + ", revision " + env.Revision
	if env.Supplier != "" {
		name += ", for " + env.Supplier
	}
	if _, err := f.Write(draw(in, name, env.Released())); err != nil {
		f.Close()
		return pipeline.Result{}, err
	}
	if err := f.Close(); err != nil {
		return pipeline.Result{}, err
	}
	env.Log.Info().Msg("panel drawn")
	return pipeline.Result{Panel: in}, nil
}

// cautions stand under every picture.
var cautions = []string{
	"A picture, not a drawing to build from. Breaking and routing boards sets free glass-fibre",
	"dust and sharp chips: wear eye and breathing protection. The fabricator's and the",
	"assembler's own limits and local rules have the last word.",
}

// draw draws the panel from above.
func draw(p panel.Panel, name string, released bool) []byte {
	c := svg.New()
	box := p.Outline().Box()
	width, height := box.Width().MM(), box.Height().MM()
	// Lettering grows with the panel, so that it reads the same at any size; a hundred units across
	// take the longest line.
	unit := max(width, height, 80) / 100
	wide := max(width, times(100, unit))
	margin := 4 * unit
	legend := key(p)
	top := 5 * unit
	if !released {
		top = 9 * unit
	}
	view := [4]float64{-margin, -margin - top, wide + float64(2*margin), height + float64(2*margin) + top + float64(float64((len(legend)+3)/4)*times(3, unit)) + times(8, unit)}
	for _, b := range p.Boards() {
		boardLayers(c, b)
	}
	c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, svg.Num(view[0]), svg.Num(view[1]), svg.Num(view[2]), svg.Num(view[3]), ground)
	text := func(x, y, size float64, color, anchor, s string) {
		c.Add(`<text x="%s" y="%s" font-family="sans-serif" font-size="%s" fill="%s" text-anchor="%s">%s</text>`,
			svg.Num(x), svg.Num(y), svg.Num(size), color, anchor, svg.Escape(s))
	}
	title := fmt.Sprintf("%s, %.2f x %.2f mm, seen from the top", name, width, height)
	text(0, -times(3, unit), times(2.6, unit), ink, "start", title)
	if !released {
		text(0, -times(7, unit), times(3, unit), breakoff, "start", "NOT FOR RELEASE")
	}
	c.Add(`<g transform="translate(0 %s) scale(1 -1)">`, svg.L(box.Max.Y))
	c.Add(`<path d="%s" fill="%s"/>`, svg.PathData(p.Outline().Outer), railFilm)
	for _, x := range p.Blanks() {
		d := svg.PathData(x.Outline.Outer)
		for _, cut := range x.Outline.CutOuts {
			d += svg.PathData(cut)
		}
		c.Add(`<path d="%s" fill="%s"/>`, d, blankFilm)
	}
	for _, x := range p.Copies() {
		drawCopy(c, x)
	}
	drawPrints(c, p)
	drawMarks(c, p)
	drawCuts(c, p, unit)
	c.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s"/>`, svg.PathData(p.Outline().Outer), ink, svg.Num(times(0.15, unit)))
	c.Add("</g>")
	drawKey(c, legend, unit, height+margin, wide, text)
	y := height + margin + float64(float64((len(legend)+3)/4)*times(3, unit)) + times(3, unit)
	for i, line := range cautions {
		text(0, y+float64(2.2*unit*float64(i)), times(1.6, unit), ink, "start", line)
	}
	return c.Bytes(view, title)
}

// id names a board's layer within the file.
func id(b *panel.Board, part string) string { return b.Name + "-" + part }

// boardLayers defines one board's layers.
func boardLayers(c *svg.Canvas, b *panel.Board) {
	for _, f := range []panel.Function{{Kind: panel.Copper, Side: panel.Top, Index: 1}, {Kind: panel.Legend, Side: panel.Top}} {
		if l := b.Layer(f); l != nil {
			c.Layer(id(b, f.Key()), l.Image)
		}
	}
	box := b.Outline.Box()
	area := fmt.Sprintf(`maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"`, svg.L(box.Min.X), svg.L(box.Min.Y), svg.L(box.Width()), svg.L(box.Height()))
	c.Define(`<clipPath id="%s"><path d="%s"/></clipPath>`, id(b, "edge"), svg.PathData(b.Outline.Outer))
	if l := b.Layer(panel.Function{Kind: panel.Soldermask, Side: panel.Top}); l != nil {
		c.Layer(id(b, "open"), l.Image)
		c.Define(`<mask id="%s" %s><use href="#%s" color="#fff"/></mask>`, id(b, "openings"), area, id(b, "open"))
	}
}

// drawCopy draws one copy: mask over copper, what the mask lays bare, legend, holes.
func drawCopy(c *svg.Canvas, x panel.Copy) {
	b := x.Board
	c.Add(`<g id="%s" transform="translate(%s %s) rotate(%s)">`, svg.Escape("copy-"+x.ID), svg.L(x.Place.Shift.X), svg.L(x.Place.Shift.Y), svg.Num(x.Place.Turn.Normal().Degrees()))
	c.Add("<title>%s: %s</title>", svg.Escape(x.ID), svg.Escape(b.Name))
	edge := svg.PathData(b.Outline.Outer)
	top := panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}
	c.Add(`<g clip-path="url(#%s)">`, id(b, "edge"))
	c.Add(`<path d="%s" fill="%s"/>`, edge, masked)
	if b.Layer(top) != nil {
		c.Add(`<use href="#%s" color="%s"/>`, id(b, top.Key()), track)
	}
	if b.Layer(panel.Function{Kind: panel.Soldermask, Side: panel.Top}) != nil {
		c.Add(`<g mask="url(#%s)"><path d="%s" fill="%s"/>`, id(b, "openings"), edge, laminate)
		if b.Layer(top) != nil {
			c.Add(`<use href="#%s" color="%s"/>`, id(b, top.Key()), bareCopper)
		}
		c.Add("</g>")
	}
	if f := (panel.Function{Kind: panel.Legend, Side: panel.Top}); b.Layer(f) != nil {
		c.Add(`<use href="#%s" color="%s"/>`, id(b, f.Key()), letters)
	}
	c.Add("</g>")
	for _, d := range b.Drills {
		if d.From != 1 {
			continue // does not show on top
		}
		for _, h := range d.Drilling.Holes {
			hole(c, h.At, d.Drilling.Tools[h.Tool].Diameter)
		}
		for _, r := range d.Drilling.Routs {
			c.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s" stroke-linecap="round"/>`, svg.PathData(r.Path), ground, svg.L(d.Drilling.Tools[r.Tool].Diameter))
		}
	}
	for _, cut := range b.Outline.CutOuts {
		c.Add(`<path d="%s" fill="%s"/>`, svg.PathData(cut), ground)
	}
	c.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="0.1"/>`, edge, holeRim)
	c.Add("</g>")
}

func hole(c *svg.Canvas, at geom.Point, d geom.Length) {
	c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s"/>`, svg.L(at.X), svg.L(at.Y), svg.Num(d.MM()/2), ground)
}

func drawMarks(c *svg.Canvas, p panel.Panel) {
	for _, m := range p.Marks() {
		if m.Kind == panel.ToolingHole {
			hole(c, m.At, m.Diameter)
			continue
		}
		disc := func(d geom.Length, color string) {
			c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s"/>`, svg.L(m.At.X), svg.L(m.At.Y), svg.Num(d.MM()/2), color)
		}
		c.Add(`<circle cx="%s" cy="%s" r="%s" fill="none" stroke="%s" stroke-width="0.1" stroke-dasharray="0.4 0.3"/>`,
			svg.L(m.At.X), svg.L(m.At.Y), svg.Num(m.Clear.MM()/2), letters)
		disc(m.Mask, laminate)
		disc(m.Diameter, bareCopper)
	}
}

// drawCuts draws slots, perforations and score lines.
func drawCuts(c *svg.Canvas, p panel.Panel, unit float64) {
	// The picture shows no more of a slot than lies on the panel.
	c.Add(`<clipPath id="panel-edge"><path d="%s"/></clipPath><g clip-path="url(#panel-edge)">`, svg.PathData(p.Outline().Outer))
	for _, s := range p.Slots() {
		d := svg.PathData(s.Outline.Outer)
		for _, cut := range s.Outline.CutOuts {
			d += svg.PathData(cut)
		}
		c.Add(`<path d="%s" fill="%s"/>`, d, ground)
	}
	for _, h := range p.Perforations() {
		c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="0.12"/>`, svg.L(h.At.X), svg.L(h.At.Y), svg.Num(h.Diameter.MM()/2-0.06), ground, breakoff)
	}
	for _, s := range p.Scores() {
		c.Add(`<path d="M%s %sL%s %s" fill="none" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s %s %s"/>`,
			svg.L(s.From.X), svg.L(s.From.Y), svg.L(s.To.X), svg.L(s.To.Y), scoreLine, svg.Num(times(0.25, unit)), svg.Num(times(2, unit)), svg.Num(times(0.5, unit)), svg.Num(times(0.5, unit)), svg.Num(times(0.5, unit)))
	}
	c.Add("</g>")
}

// entry is one line of the picture's key.
type entry struct{ color, shape, label string }

// key lists what the picture shows.
func key(p panel.Panel) []entry {
	out := []entry{{masked, "area", "board, mask"}, {track, "area", "copper under mask"}, {bareCopper, "area", "bare copper"}, {letters, "area", "legend"}, {railFilm, "area", "rail, waste"}}
	if len(p.Blanks()) > 0 {
		out = append(out, entry{blankFilm, "area", "blank, stays on board"})
	}
	if len(p.Slots()) > 0 {
		out = append(out, entry{ground, "area", "routed slot, hole"})
	} else {
		out = append(out, entry{ground, "area", "hole"})
	}
	out = append(out, printKey(p)...)
	if len(p.Perforations()) > 0 {
		out = append(out, entry{breakoff, "ring", "perforation"})
	}
	if len(p.Scores()) > 0 {
		out = append(out, entry{scoreLine, "line", "score line"})
	}
	return out
}

func drawKey(c *svg.Canvas, entries []entry, unit, y, wide float64, text func(x, y, size float64, color, anchor, s string)) {
	for i, e := range entries {
		x, row := float64(i%4)*wide/4, y+float64(float64(i/4)*times(3, unit))
		switch e.shape {
		case "ring":
			c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x+times(1.2, unit)), svg.Num(row), svg.Num(times(0.7, unit)), ground, e.color, svg.Num(times(0.3, unit)))
		case "dots":
			r := svg.Num(times(0.5, unit))
			for k := range 2 {
				c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s"/>`, svg.Num(x+times(0.6, unit)+float64(float64(k)*times(1.2, unit))), svg.Num(row), r, e.color)
			}
		case "mark":
			c.Add(`<circle cx="%s" cy="%s" r="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x+times(1.2, unit)), svg.Num(row), svg.Num(times(0.6, unit)), e.color, laminate, svg.Num(times(0.4, unit)))
		case "frame":
			c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="none" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s"/>`, svg.Num(x), svg.Num(row-times(0.8, unit)), svg.Num(times(2.4, unit)), svg.Num(times(1.6, unit)), e.color, svg.Num(times(0.15, unit)), svg.Num(times(0.6, unit)), svg.Num(times(0.4, unit)))
		case "line":
			c.Add(`<path d="M%s %sh%s" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s"/>`, svg.Num(x), svg.Num(row), svg.Num(times(2.4, unit)), e.color, svg.Num(times(0.3, unit)), svg.Num(times(0.9, unit)), svg.Num(times(0.3, unit)))
		default:
			c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x), svg.Num(row-times(0.8, unit)), svg.Num(times(2.4, unit)), svg.Num(times(1.6, unit)), e.color, ink, svg.Num(times(0.1, unit)))
		}
		text(x+times(3, unit), row+times(0.6, unit), times(1.8, unit), ink, "start", e.label)
	}
}

// times is a length in units of the lettering. The conversion keeps processors that fuse a product with
// a sum from rounding another way.
func times(n, unit float64) float64 { return float64(n * unit) }
