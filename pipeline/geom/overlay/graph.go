package overlay

import (
	"cmp"
	"slices"
)

// A graph is the plane cut along segments that meet in common ends only. Segments that coincide make
// one edge; those that cancel, whichever operand one asks about, make none.
type graph struct {
	at    []place // the vertices in order
	out   []int32 // where each vertex's edges to greater vertices begin in edges; one more than there are vertices
	edges []edge  // by their lesser vertex, then counter-clockwise
	in    []inward
	segs  []segment
	order []int32 // segments, those of one edge next to each other
}

// An edge leads from a lesser vertex to a greater one.
type edge struct {
	lo, hi       int32
	first, count int32 // its segments in order
	below, above int32 // the states on either side
}

// inward tells how many edges end at a vertex coming from lesser ones, and one of them.
type inward struct{ count, one int32 }

// connect builds the graph of segments. Every vertex must lie at the end of each segment that
// touches it.
func connect(segs []segment, ops func(src int32) int32) (*graph, error) {
	ends := make([]end, 0, 2*len(segs))
	for i, s := range segs {
		ends = append(ends, end{s.lo, uint32(2 * i)}, end{s.hi, uint32(2*i + 1)})
	}
	ends = sortEnds(ends)
	g := &graph{segs: segs, order: make([]int32, 0, len(segs))}
	n := 0
	for i, e := range ends {
		if i == 0 || ends[i-1].at != e.at {
			n++
		}
	}
	g.at = make([]place, 0, n)
	rank := make([]int32, len(segs)) // of the segments' hi
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
	g.edges = make([]edge, 0, len(segs))
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
		if err := g.fan(v, group, rank, ops); err != nil {
			return nil, err
		}
	}
	g.out = append(g.out, int32(len(g.edges)))
	return g, nil
}

// fan makes the edges of the segments that begin at a vertex.
func (g *graph) fan(v int32, group, rank []int32, ops func(int32) int32) error {
	p := g.at[v]
	if len(group) > 1 {
		slices.SortFunc(group, func(a, b int32) int {
			if rank[a] != rank[b] {
				switch c := turn(p, g.segs[a].hi, g.segs[b].hi); {
				case c > 0:
					return -1
				case c < 0:
					return 1
				}
			}
			return cmp.Or(cmp.Compare(rank[a], rank[b]), cmp.Compare(a, b))
		})
	}
	for i := 0; i < len(group); {
		j := i + 1
		for j < len(group) && rank[group[j]] == rank[group[i]] {
			j++
		}
		if j < len(group) && turn(p, g.segs[group[i]].hi, g.segs[group[j]].hi) == 0 {
			return &Fault{What: "segments run along each other", place: g.segs[group[i]].hi, known: true}
		}
		if j-i == 1 || !g.cancels(group[i:j], ops) {
			h := rank[group[i]]
			e := int32(len(g.edges))
			g.edges = append(g.edges, edge{lo: v, hi: h, first: int32(len(g.order)), count: int32(j - i)})
			g.order = append(g.order, group[i:j]...)
			g.in[h] = inward{g.in[h].count + 1, e}
		}
		i = j
	}
	return nil
}

// cancels tells whether segments that coincide change no operand's winding number.
func (g *graph) cancels(group []int32, ops func(int32) int32) bool {
	for i, s := range group {
		op, sum := ops(g.segs[s].src), int32(0)
		seen := false
		for k, t := range group {
			if ops(g.segs[t].src) == op {
				seen = seen || k < i
				sum += g.segs[t].delta
			}
		}
		if !seen && sum != 0 {
			return false
		}
	}
	return true
}
