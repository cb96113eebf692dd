package board

import (
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/board/intake"
)

// area is a path's markup for an outline with its cut-outs.
func area(o geom.Outline) string {
	var b strings.Builder
	b.WriteString(svg.PathData(o.Outer))
	for _, c := range o.CutOuts {
		b.WriteString(svg.PathData(c))
	}
	return b.String()
}

// board draws a board as it would come from the fabricator: copper under mask, what the mask lays bare,
// legend.
func (s *sheet) board() {
	o := s.v.Outline.Outline
	d := area(o)
	s.Define(`<clipPath id="material"><path d="%s" clip-rule="evenodd"/></clipPath>`, d)
	copper, mask, legend := s.v.Layer(panel.Copper, s.side), s.v.Layer(panel.Soldermask, s.side), s.v.Layer(panel.Legend, s.side)
	if copper != nil {
		s.Layer("copper", copper.Image)
	}
	s.Add(`<g clip-path="url(#material)">`)
	fill, under := laminate, bareCopper
	if mask != nil {
		fill, under = masked, track
		s.add(masked, "area", "board under mask")
	}
	s.Add(`<path d="%s" fill="%s" fill-rule="evenodd"/>`, d, fill)
	if copper != nil {
		s.Add(`<use href="#copper" color="%s"/>`, under)
	}
	if mask != nil {
		b := o.Box()
		s.Layer("open", mask.Image)
		s.Define(`<mask id="openings" maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"><use href="#open" color="#fff"/></mask>`,
			svg.L(b.Min.X), svg.L(b.Min.Y), svg.L(b.Width()), svg.L(b.Height()))
		s.Add(`<g mask="url(#openings)"><path d="%s" fill="%s" fill-rule="evenodd"/>`, d, laminate)
		if copper != nil {
			s.Add(`<use href="#copper" color="%s"/>`, bareCopper)
			if drawn(copper) {
				s.add(track, "area", "copper under mask")
			}
		}
		s.Add("</g>")
	}
	s.add(laminate, "area", "bare laminate")
	if drawn(copper) {
		s.add(bareCopper, "area", "bare copper")
	}
	if drawn(legend) {
		color := letters
		if mask == nil {
			color = ink
		}
		s.Layer("legend", legend.Image)
		s.Add(`<use href="#legend" color="%s"/>`, color)
		s.add(color, "area", "legend")
	}
	s.Add("</g>")
	for _, f := range []struct {
		l    *panel.Layer
		what string
	}{{copper, "copper"}, {mask, "mask"}, {legend, "legend"}} {
		if f.l == nil {
			s.notes = append(s.notes, note{ink, fmt.Sprintf("There is no %s on this side.", f.what)})
		}
	}
}

// drawn tells whether there is anything on a layer.
func drawn(l *panel.Layer) bool { return l != nil && len(l.Image.Objects) > 0 }

// inDoubt draws what there is when the outline is not settled: copper, and the strokes of the outline's file.
func (s *sheet) inDoubt() {
	if copper := s.v.Layer(panel.Copper, s.side); copper != nil {
		s.Layer("copper", copper.Image)
		s.Add(`<use href="#copper" color="%s"/>`, faint)
		s.add(faint, "area", "copper")
	}
	if len(s.v.Strokes) > 0 {
		s.strokes()
		s.add(ink, "line", "stroke of the outline's file")
	}
}

func (s *sheet) strokes() {
	var b strings.Builder
	for _, e := range s.v.Strokes {
		b.WriteString(svg.PathData(geom.Path{e}))
	}
	s.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s"/>`, b.String(), ink, svg.Num(s.times(0.12)))
}

// holes draws what is drilled and routed, by plating; what does not reach this side is dotted.
func (s *sheet) holes() {
	for pass := range 3 { // what is hidden first, so that it covers nothing
		for _, d := range s.v.Drills {
			reaches := d.From == 1
			if s.side == panel.Bottom {
				reaches = d.To >= s.v.Copper
			}
			n := 0
			switch {
			case !reaches:
			case d.Plating == artwork.Plated:
				n = 1
			default:
				n = 2
			}
			if n == pass && len(d.Drilling.Holes)+len(d.Drilling.Routs) > 0 {
				s.drilled(d.Drilling, n)
			}
		}
	}
}

