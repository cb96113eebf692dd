package geom

import (
	"container/heap"
	"maps"
	"math"
	"slices"

	"github.com/tidwall/rtree"
)

// closeGaps joins loose ends, nearest first, and moves edges so that joined ends are one point.
//
// Loose are the places where an odd number of ends meet: a loop passes every place an even number of
// times, so that exact meetings stay as they are.
func (j *joiner) closeGaps() {
	deg := j.degrees()
	var loose []int32
	for n, d := range deg {
		if d%2 == 1 {
			loose = append(loose, int32(n))
		}
	}
	m := matcher{nodes: j.nodes, short: j.shortEdges(deg), reach: float64(j.tol), wide: j.tol}
	pairs := m.match(loose)
	if len(pairs) == 0 {
		return
	}
	last := make([]int32, len(j.nodes)) // an edge at each place
	for i, n := range j.ends {
		last[n[0]], last[n[1]] = int32(i), int32(i)
	}
	moved := make(map[int32]Point, 2*len(pairs))
	for _, p := range pairs {
		gap := j.nodes[p[0]].Distance(j.nodes[p[1]])
		j.out.LargestGap = max(j.out.LargestGap, Length(math.Ceil(gap)))
		at := j.meetingPlace(p, deg, last)
		for _, n := range p {
			if j.nodes[n] != at {
				moved[n] = at
				j.out.Moved += int(deg[n])
			}
		}
	}
	kept := j.edges[:0]
	for i, e := range j.edges {
		f, okF := moved[j.ends[i][0]]
		t, okT := moved[j.ends[i][1]]
		if okF || okT {
			if !okF {
				f = e.From
			}
			if !okT {
				t = e.To
			}
			if e = moveEnds(e, f, t); nothing(e) {
				j.out.ZeroLength++
				continue
			}
			e = ordered(e)
		}
		kept = append(kept, e)
	}
	j.edges = kept
	j.settle()
}

// moveEnds gives the edge new ends nearby. An arc that this would turn inside out, a short one going
// all the way round or the other way about, becomes a line.
func moveEnds(e Edge, from, to Point) Edge {
	if e.Sense == Straight || e.From == e.To {
		e.From, e.To = from, to
		return e
	}
	minor, whole := e.bend()
	e.From, e.To = from, to
	if from == to {
		if minor {
			e.Sense, e.Center = Straight, Point{}
		}
		return e
	}
	if m, w := e.bend(); minor && !m || !minor && !whole && m && !w && from.Distance(to) < e.Radius()/2 {
		return Line(from, to)
	}
	return e
}

// shortEdges lists the pairs of loose ends that are the two ends of one short edge: joining these
// would make the edge vanish. A nearly closed circle is not among them.
func (j *joiner) shortEdges(deg []int32) map[[2]int32]bool {
	short := map[[2]int32]bool{}
	for i, n := range j.ends {
		e := j.edges[i]
		if n[0] == n[1] || deg[n[0]]%2 == 0 || deg[n[1]]%2 == 0 || e.From.Distance(e.To) > float64(j.tol) {
			continue
		}
		if minor, _ := e.bend(); e.Sense == Straight || minor {
			short[[2]int32{min(n[0], n[1]), max(n[0], n[1])}] = true
		}
	}
	return short
}

// meetingPlace says where two loose ends are joined.
func (j *joiner) meetingPlace(p [2]int32, deg, last []int32) Point {
	a, b := j.nodes[p[0]], j.nodes[p[1]]
	switch {
	case deg[p[0]] != deg[p[1]]: // move the fewer
		if deg[p[0]] > deg[p[1]] {
			return a
		}
		return b
	case deg[p[0]] > 1:
		return a
	}
	e, f := j.edges[last[p[0]]], j.edges[last[p[1]]]
	switch {
	case e.Sense == Straight && f.Sense == Straight:
		if at, ok := corner(e, f); ok && at.Distance(a) <= float64(j.tol) && at.Distance(b) <= float64(j.tol) {
			return at
		}
		return a
	case e.Sense == Straight:
		return b
	}
	return a
}

