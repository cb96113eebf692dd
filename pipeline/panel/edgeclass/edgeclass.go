// Package edgeclass tells where a board's edge is more than a cut: castellated, plated, or with contact
// fingers. Tabs and score lines keep off such stretches, and copper may reach the edge there.
package edgeclass

import (
	"cmp"
	"context"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// Class is what a stretch of an edge is. An edge that has none is plain.
type Class string

// The classes.
const (
	Castellated Class = "castellated" // plated holes are cut in half by the edge
	Plated      Class = "plated"      // copper runs round the edge
	Fingers     Class = "fingers"     // contacts that slide into a connector end at the edge
)

// Stretch is a piece of a board's edge with a class.
type Stretch struct {
	Class      Class
	Loop       int        // 0 for the outer path, n for the n-th cut-out
	From, To   float64    // along the loop's path from its first vertex, nm; To may lie past its end
	Start, End geom.Point // there
	Count      int        // of holes or fingers
	By         string     // how it is known
}

// Find gives the stretches of a board's edge that have a class, by loop and place.
func Find(ctx context.Context, b *panel.Board) ([]Stretch, error) {
	var out []Stretch
	for i, path := range append([]geom.Path{b.Outline.Outer}, b.Outline.CutOuts...) {
		e := newEdge(path)
		castellations := e.castellations(b, i > 0)
		fingers := e.fingers(b)
		plating, err := e.plating(ctx, b, castellations)
		if err != nil {
			return nil, err
		}
		for _, s := range slices.Concat(castellations, fingers, plating) {
			s.Loop = i
			s.Start, s.End = e.at(s.From), e.at(s.To)
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b Stretch) int {
		return cmp.Or(cmp.Compare(a.Loop, b.Loop), cmp.Compare(a.From, b.From), cmp.Compare(a.Class, b.Class))
	})
	return out, nil
}

// Beside is how far beside a stretch, along the edge, copper may still belong to it: the pads of the last
// hole or finger reach so far (common practice, no published source).
const Beside = geom.MM

// Locator tells for many places whether they lie on a stretch that has a class, or within Beside of one.
type Locator struct {
	loops     []*edge
	stretches []Stretch
}

// NewLocator makes a board's stretches ready to be asked.
func NewLocator(b *panel.Board, list []Stretch) *Locator {
	l := &Locator{stretches: list}
	for _, path := range append([]geom.Path{b.Outline.Outer}, b.Outline.CutOuts...) {
		l.loops = append(l.loops, newEdge(path))
	}
	return l
}

// Holds tells it for a point of the board's edge; of a point elsewhere the nearest place of the edge counts.
func (l *Locator) Holds(p geom.Point) bool {
	loop, at, away := 0, 0.0, math.Inf(1)
	for i, e := range l.loops {
		if s, d := e.project(p); d < away {
			loop, at, away = i, s, d
		}
	}
	const slack = float64(Beside)
	for _, s := range l.stretches {
		length := l.loops[loop].length
		if s.Loop == loop && (at >= s.From-slack && at <= s.To+slack || at+length <= s.To+slack || at-length >= s.From-slack) {
			return true
		}
	}
	return false
}

// edge is a closed path with lengths along it.
type edge struct {
	path   geom.Path
	begins []float64 // of each edge
	length float64
	index  geom.Index[int]
}

func newEdge(p geom.Path) *edge {
	e := &edge{path: p}
	for i, x := range p {
		e.begins = append(e.begins, e.length)
		e.length += x.Length()
		e.index.Insert(x.Box(), i)
	}
	return e
}

// at gives the point at a length along the path.
func (e *edge) at(s float64) geom.Point {
	s = math.Mod(s, e.length)
	if s < 0 {
		s += e.length
	}
	i := max(0, sortSearch(e.begins, s))
	return e.path[i].At((s - e.begins[i]) / max(e.path[i].Length(), 1))
}

// sortSearch gives the last index whose value is at most s.
func sortSearch(list []float64, s float64) int {
	i, found := slices.BinarySearch(list, s)
	if found {
		return i
	}
	return i - 1
}

// project gives the place along the path that lies nearest to p, and how far away it is.
func (e *edge) project(p geom.Point) (s, away float64) {
	best, place := math.Inf(1), 0.0
	e.index.Nearest(geom.BoxOf(p), func(gap float64, _ geom.Box, i int) bool {
		if gap > best+2 {
			return false
		}
		d, _, at := geom.EdgeDistance(geom.Line(p, p), e.path[i])
		if s := e.begins[i] + e.path[i].Along(at); d < best || d == best && s < place {
			best, place = d, s
		}
		return true
	})
	return place, best
}

// span is a stretch under construction.
type span struct {
	from, to float64
	count    int
}

// merge joins spans that lie no more than gap apart, also across the path's beginning.
func (e *edge) merge(list []span, gap float64) []span {
	slices.SortFunc(list, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	var out []span
	for _, s := range list {
		if n := len(out) - 1; n >= 0 && s.from-out[n].to <= gap {
			out[n].to = max(out[n].to, s.to)
			out[n].count += s.count
			continue
		}
		out = append(out, s)
	}
	if n := len(out) - 1; n > 0 && out[0].from+e.length-out[n].to <= gap {
		out[n].to = max(out[n].to, out[0].to+e.length)
		out[n].count += out[0].count
		out = out[1:]
	}
	return out
}

// function gives what an aperture or tool is for, by its attribute; empty where nothing says it.
func function(sets []artwork.Attributes, set int32) string {
	if int(set) < len(sets) {
		if v := sets[set].Get(".AperFunction"); len(v) > 0 {
			return v[0]
		}
	}
	return ""
}