func (s *sheet) drilled(d *artwork.Drilling, look int) {
	rim := s.times(0.14)
	fill, color, dash := ground, wall, ""
	switch look {
	case 0:
		fill, color, dash = "none", hidden, fmt.Sprintf(` stroke-dasharray="%s"`, svg.Num(s.times(0.3)))
		s.add(hidden, "dotted", "hole that does not reach this side")
	case 1:
		s.add(wall, "ring", "plated hole or slot")
	case 2:
		color = noWall
		s.add(noWall, "ring", "non-plated hole or slot")
	}
	if len(d.Routs) > 0 {
		s.Add(`<g fill="none" stroke-linecap="round" stroke-linejoin="round">`)
		for _, r := range d.Routs {
			w := d.Tools[r.Tool].Diameter.MM()
			p := svg.PathData(r.Path)
			if look == 0 {
				s.Add(`<path d="%s" stroke="%s" stroke-width="%s"%s/>`, p, color, svg.Num(rim), dash)
				continue
			}
			s.Add(`<path d="%s" stroke="%s" stroke-width="%s"/><path d="%s" stroke="%s" stroke-width="%s"/>`,
				p, color, svg.Num(w+rim), p, ground, svg.Num(max(w-rim, 0)))
		}
		s.Add("</g>")
	}
	s.Add(`<g fill="%s" stroke="%s" stroke-width="%s"%s>`, fill, color, svg.Num(rim), dash)
	for _, h := range d.Holes {
		s.Add(`<circle cx="%s" cy="%s" r="%s"/>`, svg.L(h.At.X), svg.L(h.At.Y), svg.Num(max(d.Tools[h.Tool].Diameter.MM()/2, rim/2)))
	}
	s.Add("</g>")
}

// edge draws the outline.
func (s *sheet) edge() {
	o := s.v.Outline.Outline
	for _, c := range o.CutOuts {
		s.Add(`<path d="%s" fill="%s"/>`, svg.PathData(c), ground)
	}
	s.Add(`<path id="outline" d="%s" fill="none" stroke="%s" stroke-width="%s"/>`, area(o), ink, svg.Num(s.times(0.2)))
	s.add(ink, "line", "board's edge, cut-out")
	for _, c := range s.v.Classes {
		look := classes[c.Class]
		s.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s" stroke-opacity="0.75"/>`, svg.PathData(c.Path), look.color, svg.Num(s.times(0.7)))
		s.add(look.color, "band", look.words)
	}
}

// looseEnds marks where chains of the outline's strokes end without closing.
func (s *sheet) looseEnds() {
	o := s.v.Outline
	if o.Found {
		return
	}
	joined, err := geom.Join(s.v.Strokes, o.Tolerance)
	if err != nil {
		return
	}
	const most = 40
	for _, c := range joined.Open[:min(len(joined.Open), most)] {
		for _, p := range [2]geom.Point{c.From, c.To} {
			x, y := s.place(p)
			s.Add(`<circle cx="%s" cy="%s" r="%s" fill="none" stroke="%s" stroke-width="%s"/>`, svg.Num(x), svg.Num(y), svg.Num(s.times(0.8)), looseEnd, svg.Num(s.times(0.3)))
			s.add(looseEnd, "ring", "loose end of a stroke")
		}
	}
}

// parts marks where parts lie and how they are turned: a cross, of which the arm to the right before turning
// is longer; and their bodies, dashed where they are guesses.
func (s *sheet) parts() {
	arm, long := svg.Num(s.times(0.45)), svg.Num(s.times(0.9))
	var bodies, places strings.Builder
	for _, p := range s.v.Parts {
		if p.Side != s.side {
			continue
		}
		if body, ok := p.BodyOutline(); ok {
			dash, what, shape := "", "part's body", "line"
			if p.Body.By == panel.ByPads {
				dash, what, shape = fmt.Sprintf(` stroke-dasharray="%s %s"`, svg.Num(s.times(0.5)), svg.Num(s.times(0.35))), "part's body, guessed from its pads", "dashes"
			}
			fmt.Fprintf(&bodies, `<path d="%s"%s/>`+"\n", svg.PathData(body), dash)
			s.add(partMark, shape, what)
		}
		fmt.Fprintf(&places, `<g transform="translate(%s %s) rotate(%s)"><title>%s</title><path d="M-%s 0H%sM0 -%sV%s"/></g>`+"\n",
			svg.L(p.At.X), svg.L(p.At.Y), svg.Num(p.Turn.Normal().Degrees()), svg.Escape(strings.Join([]string{p.Refdes, p.Value, p.Package}, " ")), arm, long, arm, arm)
	}
	if places.Len() == 0 {
		return
	}
	s.Add(`<g fill="none" stroke="%s" stroke-width="%s">`+"\n%s</g>", partMark, svg.Num(s.times(0.12)), bodies.String())
	s.Add(`<g fill="none" stroke="%s" stroke-width="%s">`+"\n%s</g>", partMark, svg.Num(s.times(0.18)), places.String())
	s.add(partMark, "cross", "part's place and turn")
}