// corner gives where two lines cross when lengthened, unless they are nearly parallel. Moved there,
// level and upright lines stay so.
func corner(e, f Edge) (Point, bool) {
	d, g, w := e.To.Sub(e.From), f.To.Sub(f.From), f.From.Sub(e.From)
	den := d.Cross(g)
	if math.Abs(float64(den)) < 0.1*d.Norm()*g.Norm() || den == 0 {
		return Point{}, false
	}
	t := float64(w.Cross(g)) / float64(den)
	x, y := t*float64(d.X), t*float64(d.Y)
	if math.Abs(x) > 4*float64(Limit) || math.Abs(y) > 4*float64(Limit) {
		return Point{}, false
	}
	return Point{e.From.X + Round(x), e.From.Y + Round(y)}, true
}

// A matcher pairs loose ends, nearest first. Free ends are found in cells as wide as the tolerance;
// only where cells are crowded does a tree take over, so that a heap of ends in one place does not
// make the work grow with its square.
type matcher struct {
	nodes []Point
	short map[[2]int32]bool
	reach float64
	wide  Length
	free  map[int32]bool
	cells map[[2]Length][]int32
	tree  *rtree.RTreeGN[float64, int32]
}

// crowded is how many ends in the cells about a place are looked at one by one.
const crowded = 48

// A candidate is a loose end with the nearest one that is still free.
type candidate struct {
	d    float64
	a, b int32
}

type candidates []candidate

func (c candidates) Len() int { return len(c) }
func (c candidates) Less(i, k int) bool {
	if c[i].d != c[k].d {
		return c[i].d < c[k].d
	}
	if c[i].a != c[k].a {
		return c[i].a < c[k].a
	}
	return c[i].b < c[k].b
}
func (c candidates) Swap(i, k int) { c[i], c[k] = c[k], c[i] }
func (c *candidates) Push(x any)   { *c = append(*c, x.(candidate)) }
func (c *candidates) Pop() any {
	old := *c
	x := old[len(old)-1]
	*c = old[:len(old)-1]
	return x
}

// match pairs the places. Few ends can have the same nearest neighbour in a plane, so that looking
// for another when the first is taken happens a bounded number of times for each pair.
func (m *matcher) match(loose []int32) [][2]int32 {
	m.free = make(map[int32]bool, len(loose))
	m.cells = make(map[[2]Length][]int32, len(loose))
	for _, n := range loose {
		m.free[n] = true
		c := m.cell(n)
		m.cells[c] = append(m.cells[c], n)
	}
	var queue candidates
	for _, n := range loose {
		if c, ok := m.nearest(n); ok {
			queue = append(queue, c)
		}
	}
	heap.Init(&queue)
	var pairs [][2]int32
	for len(queue) > 0 {
		c := heap.Pop(&queue).(candidate)
		switch {
		case !m.free[c.a]:
		case m.free[c.b]:
			m.remove(c.a)
			m.remove(c.b)
			pairs = append(pairs, [2]int32{min(c.a, c.b), max(c.a, c.b)})
		default:
			if next, ok := m.nearest(c.a); ok {
				heap.Push(&queue, next)
			}
		}
	}
	slices.SortFunc(pairs, func(p, q [2]int32) int { return int(p[0]) - int(q[0]) })
	return pairs
}

func (m *matcher) cell(n int32) [2]Length {
	p := m.nodes[n]
	return [2]Length{(p.X + 2*Limit) / m.wide, (p.Y + 2*Limit) / m.wide}
}

func (m *matcher) at(n int32) [2]float64 {
	return [2]float64{float64(m.nodes[n].X), float64(m.nodes[n].Y)}
}

func (m *matcher) remove(n int32) {
	delete(m.free, n)
	c := m.cell(n)
	list := m.cells[c]
	if len(list) <= crowded {
		list = slices.DeleteFunc(list, func(k int32) bool { return k == n })
		m.cells[c] = list
	}
	if m.tree != nil {
		at := m.at(n)
		m.tree.Delete(at, at, n)
	}
}

