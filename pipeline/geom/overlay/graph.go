package overlay

import (
	"cmp"
	"slices"
)

// A graph is the plane cut along chains that meet in their ends only. Chains that coincide make one
// edge; those that cancel, whichever operand one asks about, make none.
type graph struct {
	at     []place // the nodes in order
	out    []int32 // where each node's edges to greater nodes begin in edges; one more than there are nodes
	edges  []edge  // by their lesser node, then counter-clockwise
	in     []inward
	segs   []segment
	chains []chain
	order  []int32 // chains, those of one edge next to each other
	gains  gains   // scratch
}

// An edge leads from a lesser node to a greater one, along a chain.
type edge struct {
	lo, hi       int32
	first, count int32 // its chains in order; more than one have a single segment each
	below, above int32 // the states on either side
	chain        chain // the first of them
}

// inward tells how many edges end at a node coming from lesser ones, and one of them.
type inward struct{ count, one int32 }

// connect builds the graph of segments. Every segment that a place touches must end there.
func connect(segs []segment, op func(src int32) int32) (*graph, error) {
	g := &graph{segs: segs, chains: chains(segs)}
	n := 0
	for i := range g.chains {
		if !g.copies(i) {
			n++
		}
	}
	ends := make([]tip, 0, 2*n)
	for i := range g.chains {
		if c := &g.chains[i]; !g.copies(i) {
			ends = append(ends, tip{c.lo(segs), uint32(2 * i)}, tip{c.hi(segs), uint32(2*i + 1)})
		}
	}
	ends = sortTips(ends)
	g.order = make([]int32, 0, len(g.chains))
	n = 0
	for i, e := range ends {
		if i == 0 || ends[i-1].at != e.at {
			n++
		}
	}
	g.at = make([]place, 0, n)
	rank := make([]int32, len(g.chains)) // of the chains' upper ends
	for i, e := range ends {
		if i == 0 || ends[i-1].at != e.at {
			g.at = append(g.at, e.at)
		}
		if e.ref&1 == 1 {
			rank[e.ref>>1] = int32(len(g.at) - 1)
		}
	}
	g.out = make([]int32, 0, n+1)
	g.in = make([]inward, n)
	g.edges = make([]edge, 0, len(ends)/2)
	var group []int32
	for i := 0; i < len(ends); {
		v := int32(len(g.out))
		g.out = append(g.out, int32(len(g.edges)))
		group = group[:0]
		for p := ends[i].at; i < len(ends) && ends[i].at == p; i++ {
			if ends[i].ref&1 == 0 {
				group = append(group, int32(ends[i].ref>>1))
			}
		}
		if err := g.fan(v, group, rank, op); err != nil {
			return nil, err
		}
	}
	g.out = append(g.out, int32(len(g.edges)))
	return g, nil
}

// copies tells whether a chain coincides with the one before it, as those do that were kept as one.
func (g *graph) copies(i int) bool {
	if i == 0 {
		return false
	}
	c, d := &g.chains[i-1], &g.chains[i]
	if c.count > 1 || d.count > 1 {
		return false
	}
	s, t := &g.segs[c.first], &g.segs[d.first]
	return s.lo == t.lo && s.hi == t.hi
}

// fan makes the edges of the chains that begin at a node.
func (g *graph) fan(v int32, group, rank []int32, op func(int32) int32) error {
	p := g.at[v]
	next := func(c int32) place { return g.chains[c].at(g.segs, 0).hi }
	if len(group) > 1 {
		slices.SortFunc(group, func(a, b int32) int {
			switch c := turn(p, next(a), next(b)); {
			case c > 0:
				return -1
			case c < 0:
				return 1
			}
			return cmp.Or(cmp.Compare(rank[a], rank[b]), cmp.Compare(a, b))
		})
	}
	for i := 0; i < len(group); {
		a := group[i]
		j := i + 1
		for ; j < len(group) && turn(p, next(a), next(group[j])) == 0; j++ {
			if b := group[j]; rank[a] != rank[b] || g.chains[a].count > 1 || g.chains[b].count > 1 {
				return &Fault{What: "segments run along each other", place: p, known: true}
			}
		}
		first := len(g.order)
		for _, c := range group[i:j] {
			g.order = append(g.order, c)
			for k := int(c) + 1; k < len(g.chains) && g.copies(k); k++ {
				g.order = append(g.order, int32(k))
			}
		}
		if same := g.order[first:]; len(same) > 1 && g.cancels(same, op) {
			g.order = g.order[:first]
		} else {
			e := edge{lo: v, hi: rank[a], first: int32(first), count: int32(len(same)), chain: g.chains[a]}
			g.in[e.hi] = inward{g.in[e.hi].count + 1, int32(len(g.edges))}
			g.edges = append(g.edges, e)
		}
		i = j
	}
	return nil
}

// seg gives the first segment of a chain.
func (g *graph) seg(c int32) *segment { return &g.segs[g.chains[c].first] }

// cancels tells whether chains that coincide change no operand's winding number.
func (g *graph) cancels(group []int32, op func(int32) int32) bool {
	if len(group)%2 == 1 {
		return false
	}
	for _, c := range group {
		s := g.seg(c)
		g.gains.add(op(s.src), s.delta())
	}
	return len(g.gains.take()) == 0
}

// leaving gives the place to which an edge leads first from one of its nodes.
func (g *graph) leaving(e, v int32) place {
	d := &g.edges[e]
	if d.lo == v {
		return d.chain.at(g.segs, 0).hi
	}
	return d.chain.at(g.segs, d.chain.count-1).lo
}
