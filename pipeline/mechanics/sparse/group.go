package sparse

import (
	"cmp"
	"slices"
)

// graph is the unknowns drawn together into nodes, and which nodes are coupled.
type graph struct {
	members    [][]int32 // the unknowns of each node, ascending
	x, y       []float64
	ptr, next  []int32 // the neighbours of v are next[ptr[v]:ptr[v+1]]
	weight     []int32
	withPlaces bool
}

// mostAtOnePlace is how many unknowns at one place are still held to be those of one node.
const mostAtOnePlace = 12

// nodesOf draws together the unknowns at one place, or where places say nothing those that are coupled with the same others.
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
	var sums []uint64
	for i := 0; i < n; {
		j := i + 1
		for j < n && (!g.withPlaces || x[all[j]] == x[all[i]] && y[all[j]] == y[all[i]]) {
			j++
		}
		if j-i <= mostAtOnePlace && g.withPlaces {
			g.members = append(g.members, all[i:j:j])
		} else {
			if sums == nil {
				sums = couplings(m)
			}
			g.drawTogether(all[i:j], sums)
		}
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

// drawTogether makes nodes of those unknowns, ascending, that have the same sum of couplings.
func (g *graph) drawTogether(unknowns []int32, sums []uint64) {
	slices.SortStableFunc(unknowns, func(a, b int32) int { return cmp.Compare(sums[a], sums[b]) })
	for i := 0; i < len(unknowns); {
		j := i + 1
		for j < len(unknowns) && j-i < mostAtOnePlace && sums[unknowns[j]] == sums[unknowns[i]] {
			j++
		}
		g.members = append(g.members, unknowns[i:j:j])
		i = j
	}
}

// couplings gives for each unknown a sum over itself and all that it is coupled with: the same sum is the same couplings, as good as always.
func couplings(m *Matrix) []uint64 {
	mixed := func(i int32) uint64 {
		v := (uint64(i) + 1) * 0x9e3779b97f4a7c15
		v = (v ^ v>>30) * 0xbf58476d1ce4e5b9
		v = (v ^ v>>27) * 0x94d049bb133111eb
		return v ^ v>>31
	}
	sums := make([]uint64, m.N)
	for c := range int32(m.N) {
		sums[c] += mixed(c)
		for _, r := range m.Row[m.Ptr[c]:m.Ptr[c+1]] {
			if r != c {
				sums[c] += mixed(r)
				sums[r] += mixed(c)
			}
		}
	}
	return sums
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