// nearest finds the free place nearest to n and within reach; of several as near, the first in order.
func (m *matcher) nearest(n int32) (candidate, bool) {
	best := candidate{d: math.Inf(1), a: n, b: -1}
	offer := func(k int32, d float64) {
		if k != n && (d < best.d || d == best.d && k < best.b) && !m.short[[2]int32{min(n, k), max(n, k)}] {
			best.d, best.b = d, k
		}
	}
	var lists [9][]int32
	count := 0
	at := m.cell(n)
	for i := range lists {
		lists[i] = m.cells[[2]Length{at[0] + Length(i/3) - 1, at[1] + Length(i%3) - 1}]
		count += len(lists[i])
	}
	if count <= crowded {
		for _, list := range lists {
			for _, k := range list {
				if d := m.nodes[n].Distance(m.nodes[k]); d <= m.reach {
					offer(k, d)
				}
			}
		}
		return best, best.b >= 0
	}
	if m.tree == nil {
		m.tree = new(rtree.RTreeGN[float64, int32])
		for _, k := range slices.Sorted(maps.Keys(m.free)) {
			at := m.at(k)
			m.tree.Insert(at, at, k)
		}
	}
	p := m.at(n)
	m.tree.Nearby(
		func(lo, hi [2]float64, _ int32, _ bool) float64 {
			var sum float64
			for i := range 2 {
				d := math.Max(0, math.Max(lo[i]-p[i], p[i]-hi[i]))
				sum += float64(d * d)
			}
			return sum
		},
		func(_, _ [2]float64, k int32, d2 float64) bool {
			d := math.Sqrt(d2)
			if d > m.reach || d > best.d {
				return false
			}
			offer(k, d)
			return true
		},
	)
	return best, best.b >= 0
}

// dropNearCopies drops edges with a loose end that lie within the tolerance along another edge: the
// same line drawn twice, a little off.
func (j *joiner) dropNearCopies() {
	deg := j.degrees()
	var ix Index[int32]
	anyLoose := false
	for _, d := range deg {
		anyLoose = anyLoose || d%2 == 1
	}
	if !anyLoose {
		return
	}
	for n, p := range j.nodes {
		ix.Insert(BoxOf(p), int32(n))
	}
	between := make(map[[2]int32]int32, len(j.edges)) // the first edge between two places
	for i, n := range j.ends {
		key := [2]int32{min(n[0], n[1]), max(n[0], n[1])}
		if _, ok := between[key]; !ok {
			between[key] = int32(i)
		}
	}
	near := func(n int32) []int32 {
		var out []int32
		ix.Nearest(BoxOf(j.nodes[n]), func(d float64, _ Box, k int32) bool {
			if d > float64(j.tol) || len(out) == 4 {
				return false
			}
			out = append(out, k)
			return true
		})
		return out
	}
	dropped := make([]bool, len(j.edges))
	count := 0
	for i, n := range j.ends {
		if n[0] == n[1] || deg[n[0]]%2 == 0 && deg[n[1]]%2 == 0 || j.edges[i].From.Distance(j.edges[i].To) <= 2*float64(j.tol) {
			continue
		}
	search:
		for _, a := range near(n[0]) {
			for _, b := range near(n[1]) {
				k, ok := between[[2]int32{min(a, b), max(a, b)}]
				if ok && int(k) != i && !dropped[k] && sameCourse(j.edges[i], j.edges[k], j.tol) {
					dropped[i] = true
					count++
					deg[n[0]]--
					deg[n[1]]--
					break search
				}
			}
		}
	}
	if count == 0 {
		return
	}
	j.out.Duplicates += count
	kept := j.edges[:0]
	for i, e := range j.edges {
		if !dropped[i] {
			kept = append(kept, e)
		}
	}
	j.edges = kept
	j.settle()
}
