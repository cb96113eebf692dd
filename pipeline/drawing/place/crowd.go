// Package place finds room for what is written on a drawing: so that no text lies over another text or
// over a line.
package place

import (
	"math"

	"panelwright/pipeline/geom"
)

// Crowd is what already stands on a piece of paper: boxes that are taken and lines that must not be written
// over. The zero Crowd is empty.
type Crowd struct{ index geom.Index[thing] }

// thing is a taken box, or a line where flat tells so.
type thing struct {
	box  geom.Box
	line [2]geom.Point
	flat bool
}

// Take adds a box in which nothing may be written.
func (c *Crowd) Take(b geom.Box) { c.index.Insert(b, thing{box: b}) }

// chord is how far the pieces of an arc may stand off from it: a fifth of the narrowest line.
const chord = 0.05e6

// Draw adds a path of a pen's width: nothing may be written over it.
func (c *Crowd) Draw(p geom.Path, pen geom.Length) {
	for _, e := range p {
		for _, l := range chords(e) {
			b := geom.BoxOf(l[0], l[1])
			c.index.Insert(b.Grow(pen/2), thing{line: l, box: geom.Box{Max: geom.Pt(pen/2, pen/2)}, flat: true})
		}
	}
}

// chords gives an edge as straight pieces.
func chords(e geom.Edge) [][2]geom.Point {
	if e.Sense == geom.Straight {
		return [][2]geom.Point{{e.From, e.To}}
	}
	_, sweep := e.Angles()
	r := e.Radius()
	n := 1
	if r > chord {
		n = int(math.Ceil(math.Abs(sweep) / (2 * math.Sqrt(2*chord/r))))
	}
	n = min(max(n, 1), 64)
	out := make([][2]geom.Point, n)
	at := e.From
	for i := range n {
		next := e.To
		if i < n-1 {
			next = e.At(float64(i+1) / float64(n))
		}
		out[i] = [2]geom.Point{at, next}
		at = next
	}
	return out
}

// Free tells whether something may be written in b.
func (c *Crowd) Free(b geom.Box) bool {
	free := true
	c.index.Search(b, func(_ geom.Box, t thing) bool {
		if t.flat {
			free = !crosses(t.line, b.Grow(t.box.Max.X))
		} else {
			free = !inner(t.box, b)
		}
		return free
	})
	return free
}

// inner tells whether two boxes share more than a border.
func inner(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// crosses tells whether a line and a box share a point.
func crosses(l [2]geom.Point, b geom.Box) bool {
	if !b.Overlaps(geom.BoxOf(l[0], l[1])) {
		return false
	}
	d := l[1].Sub(l[0])
	left, right := false, false
	for _, q := range []geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}} {
		switch s := d.Cross(q.Sub(l[0])); {
		case s > 0:
			left = true
		case s < 0:
			right = true
		default:
			return true
		}
	}
	return left && right
}

// Passes tells whether a straight line on paper crosses no box that is taken; lines may cross lines.
func (c *Crowd) Passes(from, to geom.Point) bool {
	free := true
	l := [2]geom.Point{from, to}
	c.index.Search(geom.BoxOf(from, to), func(_ geom.Box, t thing) bool {
		free = t.flat || !crosses(l, t.box)
		return free
	})
	return free
}

// First takes the first of the boxes that is free and gives its number, −1 when none is.
func (c *Crowd) First(boxes []geom.Box) int {
	for i, b := range boxes {
		if c.Free(b) {
			c.Take(b)
			return i
		}
	}
	return -1
}

// Within takes room for a box of the given size in the area, as near as can be to a point, on a grid of places; it
// gives the box, and false when there is no room.
func (c *Crowd) Within(area geom.Box, width, height geom.Length, near geom.Point, step geom.Length) (geom.Box, bool) {
	b, ok := c.Spot(area, width, height, near, step)
	if ok {
		c.Take(b)
	}
	return b, ok
}

// Spot is Within without taking the room.
func (c *Crowd) Spot(area geom.Box, width, height geom.Length, near geom.Point, step geom.Length) (geom.Box, bool) {
	if area.Width() < width || area.Height() < height {
		return geom.Box{}, false
	}
	// Places are looked at in rings round the one nearest to the point.
	low := geom.Pt(area.Min.X, area.Min.Y)
	high := geom.Pt(area.Max.X-width, area.Max.Y-height)
	want := geom.Pt(clamp(near.X-width/2, low.X, high.X), clamp(near.Y-height/2, low.Y, high.Y))
	try := func(dx, dy geom.Length) (geom.Box, bool) {
		p := geom.Pt(want.X+dx, want.Y+dy)
		if p.X < low.X || p.X > high.X || p.Y < low.Y || p.Y > high.Y {
			return geom.Box{}, false
		}
		b := geom.Box{Min: p, Max: geom.Pt(p.X+width, p.Y+height)}
		if !c.Free(b) {
			return geom.Box{}, false
		}
		return b, true
	}
	rings := int(max(area.Width(), area.Height())/step) + 1
	for r := range min(rings, 400) {
		d := geom.Length(r) * step
		for k := geom.Length(0); k <= d; k += step {
			for _, o := range [][2]geom.Length{{k, d}, {-k, d}, {k, -d}, {-k, -d}, {d, k}, {d, -k}, {-d, k}, {-d, -k}} {
				if b, ok := try(o[0], o[1]); ok {
					return b, true
				}
			}
		}
	}
	return geom.Box{}, false
}

func clamp(x, low, high geom.Length) geom.Length { return max(low, min(x, high)) }
