package writereport

import (
	"slices"
	"strings"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/panel"
)

// shown are the layers of the panel's own prints that are seen from one side, the lowest first.
type shown struct{ copper, openings, legend, areas []panel.Print }

func shownPrints(p panel.Panel, side panel.Side) shown {
	var s shown
	for _, x := range p.Prints() {
		on := func(k panel.FunctionKind) bool {
			return slices.ContainsFunc(x.Layers, func(f panel.Function) bool { return f.Kind == k && f.Side == side })
		}
		if on(panel.Copper) {
			s.copper = append(s.copper, x)
		}
		if on(panel.Soldermask) {
			s.openings = append(s.openings, x)
		}
		if on(panel.Legend) {
			s.legend = append(s.legend, x)
		}
		if x.Use == panel.LabelArea && (on(panel.Copper) || on(panel.Legend)) {
			s.areas = append(s.areas, x)
		}
	}
	return s
}

// definePrints defines what the panel prints of its own on the picture's side.
func (d *picture) definePrints() {
	s := shownPrints(d.p, d.side)
	defined := func(id string, list []panel.Print) {
		if len(list) == 0 {
			return
		}
		d.c.Define(`<g id="%s-%s">`, id, d.side)
		for _, x := range list {
			d.c.Define(`<g><title>%s</title>%s</g>`, svg.Escape(printTitle(x)), printPaths(x))
		}
		d.c.Define("</g>")
	}
	defined("prints-copper", s.copper)
	defined("prints-legend", s.legend)
	if len(s.openings) > 0 {
		box := d.p.Outline().Box()
		d.c.Define(`<mask id="openings-of-prints-%s" maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"><g color="#fff">`,
			d.side, svg.L(box.Min.X), svg.L(box.Min.Y), svg.L(box.Width()), svg.L(box.Height()))
		for _, x := range s.openings {
			d.c.Define("%s", printPaths(x))
		}
		d.c.Define("</g></mask>")
	}
}

// prints draws what the panel prints of its own, as copy does a copy: copper under mask, what the mask lays
// bare, legend.
func (d *picture) prints() {
	c := d.c
	s := shownPrints(d.p, d.side)
	use := func(id string, list []panel.Print, layer, color string) {
		if len(list) > 0 {
			c.Add(`<use href="#%s-%s"%s/>`, id, d.side, d.of(layer, color))
		}
	}
	use("prints-copper", s.copper, "copper", track)
	if len(s.openings) > 0 {
		c.Add(`<g mask="url(#openings-of-prints-%s)"><path d="%s" fill="currentColor"%s/>`, d.side, svg.PathData(d.p.Outline().Outer), d.of("mask", laminate))
		use("prints-copper", s.copper, "copper", bareCopper)
		c.Add("</g>")
	}
	use("prints-legend", s.legend, "legend", letters)
	for _, x := range s.areas {
		b := x.Area
		c.Add(`<g%s><rect x="%s" y="%s" width="%s" height="%s" fill="none" stroke="currentColor" stroke-width="0.1" stroke-dasharray="0.8 0.5"><title>%s</title></rect></g>`,
			d.of("marks", ink), svg.L(b.Min.X), svg.L(b.Min.Y), svg.L(b.Width()), svg.L(b.Height()), svg.Escape(printTitle(x)))
	}
}

func printTitle(x panel.Print) string {
	if x.Text == "" {
		return x.ID
	}
	return x.ID + ": " + x.Text
}

// printPaths gives a print in currentColor. What has one pen is one path, and so are all areas: many dots stay
// small, and no seam shows where areas share an edge.
func printPaths(x panel.Print) string {
	var out strings.Builder
	pen := func(width string, d *dotted) {
		if d.Len() > 0 {
			out.WriteString(`<path d="` + d.String() + `" fill="none" stroke="currentColor" stroke-width="` + width + `" stroke-linecap="round" stroke-linejoin="round"/>`)
			d.Reset()
		}
	}
	var d dotted
	for i, o := range x.Dots {
		d.dot(o.At)
		if i+1 == len(x.Dots) || x.Dots[i+1].Diameter != o.Diameter {
			pen(svg.L(o.Diameter), &d)
		}
	}
	for i, l := range x.Lines {
		d.WriteString(svg.PathData(l.Path))
		if i+1 == len(x.Lines) || x.Lines[i+1].Width != l.Width {
			pen(svg.L(l.Width), &d)
		}
	}
	for _, a := range x.Areas {
		d.WriteString(svg.PathData(a))
	}
	if d.Len() > 0 {
		out.WriteString(`<path d="` + d.String() + `" fill="currentColor"/>`)
	}
	return out.String()
}
