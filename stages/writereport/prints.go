package writereport

import (
	"slices"
	"strings"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/panel"
)

// shown are the layers of the panel's own prints that are seen from above, the lowest first.
type shown struct{ copper, openings, legend, areas []panel.Print }

func shownPrints(p panel.Panel) shown {
	var s shown
	for _, x := range p.Prints() {
		on := func(k panel.FunctionKind) bool {
			return slices.ContainsFunc(x.Layers, func(f panel.Function) bool { return f.Kind == k && f.Side == panel.Top })
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

// drawPrints draws what the panel prints of its own, as drawCopy does a copy: copper under mask, what the
// mask lays bare, legend.
func drawPrints(c *svg.Canvas, p panel.Panel) {
	s := shownPrints(p)
	drawn := func(list []panel.Print, color string) {
		for _, x := range list {
			c.Add(`<g color="%s"><title>%s</title>%s</g>`, color, svg.Escape(printTitle(x)), printPaths(x))
		}
	}
	drawn(s.copper, track)
	if len(s.openings) > 0 {
		box := p.Outline().Box()
		c.Define(`<mask id="openings-of-prints" maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"><g color="#fff">`, svg.L(box.Min.X), svg.L(box.Min.Y), svg.L(box.Width()), svg.L(box.Height()))
		for _, x := range s.openings {
			c.Define("%s", printPaths(x))
		}
		c.Define("</g></mask>")
		c.Add(`<g mask="url(#openings-of-prints)"><path d="%s" fill="%s"/>`, svg.PathData(p.Outline().Outer), laminate)
		drawn(s.copper, bareCopper)
		c.Add("</g>")
	}
	drawn(s.legend, letters)
	for _, x := range s.areas {
		b := x.Area
		c.Add(`<rect x="%s" y="%s" width="%s" height="%s" fill="none" stroke="%s" stroke-width="0.1" stroke-dasharray="0.8 0.5"><title>%s</title></rect>`,
			svg.L(b.Min.X), svg.L(b.Min.Y), svg.L(b.Width()), svg.L(b.Height()), ink, svg.Escape(printTitle(x)))
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
	pen := func(width string, d *strings.Builder) {
		if d.Len() > 0 {
			out.WriteString(`<path d="` + d.String() + `" fill="none" stroke="currentColor" stroke-width="` + width + `" stroke-linecap="round" stroke-linejoin="round"/>`)
			d.Reset()
		}
	}
	var d strings.Builder
	for i, o := range x.Dots {
		d.WriteString("M" + svg.L(o.At.X) + " " + svg.L(o.At.Y) + "h0")
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

// printKey lists what of the prints the key does not have already.
func printKey(p panel.Panel) []entry {
	var out []entry
	s := shownPrints(p)
	if len(s.openings) > 0 {
		out = append(out, entry{laminate, "area", "laminate laid bare"})
	}
	if slices.ContainsFunc(s.copper, func(x panel.Print) bool { return x.Use == panel.Thieving }) {
		out = append(out, entry{track, "dots", "thieving"})
	}
	bad := func(x panel.Print) bool { return x.Use == panel.BadBoard }
	if slices.ContainsFunc(s.copper, bad) {
		out = append(out, entry{bareCopper, "mark", "bad-board mark"})
	} else if slices.ContainsFunc(s.legend, bad) {
		out = append(out, entry{letters, "mark", "bad-board mark"})
	}
	if len(s.areas) > 0 {
		out = append(out, entry{ink, "frame", "kept for a label"})
	}
	return out
}
