// Package drawingtest helps those who test what draws sheets.
package drawingtest

import (
	"fmt"

	"panelwright/pipeline/drawing"
	"panelwright/pipeline/geom"
)

// touching is how far boxes and lines may reach into each other by rounding.
const touching = 10 * geom.UM

// Clashes lists what nobody could read: texts whose lines lie over one another, letters over a line that is drawn, and
// texts and lines beyond the sheet's box.
func Clashes(s drawing.Sheet) (out []string) {
	texts := s.AllTexts()
	var boxes, lines geom.Index[int] // of letters, and of texts' lines
	for i, t := range texts {
		box, whole := t.Box().Grow(-touching), t.LineBox().Grow(-touching)
		lines.Search(whole, func(_ geom.Box, k int) bool {
			out = append(out, fmt.Sprintf("%q at %v lies over %q at %v", t.S, t.At, texts[k].S, texts[k].At))
			return true
		})
		if !s.Box.Holds(box) {
			out = append(out, fmt.Sprintf("%q at %v leaves the box %v", t.S, t.At, s.Box))
		}
		if r, lacks := drawing.Lacks(t.S); lacks {
			out = append(out, fmt.Sprintf("%q has %q, which no letter shows", t.S, r))
		}
		boxes.Insert(box, i)
		lines.Insert(whole, i)
	}
	line := func(what string, e geom.Edge, clip *geom.Box) {
		seen := map[int]bool{}
		boxes.Search(e.Box(), func(b geom.Box, k int) bool {
			if !seen[k] && meets(e, b) {
				seen[k] = true
				out = append(out, fmt.Sprintf("a line of %s from %v to %v runs through %q at %v", what, e.From, e.To, texts[k].S, texts[k].At))
			}
			return true
		})
		if !s.Box.Grow(touching).Holds(e.Box()) && (clip == nil || !s.Box.Grow(touching).Holds(*clip)) {
			out = append(out, fmt.Sprintf("a line of %s from %v to %v leaves the box %v", what, e.From, e.To, s.Box))
		}
	}
	shapes := func(what string, list []drawing.Shape, paper func(geom.Path) geom.Path, clip *geom.Box) {
		for _, x := range list {
			if x.Pen.Width == 0 && x.Fill != drawing.Ink {
				continue
			}
			for _, p := range x.Paths {
				for _, e := range paper(p) {
					line(what, e, clip)
				}
			}
		}
	}
	same := func(p geom.Path) geom.Path { return p }
	shapes("the sheet", s.Shapes, same, nil)
	for _, d := range s.Dimensions {
		shapes(fmt.Sprintf("dimension %q", d.Text.S), d.Lines, same, nil)
	}
	for _, v := range s.Views {
		var clip *geom.Box
		if v.Clip != nil {
			b := v.Path(v.Clip).Box()
			clip = &b
		}
		shapes("view "+v.Name, v.Shapes, func(p geom.Path) geom.Path { return clipped(v.Path(p), clip) }, clip)
	}
	return out
}

// clipped leaves out edges that lie beyond a box; those that reach into it stay whole.
func clipped(p geom.Path, clip *geom.Box) geom.Path {
	if clip == nil {
		return p
	}
	var out geom.Path
	for _, e := range p {
		if meets(e, *clip) {
			out = append(out, trimmed(e, *clip))
		}
	}
	return out
}

// trimmed cuts a straight edge off at a box; an arc stays whole.
func trimmed(e geom.Edge, b geom.Box) geom.Edge {
	if e.Sense != geom.Straight {
		return e
	}
	var on []geom.Point
	for _, q := range []geom.Point{e.From, e.To} {
		if b.HoldsPoint(q) {
			on = append(on, q)
		}
	}
	for _, x := range geom.Rectangle(b) {
		on = append(on, e.Intersections(x)...)
	}
	if len(on) < 2 {
		return e
	}
	box := geom.BoxOf(on...)
	from, to := box.Min, box.Max
	if (e.To.X-e.From.X > 0) != (e.To.Y-e.From.Y > 0) {
		from, to = geom.Pt(box.Min.X, box.Max.Y), geom.Pt(box.Max.X, box.Min.Y)
	}
	return geom.Line(from, to)
}

// meets tells whether an edge passes through a box.
func meets(e geom.Edge, b geom.Box) bool {
	if b.HoldsPoint(e.From) || b.HoldsPoint(e.To) {
		return true
	}
	for _, x := range geom.Rectangle(b) {
		if len(e.Intersections(x)) > 0 {
			return true
		}
	}
	return false
}
