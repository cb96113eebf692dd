package offset

import (
	"cmp"
	"math"
	"slices"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/disjoint"
)

// A node is where middle lines end, or meet.
type node struct{ ends []lineEnd }

// A lineEnd is the beginning (of = 2·piece) or the end (2·piece + 1) of a middle line.
type lineEnd struct {
	of   int
	at   geom.Point
	half float64
}

// paths joins the middle lines where channels bend, meet or change their width, and strings them into
// paths from one place where not just two meet to the next.
func (c *channels) paths() []geom.Path {
	slices.SortFunc(c.pieces, func(a, b piece) int { return comparePaths(a.path, b.path) })
	nodes, of := c.nodes()
	used := make([]bool, len(c.pieces))
	c.swallow(nodes, of, used)
	for k := 0; k < len(nodes); k++ {
		for _, e := range c.meet(&nodes[k]) {
			of[e.of] = len(nodes)
			nodes = append(nodes, node{ends: []lineEnd{e}})
		}
	}
	var out []geom.Path
	follow := func(start lineEnd) {
		var p geom.Path
		for e := start; !used[e.of/2]; {
			used[e.of/2] = true
			way := c.pieces[e.of/2].path
			if e.of%2 == 1 {
				way = way.Reverse()
			}
			p = append(p, way...)
			n := nodes[of[e.of^1]]
			if len(n.ends) != 2 {
				break
			}
			next := n.ends[0]
			if next.of == e.of^1 {
				next = n.ends[1]
			}
			e = next
		}
		out = append(out, canonical(p))
	}
	for _, n := range nodes {
		if len(n.ends) != 2 {
			for _, e := range n.ends {
				if !used[e.of/2] {
					follow(e)
				}
			}
		}
	}
	for i := range c.pieces { // those that close on themselves
		if !used[i] {
			follow(lineEnd{of: 2 * i})
		}
	}
	return slices.DeleteFunc(out, func(p geom.Path) bool { return len(p) == 0 })
}

// nodes gathers the ends that belong together: those in one place; then, of what is left, those that
// lie nearest each other across a corner that one side turns about; then those about a corner where the
// channel bends or meets others, which lie within the half width and a half.
func (c *channels) nodes() ([]node, []int) {
	ends := make([]lineEnd, 0, 2*len(c.pieces))
	var index geom.Index[int]
	for i, p := range c.pieces {
		for _, e := range [2]lineEnd{{2 * i, p.path[0].From, p.half}, {2*i + 1, p.path[len(p.path)-1].To, p.last}} {
			index.Insert(geom.BoxOf(e.at), len(ends))
			ends = append(ends, e)
		}
	}
	g := disjoint.New(len(ends))
	each := func(i int, reach float64, do func(k int, d float64)) {
		index.Search(geom.BoxOf(ends[i].at).Grow(geom.Round(reach)), func(_ geom.Box, k int) bool {
			if d := ends[i].at.Distance(ends[k].at); k != i && d <= reach {
				do(k, d)
			}
			return true
		})
	}
	for i := range ends {
		each(i, 2*slack, func(k int, _ float64) { g.Join(i, k) })
	}
	// Again and again, for the nearest of an end may find a nearer one itself.
	partner := make([]int, len(ends))
	for joined := true; joined; {
		joined = false
		for i, e := range ends {
			partner[i] = -1
			if g.Size(i) > 1 {
				continue
			}
			least := math.Inf(1)
			each(i, e.half/2, func(k int, d float64) {
				if k/2 != i/2 && g.Size(k) == 1 && (d < least || d == least && k < partner[i]) {
					partner[i], least = k, d
				}
			})
		}
		for i, k := range partner {
			if k > i && partner[k] == i {
				g.Join(i, k)
				joined = true
			}
		}
	}
	var loose []int
	for i := range ends {
		if g.Size(i) == 1 {
			loose = append(loose, i)
		}
	}
	for _, i := range loose {
		each(i, float64(1.5*ends[i].half)+slack, func(k int, d float64) {
			if _, is := slices.BinarySearch(loose, k); is && k/2 != i/2 && d <= float64(1.5*ends[k].half)+slack {
				g.Join(i, k)
			}
		})
	}
	find := g.Find
	number := map[int]int{}
	var nodes []node
	of := make([]int, len(ends))
	for i, e := range ends {
		first := find(i)
		k, ok := number[first]
		if !ok {
			k = len(nodes)
			number[first] = k
			nodes = append(nodes, node{})
		}
		nodes[k].ends = append(nodes[k].ends, e)
		of[e.of] = k
	}
	return nodes, of
}

// swallow leaves out short middle lines that begin and end at one node: what meets there is led across
// them.
func (c *channels) swallow(nodes []node, of []int, used []bool) {
	for i, p := range c.pieces {
		k := of[2*i]
		if k != of[2*i+1] || p.path.Length() > 3*max(p.half, p.last) {
			continue // a ring is longer: it is at least half a width from its centre
		}
		used[i] = true
		nodes[k].ends = slices.DeleteFunc(nodes[k].ends, func(e lineEnd) bool { return e.of/2 == i })
	}
}

