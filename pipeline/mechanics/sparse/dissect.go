package sparse

import (
	"cmp"
	"math"
	"slices"
)

// leafNodes is how many nodes are no longer dissected.
const leafNodes = 100

// Order is an order of elimination that keeps the factor small: by nested dissection of the places x, y of
// the unknowns (unknowns of one node have one place and stay together). It is the same on every processor.
// It holds for any pattern: where places are missing or say nothing, it goes by the couplings alone.
//
// Every part is cut in two by as few nodes as will do, and these come after both halves. Source: A. George, "Nested
// dissection of a regular finite element mesh", SIAM J. Numer. Anal. 10, 1973. Where to cut is found by a sweep along
// several directions, and made better by the smallest cut within a band about it.
func Order(m *Matrix, x, y []float64) []int32 {
	g := nodesOf(m, x, y)
	d := newDissection(g)
	rest := d.setDenseAside()
	d.dissect(d.directions(rest))
	for _, v := range d.dense {
		d.emit(v)
	}
	out := make([]int32, 0, m.N)
	for _, v := range d.order {
		out = append(out, g.members[v]...)
	}
	return out
}

// dissection is an order in the making.
type dissection struct {
	g     *graph
	order []int32 // nodes
	dense []int32 // nodes coupled with so many others that they come last
	part  []int32 // which part under way a node is in, or done
	parts int32
	side  []int8  // of a part under way: which half a node is in, or 2 for the nodes between
	mark  []int32 // scratch, by nodes
	stamp int32
	buf   []int32
	flow  flow
	leaf  leaf
}

const done = -1

func newDissection(g *graph) *dissection {
	n := len(g.members)
	return &dissection{
		g: g, order: make([]int32, 0, n), part: make([]int32, n), side: make([]int8, n),
		mark: make([]int32, n), buf: make([]int32, n),
		flow: flow{local: make([]int32, n)}, leaf: leaf{local: make([]int32, n)},
	}
}

func (d *dissection) emit(v int32) {
	d.part[v] = done
	d.order = append(d.order, v)
}

// setDenseAside takes out the nodes that are coupled with very many others, which no cut could part from them.
func (d *dissection) setDenseAside() (rest []int32) {
	n := len(d.g.members)
	most := 40 + int(10*math.Sqrt(float64(n)))
	for v := range int32(n) {
		if len(d.g.neighbours(v)) > most {
			d.part[v] = done
			d.dense = append(d.dense, v)
		} else {
			rest = append(rest, v)
		}
	}
	return rest
}

// directions lists nodes in order along each direction of sweeping.
func (d *dissection) directions(nodes []int32) [][]int32 {
	if !d.g.withPlaces {
		return [][]int32{nodes}
	}
	x, y := d.g.x, d.g.y
	key := make([]float64, len(d.g.members))
	var out [][]int32
	for way := range 4 {
		for _, v := range nodes {
			switch way {
			case 0:
				key[v] = x[v]
			case 1:
				key[v] = y[v]
			case 2:
				key[v] = x[v] + y[v]
			default:
				key[v] = x[v] - y[v]
			}
		}
		l := slices.Clone(nodes)
		slices.SortStableFunc(l, func(a, b int32) int { return cmp.Compare(key[a], key[b]) })
		out = append(out, l)
	}
	return out
}

// dissect orders a set of nodes, listed along each direction.
func (d *dissection) dissect(lists [][]int32) {
	set := lists[0]
	if len(set) <= leafNodes {
		d.orderLeaf(set)
		return
	}
	d.parts++
	for _, v := range set {
		d.part[v] = d.parts
	}
	if sizes := d.components(set); len(sizes) > 1 {
		for _, l := range split(lists, sizes, d.mark, d.buf) {
			d.dissect(l)
		}
		return
	}
	if !d.separate(lists) {
		d.orderLeaf(set)
		return
	}
	var sizes [3]int
	for _, v := range set {
		d.mark[v] = int32(d.side[v])
		sizes[d.mark[v]]++
	}
	three := split(lists, sizes[:], d.mark, d.buf)
	d.dissect(three[0])
	d.dissect(three[1])
	for _, v := range three[2][0] {
		d.emit(v)
	}
}

// split sorts every list stably by the nodes' marks, 0 to len(sizes) − 1, and gives the parts.
func split(lists [][]int32, sizes []int, mark, buf []int32) [][][]int32 {
	out := make([][][]int32, len(sizes))
	at := make([]int, len(sizes))
	for _, l := range lists {
		sum := 0
		for i, s := range sizes {
			at[i] = sum
			out[i] = append(out[i], l[sum:sum+s:sum+s])
			sum += s
		}
		copy(buf, l)
		for _, v := range buf[:len(l)] {
			l[at[mark[v]]] = v
			at[mark[v]]++
		}
	}
	return out
}

// components marks every node of the set with the number of its connected part, and gives their sizes.
func (d *dissection) components(set []int32) (sizes []int) {
	for _, v := range set {
		d.mark[v] = -1
	}
	for _, root := range set {
		if d.mark[root] >= 0 {
			continue
		}
		c := int32(len(sizes))
		queue := append(d.buf[:0], root)
		d.mark[root] = c
		for i := 0; i < len(queue); i++ {
			for _, u := range d.g.neighbours(queue[i]) {
				if d.part[u] == d.parts && d.mark[u] < 0 {
					d.mark[u] = c
					queue = append(queue, u)
				}
			}
		}
		sizes = append(sizes, len(queue))
	}
	return sizes
}
