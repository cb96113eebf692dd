package svg

import (
	"fmt"
	"math"
	"strings"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// aperture defines an aperture's shape, once for all equal ones, and gives its id.
func (c *Canvas) aperture(a artwork.Aperture) string {
	var b strings.Builder
	masked := false
	switch a.Shape {
	case artwork.Circle:
		b.WriteString(disc(geom.Point{}, a.Width))
	case artwork.Rectangle:
		b.WriteString(bar(geom.Point{}, a.Width, a.Height, 0))
	case artwork.Obround:
		b.WriteString(bar(geom.Point{}, a.Width, a.Height, min(a.Width, a.Height)))
	case artwork.Polygon:
		b.WriteString(polygon(geom.Point{}, a.Width, a.Vertices, a.Turn))
	case artwork.Macro:
		for _, p := range a.Primitives {
			masked = masked || p.Off
		}
		for _, p := range a.Primitives {
			paint := ""
			if masked {
				paint = ` fill="#fff" stroke="#fff"`
				if p.Off {
					paint = ` fill="#000" stroke="#000"`
				}
			}
			turn := ""
			if p.Turn != 0 {
				turn = ` transform="rotate(` + Num(p.Turn.Degrees()) + `)"`
			}
			b.WriteString("<g" + turn + paint + ">" + primitive(p) + "</g>")
		}
	}
	if a.Hole > 0 {
		shape := b.String()
		b.Reset()
		b.WriteString(`<g fill="#fff" stroke="#fff">` + shape + `</g><g fill="#000">` + disc(geom.Point{}, a.Hole) + `</g>`)
		masked = true
	}
	key := b.String()
	if id, ok := c.apertures[key]; ok {
		return id
	}
	id := fmt.Sprintf("a%d", len(c.apertures)+1)
	c.apertures[key] = id
	if masked {
		r := Num(a.Reach().MM())
		d := Num(2 * a.Reach().MM())
		// The mask stands inside the group, so that it moves with every use of it.
		key = fmt.Sprintf(`<mask id="%s-shape" maskUnits="userSpaceOnUse" x="-%s" y="-%s" width="%s" height="%s">%s</mask>`+
			`<rect x="-%s" y="-%s" width="%s" height="%s" mask="url(#%s-shape)"/>`, id, r, r, d, d, key, r, r, d, d, id)
	}
	// Definitions are written where they are first used: SVG lets a definition nest in a group,
	// but a group that is drawn must not draw it there, hence the inner defs.
	c.Define(`<defs><g id="%s">%s</g></defs>`, id, key)
	return id
}

func disc(at geom.Point, d geom.Length) string {
	return fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s"/>`, L(at.X), L(at.Y), Num(d.MM()/2))
}

// bar is a rectangle about a middle; round is the diameter of its corners.
func bar(at geom.Point, w, h, round geom.Length) string {
	return fmt.Sprintf(`<rect x="%s" y="%s" width="%s" height="%s" rx="%s"/>`,
		Num(at.X.MM()-w.MM()/2), Num(at.Y.MM()-h.MM()/2), L(w), L(h), Num(round.MM()/2))
}

func polygon(at geom.Point, d geom.Length, n int, turn geom.Angle) string {
	var pts []string
	for i := range n {
		sin, cos := geom.SinCos((turn.Degrees() + float64(float64(i)*360)/float64(n)) * math.Pi / 180)
		pts = append(pts, Num(at.X.MM()+float64(d.MM()/2*cos))+","+Num(at.Y.MM()+float64(d.MM()/2*sin)))
	}
	return `<polygon points="` + strings.Join(pts, " ") + `"/>`
}

func primitive(p artwork.Primitive) string {
	switch p.Kind {
	case artwork.PrimCircle:
		return disc(p.Points[0], p.Size[0])
	case artwork.PrimVectorLine:
		return fmt.Sprintf(`<path d="M%s %sL%s %s" stroke-width="%s" stroke-linecap="butt"/>`,
			L(p.Points[0].X), L(p.Points[0].Y), L(p.Points[1].X), L(p.Points[1].Y), L(p.Size[0]))
	case artwork.PrimCenterLine:
		return bar(p.Points[0], p.Size[0], p.Size[1], 0)
	case artwork.PrimOutline:
		var pts []string
		for _, q := range p.Points {
			pts = append(pts, L(q.X)+","+L(q.Y))
		}
		return `<polygon points="` + strings.Join(pts, " ") + `"/>`
	case artwork.PrimPolygon:
		return polygon(p.Points[0], p.Size[0], p.Vertices, 0)
	case artwork.PrimThermal:
		return thermal(p)
	case artwork.PrimMoire:
		return moire(p)
	}
	return ""
}

// thermal is a ring in four pieces.
func thermal(p artwork.Primitive) string {
	ro, ri, g := p.Size[0].MM()/2, p.Size[1].MM()/2, p.Size[2].MM()/2
	if g >= ro {
		return ""
	}
	at := func(r float64) float64 { return math.Sqrt(max(0, float64(r*r)-float64(g*g))) }
	var b strings.Builder
	for q := range 4 {
		inner := fmt.Sprintf("L%s %s", Num(g), Num(g))
		if ri > g {
			inner = fmt.Sprintf("L%s %sA%s %s 0 0 0 %s %s", Num(g), Num(at(ri)), Num(ri), Num(ri), Num(at(ri)), Num(g))
		}
		fmt.Fprintf(&b, `<path transform="translate(%s %s) rotate(%d)" d="M%s %sA%s %s 0 0 1 %s %s%sZ"/>`,
			L(p.Points[0].X), L(p.Points[0].Y), q*90, Num(at(ro)), Num(g), Num(ro), Num(ro), Num(g), Num(at(ro)), inner)
	}
	return b.String()
}

// moire is rings and a cross.
func moire(p artwork.Primitive) string {
	var b strings.Builder
	at := p.Points[0]
	d, t, gap := p.Size[0].MM(), p.Size[1].MM(), p.Size[2].MM()
	for i := 0; i < p.Vertices && d > 0; i++ {
		if d <= 2*t {
			b.WriteString(fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s"/>`, L(at.X), L(at.Y), Num(d/2)))
			break
		}
		b.WriteString(fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s" fill="none" stroke-width="%s"/>`, L(at.X), L(at.Y), Num((d-t)/2), Num(t)))
		d -= 2 * (t + gap)
	}
	if p.Size[3] > 0 {
		b.WriteString(bar(at, p.Size[4], p.Size[3], 0) + bar(at, p.Size[3], p.Size[4], 0))
	}
	return b.String()
}
