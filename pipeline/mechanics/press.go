package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/mechanics/sparse"
	"panelwright/pipeline/panel"
)

// pressAtMost is how many copies are pressed on one after the other to find the one that bears it worst; of more, those
// that yield most.
const pressAtMost = 24

// worseBy is how much worse a copy must fare than those before it to be the one that is told of: on panels that are alike on both
// sides rounding does not choose.
const worseBy = 1.001

// press finds the copy on which the force does most harm, and the plate pressed there: that with the least reserve of a tab or
// a score line, and where there are neither that which sinks furthest. Where the recipe names a copy it is that.
func (m *model) press(ctx context.Context, r *solved) (worst loaded, ok bool, err error) {
	type target struct {
		id   string
		load plate.Load
	}
	var all []target
	for _, c := range m.p.Copies() {
		if m.support.Pressed != "" && c.ID != m.support.Pressed {
			continue
		}
		if t, q, found := m.on(c); found {
			all = append(all, target{c.ID, plate.Load{Triangle: t, X: q.X.MM(), Y: q.Y.MM(), Value: m.support.Force.Value}})
		}
	}
	if len(all) > pressAtMost {
		columns := make([]sparse.Column, len(all))
		for i, x := range all {
			n := m.mesh.Triangles[x.load.Triangle]
			columns[i] = sparse.Column{At: []int32{3 * n[0], 3 * n[1], 3 * n[2]}, Val: []float64{1.0 / 3, 1.0 / 3, 1.0 / 3}}
		}
		yields, err := r.cold.Gram(ctx, columns)
		if err != nil {
			return worst, false, err
		}
		sunk := r.states[0].state
		most := make([]float64, len(all))
		for i, x := range all {
			n := m.mesh.Triangles[x.load.Triangle]
			most[i] = math.Abs(sunk.W[n[0]]) + float64(x.load.Value*yields[i*len(all)+i])
		}
		var left []target
		for range pressAtMost {
			best := 0
			for i := range most {
				if most[i] > most[best]*worseBy {
					best = i
				}
			}
			left, most[best] = append(left, all[best]), -1
		}
		all = left
	}
	rights := make([][]float64, len(all))
	for i, x := range all {
		right, err := r.cold.Weight(0, []plate.Load{x.load})
		if err != nil {
			return worst, false, err
		}
		for u, v := range r.states[0].right {
			right[u] += v
		}
		rights[i] = right
	}
	least, deepest := math.Inf(1), 0.0
	for i, state := range r.cold.Solve(rights...) {
		if err := ctx.Err(); err != nil {
			return worst, false, err
		}
		reserve := m.weakestWeb(r.cold, state)
		for _, j := range m.joints {
			reserve = math.Min(reserve, m.rowLoad(j, r.rows[0][j.band], motionOf(j, state), false).Reserve)
		}
		sag := 0.0
		for _, w := range state.W {
			sag = math.Max(sag, math.Abs(w))
		}
		if ok && (reserve*worseBy >= least && (reserve < highest || sag <= deepest*worseBy)) {
			continue
		}
		worst, ok, least, deepest = loaded{kind: Pressed, copy: all[i].id, state: state, right: rights[i]}, true, reserve, sag
	}
	return worst, ok, nil
}

// on is where a copy is pressed on: its middle, or what of its own material lies nearest to that. A board bent round a notch or
// round a cut-out has its middle beside itself, on waste or on nothing.
func (m *model) on(c panel.Copy) (triangle int32, at geom.Point, ok bool) {
	middle, outline := m.middleOf(c), c.Outline()
	if t, found := m.finder.locate(middle); found && outline.Locate(middle) != geom.Outside {
		return t, middle, true
	}
	box, least := c.Box(), math.Inf(1)
	for i, t := range m.mesh.Triangles {
		q := m.middle(t)
		if d := q.Distance(middle); d < least && m.kept[m.mesh.Piece[i]] && box.HoldsPoint(q) && outline.Locate(q) != geom.Outside {
			triangle, at, ok, least = int32(i), q, true, d
		}
	}
	return triangle, at, ok
}
