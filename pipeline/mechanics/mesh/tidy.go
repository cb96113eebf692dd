package mesh

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"panelwright/pipeline/geom"
)

// A plan is a domain made ready to be cut: corners no two of which lie within the tolerance of each other, and segments between
// them that meet at corners only, and pass no corner within half the tolerance.
type plan struct {
	nodes    []geom.Point // the region's own corners first
	segments []segment    // by a, then b
	chains   [][]int32    // for each line its nodes in order
	points   []int32      // for each point its node
}

// A segment is a straight piece that edges follow.
type segment struct {
	a, b  int32 // nodes, a < b
	net   int32 // how often the border runs from a to b less how often it runs back: windings on the left less those on the right
	lines int32 // how many lines run along it
}

// A chain is a strand on its way through corners.
type chain struct {
	line  int32
	nodes []int32
}

// A tidier moves strands. Corners within the tolerance of each other become one; then strands are bent through every corner
// that they pass within half the tolerance, and through a corner at every crossing, until nothing changes. That is snap
// rounding without a grid: corners that nothing is near to stay where they are.
//
// It ends: corners lie further apart than the tolerance, so a piece that is bent through a corner within half of it becomes two
// shorter ones. What becomes of the region is well-defined whatever happens on the way, since its paths stay closed and winding
// numbers tell what they enclose.
type tidier struct {
	tol   float64
	nodes []geom.Point
	near  map[[2]geom.Length][]int32 // nodes by squares of the tolerance
	chain []chain
}

// tidy makes a plan.
func tidy(ctx context.Context, in input, tol geom.Length) (*plan, error) {
	t := &tidier{tol: float64(tol), near: map[[2]geom.Length][]int32{}}
	// Corners of the border stay rather than ends of lines, those rather than points; so the order of the input does not matter.
	var corners [3][]geom.Point
	for _, s := range in.strands {
		k := 0
		if s.line != border {
			k = 1
		}
		corners[k] = append(corners[k], s.from, s.to)
	}
	corners[2] = slices.Clone(in.points)
	for _, c := range corners {
		t.settle(c)
	}
	for _, s := range in.strands {
		t.chain = append(t.chain, chain{s.line, []int32{t.node(s.from), t.node(s.to)}})
	}
	const passes = 100
	for range passes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		moved, at := t.pass()
		if !moved {
			return t.plan(in), nil
		}
		in.at = at
	}
	return nil, fmt.Errorf("mesh: the region cannot be tidied up below %v at %v", tol, in.at)
}

// settle makes nodes of corners that have none near.
func (t *tidier) settle(list []geom.Point) {
	slices.SortFunc(list, geom.Point.Compare)
	for _, p := range slices.Compact(list) {
		if t.node(p) < 0 {
			k := t.square(p)
			t.near[k] = append(t.near[k], int32(len(t.nodes)))
			t.nodes = append(t.nodes, p)
		}
	}
}

func (t *tidier) square(p geom.Point) [2]geom.Length {
	return [2]geom.Length{geom.Length(math.Floor(float64(p.X) / t.tol)), geom.Length(math.Floor(float64(p.Y) / t.tol))}
}

// node is the nearest node within the tolerance of a place, -1 if there is none.
func (t *tidier) node(p geom.Point) int32 {
	best, least := int32(-1), float64(t.tol*t.tol)
	k := t.square(p)
	for dx := geom.Length(-1); dx <= 1; dx++ {
		for dy := geom.Length(-1); dy <= 1; dy++ {
			for _, n := range t.near[[2]geom.Length{k[0] + dx, k[1] + dy}] {
				d := p.Sub(t.nodes[n])
				if d2 := float64(d.Dot(d)); d2 < least || d2 == least && (best < 0 || n < best) {
					best, least = n, d2
				}
			}
		}
	}
	return best
}

// A hit says that a piece of a chain is to be bent through a node.
type hit struct {
	chain, piece int32
	node         int32
}

// A meeting is where two pieces cross.
type meeting struct {
	at   geom.Point
	hits [2]hit
}

// pass bends chains once and tells whether it did, and where.
func (t *tidier) pass() (moved bool, at geom.Point) {
	g := t.lay()
	var hits []hit
	var met []meeting
	for c := range int32(len(g.first) - 1) {
		list := g.pieces[g.first[c]:g.first[c+1]]
		for i, p := range list {
			for _, n := range g.nodes[g.firstNode[c]:g.firstNode[c+1]] {
				if t.passes(p, n) {
					hits = append(hits, hit{p.chain, p.piece, n})
				}
			}
			for _, q := range list[:i] {
				if at, yes := t.cross(p, q); yes {
					met = append(met, meeting{at, [2]hit{{p.chain, p.piece, 0}, {q.chain, q.piece, 0}}})
				}
			}
		}
	}
	// Crossings become nodes in an order that depends on nothing but where they are.
	places := make([]geom.Point, len(met))
	for i, m := range met {
		places[i] = m.at
	}
	t.settle(places)
	for _, m := range met {
		n := t.node(m.at)
		for _, h := range m.hits {
			nodes := t.chain[h.chain].nodes
			if n != nodes[h.piece] && n != nodes[h.piece+1] {
				hits = append(hits, hit{h.chain, h.piece, n})
			}
		}
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.chain, b.chain), cmp.Compare(a.piece, b.piece), cmp.Compare(a.node, b.node))
	})
	hits = slices.Compact(hits)
	for i := 0; i < len(hits); {
		k := i
		for k < len(hits) && hits[k].chain == hits[i].chain {
			k++
		}
		t.bend(hits[i:k])
		i = k
	}
	if len(hits) > 0 {
		at = t.nodes[hits[0].node]
	}
	return len(hits) > 0, at
}

