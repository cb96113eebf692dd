// Package svg draws artwork as SVG: millimetres, y up inside the group that Open flips. It knows
// nothing of panels.
//
// Layers are drawn in currentColor, so that one definition serves in several colours. Coordinates
// are rounded to the micrometre: a picture, not data.
package svg

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// Canvas collects definitions and drawing of one file.
type Canvas struct {
	// Compact writes layers' paths with relative steps, which takes about half the room.
	Compact bool
	// Merged writes layers with one element for each pen and one for all areas.
	Merged bool

	defs, body bytes.Buffer
	apertures  map[string]string // definition to id, so that equal apertures are defined once
}

// New makes an empty canvas.
func New() *Canvas { return &Canvas{apertures: map[string]string{}} }

// Add writes markup to the drawing.
func (c *Canvas) Add(format string, args ...any) { fmt.Fprintf(&c.body, format+"\n", args...) }

// Define writes markup to the definitions.
func (c *Canvas) Define(format string, args ...any) { fmt.Fprintf(&c.defs, format+"\n", args...) }

// Pieces gives definitions and drawing as they stand, for a page that holds several drawings with shared definitions.
func (c *Canvas) Pieces() (definitions, drawing string) { return c.defs.String(), c.body.String() }

// Bytes gives the file: view is its extent in mm as x, y, width, height with y down.
func (c *Canvas) Bytes(view [4]float64, title string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="%s %s %s %s" width="%smm" height="%smm" role="img">`+"\n",
		Num(view[0]), Num(view[1]), Num(view[2]), Num(view[3]), Num(view[2]), Num(view[3]))
	fmt.Fprintf(&b, "<title>%s</title>\n<defs>\n", Escape(title))
	b.Write(c.defs.Bytes())
	b.WriteString("</defs>\n")
	b.Write(c.body.Bytes())
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// Escape makes text safe for markup and attribute values.
func Escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(s)
}

// Num writes a number of millimetres to the micrometre, without trailing zeros.
func Num(v float64) string {
	s := strconv.FormatFloat(math.Round(v*1000)/1000, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// L writes a length.
func L(l geom.Length) string { return Num(l.MM()) }

// PathData gives a path as the d attribute; closed paths end in Z.
func PathData(p geom.Path) string {
	var b strings.Builder
	writePath(&b, p)
	return b.String()
}

func writePath(b *strings.Builder, p geom.Path) {
	for i, e := range p {
		if i == 0 || p[i-1].To != e.From {
			b.WriteString("M" + L(e.From.X) + " " + L(e.From.Y))
		}
		writeEdge(b, e)
	}
	if p.Closed() {
		b.WriteString("Z")
	}
}

func writeEdge(b *strings.Builder, e geom.Edge) {
	if e.Sense == geom.Straight {
		b.WriteString("L" + L(e.To.X) + " " + L(e.To.Y))
		return
	}
	_, sweep := e.Angles()
	if math.Abs(sweep) > math.Pi { // two arcs, so that full circles and near-full ones draw
		half := e.At(0.5)
		first, second := e, e
		first.To, second.From = half, half
		writeEdge(b, first)
		writeEdge(b, second)
		return
	}
	flag := "0"
	if e.Sense == geom.CounterClockwise {
		flag = "1" // y is up inside the flipped group
	}
	r := Num(e.Radius() / 1e6)
	b.WriteString("A" + r + " " + r + " 0 0 " + flag + " " + L(e.To.X) + " " + L(e.To.Y))
}

// Layer defines a group with the image under id. Where the image has clear polarity the group is a
// filled box behind a mask.
func (c *Canvas) Layer(id string, m *artwork.Image) {
	hasClear := false
	for _, o := range m.Objects {
		hasClear = hasClear || o.Clear
	}
	if !hasClear {
		c.Define(`<g id="%s" fill="currentColor" stroke="currentColor" stroke-width="0" stroke-linecap="round" stroke-linejoin="round">`, id)
		c.objects(m, false)
		c.Define("</g>")
		return
	}
	x := m.Extent()
	c.Define(`<mask id="%s-shape" maskUnits="userSpaceOnUse" x="%s" y="%s" width="%s" height="%s"><g stroke-width="0" stroke-linecap="round" stroke-linejoin="round">`,
		id, L(x.Min.X), L(x.Min.Y), L(x.Width()), L(x.Height()))
	c.objects(m, true)
	c.Define("</g></mask>")
	c.Define(`<g id="%s" fill="currentColor"><rect x="%s" y="%s" width="%s" height="%s" mask="url(#%s-shape)"/></g>`,
		id, L(x.Min.X), L(x.Min.Y), L(x.Width()), L(x.Height()), id)
}

// objects writes the image's objects into the definitions; in a mask dark is white and clear black.
func (c *Canvas) objects(m *artwork.Image, mask bool) {
	paint := func(o artwork.Object, stroke bool) string {
		if !mask {
			return ""
		}
		color := "#fff"
		if o.Clear {
			color = "#000"
		}
		if stroke {
			return ` stroke="` + color + `"`
		}
		return ` fill="` + color + `" stroke="` + color + `" color="` + color + `"`
	}
	if c.Merged {
		c.merged(m, paint)
		return
	}
	ids := make([]string, len(m.Apertures))
	for i := 0; i < len(m.Objects); i++ {
		o := m.Objects[i]
		switch o.Kind {
		case artwork.Fill:
			for _, p := range m.Regions[o.Region].Contours {
				c.Define(`<path d="%s"%s/>`, c.pathData(p), paint(o, false))
			}
		case artwork.Flash:
			a := m.Apertures[o.Aperture]
			if a.Shape == artwork.Circle && a.Hole == 0 {
				c.Define(`<circle cx="%s" cy="%s" r="%s"%s/>`, L(o.Edge.From.X), L(o.Edge.From.Y), Num(a.Width.MM()/2), paint(o, false))
				continue
			}
			if ids[o.Aperture] == "" {
				ids[o.Aperture] = c.aperture(a)
			}
			c.Define(`<use href="#%s" x="%s" y="%s"%s/>`, ids[o.Aperture], L(o.Edge.From.X), L(o.Edge.From.Y), paint(o, false))
		case artwork.Stroke:
			a := m.Apertures[o.Aperture]
			if a.Shape == artwork.Rectangle {
				if d, n := c.sweeps(m, i); n > 0 {
					c.Define(`<path d="%s"%s/>`, d, paint(o, false))
					i += n - 1
					continue
				}
				c.Define(`<path d="%s"%s/>`, rectangleSweep(a, o.Edge), paint(o, false))
				continue
			}
			run := geom.Path{}
			for ; i < len(m.Objects); i++ { // one path for a run of strokes with one pen
				n := m.Objects[i]
				if n.Kind != artwork.Stroke || n.Aperture != o.Aperture || n.Clear != o.Clear {
					break
				}
				run = append(run, n.Edge)
			}
			i--
			c.Define(`<path d="%s" fill="none" stroke-width="%s"%s/>`, c.strokeData(run), Num(a.Width.MM()), paint(o, true))
		}
	}
}

// rectangleSweep is the area that a rectangle covers when moved along an edge: exact for lines,
// by chords for arcs.
func rectangleSweep(a artwork.Aperture, e geom.Edge) string {
	if e.Sense != geom.Straight {
		var b strings.Builder
		const parts = 24
		last := e.From
		for i := 1; i <= parts; i++ {
			next := e.At(float64(i) / parts)
			b.WriteString(rectangleSweep(a, geom.Line(last, next)))
			last = next
		}
		return b.String()
	}
	w, h := a.Width/2, a.Height/2
	d := e.To.Sub(e.From)
	corner := func(p geom.Point, x, y geom.Length) string { return L(p.X+x*w) + " " + L(p.Y+y*h) }
	sx, sy := sign(d.X), sign(d.Y)
	f, t := e.From, e.To
	return "M" + strings.Join([]string{
		corner(f, -sx, sy), corner(f, -sx, -sy), corner(f, sx, -sy),
		corner(t, sx, -sy), corner(t, sx, sy), corner(t, -sx, sy),
	}, "L") + "Z"
}

func sign(l geom.Length) geom.Length {
	if l < 0 {
		return -1
	}
	return 1
}
