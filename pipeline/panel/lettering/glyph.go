package lettering

import (
	"fmt"
	"strconv"
	"strings"

	"panelwright/pipeline/geom"
)

// A glyph is one sign in halves of the grid, so that all of it is whole numbers.
type glyph struct {
	width geom.Length
	paths []geom.Path  // strokes
	dots  []geom.Point // strokes of one corner
}

// capitals is the height of capitals in halves of the grid.
const capitals = 24

// space is the width of a space, in halves of the grid.
const space = 8

// corner is one corner of a stroke.
type corner struct {
	at     geom.Point
	radius geom.Length
}

// read takes a sign from its text in the table of glyphs. An error is the table's.
func read(text string) (glyph, error) {
	var g glyph
	if text == "" {
		return glyph{width: space}, nil
	}
	for stroke := range strings.SplitSeq(text, " / ") {
		var corners []corner
		for word := range strings.FieldsSeq(stroke) {
			c, err := readCorner(word)
			if err != nil {
				return g, err
			}
			corners = append(corners, c)
			g.width = max(g.width, c.at.X)
		}
		if len(corners) == 1 {
			g.dots = append(g.dots, corners[0].at)
			continue
		}
		p, err := round(corners)
		if err != nil {
			return g, fmt.Errorf("stroke %q: %w", stroke, err)
		}
		g.paths = append(g.paths, p)
	}
	return g, nil
}

func readCorner(word string) (corner, error) {
	var n [3]geom.Length
	words := strings.Split(word, ",")
	if len(words) < 2 || len(words) > 3 {
		return corner{}, fmt.Errorf("corner %q: two or three numbers are wanted", word)
	}
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil || v*2 != float64(geom.Length(v*2)) {
			return corner{}, fmt.Errorf("corner %q: numbers and halves are wanted", word)
		}
		n[i] = geom.Length(v * 2)
	}
	return corner{geom.Pt(n[0], n[1]), n[2]}, nil
}

// round joins corners by straight edges, and rounds those that have a radius. Only corners between
// upright and level edges are rounded: then all stays on the grid.
func round(corners []corner) (geom.Path, error) {
	var p geom.Path
	at := corners[0].at
	line := func(to geom.Point) {
		if to != at {
			p = append(p, geom.Line(at, to))
			at = to
		}
	}
	for i, c := range corners[1:] {
		if c.radius == 0 {
			line(c.at)
			continue
		}
		if i+2 >= len(corners) {
			return nil, fmt.Errorf("its last corner cannot be rounded")
		}
		in, ok := step(at, c.at, c.radius)
		out, ok2 := step(c.at, corners[i+2].at, c.radius)
		turn := in.Cross(out)
		if !ok || !ok2 || turn == 0 {
			return nil, fmt.Errorf("corner %d has no room for its radius between an upright and a level edge", i+2)
		}
		sense := geom.CounterClockwise
		if turn < 0 {
			sense = geom.Clockwise
		}
		line(c.at.Sub(in))
		to := c.at.Add(out)
		p = append(p, geom.Arc(at, to, to.Sub(in), sense))
		at = to
	}
	return p, nil
}

// step goes r from one point towards the other, which must lie level or upright and no nearer than r.
func step(from, to geom.Point, r geom.Length) (geom.Point, bool) {
	d := to.Sub(from)
	l := d.X.Abs() + d.Y.Abs()
	if d.X != 0 && d.Y != 0 || l < r {
		return geom.Point{}, false
	}
	return geom.Pt(d.X/l*r, d.Y/l*r), true
}
