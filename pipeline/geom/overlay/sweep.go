package overlay

import "context"

// A sweep passes over the nodes of a graph from the least to the greatest and keeps the edges that lie
// across its way, from the lowest up, in blocks. At each node the edges that end there are taken out
// and those that begin there put in their stead.
//
// It follows M. I. Shamos and D. Hoey, "Geometric intersection problems", FOCS 1976: as long as two
// edges are neighbours, it makes sure that every corner of each lies on its side of the other. So a
// sweep that comes to its end has proved that no two edges cross or touch but in common ends, by exact
// tests of orientation, whatever came before it.
type sweep struct {
	g      *graph
	use    []bool // which edges to look at; nil for all
	in     []inward
	blocks []block
	dir    []int32   // the blocks from the lowest up
	free   []int32   // blocks out of use
	spots  []station // of each edge
}

// A station is where the sweep stands on an edge.
type station struct {
	block int32
	cur   int32 // the segment under the sweep, as far as it was needed
	over  int32 // the segment from which on the neighbour above is still to be looked at
	under int32 // and the one below
}

const blockSize = 48

type block struct {
	n, pos int32 // how many edges; where in dir
	edges  [blockSize]int32
}

// A spot is a position in the status: before edge i of a block, which may be one past its last.
type spot struct{ block, i int32 }

func newSweep(g *graph, use []bool) *sweep {
	s := &sweep{g: g, use: use, in: g.in, spots: make([]station, len(g.edges))}
	if use != nil {
		s.in = make([]inward, len(g.at))
		for e, used := range use {
			if used {
				h := g.edges[e].hi
				s.in[h] = inward{s.in[h].count + 1, int32(e)}
			}
		}
	}
	s.blocks = append(s.blocks, block{})
	s.dir = append(s.dir, 0)
	return s
}

// before gives the edge just below a spot, −1 for none.
func (s *sweep) before(p spot) int32 {
	if p.i > 0 {
		return s.blocks[p.block].edges[p.i-1]
	}
	if pos := s.blocks[p.block].pos; pos > 0 {
		b := &s.blocks[s.dir[pos-1]]
		return b.edges[b.n-1]
	}
	return -1
}

// after gives the edge just above a spot, −1 for none.
func (s *sweep) after(p spot) int32 {
	if b := &s.blocks[p.block]; p.i < b.n {
		return b.edges[p.i]
	}
	if pos := s.blocks[p.block].pos; int(pos)+1 < len(s.dir) {
		return s.blocks[s.dir[pos+1]].edges[0]
	}
	return -1
}

// side gives where a place under the sweep lies with respect to an edge: positive above it.
func (s *sweep) side(e int32, p place) int64 {
	c, k := &s.g.edges[e].chain, &s.spots[e].cur
	s.pass(c, k, p)
	g := c.at(s.g.segs, *k)
	return turn(g.lo, g.hi, p)
}

// pass moves on along a chain to the segment that ends at a place or beyond it.
func (s *sweep) pass(c *chain, k *int32, p place) {
	for *k+1 < c.count && c.at(s.g.segs, *k).hi < p {
		*k++
	}
}

// locate finds the spot of a place on which no edge ends.
func (s *sweep) locate(p place) (spot, error) {
	lo, hi := 0, len(s.dir)-1 // the first block whose last edge lies above p, or the last block
	for lo < hi {
		m := (lo + hi) / 2
		b := &s.blocks[s.dir[m]]
		c := s.side(b.edges[b.n-1], p)
		if c == 0 {
			return spot{}, s.fault("a node lies on an edge", p)
		}
		if c > 0 {
			lo = m + 1
		} else {
			hi = m
		}
	}
	k := s.dir[lo]
	b := &s.blocks[k]
	i, j := int32(0), b.n // the first edge above p
	for i < j {
		m := (i + j) / 2
		c := s.side(b.edges[m], p)
		if c == 0 {
			return spot{}, s.fault("a node lies on an edge", p)
		}
		if c > 0 {
			i = m + 1
		} else {
			j = m
		}
	}
	return spot{k, i}, nil
}

// remove takes out the edges that end at a node, which must be neighbours, and gives their spot.
func (s *sweep) remove(v, one, count int32) (spot, error) {
	at := s.g.at[v]
	k := s.spots[one].block
	b := &s.blocks[k]
	i := int32(0)
	for i < b.n && b.edges[i] != one {
		i++
	}
	if i == b.n {
		return spot{}, s.fault("an edge is not where it was put", at)
	}
	from := spot{k, i}
	for { // down to the lowest that ends here
		e := s.before(from)
		if e < 0 || s.g.edges[e].hi != v {
			break
		}
		if from.i == 0 {
			from.block = s.dir[s.blocks[from.block].pos-1]
			from.i = s.blocks[from.block].n
		}
		from.i--
	}
	last := s.before(from)
	for range count {
		b := &s.blocks[from.block]
		if from.i == b.n {
			pos := b.pos
			if int(pos)+1 == len(s.dir) {
				return spot{}, s.fault("edges that end together are not neighbours", at)
			}
			from = spot{s.dir[pos+1], 0}
			b = &s.blocks[from.block]
		}
		e := b.edges[from.i]
		if s.g.edges[e].hi != v {
			return spot{}, s.fault("edges that end together are not neighbours", at)
		}
		if err := s.apart(last, e, at); err != nil {
			return spot{}, err
		}
		last = e
		copy(b.edges[from.i:b.n-1], b.edges[from.i+1:b.n])
		b.n--
		if b.n == 0 && len(s.dir) > 1 {
			from = s.drop(from.block)
		}
	}
	if err := s.apart(last, s.after(from), at); err != nil {
		return spot{}, err
	}
	return from, nil
}

