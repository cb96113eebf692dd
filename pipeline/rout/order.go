package rout

import (
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// order puts the passes in an order of short travel: cutter by cutter, always on to the nearest pass,
// then improved by turning round parts of the order while that shortens it.
func order(passes []Pass, cutters int) []Pass {
	var out []Pass
	at := geom.Point{}
	for c := range cutters {
		var mine []Pass
		for _, p := range passes {
			if p.Cutter == c {
				mine = append(mine, p)
			}
		}
		slices.SortStableFunc(mine, func(a, b Pass) int { return a.Start().Compare(b.Start()) })
		mine = nearestFirst(mine, at)
		improve(mine, at)
		for i := range mine {
			mine[i] = beginNear(mine[i], at)
			at = mine[i].End()
		}
		out = append(out, mine...)
	}
	return out
}

// nearestFirst goes on to the nearest pass each time; a pass that is no ring may be run either way, a ring
// from any of its corners.
func nearestFirst(passes []Pass, at geom.Point) []Pass {
	var index geom.Index[int]
	for i, p := range passes {
		for _, e := range p.Path {
			index.Insert(geom.BoxOf(e.From), i)
		}
		index.Insert(geom.BoxOf(p.End()), i)
	}
	used := make([]bool, len(passes))
	out := make([]Pass, 0, len(passes))
	for range passes {
		best, next := math.Inf(1), -1
		index.Nearest(geom.BoxOf(at), func(_ float64, b geom.Box, i int) bool {
			d := at.Distance(b.Min)
			if d > best {
				return false
			}
			p := passes[i]
			usable := p.closed() || b.Min == p.Start() || b.Min == p.End()
			if !used[i] && usable && (d < best || next < 0 || i < next) {
				best, next = d, i
			}
			return true
		})
		if next < 0 {
			break
		}
		used[next] = true
		p := beginNear(passes[next], at)
		out = append(out, p)
		at = p.End()
	}
	return out
}

// beginNear turns a pass so that it begins as near as can be: a ring at its nearest corner, any other at
// the nearer end.
func beginNear(p Pass, at geom.Point) Pass {
	if !p.closed() {
		if at.Distance(p.End()) < at.Distance(p.Start()) {
			p.Path = p.Path.Reverse()
		}
		return p
	}
	best := 0
	for i, e := range p.Path {
		if at.Distance(e.From) < at.Distance(p.Path[best].From) {
			best = i
		}
	}
	if best > 0 {
		p.Path = slices.Concat(p.Path[best:], p.Path[:best])
	}
	return p
}

// sweeps is how often all pairs are tried; window is how far apart in the order the two of a pair may lie.
const (
	sweeps = 4
	window = 60
)

// improve turns parts of the order round (2-opt, G. A. Croes, "A method for solving traveling-salesman
// problems", Operations Research 6, 1958) while that shortens the travel between passes. Passes that are no
// rings are turned with their part.
func improve(p []Pass, from geom.Point) {
	before := func(i int) geom.Point {
		if i == 0 {
			return from
		}
		return p[i-1].End()
	}
	for range sweeps {
		better := false
		for i := range p {
			for k := i + 1; k < min(len(p), i+window); k++ {
				now := before(i).Distance(p[i].Start())
				then := before(i).Distance(p[k].End())
				if k+1 < len(p) {
					now += p[k].End().Distance(p[k+1].Start())
					then += p[i].Start().Distance(p[k+1].Start())
				}
				if then+1 < now { // a nanometre at least, so that it comes to an end
					slices.Reverse(p[i : k+1])
					for m := i; m <= k; m++ {
						if !p[m].closed() {
							p[m].Path = p[m].Path.Reverse()
						}
					}
					better = true
				}
			}
		}
		if !better {
			return
		}
	}
}
