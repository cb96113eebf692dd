package svg

import (
	"context"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// merged writes an image's objects with one element for each pen and one for all areas, as far as dark and clear do not
// take turns: a drawing that is used many times over must not consist of thousands of elements.
func (c *Canvas) merged(m *artwork.Image, paint func(o artwork.Object, stroke bool) string) {
	shapes := map[int32][]geom.Path{}
	for i := 0; i < len(m.Objects); {
		one := merger{pens: map[geom.Length]*turtle{}}
		first := m.Objects[i]
		for ; i < len(m.Objects) && m.Objects[i].Clear == first.Clear; i++ {
			if rest := one.add(m, m.Objects[i], shapes); rest != "" {
				c.Define(`<path d="%s"%s/>`, rest, paint(first, false))
			}
		}
		if one.areas.Len() > 0 {
			c.Define(`<path d="%s"%s/>`, one.areas.String(), paint(first, false))
		}
		for _, w := range one.order {
			c.Define(`<path d="%s" fill="none" stroke-width="%s"%s/>`, one.pens[w].String(), L(w), paint(first, true))
		}
	}
}

// merger gathers objects of one polarity.
type merger struct {
	pens  map[geom.Length]*turtle // strokes by the width of their round pen
	order []geom.Length
	areas turtle // every area counter-clockwise and its holes clockwise, so that none takes from another
}

func (g *merger) pen(width geom.Length) *turtle {
	t := g.pens[width]
	if t == nil {
		t = &turtle{}
		g.pens[width] = t
		g.order = append(g.order, width)
	}
	return t
}

// add takes an object; what neither a pen nor an area draws is returned as a path of its own.
func (g *merger) add(m *artwork.Image, o artwork.Object, shapes map[int32][]geom.Path) (rest string) {
	if o.Kind == artwork.Fill {
		for _, p := range m.Regions[o.Region].Contours {
			if p.Area() < 0 {
				p = p.Reverse()
			}
			g.areas.area(p, geom.Point{})
		}
		return ""
	}
	a := m.Apertures[o.Aperture]
	switch {
	case a.Shape == artwork.Circle && a.Hole == 0 && o.Kind == artwork.Flash:
		g.pen(a.Width).dot(o.Edge.From)
	case a.Shape == artwork.Circle && o.Kind == artwork.Stroke && o.Edge.From == o.Edge.To && o.Edge.Sense == geom.Straight:
		g.pen(a.Width).dot(o.Edge.From)
	case a.Shape == artwork.Circle && o.Kind == artwork.Stroke:
		g.pen(a.Width).on(o.Edge)
	case a.Shape == artwork.Obround && a.Hole == 0 && o.Kind == artwork.Flash:
		w := min(a.Width, a.Height)
		half := geom.Pt((a.Width-w)/2, (a.Height-w)/2)
		if half == (geom.Point{}) {
			g.pen(w).dot(o.Edge.From)
		} else {
			g.pen(w).on(geom.Line(o.Edge.From.Sub(half), o.Edge.From.Add(half)))
		}
	case o.Kind == artwork.Flash:
		for _, p := range shape(m, o, shapes) {
			g.areas.area(p, o.Edge.From)
		}
	case o.Edge.Sense == geom.Straight:
		r, err := m.Area(context.Background(), o)
		if err != nil {
			return rectangleSweep(a, o.Edge)
		}
		for _, p := range r.Paths() {
			g.areas.area(p, geom.Point{})
		}
	default:
		return rectangleSweep(a, o.Edge)
	}
	return ""
}

// shape gives what an aperture covers when it is flashed at the origin, worked out once.
func shape(m *artwork.Image, o artwork.Object, shapes map[int32][]geom.Path) []geom.Path {
	paths, ok := shapes[o.Aperture]
	if !ok {
		a := m.Apertures[o.Aperture]
		if a.Shape == artwork.Rectangle && a.Hole == 0 {
			half := geom.Pt(a.Width/2, a.Height/2)
			paths = []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(-half.X, -half.Y), Max: half})}
		} else {
			o.Edge = geom.Line(geom.Point{}, geom.Point{})
			r, err := m.Area(context.Background(), o)
			if err != nil { // a picture can do with the room that the shape takes at most
				reach := a.Reach()
				r = geom.Region{{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(-reach, -reach), Max: geom.Pt(reach, reach)})}}
			}
			paths = r.Paths()
		}
		shapes[o.Aperture] = paths
	}
	return paths
}

// dot writes a line of no length, which a round pen makes a disc of.
func (t *turtle) dot(at geom.Point) {
	t.step("m", at)
	t.WriteString("h0")
}

// on goes on with an edge, from where the last one ended where it can.
func (t *turtle) on(e geom.Edge) {
	if x, y := um(e.From.X), um(e.From.Y); t.Len() == 0 || x != t.x || y != t.y {
		t.step("m", e.From)
	}
	t.edge(e)
}

// area writes a closed path, moved.
func (t *turtle) area(p geom.Path, by geom.Point) {
	if len(p) == 0 {
		return
	}
	if by != (geom.Point{}) {
		p = geom.Transform{Shift: by}.Path(p)
	}
	t.path(p)
	t.WriteByte('z')
	t.x, t.y = um(p[0].From.X), um(p[0].From.Y) // where a closed path leaves off
}
