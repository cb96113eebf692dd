package mechanics

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// pullStretch is over how much of a carried edge reactions are added up: those of single nodes go up and down from one to
// the next.
const pullStretch = 20 * geom.MM

// leastPull is from which part of all that presses on the supports a pull is told of: less is rounding and the mesh's coarseness.
const leastPull = 0.01

// pull finds where a support would have to hold the panel down. b is the right side that x answers.
func (m *model) pull(r *solved, x loaded, b []float64) (most float64, at geom.Point) {
	if m.support.Carried == panel.ByOneRail {
		return 0, at // that edge is held both ways
	}
	system := r.cold
	if x.kind == Hot {
		system = r.hot
	}
	f := system.Reactions(x.state, b)
	total := 0.0
	for i := 0; i < len(b); i += 3 {
		total += b[i]
	}
	look := func(force float64, where geom.Point) {
		if force > most && force > math.Abs(leastPull*total) {
			most, at = force, where
		}
	}
	if m.support.Carried == panel.ByPins {
		for _, n := range m.carriers() {
			look(f[3*n], m.mesh.Nodes[n])
		}
		return most, at
	}
	box := m.p.Outline().Box()
	for _, side := range m.support.Sides {
		along := func(n int32) geom.Length {
			if across(side) {
				return m.mesh.Nodes[n].Y
			}
			return m.mesh.Nodes[n].X
		}
		var edge []int32
		for _, n := range m.carriers() {
			if fromEdge(box, side, m.mesh.Nodes[n]) <= onEdge {
				edge = append(edge, n)
			}
		}
		slices.SortFunc(edge, func(a, b int32) int { return cmp.Or(cmp.Compare(along(a), along(b)), cmp.Compare(a, b)) })
		for i, first := 0, 0; i < len(edge); i++ {
			if i+1 < len(edge) && along(edge[i+1])-along(edge[first]) < pullStretch {
				continue
			}
			sum := 0.0
			for _, n := range edge[first : i+1] {
				sum += f[3*n]
			}
			look(sum, m.mesh.Nodes[edge[(first+i)/2]])
			first = i + 1
		}
	}
	return most, at
}

// carriers are the nodes that supports keep from sinking, without those of scraps.
func (m *model) carriers() []int32 {
	var out []int32
	for _, h := range m.held {
		if h.Deflection && m.kept[m.finder.piece(h.Node)] {
			out = append(out, h.Node)
		}
	}
	return out
}

// tips tells whether the centre of mass, by the right side b of the weight, lies outside of all that carries the panel.
func (m *model) tips(b []float64) (Problem, bool) {
	if m.support.Carried == panel.ByOneRail {
		return Problem{}, false
	}
	var force, x, y float64
	for n, q := range m.mesh.Nodes {
		force += b[3*n]
		x += float64(b[3*n]*q.X.MM()) + b[3*n+1]
		y += float64(b[3*n]*q.Y.MM()) + b[3*n+2]
	}
	if force <= 0 {
		return Problem{}, false
	}
	middle := geom.Pt(geom.Round(x/force*float64(geom.MM)), geom.Round(y/force*float64(geom.MM)))
	var points []geom.Point
	for _, n := range m.carriers() {
		points = append(points, m.mesh.Nodes[n])
	}
	if within(points, middle) {
		return Problem{}, false
	}
	return Problem{Kind: Tips, At: middle, Feature: "panel",
		Message: fmt.Sprintf("the panel tips: its centre of mass, at (%.1f, %.1f) mm, lies outside of what carries it; pins or rails must lie on all sides of it", middle.X.MM(), middle.Y.MM())}, true
}

// within tells whether q lies within the convex hull of points: no line through it leaves all of them on one side. Points in all
// directions leave no gap of half a turn.
func within(points []geom.Point, q geom.Point) bool {
	var angles []float64
	for _, p := range points {
		if p == q {
			return true
		}
		angles = append(angles, geom.Atan2(float64(p.Y-q.Y), float64(p.X-q.X)))
	}
	if len(angles) == 0 {
		return false
	}
	slices.Sort(angles)
	gap := angles[0] + 2*math.Pi - angles[len(angles)-1]
	for i := 1; i < len(angles); i++ {
		gap = max(gap, angles[i]-angles[i-1])
	}
	return gap <= math.Pi+1e-9
}
