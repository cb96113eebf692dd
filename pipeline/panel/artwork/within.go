package artwork

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// Trim tells what Within did.
type Trim struct {
	Left int      // objects wholly outside, left out
	Cut  int      // objects cut at the box
	Over []Object // objects that reach over, as far as their box tells, and could not be cut
}

// None tells whether nothing was left out, cut or found to reach over.
func (t Trim) None() bool { return t.Left+t.Cut+len(t.Over) == 0 }

// Within gives the image with every object that reaches out of limit cut at the box at, which lies
// inside limit: what does not touch the box is left out. Flashes of circles and rectangles become the region that
// is left; straight strokes of a round pen are shortened to the box, so that their round end lies
// half a pen over it. Other objects stay whole, and are told. Objects that stay in limit are not touched,
// and what lies in the box is drawn as before, but for the half pen along its border.
func (m *Image) Within(limit, at geom.Box) (*Image, Trim) {
	var t Trim
	out := *m
	out.Regions = slices.Clip(out.Regions)
	out.Objects = make([]Object, 0, len(m.Objects))
	for _, o := range m.Objects {
		x := m.Box(o)
		switch {
		case limit.Holds(x):
			out.Objects = append(out.Objects, o)
		case !at.Overlaps(x):
			t.Left++
		default:
			if c, ok := m.cut(&out, o, limit, at); ok {
				out.Objects = append(out.Objects, c)
				t.Cut++
			} else {
				out.Objects = append(out.Objects, o)
				t.Over = append(t.Over, o)
			}
		}
	}
	if t.Left+t.Cut == 0 {
		return m, t
	}
	return &out, t
}

// cut gives what is left of an object that reaches over the box, with its region, if it has one, added
// to out.
func (m *Image) cut(out *Image, o Object, limit, box geom.Box) (Object, bool) {
	if o.Kind == Fill {
		return o, false
	}
	a := m.Apertures[o.Aperture]
	var left geom.Path
	switch {
	case a.Hole > 0:
		return o, false
	case o.Kind == Stroke && a.Shape == Circle && o.Edge.Sense == geom.Straight:
		short := o
		e, ok := clipLine(o.Edge, box)
		short.Edge = e
		if !ok || !limit.Holds(m.Box(short)) { // its round end would still reach out
			return o, false
		}
		return short, true
	case o.Kind == Stroke:
		return o, false
	case a.Shape == Circle:
		left = clipDisc(o.Edge.From, a.Width, box)
	case a.Shape == Rectangle:
		x := m.Box(o)
		left = geom.Rectangle(geom.Box{
			Min: geom.Pt(max(x.Min.X, box.Min.X), max(x.Min.Y, box.Min.Y)),
			Max: geom.Pt(min(x.Max.X, box.Max.X), min(x.Max.Y, box.Max.Y)),
		})
	}
	if len(left) == 0 {
		return o, false
	}
	out.Regions = append(out.Regions, Region{Contours: []geom.Path{left}})
	return Object{Kind: Fill, Clear: o.Clear, Aperture: -1, Region: int32(len(out.Regions) - 1), Set: o.Set, AperSet: a.Set}, true
}

// clipLine shortens a line to the box; false when its middle line does not pass through it.
func clipLine(e geom.Edge, box geom.Box) (geom.Edge, bool) {
	from, to := 0.0, 1.0
	d := e.To.Sub(e.From)
	for _, s := range [4]struct{ along, room geom.Length }{
		{-d.X, e.From.X - box.Min.X}, {d.X, box.Max.X - e.From.X},
		{-d.Y, e.From.Y - box.Min.Y}, {d.Y, box.Max.Y - e.From.Y},
	} {
		switch {
		case s.along == 0:
			if s.room < 0 {
				return e, false
			}
		case s.along > 0:
			to = min(to, float64(s.room)/float64(s.along))
		default:
			from = max(from, float64(s.room)/float64(s.along))
		}
	}
	if from > to {
		return e, false
	}
	return geom.Line(e.At(from), e.At(to)), true
}

// clipDisc gives the part of a disc that lies in the box as a closed path of arcs and lines, its
// corners rounded to the nanometre; nil when nothing is left.
func clipDisc(c geom.Point, diameter geom.Length, box geom.Box) geom.Path {
	r := float64(diameter) / 2
	var corners []geom.Point
	for _, s := range [2]geom.Length{box.Min.X, box.Max.X} {
		if d := float64(s - c.X); math.Abs(d) < r {
			h := geom.Round(math.Sqrt(float64(r*r) - float64(d*d)))
			corners = append(corners, geom.Pt(s, c.Y-h), geom.Pt(s, c.Y+h))
		}
	}
	for _, s := range [2]geom.Length{box.Min.Y, box.Max.Y} {
		if d := float64(s - c.Y); math.Abs(d) < r {
			h := geom.Round(math.Sqrt(float64(r*r) - float64(d*d)))
			corners = append(corners, geom.Pt(c.X-h, s), geom.Pt(c.X+h, s))
		}
	}
	corners = slices.DeleteFunc(corners, func(p geom.Point) bool { return !box.HoldsPoint(p) })
	onCircle := len(corners)
	for _, p := range [4]geom.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}} {
		if p.Distance(c) < r {
			corners = append(corners, p)
		}
	}
	if onCircle < 2 {
		if len(corners)-onCircle == 4 {
			return geom.Rectangle(box) // the disc covers all of the box
		}
		return nil
	}
	round := map[geom.Point]bool{}
	var mx, my float64
	for i, p := range corners {
		round[p] = round[p] || i < onCircle
		mx, my = mx+float64(p.X-c.X), my+float64(p.Y-c.Y)
	}
	mx, my = mx/float64(len(corners)), my/float64(len(corners))
	// What is left is convex, and the mean of its corners lies in it.
	turn := func(p geom.Point) float64 { return geom.Atan2(float64(p.Y-c.Y)-my, float64(p.X-c.X)-mx) }
	slices.SortFunc(corners, func(p, q geom.Point) int {
		return cmp.Or(cmp.Compare(turn(p), turn(q)), cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	corners = slices.Compact(corners)
	var out geom.Path
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		e := geom.Line(p, q)
		if arc := geom.Arc(p, q, c, geom.CounterClockwise); round[p] && round[q] && p != q && box.HoldsPoint(arc.At(0.5)) {
			e = arc
		}
		out = append(out, e)
	}
	return out
}
