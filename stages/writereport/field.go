package writereport

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"panelwright/pipeline"
	"panelwright/pipeline/format/svg"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// shade is a field as a shaded picture.
type shade struct {
	ID, Title, Unit, Range, Source string
	Svg, Scale                     template.HTML
}

// mostSquares is how many squares of a field are drawn: squares of a finer grid are joined.
const mostSquares = 10_000

// shade draws a field: bands of colour with lines between them, a scale with numbers, and what lies beyond a limit
// under a hatching.
func (f *figures) shade(id string, x pipeline.Field) shade {
	out := shade{ID: id, Title: x.Title, Unit: x.Unit, Source: x.Source}
	g, joined := gridOf(x)
	least, most, ok := g.extent()
	if !ok {
		out.Range = "There is no figure to show."
		return out
	}
	s := scaleFor(reachOf(least, most, x.Least, x.Most))
	out.Range = "From " + s.figure(least, x.Unit) + " to " + s.figure(most, x.Unit) + "."
	if joined > 1 {
		out.Range += " " + itoa(joined*joined) + " squares of the field are joined to one in the picture, by their mean."
	}
	broken := false
	for _, l := range []struct {
		at     *float64
		word   string
		beyond func(float64) bool
	}{
		{x.Least, "at least", func(v float64) bool { return v < *x.Least }}, {x.Most, "at most", func(v float64) bool { return v > *x.Most }},
	} {
		if l.at == nil {
			continue
		}
		n := g.count(l.beyond)
		out.Range += " Limit: " + l.word + " " + quantity(*l.at, x.Unit)
		if n == 0 {
			out.Range += ", kept everywhere."
		} else {
			broken = true
			out.Range += ", not kept where the picture is hatched, " + fmt.Sprintf("%.1f %% of what is shown.", float64(100*float64(n))/float64(g.count(func(float64) bool { return true })))
		}
	}
	side := x.Side
	if side != panel.Bottom {
		side = panel.Top
	} else {
		out.Title += ", seen from the bottom"
	}
	c := svg.New()
	vx, vy, vw, vh := f.view()
	c.Add(`<svg class="shade" viewBox="%s %s %s %s" style="--mm:%s" role="img" aria-label="%s">`,
		svg.Num(vx), svg.Num(vy), svg.Num(vw), svg.Num(vh), num(vw/nominal), svg.Escape(out.Title+". "+out.Range))
	c.Add(`<g transform="%s">`, f.flip(side))
	for band := range s.bands {
		if d := g.squares(func(v float64) bool { return s.band(v) == band }); d != "" {
			c.Add(`<path fill="%s" shape-rendering="crispEdges" d="%s"/>`, shadeOf(band, s.bands), d)
		}
	}
	if broken {
		hatch := id + "-beyond"
		c.Add(`<pattern id="%s" patternUnits="userSpaceOnUse" width="%s" height="%s" patternTransform="rotate(45)"><path d="M0 0V%s" stroke="#fffdf8" stroke-width="%s"/><path d="M0 0V%s" stroke="#10191d" stroke-width="%s"/></pattern>`,
			hatch, svg.Num(times(1.2, f.unit)), svg.Num(times(1.2, f.unit)), svg.Num(times(1.2, f.unit)), svg.Num(times(.7, f.unit)), svg.Num(times(1.2, f.unit)), svg.Num(times(.35, f.unit)))
		c.Add(`<path fill="url(#%s)" d="%s"/>`, hatch, g.squares(func(v float64) bool { return x.Least != nil && v < *x.Least || x.Most != nil && v > *x.Most }))
	}
	// Lines are drawn twice, light under dark, so that they are seen on every band.
	c.Add(`<g id="%s-lines">`, id)
	for i := 1; i < s.bands; i++ {
		if d := g.contour(s.edge(i)); d != "" {
			c.Add(`<path d="%s"/>`, d)
		}
	}
	c.Add("</g>")
	c.Add(`<use class="under" href="#%s-lines"/><use class="contour" href="#%s-lines"/>`, id, id)
	for _, l := range []*float64{x.Least, x.Most} {
		if l != nil {
			if d := g.contour(*l); d != "" {
				c.Add(`<path class="limit" d="%s"/>`, d)
			}
		}
	}
	for _, k := range f.p.Copies() {
		outline, place := f.sides[panel.Top].id(k.Board, "outline"), placeText(k.Place)
		c.Add(`<use class="copy-under" href="#%s" transform="%s"/><use class="copy-on" href="#%s" transform="%s"/>`, outline, place, outline, place)
	}
	c.Add(`<path class="panel-on" d="%s"/></g></svg>`, svg.PathData(f.p.Outline().Outer))
	_, drawing := c.Pieces()
	out.Svg, out.Scale = template.HTML(drawing), s.draw(x)
	return out
}

