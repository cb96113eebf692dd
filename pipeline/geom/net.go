package geom

import (
	"math"
	"slices"

	"panelwright/pipeline/geom/disjoint"
)

// A net is edges that meet at their ends only. Half-edge 2i runs along edge i, half-edge 2i+1 against it.
type net struct {
	j      *joiner
	gone   []bool    // edges that lie on no loop
	around [][]int32 // the half-edges that leave each place, counter-clockwise
}

func newNet(j *joiner) *net { return &net{j: j, gone: make([]bool, len(j.edges))} }

func (n *net) tail(h int32) int32 { return n.j.ends[h/2][h%2] }
func (n *net) head(h int32) int32 { return n.j.ends[h/2][1-h%2] }

func (n *net) edge(h int32) Edge {
	if h%2 == 1 {
		return n.j.edges[h/2].Reverse()
	}
	return n.j.edges[h/2]
}

// prune takes off what lies on no loop: first chains with a loose end, then edges that join two loops,
// which have one and the same area on both sides.
func (n *net) prune() {
	for {
		n.pruneLoose()
		n.turnRound()
		face := n.faces()
		bridges := false
		for i := range n.j.edges {
			if !n.gone[i] && n.j.ends[i][0] != n.j.ends[i][1] && face[2*i] == face[2*i+1] {
				n.gone[i], bridges = true, true
			}
		}
		if !bridges {
			return
		}
	}
}

func (n *net) pruneLoose() {
	at := make([][]int32, len(n.j.nodes))
	degree := make([]int, len(n.j.nodes))
	for i, e := range n.j.ends {
		if n.gone[i] || e[0] == e[1] {
			continue
		}
		for _, k := range e {
			at[k] = append(at[k], int32(i))
			degree[k]++
		}
	}
	var queue []int32
	for k, d := range degree {
		if d == 1 {
			queue = append(queue, int32(k))
		}
	}
	for len(queue) > 0 {
		k := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, i := range at[k] {
			if n.gone[i] {
				continue
			}
			n.gone[i] = true
			for _, m := range n.j.ends[i] {
				if degree[m]--; degree[m] == 1 && m != k {
					queue = append(queue, m)
				}
			}
		}
	}
}

// turnRound sorts what leaves each place by direction, counter-clockwise. The direction is that of the
// point a little way along, the same way for all at a place, so that arcs which set out along one tangent
// are told apart.
func (n *net) turnRound() {
	n.around = make([][]int32, len(n.j.nodes))
	for i := range n.j.edges {
		if !n.gone[i] && n.j.ends[i][0] != n.j.ends[i][1] {
			for h := int32(2 * i); h <= int32(2*i+1); h++ {
				n.around[n.tail(h)] = append(n.around[n.tail(h)], h)
			}
		}
	}
	const most = float64(MM) / 10
	for _, list := range n.around {
		if len(list) < 3 {
			continue
		}
		way := most
		for _, h := range list {
			way = min(way, n.j.edges[h/2].Length()/2)
		}
		type leaving struct {
			angle float64
			h     int32
		}
		by := make([]leaving, len(list))
		for i, h := range list {
			e := n.edge(h)
			d := e.At(way / max(e.Length(), 1)).Sub(e.From)
			by[i] = leaving{Atan2(float64(d.Y), float64(d.X)), h}
		}
		slices.SortFunc(by, func(a, b leaving) int {
			switch {
			case a.angle < b.angle:
				return -1
			case a.angle > b.angle:
				return 1
			}
			return int(a.h - b.h)
		})
		for i := range by {
			list[i] = by[i].h
		}
	}
}

// next is the half-edge that follows h round the area to its left.
func (n *net) next(h int32) int32 {
	list := n.around[n.head(h)]
	i := slices.Index(list, h^1)
	return list[(i+len(list)-1)%len(list)]
}

// faces numbers the areas to the left of the half-edges, −1 for those of edges that are gone.
func (n *net) faces() []int32 {
	face := make([]int32, 2*len(n.j.edges))
	for h := range face {
		face[h] = -1
	}
	count := int32(0)
	for h := range face {
		if i := h / 2; face[h] >= 0 || n.gone[i] || n.j.ends[i][0] == n.j.ends[i][1] {
			continue
		}
		for k := int32(h); face[k] < 0; k = n.next(k) {
			face[k] = count
		}
		count++
	}
	return face
}