// meet leads the lines that end at a node to one point: where the first two that are straight and not
// parallel cross, or the middle of the ends. Ends that a border parts from it are taken from the node.
func (c *channels) meet(n *node) (parted []lineEnd) {
	if len(n.ends) < 2 {
		return nil
	}
	same := true
	base := n.ends[0].at
	var x, y, half float64
	for _, e := range n.ends {
		same = same && e.at == base
		x, y = x+float64(e.at.X-base.X), y+float64(e.at.Y-base.Y)
		half = max(half, e.half)
	}
	if same {
		return nil
	}
	sees := func(at geom.Point) func(lineEnd) bool {
		return func(e lineEnd) bool { return c.clear(e.at, at) }
	}
	k := float64(len(n.ends))
	at := geom.Pt(base.X+geom.Round(x/k), base.Y+geom.Round(y/k))
	if p, ok := c.crossing(n, half); ok && all(n.ends, sees(p)) {
		at = p
	}
	if !all(n.ends, sees(at)) {
		var together []lineEnd
		for _, e := range n.ends {
			if c.clear(e.at, at) {
				together = append(together, e)
			} else {
				parted = append(parted, e)
			}
		}
		if len(together) == 0 {
			together, parted = parted[:1], parted[1:]
		}
		n.ends = together
	}
	if len(n.ends) > 1 {
		for _, e := range n.ends {
			c.lead(e, at)
		}
	}
	return parted
}

// clear tells whether no border runs between two places.
func (c *channels) clear(p, q geom.Point) bool {
	if p == q {
		return true
	}
	line, free := geom.Line(p, q), true
	c.index.Search(line.Box(), func(_ geom.Box, i int) bool {
		d, _, _ := geom.EdgeDistance(line, c.edges[i])
		free = d >= 1
		return free
	})
	return free
}

func all(list []lineEnd, is func(lineEnd) bool) bool {
	return !slices.ContainsFunc(list, func(e lineEnd) bool { return !is(e) })
}

// crossing is where two straight lines that end at a node cross beyond their ends.
func (c *channels) crossing(n *node, half float64) (geom.Point, bool) {
	for i, a := range n.ends {
		e, ok := c.last(a)
		if !ok {
			continue
		}
		for _, b := range n.ends[i+1:] {
			f, ok := c.last(b)
			if !ok || a.of/2 == b.of/2 {
				continue
			}
			d, g, w := e.To.Sub(e.From), f.To.Sub(f.From), f.To.Sub(e.To)
			u, v := unit(float64(d.X), float64(d.Y)), unit(float64(g.X), float64(g.Y))
			if math.Abs(u.cross(v)) < 0.1 {
				continue
			}
			t := (float64(float64(w.X)*v.y) - float64(float64(w.Y)*v.x)) / u.cross(v)
			if math.Abs(t) <= 2*half+slack {
				return u.from(e.To, t), true
			}
		}
	}
	return geom.Point{}, false
}

// last gives the straight edge with which a line ends, towards that end.
func (c *channels) last(e lineEnd) (geom.Edge, bool) {
	p := c.pieces[e.of/2].path
	edge := p[len(p)-1]
	if e.of%2 == 0 {
		edge = p[0].Reverse()
	}
	return edge, edge.Sense == geom.Straight
}

// lead leads the end of a line on to a point: by its last edge, longer or shorter, where the point
// lies on it, else by one more.
func (c *channels) lead(e lineEnd, to geom.Point) {
	p := &c.pieces[e.of/2]
	if e.of%2 == 0 {
		p.path = p.path.Reverse()
		defer func() { p.path = p.path.Reverse() }()
	}
	last := &p.path[len(p.path)-1]
	if last.To == to {
		return
	}
	if last.Sense == geom.Straight && last.From != to {
		beyond, _ := geom.PointEdgeDistance(last.To, geom.Line(last.From, to))
		before, _ := geom.PointEdgeDistance(to, *last)
		if min(beyond, before) <= slack {
			last.To = to
			return
		}
	}
	p.path = append(slices.Clone(p.path), geom.Line(last.To, to))
}

// canonical leaves out corners that do not turn, joins arcs of one circle, and gives the path from its
// lesser end, or if it is closed counter-clockwise from its least corner.
func canonical(p geom.Path) geom.Path {
	if len(p) == 0 {
		return nil
	}
	closed := p.Closed()
	out := simplify(p)
	if closed && len(out) > 1 {
		if out.Area() < 0 {
			out = out.Reverse()
		}
		low := 0
		for i, e := range out {
			if e.From.Less(out[low].From) {
				low = i
			}
		}
		return simplify(slices.Concat(out[low:], out[:low]))
	}
	if closed {
		if out[0].Sense == geom.Clockwise {
			return out.Reverse()
		}
		return out
	}
	if back := out.Reverse(); comparePaths(back, out) < 0 {
		return back
	}
	return out
}

func simplify(p geom.Path) geom.Path {
	out := geom.Path{p[0]}
	for _, e := range p[1:] {
		last := &out[len(out)-1]
		switch {
		case last.Sense == geom.Straight && e.Sense == geom.Straight && last.From != e.To:
			d, _ := geom.PointEdgeDistance(e.From, geom.Line(last.From, e.To))
			if d <= 1.5 {
				last.To = e.To
				continue
			}
		case last.Sense != geom.Straight && last.Sense == e.Sense && last.Center == e.Center:
			_, a := last.Angles()
			_, b := e.Angles()
			if math.Abs(a+b) < 2*math.Pi-1e-6 || last.From == e.To {
				last.To = e.To
				continue
			}
		}
		out = append(out, e)
	}
	return out
}

func comparePaths(p, q geom.Path) int {
	return slices.CompareFunc(p, q, func(e, f geom.Edge) int {
		return cmp.Or(
			cmp.Compare(e.From.X, f.From.X), cmp.Compare(e.From.Y, f.From.Y),
			cmp.Compare(e.To.X, f.To.X), cmp.Compare(e.To.Y, f.To.Y),
			cmp.Compare(e.Sense, f.Sense), cmp.Compare(e.Center.X, f.Center.X), cmp.Compare(e.Center.Y, f.Center.Y))
	})
}
