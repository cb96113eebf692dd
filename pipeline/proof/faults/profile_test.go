package faults

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"

	"panelwright/pipeline/geom"
)

// profile is a profile file taken apart: what stands before its contours, the contours as strokes, what
// stands after them.
type profile struct {
	head, tail []byte
	contours   []geom.Path
}

var (
	lift   = regexp.MustCompile(`^X(-?\d+)Y(-?\d+)D02\*$`)
	stroke = regexp.MustCompile(`^X(-?\d+)Y(-?\d+)(?:I(-?\d+)J(-?\d+))?D01\*$`)
)

func coordinates(digits ...[]byte) geom.Point {
	n := func(b []byte) geom.Length { v, _ := strconv.ParseInt(string(b), 10, 64); return geom.Length(v) }
	return geom.Pt(n(digits[0]), n(digits[1]))
}

// takeApart reads a profile as this project writes it: millimetres, six decimals, one pen.
func takeApart(text []byte) (*profile, error) {
	p := &profile{}
	sense := geom.Straight
	var at geom.Point
	for line := range bytes.Lines(text) {
		bare := bytes.TrimSuffix(line, []byte("\n"))
		switch {
		case lift.Match(bare):
			m := lift.FindSubmatch(bare)
			at = coordinates(m[1], m[2])
			p.contours = append(p.contours, nil)
		case len(p.contours) == 0:
			p.head = append(p.head, line...)
		case string(bare) == "M02*":
			p.tail = append(p.tail, line...)
		case string(bare) == "G01*":
			sense = geom.Straight
		case string(bare) == "G02*":
			sense = geom.Clockwise
		case string(bare) == "G03*":
			sense = geom.CounterClockwise
		case stroke.Match(bare):
			m := stroke.FindSubmatch(bare)
			e := geom.Line(at, coordinates(m[1], m[2]))
			if sense != geom.Straight {
				e = geom.Arc(at, e.To, at.Add(coordinates(m[3], m[4])), sense)
			}
			last := len(p.contours) - 1
			p.contours[last] = append(p.contours[last], e)
			at = e.To
		default:
			return nil, fmt.Errorf("the line %q is none of a profile's", bare)
		}
	}
	return p, nil
}

// text puts the profile together again.
func (p *profile) text() []byte {
	out := bytes.NewBuffer(bytes.Clone(p.head))
	sense := geom.Straight
	for _, c := range p.contours {
		fmt.Fprintf(out, "X%dY%dD02*\n", c[0].From.X, c[0].From.Y)
		for _, e := range c {
			if e.Sense != sense {
				sense = e.Sense
				out.WriteString(map[geom.Sense]string{geom.Straight: "G01*\n", geom.Clockwise: "G02*\n", geom.CounterClockwise: "G03*\n"}[sense])
			}
			fmt.Fprintf(out, "X%dY%d", e.To.X, e.To.Y)
			if sense != geom.Straight {
				fmt.Fprintf(out, "I%dJ%d", e.Center.X-e.From.X, e.Center.Y-e.From.Y)
			}
			out.WriteString("D01*\n")
		}
	}
	out.Write(p.tail)
	return out.Bytes()
}

// edges gives all strokes, and for each the one that comes before and after it on its contour.
func (p *profile) edges() (all geom.Path, before, after []int) {
	for _, c := range p.contours {
		first := len(all)
		for i := range c {
			before = append(before, first+(i+len(c)-1)%len(c))
			after = append(after, first+(i+1)%len(c))
		}
		all = append(all, c...)
	}
	return all, before, after
}

// follow makes contours of edges, each of which begins where one other ends.
func follow(edges geom.Path) ([]geom.Path, error) {
	next := map[geom.Point]int{}
	for i, e := range edges {
		if _, twice := next[e.From]; twice {
			return nil, fmt.Errorf("two strokes begin at %v", e.From)
		}
		next[e.From] = i
	}
	used := make([]bool, len(edges))
	var out []geom.Path
	for i := range edges {
		var c geom.Path
		for k, ok := i, true; !used[k]; {
			used[k] = true
			c = append(c, edges[k])
			if k, ok = next[edges[k].To]; !ok {
				return nil, fmt.Errorf("no stroke goes on at %v", c[len(c)-1].To)
			}
		}
		if len(c) > 0 {
			out = append(out, c)
		}
	}
	return out, nil
}

// swapped gives the profile with some strokes replaced by others, all chained anew.
func (p *profile) swapped(away map[int]bool, instead geom.Path) (*profile, error) {
	all, _, _ := p.edges()
	var keep geom.Path
	for i, e := range all {
		if !away[i] {
			keep = append(keep, e)
		}
	}
	contours, err := follow(append(keep, instead...))
	return &profile{p.head, p.tail, contours}, err
}

// with gives the profile with more contours.
func (p *profile) with(more ...geom.Path) *profile {
	return &profile{p.head, p.tail, append(append([]geom.Path(nil), p.contours...), more...)}
}

// part gives the piece of an edge between two fractions of its length; 0 and 1 are its very ends.
func part(e geom.Edge, from, to float64) geom.Edge {
	return geom.Edge{From: e.At(from), To: e.At(to), Center: e.Center, Sense: e.Sense}
}
