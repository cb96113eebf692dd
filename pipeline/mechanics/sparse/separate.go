package sparse

import "math"

// cut is a way of parting a set: the first pos nodes of a list, of which those with neighbours beyond are the cut itself.
type cut struct {
	list []int32
	pos  int
	cost float64
}

// cost of parting a set into halves of a and b nodes by s nodes. A part of m nodes, if it is like a plane mesh, costs some
// 10 m^1.5 products, and the nodes between, with all that they make larger, some 2 s³. They count with both halves, or else it
// would pay to have many of them.
func cost(a, b, s int) float64 {
	x, y, z := float64(2*a+s)/2, float64(2*b+s)/2, float64(s)
	return float64(2*float64(float64(z*z)*z)) + float64(10*(float64(x*math.Sqrt(x))+float64(y*math.Sqrt(y))))
}

// separate parts a connected set along one of the lists: d.side gets 0, 1 and, for the nodes between, 2.
func (d *dissection) separate(lists [][]int32) bool {
	set := lists[0]
	best, second := cut{cost: math.Inf(1)}, cut{cost: math.Inf(1)}
	take := func(c cut) {
		switch {
		case c.cost < best.cost:
			best, second = c, best
		case c.cost < second.cost:
			second = c
		}
	}
	for _, l := range lists {
		take(d.sweep(l))
	}
	take(d.sweep(d.byDistance(set)))
	if best.pos == 0 {
		return false
	}
	var kept []int8
	if second.pos > 0 {
		d.apply(second)
		second.cost = d.narrow(set)
		kept = make([]int8, len(set))
		for i, v := range set {
			kept[i] = d.side[v]
		}
	}
	d.apply(best)
	if d.narrow(set) > second.cost {
		for i, v := range set {
			d.side[v] = kept[i]
		}
	}
	return true
}

// byDistance lists a connected set by the number of steps from a node at its end.
func (d *dissection) byDistance(set []int32) []int32 {
	list := make([]int32, 0, len(set))
	root := set[0]
	for range 3 {
		d.stamp++
		list = append(list[:0], root)
		d.mark[root] = -d.stamp - 1
		for i := 0; i < len(list); i++ {
			for _, u := range d.g.neighbours(list[i]) {
				if d.part[u] == d.parts && d.mark[u] != -d.stamp-1 {
					d.mark[u] = -d.stamp - 1
					list = append(list, u)
				}
			}
		}
		root = list[len(list)-1]
	}
	return list
}

// sweep finds the best place along a list where to part its set.
func (d *dissection) sweep(list []int32) cut {
	best := cut{list: list, cost: math.Inf(1)}
	for _, v := range list {
		d.mark[v] = -1 // not yet passed; then how many neighbours are not yet passed
	}
	least := len(list) / 8
	border := 0
	for i, v := range list {
		beyond := int32(0)
		for _, u := range d.g.neighbours(v) {
			switch {
			case d.part[u] != d.parts:
			case d.mark[u] < 0:
				beyond++
			default:
				d.mark[u]--
				if d.mark[u] == 0 {
					border--
				}
			}
		}
		d.mark[v] = beyond
		if beyond > 0 {
			border++
		}
		a, b := i+1-border, len(list)-i-1
		if a < least || b < least || a < 1 || b < 1 {
			continue
		}
		if c := cost(a, b, border); c < best.cost {
			best.cost, best.pos = c, i+1
		}
	}
	return best
}

// apply sets d.side as the cut says.
func (d *dissection) apply(c cut) {
	for _, v := range c.list[:c.pos] {
		d.side[v] = 0
	}
	for _, v := range c.list[c.pos:] {
		d.side[v] = 1
	}
	for _, v := range c.list[:c.pos] {
		for _, u := range d.g.neighbours(v) {
			if d.part[u] == d.parts && d.side[u] == 1 {
				d.side[v] = 2
				break
			}
		}
	}
}
