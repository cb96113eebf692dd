package board

import (
	"fmt"
	"math"

	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/edgeclass"
	"panelwright/stages/board/intake"
)

// Colours: our own; told apart by lightness too, so that they work for colour-blind eyes and in grey print.
const (
	ground     = "#ffffff" // where there is no material
	ink        = "#20303a"
	masked     = "#2b5f63" // laminate under mask
	track      = "#3f8281" // copper under mask
	laminate   = "#d8c79a" // laminate laid bare
	bareCopper = "#e9a93c"
	letters    = "#f7f4ea"
	faint      = "#cfd6d8" // copper where the outline is not settled
	wall       = "#8c4a12" // copper in a hole
	noWall     = "#1f4fd0" // a hole without copper
	hidden     = "#b9c3c6" // a hole that does not reach this side
	partMark   = "#a3195b"
	figure     = "#d21f1f"
	looseEnd   = "#d21f1f"
)

// classes says how the classes of the edge look, and what the key calls them.
var classes = map[edgeclass.Class]struct{ color, words string }{
	edgeclass.Castellated: {"#7c3aed", "castellated edge"},
	edgeclass.Plated:      {"#c8641a", "plated edge"},
	edgeclass.Fingers:     {"#0284c7", "contact fingers"},
}

// loopColours are for the loops that the board may be chosen from, by turns.
var loopColours = []string{"#c2410c", "#1d4ed8", "#15803d", "#7e22ce", "#a16207", "#0e7490"}

// sheet is one picture under construction: the board's coordinates are laid out on it in millimetres, y down.
type sheet struct {
	*svg.Canvas
	v       intake.View
	side    panel.Side
	view    geom.Box // what of the board's plane is shown
	unit    float64  // of lettering, mm: a hundred of them are the picture's width at least
	x, y    float64  // the upper left corner of the view on the sheet
	bottom  float64  // as far as the sheet has been filled
	entries []entry
	notes   []note
}

// note is a line under the picture.
type note struct{ color, text string }

// draw draws the board as SVG, from the top or from below.
func draw(v intake.View, side panel.Side) []byte {
	s := &sheet{Canvas: svg.New(), v: v, side: side}
	s.Compact = true
	s.view = s.extent()
	w, h := s.view.Width().MM(), s.view.Height().MM()
	s.unit = max(w, h, 1) / 88
	wide := max(w+s.times(10), s.times(100))
	margin := s.times(2)
	s.x, s.y = (wide-w)/2+s.times(2), s.times(10)
	s.bottom = s.y + h

	s.Add(`<rect x="0" y="0" width="%s" height="100%%" fill="%s"/>`, svg.Num(wide), ground)
	title := s.title(margin)
	s.Define(`<clipPath id="window"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`, svg.Num(s.x), svg.Num(s.y), svg.Num(w), svg.Num(h))
	mirror, left := "1", s.x-s.view.Min.X.MM()
	if side == panel.Bottom {
		mirror, left = "-1", s.x+s.view.Max.X.MM()
	}
	s.Add(`<g clip-path="url(#window)"><g transform="translate(%s %s) scale(%s -1)">`, svg.Num(left), svg.Num(s.y+s.view.Max.Y.MM()), mirror)
	if v.Outline.Found {
		s.board()
	} else {
		s.inDoubt()
	}
	s.holes()
	if v.Outline.Found {
		s.edge()
	}
	s.parts()
	s.loops()
	s.Add("</g></g>")
	s.looseEnds()
	s.partNames()
	s.loopNames()
	s.figures()
	s.rulers()
	s.scaleBar(wide - margin)
	s.key(margin, wide-float64(2*margin))
	return s.finish(wide, title)
}

// times is a length in units of the lettering. The conversion keeps processors that fuse a product with
// a sum from rounding another way.
func (s *sheet) times(n float64) float64 { return float64(n * s.unit) }

// place gives where a point of the board's plane lies on the sheet.
func (s *sheet) place(p geom.Point) (x, y float64) {
	y = s.y + (s.view.Max.Y - p.Y).MM()
	if s.side == panel.Bottom {
		return s.x + (s.view.Max.X - p.X).MM(), y
	}
	return s.x + (p.X - s.view.Min.X).MM(), y
}

// extent gives what is shown: the board with the loops round it, as far as they lie near; without an outline,
// everything.
func (s *sheet) extent() geom.Box {
	box := geom.EmptyBox()
	if o := s.v.Outline; o.Found {
		box = o.Outline.Box()
		about := box.Grow(max(box.Width(), box.Height()) / 3)
		for _, l := range o.Loops {
			if b := l.Path.Box(); about.Holds(b) {
				box = box.Union(b)
			}
		}
	} else {
		for _, e := range s.v.Strokes {
			box = box.Union(e.Box())
		}
		for _, l := range s.v.Layers {
			if l.Function.Kind == panel.Copper {
				box = box.Union(l.Image.Extent())
			}
		}
		for _, d := range s.v.Drills {
			for _, h := range d.Drilling.Holes {
				box = box.Extend(h.At)
			}
		}
		if box.Empty() {
			for _, l := range s.v.Layers {
				box = box.Union(l.Image.Extent())
			}
		}
		if box.Empty() {
			box = geom.Box{Max: geom.Pt(geom.MM, geom.MM)}
		}
	}
	return box.Grow(max(box.Width(), box.Height(), geom.MM)/50 + 1)
}