// drop takes out an empty block and gives the spot where it was.
func (s *sweep) drop(k int32) spot {
	pos := s.blocks[k].pos
	s.dir = append(s.dir[:pos], s.dir[pos+1:]...)
	for i := int(pos); i < len(s.dir); i++ {
		s.blocks[s.dir[i]].pos = int32(i)
	}
	s.free = append(s.free, k)
	if int(pos) < len(s.dir) {
		return spot{s.dir[pos], 0}
	}
	last := s.dir[len(s.dir)-1]
	return spot{last, s.blocks[last].n}
}

// insert puts an edge at a spot and gives the spot above it.
func (s *sweep) insert(p spot, e int32) spot {
	b := &s.blocks[p.block]
	if b.n == blockSize {
		p = s.split(p)
		b = &s.blocks[p.block]
	}
	copy(b.edges[p.i+1:b.n+1], b.edges[p.i:b.n])
	b.edges[p.i] = e
	b.n++
	s.spots[e].block = p.block
	return spot{p.block, p.i + 1}
}

// split halves a full block.
func (s *sweep) split(p spot) spot {
	var k int32
	if n := len(s.free); n > 0 {
		k, s.free = s.free[n-1], s.free[:n-1]
		s.blocks[k] = block{}
	} else {
		k = int32(len(s.blocks))
		s.blocks = append(s.blocks, block{})
	}
	a, b := &s.blocks[p.block], &s.blocks[k]
	const half = blockSize / 2
	b.n = int32(copy(b.edges[:], a.edges[half:]))
	a.n = half
	for _, e := range b.edges[:b.n] {
		s.spots[e].block = k
	}
	s.dir = append(s.dir, 0)
	copy(s.dir[a.pos+2:], s.dir[a.pos+1:])
	s.dir[a.pos+1] = k
	for i := int(a.pos) + 1; i < len(s.dir); i++ {
		s.blocks[s.dir[i]].pos = int32(i)
	}
	if p.i > half {
		return spot{k, p.i - half}
	}
	return p
}

// apart makes sure of two edges that were neighbours up to a place that the one lies below the other
// there and at all their corners since they have been neighbours.
func (s *sweep) apart(lower, upper int32, to place) error {
	if lower < 0 || upper < 0 { // none to hold against, but the time has passed
		if lower >= 0 {
			s.pass(&s.g.edges[lower].chain, &s.spots[lower].over, to)
		}
		if upper >= 0 {
			s.pass(&s.g.edges[upper].chain, &s.spots[upper].under, to)
		}
		return nil
	}
	a, b := &s.g.edges[lower].chain, &s.g.edges[upper].chain
	i, j := &s.spots[lower].over, &s.spots[upper].under
	for {
		p, q := a.at(s.g.segs, *i), b.at(s.g.segs, *j)
		next := min(p.hi, q.hi)
		if next > to {
			next = to
		}
		// At the end of their time as neighbours they may meet, where one or both end.
		if next == p.hi && (next < to || q.hi != to) && turn(q.lo, q.hi, next) >= 0 ||
			next == q.hi && (next < to || p.hi != to) && turn(p.lo, p.hi, next) <= 0 {
			return s.fault("an edge meets its neighbour", next)
		}
		if next == to {
			return nil
		}
		if p.hi == next {
			*i++
		}
		if q.hi == next {
			*j++
		}
	}
}

func (s *sweep) fault(what string, p place) error {
	return &Fault{What: what, place: p, known: true}
}

// run sweeps over the graph. At each node it calls begin with the edge below it (−1 for none), the
// edges that begin there, and the edge above.
func (s *sweep) run(ctx context.Context, begin func(below int32, edges []int32, above int32, at place) error) error {
	var fan []int32
	for v := range int32(len(s.g.at)) {
		if v%8192 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		fan = fan[:0]
		for e := s.g.out[v]; e < s.g.out[v+1]; e++ {
			if s.use == nil || s.use[e] {
				fan = append(fan, e)
			}
		}
		in := s.in[v]
		if in.count == 0 && len(fan) == 0 {
			continue
		}
		at := s.g.at[v]
		var p spot
		var err error
		if in.count > 0 {
			p, err = s.remove(v, in.one, in.count)
		} else if p, err = s.locate(at); err == nil {
			err = s.apart(s.before(p), s.after(p), at)
		}
		if err != nil {
			return err
		}
		if err := begin(s.before(p), fan, s.after(p), at); err != nil {
			return err
		}
		for _, e := range fan {
			p = s.insert(p, e)
		}
	}
	for _, k := range s.dir {
		if b := &s.blocks[k]; b.n > 0 {
			return s.fault("an edge does not end", s.g.at[s.g.edges[b.edges[0]].hi])
		}
	}
	return nil
}