// partNames names the parts where no legend does, if they are few enough to be read.
func (s *sheet) partNames() {
	if s.v.Layer(panel.Legend, s.side) != nil {
		return
	}
	var here []panel.Part
	for _, p := range s.v.Parts {
		if p.Side == s.side {
			here = append(here, p)
		}
	}
	if len(here) > 150 {
		return
	}
	for _, p := range here {
		x, y := s.place(p.At)
		s.label(x+s.times(0.6), y-s.times(0.5), 1.1, partMark, "start", p.Refdes)
	}
}

// drawnLoops gives the loops that are drawn: the largest.
func (s *sheet) drawnLoops() []intake.NamedLoop {
	const most = 60
	l := s.v.Outline.Loops
	return l[:min(len(l), most)]
}

// loops draws the loops that the board may be chosen from.
func (s *sheet) loops() {
	for i, l := range s.drawnLoops() {
		if s.v.Outline.Found && (l.Use == "the board" || l.Use == "cut-out") {
			continue
		}
		s.Add(`<path d="%s" fill="none" stroke="%s" stroke-width="%s" stroke-dasharray="%s %s"/>`, svg.PathData(l.Path), loopColours[i%len(loopColours)],
			svg.Num(s.times(0.3)), svg.Num(s.times(1.2)), svg.Num(s.times(0.5)))
		s.add(loopColours[0], "dashes", "loop that a recipe can name")
	}
}

// loopNames names them at their upper left corners, each a little lower than the one before where they would lie on each other.
func (s *sheet) loopNames() {
	taken := map[[2]int]bool{}
	for i, l := range s.drawnLoops() {
		b := l.Path.Box()
		if max(b.Width(), b.Height()).MM() < s.times(1.5) || s.v.Outline.Found && !s.view.Overlaps(b) {
			continue
		}
		corner := geom.Pt(b.Min.X, b.Max.Y)
		if s.side == panel.Bottom {
			corner = b.Max
		}
		x, y := s.place(corner)
		x, y = max(x, s.x)+s.times(0.5), max(y, s.y)+s.times(1.7)
		for taken[[2]int{int(x / s.times(4)), int(y / s.times(1.8))}] {
			y += s.times(1.8)
		}
		taken[[2]int{int(x / s.times(4)), int(y / s.times(1.8))}] = true
		name := l.Name
		if s.v.Outline.Found && l.Use != "" {
			name += ": " + l.Use
		}
		s.label(x, y, 1.5, loopColours[i%len(loopColours)], "start", name)
	}
}

// figures marks where the copper of this side is nearest to the edge, thinnest, and closest.
func (s *sheet) figures() {
	var named [][2]float64
	for _, m := range s.v.Measures {
		if m.Layer.Side != s.side {
			continue
		}
		for _, f := range []struct {
			name, what string
			is         *intake.Figure
		}{{"edge", "copper nearest to the edge", m.ToEdge}, {"track", "smallest track near the edge", m.Track}, {"gap", "smallest spacing near the edge", m.Spacing}} {
			if f.is == nil {
				continue
			}
			x, y := s.place(f.is.At)
			s.Add(`<circle cx="%s" cy="%s" r="%s" fill="none" stroke="#fff" stroke-width="%s"/><circle cx="%s" cy="%s" r="%s" fill="none" stroke="%s" stroke-width="%s"/>`,
				svg.Num(x), svg.Num(y), svg.Num(s.times(0.8)), svg.Num(s.times(0.5)), svg.Num(x), svg.Num(y), svg.Num(s.times(0.8)), figure, svg.Num(s.times(0.22)))
			tx, ty, anchor := x+s.times(1.2), y+s.times(0.5), "start"
			if x > s.x+s.view.Width().MM()-s.times(6) {
				tx, anchor = x-s.times(1.2), "end"
			}
			for _, p := range named {
				if math.Abs(p[0]-tx) < s.times(5) && math.Abs(p[1]-ty) < s.times(1.5) {
					ty = p[1] + s.times(1.6)
				}
			}
			named = append(named, [2]float64{tx, ty})
			s.label(tx, ty, 1.4, figure, anchor, f.name)
			s.notes = append(s.notes, note{figure, f.name + ": " + f.what + ", " + f.is.Words()})
		}
	}
}
