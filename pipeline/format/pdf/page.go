package pdf

import (
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// A page collects the marks of one page, in micrometres from its lower left corner.
type page struct {
	b      strings.Builder
	origin geom.Point
	state
	seen map[string]bool // the shapes drawn, from their own first point
}

// state is what PDF keeps between marks, as far as it differs from what a page begins with.
type state struct {
	width        geom.Length
	dash         string
	caps         bool // not round
	fill, stroke int  // white, in hundredths
}

// um rounds a length to whole micrometres, halves away from zero.
func um(l geom.Length) int64 { return geom.MulDiv(int64(l), 1, int64(geom.UM)) }

// within draws something after a setting that ends with it.
func (p *page) within(set, draw func()) {
	was := p.state
	p.b.WriteString("q\n")
	set()
	draw()
	p.b.WriteString("Q\n")
	p.state = was
}

// tone sets how white fills (g) or lines (G) are.
func (p *page) tone(now *int, operator string, white int) {
	if *now != white {
		*now = white
		p.b.WriteString(strconv.FormatFloat(float64(white)/100, 'f', -1, 64) + " " + operator + "\n")
	}
}

func (p *page) pen(pen drawing.Pen) {
	p.tone(&p.stroke, "G", 0)
	if p.width != pen.Width {
		p.width = pen.Width
		p.b.WriteString(number(pen.Width) + " w\n")
	}
	var dash []string
	for _, l := range pen.Dash.Pattern(pen.Width) {
		dash = append(dash, number(l))
	}
	if s := "[" + strings.Join(dash, " ") + "] 0 d\n"; s != p.dash && (p.dash != "" || dash != nil) {
		p.dash = s
		p.b.WriteString(s)
	}
	if broken := dash != nil; broken != p.caps { // round ends would lengthen dashes
		p.caps = broken
		p.b.WriteString(map[bool]string{false: "1 J\n", true: "0 J\n"}[broken])
	}
}

// number writes a length in micrometres to the nanometre.
func number(l geom.Length) string {
	s := strconv.FormatInt(int64(l/geom.UM), 10)
	if part := l % geom.UM; part != 0 {
		s += "." + strings.TrimRight(strconv.FormatInt(1000+int64(part.Abs()), 10)[1:], "0")
	}
	return s
}

// few is up to how many paths are drawn as one mark.
const few = 8

func (p *page) shapes(all []drawing.Shape, within geom.Box) {
	for _, s := range all {
		if len(s.Paths) > few && (s.Fill == drawing.NoFill || drawing.Apart(s.Paths)) {
			for _, x := range s.Paths {
				one := s
				one.Paths = []geom.Path{x}
				p.shape(one, within)
			}
			continue
		}
		p.shape(s, within)
	}
}

func (p *page) shape(s drawing.Shape, within geom.Box) {
	first, ok := start(s.Paths)
	if !ok {
		return
	}
	paint := ""
	if white, filled := s.Fill.White(); filled {
		p.tone(&p.fill, "g", white)
		paint = "f*"
	}
	if s.Fill.Hatched() {
		p.hatch(s, within)
	}
	if s.Pen.Width > 0 {
		p.pen(s.Pen)
		paint = map[string]string{"": "S", "f*": "B*"}[paint]
	}
	if paint == "" {
		return
	}
	// A shape that was there before is written alike but for its place, so that it compresses well.
	own := p.shapeData(s.Paths, first) + paint + "\n"
	at := first.Sub(p.origin)
	if p.seen[own] || len(s.Paths) == 1 && s.Paths[0][0].From == s.Paths[0][0].To {
		p.b.WriteString("q 1 0 0 1 " + strconv.FormatInt(um(at.X), 10) + " " + strconv.FormatInt(um(at.Y), 10) + " cm\n" + own + "Q\n")
		return
	}
	p.seen[own] = true
	p.b.WriteString(p.shapeData(s.Paths, p.origin) + paint + "\n")
}

// start gives the first point of the first path that has one.
func start(paths []geom.Path) (geom.Point, bool) {
	for _, x := range paths {
		if len(x) > 0 {
			return x[0].From, true
		}
	}
	return geom.Point{}, false
}

func (p *page) shapeData(paths []geom.Path, from geom.Point) string {
	var b strings.Builder
	for _, x := range paths {
		b.WriteString(p.d(x, from))
	}
	return b.String()
}

// hatch draws the lines within a shape.
func (p *page) hatch(s drawing.Shape, within geom.Box) {
	b := geom.EmptyBox()
	for _, x := range s.Paths {
		b = b.Union(x.Box())
	}
	b = meet(b, within)
	if b.Empty() {
		return
	}
	p.within(func() { p.b.WriteString(p.shapeData(s.Paths, p.origin) + "W* n\n") }, func() {
		p.pen(drawing.Pen{Width: drawing.Fine.Width})
		for _, e := range drawing.HatchLines(b, s.Fill) {
			p.b.WriteString(p.d(geom.Path{e}, p.origin))
		}
		p.b.WriteString("S\n")
	})
}

func meet(a, b geom.Box) geom.Box {
	return geom.Box{Min: geom.Pt(max(a.Min.X, b.Min.X), max(a.Min.Y, b.Min.Y)), Max: geom.Pt(min(a.Max.X, b.Max.X), min(a.Max.Y, b.Max.Y))}
}

// d writes a path as seen from a point. Arcs become curves of the third degree, one for each quarter turn or
// less: they stray from the arc by less than three in ten thousand of its radius.
func (p *page) d(path geom.Path, from geom.Point) string {
	var b []byte
	put := func(q geom.Point) {
		b = strconv.AppendInt(b, um(q.X-from.X), 10)
		b = append(b, ' ')
		b = strconv.AppendInt(b, um(q.Y-from.Y), 10)
		b = append(b, ' ')
	}
	for i, e := range path {
		if i == 0 || path[i-1].To != e.From {
			put(e.From)
			b = append(b, 'm', '\n')
		}
		if e.Sense == geom.Straight {
			put(e.To)
			b = append(b, 'l', '\n')
			continue
		}
		start, sweep := e.Angles()
		n := max(1, math.Ceil(math.Abs(sweep)/(math.Pi/2)-1e-9))
		step := sweep / n
		sin, cos := geom.SinCos(step / 4)
		tan := sin / cos
		// The handles are 4/3 of the tangent of a quarter of the turn.
		handle := 4.0 / 3 * tan
		r := e.Radius()
		at := func(k float64) (geom.Point, float64, float64) {
			sin, cos := geom.SinCos(start + float64(k*step))
			return e.Center.Add(geom.Pt(geom.Round(float64(r*cos)), geom.Round(float64(r*sin)))), sin, cos
		}
		last := e.From
		_, sin, cos = at(0)
		for k := 1.0; k <= n; k++ {
			next, sin2, cos2 := at(k)
			if k == n {
				next = e.To
			}
			h := float64(r * handle)
			put(last.Add(geom.Pt(geom.Round(-float64(h*sin)), geom.Round(float64(h*cos)))))
			put(next.Add(geom.Pt(geom.Round(float64(h*sin2)), geom.Round(-float64(h*cos2)))))
			put(next)
			b = append(b, 'c', '\n')
			last, sin, cos = next, sin2, cos2
		}
	}
	if path.Closed() {
		b = append(b, 'h', '\n')
	}
	return string(b)
}
