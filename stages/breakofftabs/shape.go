package breakofftabs

import (
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// side is a side of a bounding box, counter-clockwise from below.
type side int

const (
	lower side = iota
	right
	upper
	left
)

func (s side) String() string { return [...]string{"lower", "right", "upper", "left"}[s] }

// horizontal tells whether the side runs along x.
func (s side) horizontal() bool { return s == lower || s == upper }

// opposite is the side across the box.
func (s side) opposite() side { return (s + 2) % 4 }

// outward is the direction away from the box.
func (s side) outward() geom.Point {
	return [...]geom.Point{{X: 0, Y: -1}, {X: 1, Y: 0}, {X: 0, Y: 1}, {X: -1, Y: 0}}[s]
}

// line is the side's coordinate across it.
func (s side) line(b geom.Box) geom.Length {
	return [...]geom.Length{b.Min.Y, b.Max.X, b.Max.Y, b.Min.X}[s]
}

// span is the side's extent along it.
func (s side) span(b geom.Box) span {
	if s.horizontal() {
		return span{b.Min.X, b.Max.X}
	}
	return span{b.Min.Y, b.Max.Y}
}

// point makes a point of a place along the side and one across it.
func (s side) point(along, across geom.Length) geom.Point {
	if s.horizontal() {
		return geom.Pt(along, across)
	}
	return geom.Pt(across, along)
}

// span is a stretch along an axis.
type span struct{ lo, hi geom.Length }

func (a span) length() geom.Length { return a.hi - a.lo }

func (a span) and(b span) span { return span{max(a.lo, b.lo), min(a.hi, b.hi)} }

// shape is a copy's outline as this stage can serve it.
type shape struct {
	box      geom.Box
	straight [4]span      // the straight stretch on each side of the box
	corner   [4]geom.Path // what joins each side's stretch to the next side's; empty at a sharp corner
}

// slack is how far an edge may lie off its box side, and still be tangent to within what the trade
// can see.
const slack = 1 * geom.UM

// serve takes a copy's outline apart, or says why it cannot be served.
func serve(c panel.Copy) (shape, error) {
	path := c.Outline().Outer
	s := shape{box: path.Box()}
	if err := convex(path); err != nil {
		return shape{}, err
	}
	on := make([]int, len(path)) // the side each edge lies on, or -1
	first := -1
	for i, e := range path {
		on[i] = -1
		for d := lower; d <= left; d++ {
			if e.Sense == geom.Straight && runsAlong(e, d, s.box) {
				on[i] = int(d)
			}
		}
		if on[i] == int(lower) && (i == 0 || on[i-1] != int(lower)) {
			first = i
		}
	}
	if first == 0 { // the lower stretch may begin before the path's first edge
		for k := len(path) - 1; k > 0 && on[k] == int(lower); k-- {
			first = k
		}
	}
	if first < 0 {
		return shape{}, fmt.Errorf("its lower side has no straight edge")
	}
	at := lower
	s.straight[lower] = span{math.MaxInt64, math.MinInt64}
	for i := range path {
		k := (first + i) % len(path)
		e := path[k]
		if on[k] < 0 {
			s.corner[at] = append(s.corner[at], e)
			continue
		}
		d := side(on[k])
		if d != at {
			if d != at+1 {
				return shape{}, fmt.Errorf("its %s side has no straight edge", at+1)
			}
			at = d
			s.straight[at] = span{math.MaxInt64, math.MinInt64}
		}
		for _, p := range [2]geom.Point{e.From, e.To} {
			along := p.X
			if !d.horizontal() {
				along = p.Y
			}
			s.straight[at].lo, s.straight[at].hi = min(s.straight[at].lo, along), max(s.straight[at].hi, along)
		}
	}
	if at != left {
		return shape{}, fmt.Errorf("its %s side has no straight edge", at+1)
	}
	return s, nil
}

// runsAlong tells whether both ends of a straight edge lie on the side.
func runsAlong(e geom.Edge, d side, b geom.Box) bool {
	off := func(p geom.Point) geom.Length {
		if d.horizontal() {
			return (p.Y - d.line(b)).Abs()
		}
		return (p.X - d.line(b)).Abs()
	}
	return off(e.From) <= slack && off(e.To) <= slack
}

// convex refuses an outline (counter-clockwise) that turns right anywhere. Joins may be off by a
// few thousandths of a radian: arcs' centres in files are rounded to the format's last digit.
func convex(path geom.Path) error {
	const tolerance = 4e-3
	for i, e := range path {
		if e.Sense == geom.Clockwise {
			return fmt.Errorf("its edge curves inwards at %v mm", e.From)
		}
		next := path[(i+1)%len(path)]
		_, out := tangents(e)
		in, _ := tangents(next)
		turn := float64(out[0]*in[1]) - float64(out[1]*in[0])
		if turn < -tolerance {
			return fmt.Errorf("it has an inward corner at %v mm", e.To)
		}
	}
	return nil
}

// tangents gives the unit directions in which an edge begins and ends.
func tangents(e geom.Edge) (begin, end [2]float64) {
	unit := func(p geom.Point) [2]float64 {
		n := p.Norm()
		if n == 0 {
			return [2]float64{}
		}
		return [2]float64{float64(p.X) / n, float64(p.Y) / n}
	}
	if e.Sense == geom.Straight {
		u := unit(e.To.Sub(e.From))
		return u, u
	}
	across := func(p geom.Point) [2]float64 {
		u := unit(p.Sub(e.Center))
		return [2]float64{-u[1] * float64(e.Sense), u[0] * float64(e.Sense)}
	}
	return across(e.From), across(e.To)
}

// cornerPoint is the corner of the box that follows side d counter-clockwise.
func cornerPoint(b geom.Box, d side) geom.Point {
	return [...]geom.Point{{X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}, b.Min}[d]
}

// round gives the path of a cutter of radius r round the corner that follows side d, outside the
// outline: the corner's own lines and arcs moved outwards, joined by arcs round its vertices. It is
// empty at a sharp corner.
func (s shape) round(d side, r geom.Length) geom.Path {
	chain := s.corner[d]
	if len(chain) == 0 {
		return nil
	}
	alongSide := func(d side) [2]float64 { // the direction in which a side runs, counter-clockwise
		o := d.outward()
		return [2]float64{-float64(o.Y), float64(o.X)}
	}
	move := func(p geom.Point, dir [2]float64) geom.Point { // to the right of dir, by r: outwards
		return geom.Pt(p.X+geom.Round(float64(r)*dir[1]), p.Y-geom.Round(float64(r)*dir[0]))
	}
	var out geom.Path
	var at geom.Point
	join := func(v geom.Point, in, next [2]float64) {
		a, b := move(v, in), move(v, next)
		if len(out) == 0 {
			at = a
		}
		if a.Distance(b) <= 4 { // tangent, up to rounding
			return
		}
		out = append(out, geom.Arc(at, b, v, geom.CounterClockwise))
		at = b
	}
	in := alongSide(d)
	for _, e := range chain {
		begin, end := tangents(e)
		join(e.From, in, begin)
		to := move(e.To, end)
		if e.Sense == geom.Straight {
			out = append(out, geom.Line(at, to))
		} else {
			out = append(out, geom.Arc(at, to, e.Center, geom.CounterClockwise))
		}
		at, in = to, end
	}
	join(chain[len(chain)-1].To, in, alongSide((d+1)%4))
	return out
}
