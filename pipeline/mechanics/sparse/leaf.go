package sparse

import "math/bits"

// leaf orders a small set by least degree, its neighbours that come later counted in: the patterns are sets of bits, and
// eliminating a node joins those of its neighbours.
type leaf struct {
	local []int32 // of each node: its number here
	all   []int32 // the set, then its neighbours
	bits  []uint64
}

// mostBits is the largest set that is ordered by least degree.
const mostBits = 2000

// orderLeaf emits a small set, or one that has no good cut.
func (d *dissection) orderLeaf(set []int32) {
	if len(set) == 0 {
		return
	}
	d.parts++
	for _, v := range set {
		d.part[v] = d.parts
	}
	if len(set) > mostBits {
		d.orderLevels(set)
		return
	}
	l := &d.leaf
	d.stamp++
	l.all = append(l.all[:0], set...)
	for i, v := range set {
		d.mark[v] = -d.stamp - 1
		l.local[v] = int32(i)
	}
	for _, v := range set {
		for _, u := range d.g.neighbours(v) {
			if d.mark[u] != -d.stamp-1 && d.part[u] != done {
				d.mark[u] = -d.stamp - 1
				l.local[u] = int32(len(l.all))
				l.all = append(l.all, u)
			}
		}
	}
	n, words := len(set), (len(l.all)+63)/64
	l.bits = append(l.bits[:0], make([]uint64, n*words)...)
	row := func(i int) []uint64 { return l.bits[i*words : (i+1)*words] }
	degree := make([]int, n)
	for i, v := range set {
		r := row(i)
		for _, u := range d.g.neighbours(v) {
			if d.mark[u] == -d.stamp-1 {
				k := l.local[u]
				r[k/64] |= 1 << (k % 64)
			}
		}
		degree[i] = count(r)
	}
	for range n {
		best := -1
		for i := range n {
			if degree[i] >= 0 && (best < 0 || degree[i] < degree[best]) {
				best = i
			}
		}
		d.emit(set[best])
		own := row(best)
		degree[best] = -1
		for w, b := range own {
			for ; b != 0; b &= b - 1 {
				i := w*64 + bits.TrailingZeros64(b)
				if i >= n {
					break
				}
				r := row(i)
				for k, o := range own {
					r[k] |= o
				}
				r[i/64] &^= 1 << (i % 64)
				r[best/64] &^= 1 << (best % 64)
				degree[i] = count(r)
			}
		}
	}
}

func count(r []uint64) (n int) {
	for _, b := range r {
		n += bits.OnesCount64(b)
	}
	return n
}

// orderLevels emits a connected set that is large and has no good cut, from far to near. Source: E. Cuthill, J. McKee, "Reducing the
// bandwidth of sparse symmetric matrices", Proc. 24th Nat. Conf. ACM, 1969, and A. George's reversal of it.
func (d *dissection) orderLevels(set []int32) {
	list := d.byDistance(set)
	for i := len(list) - 1; i >= 0; i-- {
		d.emit(list[i])
	}
}