// title writes the lines above the picture and gives them as one.
func (s *sheet) title(x float64) string {
	name := s.v.Name
	if s.v.Revision != "" {
		name += ", revision " + s.v.Revision
	}
	what := "the outline is not settled"
	if s.v.Outline.Found {
		b := s.v.Outline.Outline.Box()
		what = fmt.Sprintf("%s × %s mm", svg.L(b.Width()), svg.L(b.Height()))
	}
	from := "seen from the top"
	if s.side == panel.Bottom {
		from = "seen from below: left and right are exchanged"
	}
	s.text(x, s.times(3.6), 2.6, ink, "start", short(name, 48))
	s.text(x, s.times(6.8), 1.9, ink, "start", what+", "+from)
	return name + ", " + what + ", " + from
}

// short cuts a text to n letters.
func short(t string, n int) string {
	r := []rune(t)
	if len(r) <= n {
		return t
	}
	return string(r[:n-1]) + "…"
}

// text writes letters of a size in units.
func (s *sheet) text(x, y, size float64, color, anchor, t string) {
	s.Add(`<text x="%s" y="%s" font-family="sans-serif" font-size="%s" fill="%s" text-anchor="%s">%s</text>`,
		svg.Num(x), svg.Num(y), svg.Num(s.times(size)), color, anchor, svg.Escape(t))
}

// label writes letters that stay legible over anything.
func (s *sheet) label(x, y, size float64, color, anchor, t string) {
	s.Add(`<text x="%s" y="%s" font-family="sans-serif" font-size="%s" fill="%s" stroke="#fff" stroke-width="%s" stroke-linejoin="round" paint-order="stroke" text-anchor="%s">%s</text>`,
		svg.Num(x), svg.Num(y), svg.Num(s.times(size)), color, svg.Num(s.times(size*0.3)), anchor, svg.Escape(t))
}

// steps gives a round step, of which at most n make up a length.
func steps(length float64, n int) float64 {
	for e := -3; ; e++ {
		for _, m := range [3]float64{1, 2, 5} {
			if step := float64(m * math.Pow10(e)); step*float64(n) >= length {
				return step
			}
		}
	}
}

// rulers writes the coordinates of the layers along the left and the lower side, so that places told in
// words can be found.
func (s *sheet) rulers() {
	low := s.y + s.view.Height().MM()
	step := steps(max(s.view.Width().MM(), s.view.Height().MM()), 12)
	first := func(l geom.Length) float64 { return math.Ceil(l.MM()/step) * step }
	for n := 0.0; ; n++ {
		v := first(s.view.Min.X) + float64(n*step)
		if v > s.view.Max.X.MM() {
			break
		}
		x, _ := s.place(geom.Pt(geom.FromMM(v), 0))
		s.Add(`<path d="M%s %sv%s" stroke="%s" stroke-width="%s"/>`, svg.Num(x), svg.Num(low), svg.Num(s.times(0.8)), ink, svg.Num(s.times(0.12)))
		s.text(x, low+s.times(2.2), 1.3, ink, "middle", svg.Num(v))
	}
	for n := 0.0; ; n++ {
		v := first(s.view.Min.Y) + float64(n*step)
		if v > s.view.Max.Y.MM() {
			break
		}
		_, y := s.place(geom.Pt(0, geom.FromMM(v)))
		s.Add(`<path d="M%s %sh-%s" stroke="%s" stroke-width="%s"/>`, svg.Num(s.x), svg.Num(y), svg.Num(s.times(0.8)), ink, svg.Num(s.times(0.12)))
		s.text(s.x-s.times(1.1), y+s.times(0.45), 1.3, ink, "end", svg.Num(v))
	}
	s.bottom = low + s.times(3)
}

// scaleBar draws a bar of a round length that ends at x.
func (s *sheet) scaleBar(x float64) {
	n := steps(s.times(9), 1) // 9 to 22 units
	y := s.times(3.6)
	s.Add(`<path d="M%s %sv%sh%sv-%s" fill="none" stroke="%s" stroke-width="%s"/>`, svg.Num(x-n), svg.Num(y), svg.Num(s.times(1)), svg.Num(n), svg.Num(s.times(1)), ink, svg.Num(s.times(0.25)))
	s.text(x-n/2, y, 1.6, ink, "middle", svg.Num(n)+" mm")
}

// finish gives the file.
func (s *sheet) finish(wide float64, title string) []byte {
	y := s.bottom + s.times(1)
	for _, n := range s.notes {
		s.text(s.times(2), y, 1.5, n.color, "start", n.text)
		y += s.times(2.1)
	}
	s.text(s.times(2), y, 1.3, ink, "start", "Coordinates are those of the layers, in mm. A picture of what was read, not data to build from.")
	height := y + s.times(1.5)
	return s.Bytes([4]float64{0, 0, wide, height}, title)
}