// passes tells whether a piece passes a node, not one of its ends, within half the tolerance.
func (t *tidier) passes(p piece, n int32) bool {
	if n == p.a || n == p.b {
		return false
	}
	a, b, c := t.nodes[p.a], t.nodes[p.b], t.nodes[n]
	d := b.Sub(a)
	l2 := d.Dot(d)
	if dot := d.Dot(c.Sub(a)); dot <= 0 || dot >= l2 {
		return false
	}
	return math.Abs(float64(turn(a, b, c))) <= float64(t.tol/2*math.Sqrt(float64(l2)))
}

// cross gives the place where two pieces cross that have no end in common.
func (t *tidier) cross(p, q piece) (geom.Point, bool) {
	if p.a == q.a || p.a == q.b || p.b == q.a || p.b == q.b {
		return geom.Point{}, false
	}
	a, b, c, d := t.nodes[p.a], t.nodes[p.b], t.nodes[q.a], t.nodes[q.b]
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) || max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return geom.Point{}, false
	}
	return crossing(a, b, c, d)
}

// crossing gives the place where two segments cross within both, rounded.
func crossing(a, b, c, d geom.Point) (geom.Point, bool) {
	u, v := turn(a, b, c), turn(a, b, d)
	if !(u > 0 && v < 0 || u < 0 && v > 0) {
		return geom.Point{}, false
	}
	s, t := turn(c, d, a), turn(c, d, b)
	if !(s > 0 && t < 0 || s < 0 && t > 0) {
		return geom.Point{}, false
	}
	// The same whichever of the two is named first and whichever way each runs.
	if b.Less(a) {
		a, b = b, a
	}
	if d.Less(c) {
		c, d = d, c
	}
	if c.Less(a) || c == a && d.Less(b) {
		a, b, c, d = c, d, a, b
	}
	u, v = turn(c, d, a), turn(c, d, b)
	f := float64(u) / (float64(u) - float64(v))
	return geom.Pt(a.X+geom.Round(float64(f*float64(b.X-a.X))), a.Y+geom.Round(float64(f*float64(b.Y-a.Y)))), true
}

// bend draws a chain through nodes that it passes.
func (t *tidier) bend(hits []hit) {
	c := &t.chain[hits[0].chain]
	out := make([]int32, 0, len(c.nodes)+len(hits))
	i := 0
	for k, n := range c.nodes {
		if len(out) == 0 || out[len(out)-1] != n {
			out = append(out, n)
		}
		j := i
		for j < len(hits) && hits[j].piece == int32(k) {
			j++
		}
		if j == i {
			continue
		}
		a := t.nodes[n]
		d := t.nodes[c.nodes[k+1]].Sub(a)
		list := hits[i:j]
		slices.SortFunc(list, func(p, q hit) int {
			return cmp.Or(cmp.Compare(d.Dot(t.nodes[p.node].Sub(a)), d.Dot(t.nodes[q.node].Sub(a))), cmp.Compare(p.node, q.node))
		})
		for _, h := range list {
			out = append(out, h.node)
		}
		i = j
	}
	c.nodes = out
}

// plan gathers what has become of the strands.
func (t *tidier) plan(in input) *plan {
	p := &plan{nodes: t.nodes, chains: [][]int32{}, points: make([]int32, len(in.points))}
	for i, q := range in.points {
		p.points[i] = t.node(q)
	}
	var all []segment
	for _, c := range t.chain {
		for i := 1; i < len(c.nodes); i++ {
			s := segment{a: c.nodes[i-1], b: c.nodes[i]}
			if s.a == s.b {
				continue
			}
			sign := int32(1)
			if s.a > s.b {
				s.a, s.b, sign = s.b, s.a, -1
			}
			if c.line == border {
				s.net = sign
			} else {
				s.lines = 1
			}
			all = append(all, s)
		}
		if c.line != border {
			p.chains = append(p.chains, c.nodes)
		}
	}
	slices.SortFunc(all, func(s, t segment) int { return cmp.Or(cmp.Compare(s.a, t.a), cmp.Compare(s.b, t.b)) })
	for i := 0; i < len(all); {
		s := all[i]
		for i++; i < len(all) && all[i].a == s.a && all[i].b == s.b; i++ {
			s.net, s.lines = s.net+all[i].net, s.lines+all[i].lines
		}
		if s.net != 0 || s.lines > 0 {
			p.segments = append(p.segments, s)
		}
	}
	return p
}

// segment finds the segment between two nodes, -1 if there is none.
func (p *plan) segment(a, b int32) int32 {
	if a > b {
		a, b = b, a
	}
	i, found := slices.BinarySearchFunc(p.segments, segment{a: a, b: b}, func(s, t segment) int {
		return cmp.Or(cmp.Compare(s.a, t.a), cmp.Compare(s.b, t.b))
	})
	if !found {
		return -1
	}
	return int32(i)
}
