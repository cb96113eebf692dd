package sparse

import (
	"cmp"
	"slices"
)

// graph is the unknowns drawn together to nodes, and which nodes are coupled.
type graph struct {
	members    [][]int32 // the unknowns of each node, ascending
	x, y       []float64
	ptr, next  []int32 // the neighbours of v are next[ptr[v]:ptr[v+1]]
	weight     []int32
	withPlaces bool
}

// mostAtOnePlace is how many unknowns at one place are still held to be those of one node.
const mostAtOnePlace = 12

// nodesOf draws together the unknowns at one place.
func nodesOf(m *Matrix, x, y []float64) *graph {
	n := m.N
	g := &graph{withPlaces: len(x) >= n && len(y) >= n}
	node := make([]int32, n)
	all := make([]int32, n)
	for i := range all {
		all[i] = int32(i)
	}
	if g.withPlaces {
		slices.SortStableFunc(all, func(a, b int32) int {
			return cmp.Or(cmp.Compare(x[a], x[b]), cmp.Compare(y[a], y[b]))
		})
	}
	for i := 0; i < n; {
		j := i + 1
		for g.withPlaces && j < n && x[all[j]] == x[all[i]] && y[all[j]] == y[all[i]] {
			j++
		}
		if j-i > mostAtOnePlace { // the places say nothing
			for ; i < j; i++ {
				g.members = append(g.members, all[i:i+1:i+1])
			}
			continue
		}
		g.members = append(g.members, all[i:j:j])
		i = j
	}
	// Nodes are numbered by their first unknowns, so that the numbering does not depend on where the places are.
	slices.SortFunc(g.members, func(a, b []int32) int { return cmp.Compare(a[0], b[0]) })
	g.weight = make([]int32, len(g.members))
	if g.withPlaces {
		g.x, g.y = make([]float64, len(g.members)), make([]float64, len(g.members))
	}
	for v, us := range g.members {
		g.weight[v] = int32(len(us))
		for _, u := range us {
			node[u] = int32(v)
		}
		if g.withPlaces {
			g.x[v], g.y[v] = x[us[0]], y[us[0]]
		}
	}
	g.couple(m, node)
	return g
}

// couple finds the neighbours of every node, ascending.
func (g *graph) couple(m *Matrix, node []int32) {
	n := len(g.members)
	// Every coupling of unknowns, by nodes and in both directions, but each pair of nodes that follow one another once.
	count := make([]int32, n+1)
	pairs := func(give func(a, b int32)) {
		for c := range m.N {
			v, last := node[c], int32(-1)
			for _, r := range m.Row[m.Ptr[c]:m.Ptr[c+1]] {
				if u := node[r]; u != v && u != last {
					last = u
					give(u, v)
					give(v, u)
				}
			}
		}
	}
	pairs(func(a, _ int32) { count[a+1]++ })
	for v := range n {
		count[v+1] += count[v]
	}
	to := make([]int32, count[n])
	at := slices.Clone(count[:n])
	pairs(func(a, b int32) {
		to[at[a]] = b
		at[a]++
	})
	g.ptr = make([]int32, n+1)
	seen := make([]int32, n)
	size := int32(0)
	for v := range n {
		from := size
		for _, u := range to[count[v]:count[v+1]] {
			if seen[u] != int32(v)+1 {
				seen[u] = int32(v) + 1
				to[size] = u
				size++
			}
		}
		sortInts(to[from:size])
		g.ptr[v+1] = size
	}
	g.next = to[:size:size]
}

func (g *graph) neighbours(v int32) []int32 { return g.next[g.ptr[v]:g.ptr[v+1]] }

func sortLong(a []int32) { slices.Sort(a) }
