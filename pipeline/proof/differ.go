package proof

import (
	"fmt"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel/artwork"
)

// slack is how far points of copies at odd angles may be off: they are rounded once for each point,
// and an arc's centre once more. Quarter turns are exact.
const slack = 4 * geom.NM

// differs says how a written object differs from what its source, placed, should have given; empty
// when it does not.
func (w *walk) differs(p *part, want *artwork.Object, m *artwork.Image, got *artwork.Object) string {
	tolerance := geom.Length(0)
	_, quarter := p.place.Turn.Quarters()
	if !quarter {
		tolerance = slack
	}
	if got.Clear != want.Clear {
		return "its polarity is reversed"
	}
	if !quarter && want.Kind == artwork.Stroke && p.image.Apertures[want.Aperture].Shape == artwork.Rectangle {
		return w.differsSwept(p, want, m, got)
	}
	if got.Kind != want.Kind {
		return "it is of another kind"
	}
	if !p.added && !sameAttributes(m.Sets[got.Set], p.image.Sets[want.Set]) {
		return "its attributes differ"
	}
	if want.Kind == artwork.Fill {
		if !p.added && !sameAttributes(m.Sets[got.AperSet], p.image.Sets[want.AperSet]) {
			return "its aperture attributes differ"
		}
		return differsRegion(m.Regions[got.Region].Contours, p.image.Regions[want.Region].Contours, p.place, tolerance)
	}
	if why := w.differsAperture(p, want.Aperture, m, got.Aperture); why != "" {
		return why
	}
	e := p.place.Edge(want.Edge)
	if want.Kind == artwork.Flash {
		if !near(got.Edge.From, e.From, tolerance) {
			return fmt.Sprintf("it is flashed at %v instead of %v mm", got.Edge.From, e.From)
		}
		return ""
	}
	return differsEdge(got.Edge, e, tolerance)
}

// differsSwept compares a stroke of a rectangle at an odd angle, which is written as the region that
// it covers: the region's box must be the turned rectangle's at both ends.
func (w *walk) differsSwept(p *part, want *artwork.Object, m *artwork.Image, got *artwork.Object) string {
	if got.Kind != artwork.Fill {
		return "it is not the region that a turned rectangle covers"
	}
	a := p.image.Apertures[want.Aperture]
	box := geom.EmptyBox()
	for _, end := range []geom.Point{want.Edge.From, want.Edge.To} {
		corners := geom.BoxOf(end)
		corners.Min.X, corners.Max.X = corners.Min.X-a.Width/2, corners.Max.X+a.Width/2
		corners.Min.Y, corners.Max.Y = corners.Min.Y-a.Height/2, corners.Max.Y+a.Height/2
		box = box.Union(p.place.Box(corners))
	}
	is := geom.EmptyBox()
	for _, c := range m.Regions[got.Region].Contours {
		is = is.Union(c.Box())
	}
	if !near(is.Min, box.Min, slack) || !near(is.Max, box.Max, slack) {
		return fmt.Sprintf("it covers %v to %v instead of %v to %v mm", is.Min, is.Max, box.Min, box.Max)
	}
	return ""
}

// pair is a source's aperture under a turn and a written one.
type pair struct {
	image     *artwork.Image
	want, got int32
	turn      geom.Angle
}

// differsAperture compares two apertures, each pair of them once.
func (w *walk) differsAperture(p *part, want int32, m *artwork.Image, got int32) string {
	k := pair{p.image, want, got, p.place.Turn}
	why, ok := w.pairs[k]
	if ok {
		return why
	}
	a, b := m.Apertures[got], p.image.Apertures[want].Turned(p.place.Turn)
	switch {
	case !p.added && !sameAttributes(m.Sets[a.Set], p.image.Sets[b.Set]):
		why = "its aperture attributes differ"
	case !sameShape(a, b):
		why = fmt.Sprintf("its aperture is %s instead of %s", describe(a), describe(b))
	}
	w.pairs[k] = why
	return why
}

