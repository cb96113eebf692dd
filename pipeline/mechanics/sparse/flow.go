package sparse

// flow finds the smallest cut through a band of nodes: as many ways from one side to the other as share no node are as
// many nodes as must be cut. Source: K. Menger, "Zur allgemeinen Kurventheorie", Fund. Math. 10, 1927; the ways are found in
// phases of equal length: E. A. Dinic, Soviet Math. Dokl. 11, 1970.
type flow struct {
	local []int32 // of each node: its number in the band
	band  []int32
	head  []int32 // arcs by the end they leave: first of each, then next
	next  []int32
	to    []int32
	room  []int32
	level []int32
	at    []int32
	queue []int32
}

const plenty = 1 << 20

func (f *flow) reset(ends int) {
	f.head = f.head[:0]
	for range ends {
		f.head = append(f.head, -1)
	}
	f.next, f.to, f.room = f.next[:0], f.to[:0], f.room[:0]
}

// arc adds an arc and its opposite, whose number differs in the last bit.
func (f *flow) arc(a, b, room int32) {
	f.to = append(f.to, b, a)
	f.room = append(f.room, room, 0)
	f.next = append(f.next, f.head[a], f.head[b])
	f.head[a], f.head[b] = int32(len(f.to)-2), int32(len(f.to)-1)
}

// most pushes as much as goes from s to t. Afterwards level is at least 0 for the ends that s still reaches.
func (f *flow) most(s, t int32) {
	for f.levels(s, t) {
		f.at = append(f.at[:0], f.head...)
		for f.push(s, t) {
		}
	}
}

func (f *flow) levels(s, t int32) bool {
	f.level = f.level[:0]
	for range f.head {
		f.level = append(f.level, -1)
	}
	f.level[s] = 0
	f.queue = append(f.queue[:0], s)
	for i := 0; i < len(f.queue); i++ {
		v := f.queue[i]
		for e := f.head[v]; e >= 0; e = f.next[e] {
			if u := f.to[e]; f.room[e] > 0 && f.level[u] < 0 {
				f.level[u] = f.level[v] + 1
				f.queue = append(f.queue, u)
			}
		}
	}
	return f.level[t] >= 0
}

// push finds one way from s to t along rising levels and fills it by one.
func (f *flow) push(s, t int32) bool {
	way := f.queue[:0] // arcs
	v := s
	for v != t {
		e := f.at[v]
		for e >= 0 && (f.room[e] == 0 || f.level[f.to[e]] != f.level[v]+1) {
			e = f.next[e]
		}
		f.at[v] = e
		if e >= 0 {
			way = append(way, e)
			v = f.to[e]
			continue
		}
		if len(way) == 0 {
			return false
		}
		f.level[v] = -2 // leads nowhere
		v = f.to[way[len(way)-1]^1]
		way = way[:len(way)-1]
	}
	for _, e := range way {
		f.room[e]--
		f.room[e^1]++
	}
	f.queue = way
	return true
}

// bandSteps is how many steps the band reaches to either side of a cut.
const bandSteps = 4

// narrow replaces the cut in d.side by the smallest one within a band about it, and gives its cost.
func (d *dissection) narrow(set []int32) float64 {
	var size [3]int
	for _, v := range set {
		size[d.side[v]]++
	}
	f := &d.flow
	d.stamp++
	f.band = f.band[:0]
	for _, v := range set {
		if d.side[v] == 2 {
			f.band = append(f.band, v)
			d.mark[v] = -d.stamp - 1
		}
	}
	// Nodes are taken in by distance, until one side's share of the band is a third of that side.
	var took [2]int
	for i, steps, end := 0, 0, len(f.band); steps < bandSteps && i < end; steps++ {
		for ; i < end; i++ {
			for _, u := range d.g.neighbours(f.band[i]) {
				if d.part[u] != d.parts || d.mark[u] == -d.stamp-1 {
					continue
				}
				s := d.side[u]
				if 3*(took[s]+1) > size[s] {
					continue
				}
				took[s]++
				d.mark[u] = -d.stamp - 1
				f.band = append(f.band, u)
			}
		}
		end = len(f.band)
	}
	n := int32(len(f.band))
	for i, v := range f.band {
		f.local[v] = int32(i)
	}
	source, sink := 2*n, 2*n+1
	f.reset(int(2*n + 2))
	for i, v := range f.band {
		in, out := int32(2*i), int32(2*i+1)
		f.arc(in, out, 1)
		fromSource, toSink := false, false
		for _, u := range d.g.neighbours(v) {
			switch {
			case d.part[u] != d.parts:
			case d.mark[u] == -d.stamp-1:
				f.arc(out, 2*f.local[u], plenty)
			case d.side[u] == 0:
				fromSource = true
			default:
				toSink = true
			}
		}
		if fromSource {
			f.arc(source, in, plenty)
		}
		if toSink {
			f.arc(out, sink, plenty)
		}
	}
	f.most(source, sink)
	before := cost(size[0], size[1], size[2])
	size = [3]int{size[0] - took[0], size[1] - took[1], 0}
	for i := range f.band {
		size[f.sideOf(i)]++
	}
	after := cost(size[0], size[1], size[2])
	if after >= before || size[0] == 0 || size[1] == 0 {
		return before
	}
	for i, v := range f.band {
		d.side[v] = f.sideOf(i)
	}
	return after
}

// sideOf says on which side of the smallest cut the band's node i is.
func (f *flow) sideOf(i int) int8 {
	switch in, out := f.level[2*i], f.level[2*i+1]; {
	case in >= 0 && out >= 0:
		return 0
	case in >= 0:
		return 2
	default:
		return 1
	}
}
