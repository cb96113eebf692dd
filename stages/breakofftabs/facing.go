package breakofftabs

import (
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/stages/internal/opening"
)

// What an edge of a board may face across the slot.
const (
	noTarget    = -1  // nothing within reach
	frameTarget = -2  // the frame: rails and waste that hangs on to them
	panelEdge   = -3  // it is the panel's own edge
	ownTarget   = -4  // the same board, across a notch
	firstIsland = -10 // waste between boards: this and below, one for each island
)

// island gives the index of the island that a target is, or -1.
func island(target int) int {
	if target > firstIsland {
		return -1
	}
	return firstIsland - target
}

// holds tells whether a tab can hold to a target.
func holds(target int) bool { return target >= 0 || target == frameTarget || target <= firstIsland }

// wall is one edge that limits what is routed away, with whose it is: the index of a copy, or one of
// frameTarget, panelEdge and the islands.
type wall struct {
	edge  geom.Edge
	owner int
}

// walls indexes every edge that a board may face.
func walls(in panel.Panel, g *ground) *geom.Index[wall] {
	var index geom.Index[wall]
	add := func(p geom.Path, owner int) {
		for _, e := range p {
			index.Insert(e.Box(), wall{e, owner})
		}
	}
	for i, b := range g.boards {
		add(b.Outer, i)
	}
	for _, piece := range g.frame {
		for _, path := range append([]geom.Path{piece.Outer}, piece.CutOuts...) {
			add(path, frameTarget)
		}
	}
	for i, piece := range g.islands {
		for _, path := range append([]geom.Path{piece.Outer}, piece.CutOuts...) {
			add(path, firstIsland-i)
		}
	}
	for _, r := range in.Rails() {
		add(geom.Rectangle(r.Box), frameTarget)
	}
	add(in.Outline().Outer, panelEdge)
	return &index
}

// touching is how near two edges are one.
const touching = opening.Touching

// oblique is how far the far edge may lean, as a cosine (25°): a tab stands square in its slot.
const oblique = 0.906

// look gives what a copy's edge faces at a point, straight outwards: whose it is, how far, and whether
// it leans too much for a tab.
func look(index *geom.Index[wall], own int, p geom.Point, out vector, reach float64) (target int, gap float64, leans bool) {
	ray := geom.Line(out.from(p, -float64(touching)), out.from(p, reach))
	target, gap = noTarget, math.Inf(1)
	index.Search(ray.Box(), func(_ geom.Box, w wall) bool {
		for _, q := range ray.Intersections(w.edge) {
			d := out.dot(vector{float64(q.X - p.X), float64(q.Y - p.Y)})
			if w.owner == own && d < 10*float64(geom.UM) || w.owner == frameTarget && d < 0 {
				continue
			}
			// Where several coincide the panel's own edge counts first, then boards in order.
			if d > gap || d == gap && (target == panelEdge || target >= 0 && (w.owner < 0 && w.owner != panelEdge || w.owner > target)) {
				continue
			}
			target, gap = w.owner, d
			along := heading(w.edge, fractionAt(w.edge, q))
			leans = math.Abs(along.right().dot(out)) < oblique
		}
		return true
	})
	if target == own {
		target = ownTarget
	}
	return target, gap, leans
}

func fractionAt(e geom.Edge, q geom.Point) float64 {
	l := e.Length()
	if l == 0 {
		return 0
	}
	return min(1, e.Along(q)/l)
}