func differsRegion(got, want []geom.Path, place geom.Transform, tolerance geom.Length) string {
	g := 0
	for _, c := range want {
		c = solid(c, place)
		if len(c) == 0 {
			continue
		}
		if g == len(got) {
			return "contours of the region are missing"
		}
		if len(got[g]) != len(c) {
			return fmt.Sprintf("a contour of the region has %d edges instead of %d", len(got[g]), len(c))
		}
		for i, e := range c {
			if why := differsEdge(got[g][i], e, tolerance); why != "" {
				return "an edge of the region: " + why
			}
		}
		g++
	}
	if g < len(got) {
		return "the region has too many contours"
	}
	return ""
}

// solid places a contour and leaves out edges without length, which enclose nothing.
func solid(c geom.Path, place geom.Transform) geom.Path {
	out := place.Path(c)
	return slices.DeleteFunc(out, func(e geom.Edge) bool { return e.Sense == geom.Straight && e.From == e.To })
}

func differsEdge(got, want geom.Edge, tolerance geom.Length) string {
	switch {
	case got.Sense != want.Sense:
		return "its arc runs the other way"
	case !near(got.From, want.From, tolerance) || !near(got.To, want.To, tolerance):
		return fmt.Sprintf("it runs from %v to %v instead of %v to %v mm", got.From, got.To, want.From, want.To)
	case got.Sense != geom.Straight && !near(got.Center, want.Center, tolerance):
		return fmt.Sprintf("its centre is %v instead of %v mm", got.Center, want.Center)
	}
	return ""
}

func near(a, b geom.Point, tolerance geom.Length) bool {
	return (a.X-b.X).Abs() <= tolerance && (a.Y-b.Y).Abs() <= tolerance
}

func sameAttributes(a, b artwork.Attributes) bool {
	return slices.EqualFunc(a, b, func(x, y artwork.Attribute) bool {
		return x.Name == y.Name && slices.Equal(x.Values, y.Values)
	})
}

// plain brings an aperture to one form for one picture: names and attributes are left out of shape,
// and what a circle does not use is cleared.
func plain(a artwork.Aperture) artwork.Aperture {
	if a.Shape == artwork.Circle || a.Shape == artwork.Polygon {
		a.Height = 0
	}
	a.Primitives = slices.Clone(a.Primitives)
	for i, p := range a.Primitives {
		// A circle is moved rather than turned, which is the same picture.
		if p.Kind == artwork.PrimCircle && p.Turn != 0 {
			a.Primitives[i].Points = []geom.Point{geom.Transform{Turn: p.Turn}.Apply(p.Points[0])}
			a.Primitives[i].Turn = 0
		}
	}
	return a
}

func sameShape(a, b artwork.Aperture) bool {
	a, b = plain(a), plain(b)
	if a.Shape != b.Shape || a.Width != b.Width || a.Height != b.Height || a.Hole != b.Hole {
		return false
	}
	if a.Shape == artwork.Polygon && (a.Vertices != b.Vertices || a.Turn.Normal() != b.Turn.Normal()) {
		return false
	}
	return slices.EqualFunc(a.Primitives, b.Primitives, func(p, q artwork.Primitive) bool {
		return p.Kind == q.Kind && p.Off == q.Off && p.Size == q.Size && p.Vertices == q.Vertices &&
			p.Turn.Normal() == q.Turn.Normal() && slices.Equal(p.Points, q.Points)
	})
}

// describe names an aperture in a message.
func describe(a artwork.Aperture) string {
	switch a.Shape {
	case artwork.Circle:
		return "a circle of " + a.Width.String()
	case artwork.Rectangle:
		return "a rectangle of " + a.Width.Decimal() + " x " + a.Height.String()
	case artwork.Obround:
		return "an obround of " + a.Width.Decimal() + " x " + a.Height.String()
	case artwork.Polygon:
		return fmt.Sprintf("a polygon of %d vertices in %v", a.Vertices, a.Width)
	}
	return fmt.Sprintf("a macro of %d primitives", len(a.Primitives))
}
