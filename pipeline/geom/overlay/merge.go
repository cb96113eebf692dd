package overlay

import (
	"fmt"
	"slices"
)

// Bundles of nearly coincident edges are bent onto one another: of the pieces of a hundred edges that
// run side by side within a few nanometres only a handful differ anywhere. A merger keeps those that
// are equal as one piece, so that the search for hits does not see each as often as there are edges;
// at the end it gives every edge its pieces again.
//
// Nothing else changes by that: equal segments meet the same pixels, whatever edge they come from.
type merger struct {
	roots []segment // the segments as they were when merging began
	of    []int32   // the piece that each of them is
	pool  []merged  // all pieces there have been
	bent  []int32   // those that were cut, in that order: each after all of which it is a part
	parts []int32   // of cut pieces, from lo to hi: 2·piece, plus 1 when the part runs from hi to lo
	now   distinct
}

// merged is one piece or several equal ones.
type merged struct {
	lo, hi       place
	first, count int32 // its parts; none when it was not cut
}

const (
	crowd  = 8    // hits of one pixel that are taken for a bundle
	crowds = 1024 // hits in such pixels that are worth merging
)

// crowded tells whether a good part of the hits lies in pixels that many segments meet, by a sample of
// the pixels.
func crowded(hits []hit, segs int) bool {
	worth := max(crowds, segs/4)
	if len(hits) < worth {
		return false
	}
	const part = 16
	var sample []place
	for _, h := range hits {
		if scatter(h.at, 0)%part == 0 {
			sample = append(sample, h.at)
		}
	}
	slices.Sort(sample)
	sum := 0
	for i := 0; i < len(sample); {
		k := i + 1
		for k < len(sample) && sample[k] == sample[i] {
			k++
		}
		if k-i >= crowd {
			sum += k - i
		}
		i = k
	}
	return part*sum >= worth
}

// merge begins to keep equal segments as one, and gives hits of theirs to that.
func merge(f *finder, hits []hit) *merger {
	m := &merger{roots: f.segs, of: make([]int32, len(f.segs))}
	moved := f.moved
	f.segs, f.moved, f.merged = nil, nil, true
	m.now.reset(len(m.roots))
	for i := range m.roots {
		s := &m.roots[i]
		m.of[i] = m.put(f, s.lo, s.hi, moved == nil || moved[i])
	}
	for i := range hits {
		hits[i].seg = m.of[hits[i].seg] // as yet pieces have the numbers of their segments
	}
	return m
}

// put gives the piece between two places, a new one if there is none at present.
//
// It has not moved when one of those that it stands for has not: what that meets was found before.
func (m *merger) put(f *finder, lo, hi place, moved bool) int32 {
	k := m.now.find(f.segs, lo, hi)
	if k < int32(len(f.segs)) {
		f.moved[k] = f.moved[k] && moved
		return f.segs[k].src
	}
	id := int32(len(m.pool))
	m.pool = append(m.pool, merged{lo: lo, hi: hi})
	f.segs = append(f.segs, segment{lo: lo, hi: hi, src: id, up: true})
	f.moved = append(f.moved, moved)
	return id
}

// bend cuts pieces at their hits, as the finder's does.
func (m *merger) bend(f *finder, hits []hit) {
	order := f.order(hits)
	old := f.segs
	f.segs, f.moved = make([]segment, 0, len(old)+len(hits)/4), make([]bool, 0, len(old)+len(hits)/4)
	m.now.reset(len(old))
	for i, s := range old {
		if len(order(int32(i))) == 0 {
			m.now.find(f.segs, s.lo, s.hi)
			f.segs, f.moved = append(f.segs, s), append(f.moved, false)
		}
	}
	for i, s := range old {
		h := order(int32(i))
		if len(h) == 0 {
			continue
		}
		first := int32(len(m.parts))
		last, off := s.lo, false
		to := func(p place, o bool) {
			switch {
			case last < p:
				m.parts = append(m.parts, 2*m.put(f, last, p, off || o))
			case p < last:
				m.parts = append(m.parts, 2*m.put(f, p, last, off || o)+1)
			}
			last, off = p, o
		}
		for _, p := range h {
			if p.at != last {
				to(p.at, turn(s.lo, s.hi, p.at) != 0)
			}
		}
		to(s.hi, false)
		c := &m.pool[s.src]
		c.first, c.count = first, int32(len(m.parts))-first
		m.bent = append(m.bent, s.src)
	}
}