// reachOf is the range that a scale shows: that of the figures, and as far as limits where these are near.
func reachOf(least, most float64, limits ...*float64) (from, to float64) {
	from, to = least, most
	span := most - least
	for _, l := range limits {
		if l != nil && *l >= least-span && *l <= most+span {
			from, to = math.Min(from, *l), math.Max(to, *l)
		}
	}
	return from, to
}

// draw draws the scale: bands with the numbers of their edges, and limits as thick strokes with their words.
func (s scale) draw(x pipeline.Field) template.HTML {
	const width, left, top = 480.0, 30.0, 22.0
	at := func(v float64) float64 { return left + float64(width*((v-s.edge(0))/(s.edge(s.bands)-s.edge(0)))) }
	c := svg.New()
	c.Add(`<svg class="scale" viewBox="0 0 540 62" role="img" aria-label="%s">`, svg.Escape(fmt.Sprintf("Scale from %s to %s %s in %d bands", s.text(0), s.text(s.bands), x.Unit, s.bands)))
	every := 1 + s.bands/10
	for i := range s.bands {
		c.Add(`<rect x="%s" y="%s" width="%s" height="18" fill="%s"/>`, svg.Num(at(s.edge(i))), svg.Num(top), svg.Num(at(s.edge(i+1))-at(s.edge(i))), shadeOf(i, s.bands))
	}
	for i := range s.bands + 1 {
		c.Add(`<path class="tick" d="M%s %sv22"/>`, svg.Num(at(s.edge(i))), svg.Num(top))
		if i%every == 0 {
			c.Add(`<text x="%s" y="%s">%s</text>`, svg.Num(at(s.edge(i))), svg.Num(top+35), s.text(i))
		}
	}
	c.Add(`<rect class="frame" x="%s" y="%s" width="%s" height="18"/>`, svg.Num(left), svg.Num(top), svg.Num(width))
	for _, l := range []struct {
		at   *float64
		word string
	}{{x.Least, "at least"}, {x.Most, "at most"}} {
		if l.at == nil || *l.at < s.edge(0) || *l.at > s.edge(s.bands) {
			continue
		}
		px := at(*l.at)
		c.Add(`<path class="limit" d="M%s %sv26"/><text x="%s" y="%s">%s %s</text>`, svg.Num(px), svg.Num(top-5), svg.Num(math.Min(math.Max(px, 50), 490)), svg.Num(top-8), l.word, svg.Escape(quantity(*l.at, x.Unit)))
	}
	c.Add("</svg>")
	_, drawing := c.Pieces()
	return template.HTML(drawing)
}

// grid is a field as it is drawn.
type grid struct {
	origin        geom.Point
	step          geom.Length
	columns, rows int
	values        []float64
}

