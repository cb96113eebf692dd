package writereport

import (
	"fmt"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/panel"
)

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
	d := newPicture(c, p, panel.Top)
	for _, b := range p.Boards() {
		d.edge(b)
		d.define(b, []panel.FunctionKind{panel.Copper, panel.Legend, panel.Soldermask})
	}
	d.definePrints()
	d.defineCuts(unit)
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
	d.material()
	d.copies()
	d.prints()
	d.marks()
	d.cuts()
	c.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s"/>`, svg.PathData(p.Outline().Outer), ink, svg.Num(times(0.15, unit)))
	c.Add("</g>")
	drawKey(c, legend, unit, height+margin, wide, text)
	y := height + margin + float64(float64((len(legend)+3)/4)*times(3, unit)) + times(3, unit)
	for i, line := range cautions {
		text(0, y+float64(2.2*unit*float64(i)), times(1.6, unit), ink, "start", line)
	}
	return c.Bytes(view, title)
}
