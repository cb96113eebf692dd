package breakage

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// boardFacts is what is worked out once for each board, in its own coordinates.
type boardFacts struct {
	area    float64
	edges   []geom.Edge
	corners []geom.Point
	index   geom.Index[int] // edges
	nearest map[geom.Point]int
	reaches map[vector][2]float64
}

// vector is a direction.
type vector struct{ x, y float64 }

func (v vector) left() vector { return vector{-v.y, v.x} }

// of is how far a point lies in the direction, in mm.
func (v vector) of(q geom.Point) float64 {
	return (float64(v.x*float64(q.X)) + float64(v.y*float64(q.Y))) / float64(geom.MM)
}

// along is the direction of a straight edge; of one of no length x.
func along(e geom.Edge) vector {
	d := e.To.Sub(e.From)
	n := d.Norm()
	if n == 0 {
		return vector{1, 0}
	}
	return vector{float64(d.X) / n, float64(d.Y) / n}
}

func (s *survey) facts(copy int) *boardFacts {
	b := s.copies[copy].Board
	if f := s.boards[b]; f != nil {
		return f
	}
	f := &boardFacts{area: b.Outline.Area(), edges: b.Outline.Outer, nearest: map[geom.Point]int{}, reaches: map[vector][2]float64{}}
	for i, e := range f.edges {
		f.index.Insert(e.Box(), i)
		f.corners = append(f.corners, e.From)
		if e.Sense != geom.Straight {
			f.corners = append(f.corners, e.At(0.25), e.At(0.5), e.At(0.75))
		}
	}
	s.boards[b] = f
	return f
}

// edgeAt finds the edge nearest to a point, -1 where the board has none.
func (f *boardFacts) edgeAt(q geom.Point) int {
	if i, ok := f.nearest[q]; ok {
		return i
	}
	best, least := -1, math.Inf(1)
	f.index.Nearest(geom.BoxOf(q), func(d float64, _ geom.Box, i int) bool {
		if d > least+1 {
			return false
		}
		if x, _ := geom.PointEdgeDistance(q, f.edges[i]); x < least || x == least && i < best {
			best, least = i, x
		}
		return true
	})
	f.nearest[q] = best
	return best
}

// reach gives how far the board reaches in a direction, from the origin: the least and the most, in mm. Arcs count by three
// points of each.
func (f *boardFacts) reach(v vector) [2]float64 {
	if r, ok := f.reaches[v]; ok {
		return r
	}
	r := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, q := range f.corners {
		x := v.of(q)
		r[0], r[1] = min(r[0], x), max(r[1], x)
	}
	f.reaches[v] = r
	return r
}

// seen is a row as a copy sees it, in its board's coordinates.
type seen struct {
	line   geom.Edge
	along  vector // counter-clockwise round the board
	inward vector
	edge   int // of the board's outline, at the tab's foot; -1: none
}

// see gives a row of a tab that holds the copy, or that part of the tab where it enters the copy.
func (s *survey) see(t panel.Tab, line geom.Edge, copy int) seen {
	c := s.copies[copy]
	f := s.facts(copy)
	back := c.Place.Inverse()
	out := seen{line: back.Edge(line), edge: f.edgeAt(back.Apply(footOn(t, c.ID)))}
	out.along = along(out.line)
	straight := out.edge >= 0 && f.edges[out.edge].Sense == geom.Straight && f.edges[out.edge].From != f.edges[out.edge].To
	if straight {
		out.along = along(f.edges[out.edge])
	}
	// The tab lies outside of the copy: into it is away from the tab's other foot.
	out.inward = out.along.left()
	foot := footOn(t, c.ID)
	other := t.Feet[0]
	if foot == other {
		other = t.Feet[1]
	}
	if d := back.Apply(foot).Sub(back.Apply(other)); out.inward.of(d) < 0 {
		out.along, out.inward = vector{-out.along.x, -out.along.y}, vector{-out.inward.x, -out.inward.y}
	}
	if out.along.of(out.line.To.Sub(out.line.From)) < 0 {
		out.line = out.line.Reverse()
	}
	return out
}

// reachOf is how far a copy reaches beyond a row, in mm.
func (s *survey) reachOf(r row, copy int) float64 {
	x := s.see(s.tabs[r.tab], r.line, copy)
	return s.facts(copy).reach(x.inward)[1] - x.inward.of(x.line.At(0.5))
}

// onPanel turns a direction of a copy's board into the panel's.
func onPanel(c panel.Copy, v vector) vector {
	sin, cos := c.Place.Turn.SinCos()
	return vector{float64(v.x*cos) - float64(v.y*sin), float64(v.x*sin) + float64(v.y*cos)}
}