// gridOf joins squares until there are few enough; joined is how many a side.
func gridOf(x pipeline.Field) (g grid, joined int) {
	joined = 1
	for ((x.Columns+joined-1)/joined)*((x.Rows+joined-1)/joined) > mostSquares {
		joined++
	}
	g = grid{x.Origin, x.Step * geom.Length(joined), (x.Columns + joined - 1) / joined, (x.Rows + joined - 1) / joined, x.Values}
	if joined == 1 {
		return g, 1
	}
	g.values = make([]float64, g.columns*g.rows)
	for row := range g.rows {
		for column := range g.columns {
			sum, n := 0.0, 0
			for j := row * joined; j < min((row+1)*joined, x.Rows); j++ {
				for i := column * joined; i < min((column+1)*joined, x.Columns); i++ {
					if v := x.Values[j*x.Columns+i]; !math.IsNaN(v) {
						sum, n = sum+v, n+1
					}
				}
			}
			g.values[row*g.columns+column] = math.NaN()
			if n > 0 {
				g.values[row*g.columns+column] = sum / float64(n)
			}
		}
	}
	return g, joined
}

func (g grid) extent() (least, most float64, ok bool) {
	for _, v := range g.values {
		switch {
		case math.IsNaN(v):
		case !ok:
			least, most, ok = v, v, true
		default:
			least, most = math.Min(least, v), math.Max(most, v)
		}
	}
	return least, most, ok
}

func (g grid) count(of func(float64) bool) (n int) {
	for _, v := range g.values {
		if !math.IsNaN(v) && of(v) {
			n++
		}
	}
	return n
}

// x and y give the places of the grid's lines in millimetres.
func (g grid) x(i int) string { return svg.L(g.origin.X + geom.Length(i)*g.step) }
func (g grid) y(j int) string { return svg.L(g.origin.Y + geom.Length(j)*g.step) }

// squares gives the squares that are of a kind as the d attribute, those beside each other as one.
func (g grid) squares(of func(float64) bool) string {
	var d strings.Builder
	side := svg.L(g.step)
	for j := range g.rows {
		for i := 0; i < g.columns; i++ {
			first := i
			for ; i < g.columns && !math.IsNaN(g.values[j*g.columns+i]) && of(g.values[j*g.columns+i]); i++ {
			}
			if i > first {
				w := svg.L(geom.Length(i-first) * g.step)
				d.WriteString("M" + g.x(first) + " " + g.y(j) + "h" + w + "v" + side + "h-" + w + "z")
			}
		}
	}
	return d.String()
}

// contour gives the line along which the field, straight between the middles of its squares, has a figure.
func (g grid) contour(level float64) string {
	var d strings.Builder
	half := g.step / 2
	for j := range g.rows - 1 {
		for i := range g.columns - 1 {
			v := [4]float64{g.values[j*g.columns+i], g.values[j*g.columns+i+1], g.values[(j+1)*g.columns+i+1], g.values[(j+1)*g.columns+i]}
			corner := [4]geom.Point{{X: 0, Y: 0}, {X: g.step, Y: 0}, {X: g.step, Y: g.step}, {X: 0, Y: g.step}}
			base := g.origin.Add(geom.Pt(geom.Length(i)*g.step+half, geom.Length(j)*g.step+half))
			if math.IsNaN(v[0] + v[1] + v[2] + v[3]) {
				continue
			}
			var cuts []string
			for k := range 4 {
				a, b := v[k], v[(k+1)%4]
				if (a < level) == (b < level) {
					continue
				}
				part := (level - a) / (b - a)
				p, q := corner[k], corner[(k+1)%4]
				at := base.Add(geom.Pt(p.X+geom.Round(float64(part*float64(q.X-p.X))), p.Y+geom.Round(float64(part*float64(q.Y-p.Y)))))
				cuts = append(cuts, hundredths(at.X)+" "+hundredths(at.Y))
			}
			// Where the corners take turns two lines pass: which belong together makes no odds to the eye.
			for k := 0; k+1 < len(cuts); k += 2 {
				d.WriteString("M" + cuts[k] + "L" + cuts[k+1])
			}
		}
	}
	return d.String()
}

// hundredths writes a length to the hundredth of a millimetre: finer than a line of the picture.
func hundredths(l geom.Length) string {
	return svg.Num(math.Round(l.MM()*100) / 100)
}