// loops gives the ways round every area, and round every group from outside.
func (n *net) loops() []Loop {
	sets := disjoint.New(len(n.j.nodes))
	for i, e := range n.j.ends {
		if !n.gone[i] {
			sets.Join(int(e[0]), int(e[1]))
		}
	}
	var out []Loop
	outer := map[int][]Path{} // of each group
	var areas []Loop
	for i, e := range n.j.ends {
		if e[0] == e[1] && !n.gone[i] { // a full circle that nothing meets
			p := settled(Path{n.j.edges[i]})
			out = append(out, Loop{Path: p, Group: len(n.j.nodes) + i, Outer: true})
		}
	}
	done := make([]bool, 2*len(n.j.edges))
	for h := range done {
		if i := h / 2; done[h] || n.gone[i] || n.j.ends[i][0] == n.j.ends[i][1] {
			continue
		}
		var way []int32
		for k := int32(h); !done[k]; k = n.next(k) {
			done[k] = true
			way = append(way, k)
		}
		group := sets.Find(int(n.tail(int32(h))))
		for _, p := range n.split(way) {
			if p.Area() < 0 {
				outer[group] = append(outer[group], settled(p))
			} else {
				areas = append(areas, Loop{Path: settled(p), Group: group})
			}
		}
	}
	groups := make([]int, 0, len(outer))
	for g := range outer {
		groups = append(groups, g)
	}
	slices.Sort(groups)
	seen := map[int][]Path{}
	for _, g := range groups {
		for _, p := range outer[g] {
			if !slices.ContainsFunc(seen[g], func(q Path) bool { return slices.Equal(p, q) }) {
				seen[g] = append(seen[g], p)
				out = append(out, Loop{Path: p, Group: g, Outer: true})
			}
		}
	}
	for _, a := range areas {
		if !slices.ContainsFunc(seen[a.Group], func(q Path) bool { return slices.Equal(a.Path, q) }) {
			out = append(out, a)
		}
	}
	return out
}

// split cuts a way that passes a place more than once into loops that do not.
func (n *net) split(way []int32) []Path {
	var out []Path
	var steps []int32
	at := map[int32]int{} // place → how many steps lead to it
	for _, h := range way {
		if _, ok := at[n.tail(h)]; !ok {
			at[n.tail(h)] = len(steps)
		}
		steps = append(steps, h)
		begin, again := at[n.head(h)]
		if !again {
			continue
		}
		loop := make(Path, 0, len(steps)-begin)
		for _, s := range steps[begin:] {
			loop = append(loop, n.edge(s))
			if n.tail(s) != n.head(h) {
				delete(at, n.tail(s))
			}
		}
		steps = steps[:begin]
		if len(loop) > 1 {
			out = append(out, loop)
		}
	}
	return out
}

// marks gathers the edges that lie on no loop.
func (n *net) marks() []Mark {
	sets := disjoint.New(len(n.j.nodes))
	degree := make([]int, len(n.j.nodes))
	onLoop := make([]bool, len(n.j.nodes))
	for i, e := range n.j.ends {
		if !n.gone[i] {
			onLoop[e[0]], onLoop[e[1]] = true, true
			continue
		}
		sets.Join(int(e[0]), int(e[1]))
		degree[e[0]]++
		degree[e[1]]++
	}
	by := map[int]*Mark{}
	var order []int
	for i, e := range n.j.ends {
		if !n.gone[i] {
			continue
		}
		k := sets.Find(int(e[0]))
		m := by[k]
		if m == nil {
			m = &Mark{Box: EmptyBox()}
			by[k] = m
			order = append(order, k)
		}
		m.Edges++
		m.Length += n.j.edges[i].Length()
		m.Box = m.Box.Union(n.j.edges[i].Box())
		m.Attached = m.Attached || onLoop[e[0]] || onLoop[e[1]]
	}
	loose := map[int][]Point{}
	branches := map[int]bool{}
	for i, d := range degree {
		switch k := sets.Find(i); {
		case d == 1:
			loose[k] = append(loose[k], n.j.nodes[i])
		case d > 2:
			branches[k] = true
		}
	}
	out := make([]Mark, 0, len(order))
	for _, k := range order {
		m := *by[k]
		m.Gap = -1
		if ends := loose[k]; len(ends) == 2 && !branches[k] {
			m.From, m.To = ends[0], ends[1]
			m.Gap = Length(math.Ceil(m.From.Distance(m.To)))
		}
		out = append(out, m)
	}
	slices.SortStableFunc(out, func(a, b Mark) int { return a.Box.Min.Compare(b.Box.Min) })
	return out
}