// maxPieces is how many pieces that coincide with others there may be in the end.
const maxPieces = 1 << 26

// expand gives every segment its pieces: those that are one segment's only in its order, then those that
// coincide with others, next to each other.
func (m *merger) expand(most int64) ([]segment, error) {
	// How many segments pass each piece.
	times := make([]int64, len(m.pool))
	for _, id := range m.of {
		times[id]++
	}
	for _, id := range m.bent {
		for _, p := range m.partsOf(id) {
			times[p>>1] += times[id]
		}
	}
	// Ends that lie together are two where one path passes by, or more.
	ends := map[place]int64{}
	next := make([]int64, len(m.pool)) // where the next of the pieces that coincide goes
	single, sum := 0, int64(0)
	for i, c := range m.pool {
		if c.count > 0 {
			continue
		}
		ends[c.lo] += times[i]
		ends[c.hi] += times[i]
		if times[i] == 1 {
			single++
		} else {
			next[i], sum = sum, sum+times[i]
		}
	}
	if sum > most {
		return nil, fmt.Errorf("overlay: %d segments, many of which run along each other within nanometres, are cut into more than %d pieces: too many for one call", len(m.roots), most)
	}
	out := make([]segment, single+int(sum))
	alone, together := out[:0], out[single:]
	var walk func(id int32, s segment)
	walk = func(id int32, s segment) {
		c := &m.pool[id]
		if c.count > 0 {
			parts := m.partsOf(id)
			for k := range parts {
				p := parts[k]
				if !s.up {
					p = parts[len(parts)-1-k]
				}
				// Where paths begin are nodes, wherever else they are is seen below.
				part := segment{src: s.src, up: (p&1 == 0) == s.up}
				if k == 0 && s.met(true) {
					part.meet(true)
				}
				if k+1 == len(parts) && s.met(false) {
					part.meet(false)
				}
				walk(p>>1, part)
			}
			return
		}
		s.lo, s.hi = c.lo, c.hi
		if times[id] > 1 {
			s.nodes = loEnd | hiEnd
			together[next[id]] = s
			next[id]++
			return
		}
		if ends[c.lo] > 2 {
			s.nodes |= loEnd
		}
		if ends[c.hi] > 2 {
			s.nodes |= hiEnd
		}
		alone = append(alone, s)
	}
	for i, s := range m.roots {
		walk(m.of[i], s)
	}
	return out, nil
}

func (m *merger) partsOf(id int32) []int32 {
	c := &m.pool[id]
	return m.parts[c.first : c.first+c.count]
}

// distinct numbers pairs of places as they come, by open addressing.
type distinct struct {
	slots []int32 // 1 + the number, 0 for none
	n     int
}

func (d *distinct) reset(n int) {
	size := 64
	for size < 2*n {
		size *= 2
	}
	d.slots, d.n = make([]int32, size), 0
}

// find gives the number of the segment between two places among segs: how many those are if there is
// none, to which the caller then appends it.
func (d *distinct) find(segs []segment, lo, hi place) int32 {
	if 2*d.n >= len(d.slots) {
		d.slots = make([]int32, 2*len(d.slots))
		for i := range segs {
			*d.slot(segs, segs[i].lo, segs[i].hi) = int32(i) + 1
		}
	}
	k := d.slot(segs, lo, hi)
	if *k == 0 {
		d.n++
		*k = int32(len(segs)) + 1
	}
	return *k - 1
}

func (d *distinct) slot(segs []segment, lo, hi place) *int32 {
	mask := len(d.slots) - 1
	for i := int(scatter(lo, hi)) & mask; ; i = (i + 1) & mask {
		k := d.slots[i]
		if k == 0 || segs[k-1].lo == lo && segs[k-1].hi == hi {
			return &d.slots[i]
		}
	}
}

// scatter mixes the bits of two places.
func scatter(lo, hi place) uint64 {
	h := uint64(lo)*0x9e3779b97f4a7c15 ^ (uint64(hi)+0x7f4a7c15)*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}
