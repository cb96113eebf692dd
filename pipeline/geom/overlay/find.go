package overlay

import (
	"cmp"
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// A hit says that a segment meets the pixel of a place, which is none of its ends.
type hit struct {
	seg int32
	at  place
}

// A finder looks for the hits among segments: of the ends of one in another, and of rounded
// crossings in all segments that pass there. Every such pixel is hot: each segment that meets it is
// to be bent through its middle.
type finder struct {
	ctx     context.Context
	segs    []segment
	moved   []bool // only what involves a moved segment is new; nil when all is
	workers int
	merged  bool // no two segments are equal, and what the ends meet does not matter
	room    int  // how many hits there may be, 0 for any number
	found   atomic.Int64
}

// find gives all hits in the box, in no particular order, some of them more than once, and notes at
// the segments which of their ends are met by others.
func (f *finder) find(b box) ([]hit, error) {
	var wide, high int64
	n := 0
	for i := range f.segs {
		if f.moved == nil || f.moved[i] {
			s := &f.segs[i]
			wide += int64(s.hi.x() - s.lo.x())
			high += abs(int64(s.hi.y() - s.lo.y()))
			n++
		}
	}
	if n == 0 {
		return nil, nil
	}
	g := lay(b, n, wide, high)
	f.fill(&g, nil, &scratch{})
	const batch = 64
	count := int(g.nx * g.ny)
	workers := f.workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	workers = min(workers, (count+batch-1)/batch)
	leaves := make([]leaf, workers)
	var next atomic.Int64
	work := func(l *leaf) {
		for {
			end := int(next.Add(batch))
			if end-batch >= count || l.stop() {
				return
			}
			for i := end - batch; i < min(end, count); i++ {
				if ids := g.list[g.first[i]:g.first[i+1]]; len(ids) > 1 {
					l.explore(l.fold(ids), g.cell(i), 0)
				}
			}
		}
	}
	if workers == 1 {
		leaves[0].f = f
		work(&leaves[0])
	} else {
		var wait sync.WaitGroup
		for i := range leaves {
			leaves[i].f = f
			wait.Go(func() { work(&leaves[i]) })
		}
		wait.Wait()
	}
	f.found.Store(0)
	n = 0
	for i := range leaves {
		n += len(leaves[i].hits)
	}
	if f.room > 0 && n > f.room {
		return nil, fmt.Errorf("overlay: %d segments meet one another's pixels more than %d times: too many for one call", len(f.segs), f.room)
	}
	if err := f.ctx.Err(); err != nil {
		return nil, err
	}
	hits := leaves[0].hits
	for i := range leaves {
		if i > 0 {
			hits = append(hits, leaves[i].hits...)
		}
		for _, m := range leaves[i].met {
			f.segs[m>>1].nodes |= loEnd << (m & 1)
		}
	}
	return hits, nil
}

func abs(v int64) int64 {
	if v < 0 {
		return -v
	}
	return v
}

// scratch is memory for the lists of one grid after another.
type scratch struct{ first, list, fill []int32 }

// fill lists the segments of each cell: all of them or those given. Where only some have moved,
// cells without such stay empty.
func (f *finder) fill(g *grid, ids []int32, s *scratch) {
	n := int(g.nx * g.ny)
	g.first = slices.Grow(s.first[:0], n+1)[:n+1]
	clear(g.first)
	var buf [64]int32
	out := buf[:0]
	var wanted []bool
	if f.moved != nil && ids == nil {
		wanted = make([]bool, n)
		for i := range f.segs {
			if f.moved[i] {
				out = g.visit(&f.segs[i], out[:0])
				for _, c := range out {
					wanted[c] = true
				}
			}
		}
	}
	each := func(do func(c, id int32)) {
		m := len(ids)
		if ids == nil {
			m = len(f.segs)
		}
		for i := range m {
			id := int32(i)
			if ids != nil {
				id = ids[i]
			}
			out = g.visit(&f.segs[id], out[:0])
			for _, c := range out {
				if wanted == nil || wanted[c] {
					do(c, id)
				}
			}
		}
	}
	each(func(c, _ int32) { g.first[c+1]++ })
	for i := range n {
		g.first[i+1] += g.first[i]
	}
	g.list = slices.Grow(s.list[:0], int(g.first[n]))[:g.first[n]]
	fill := append(s.fill[:0], g.first[:n]...)
	*s = scratch{g.first, g.list, fill}
	each(func(c, id int32) {
		g.list[fill[c]] = id
		fill[c]++
	})
}

// A leaf is one worker's place for testing the segments of one cell after another.
type leaf struct {
	f       *finder
	hits    []hit
	met     []uint32 // ends that other segments meet: 2·segment, plus 1 for hi
	spans   []span
	twins   map[int32]twin // of segments that stand for others in the present cell
	grids   [deep]scratch
	box     box
	crossed []place // rounded crossings in this cell
	full    int     // how many crossings to gather before dropping those found twice
	told    int     // how many of the hits the finder knows of
}

// stop tells whether to give up: the context is done, or there are too many hits.
func (l *leaf) stop() bool {
	n := len(l.hits) - l.told
	l.told += n
	found := l.f.found.Add(int64(n))
	return l.f.room > 0 && found > int64(l.f.room) || l.f.ctx.Err() != nil
}

const (
	few     = 24 // segments that are tested each against each
	many    = 96 // segments that are worth another grid
	shallow = 8  // segments one over another that are not
	deep    = 8  // grids within grids
	narrow  = 64 // nm: cells that are not parted again
)

// A twin is what a segment stands for that lies exactly on others.
type twin struct {
	ids   []int32 // the others
	moved bool    // whether one of all has moved
}

// fold leaves one of each set of equal segments of a cell, to be tested for all of them: many shapes may
// lie on one another, and bundles of edges that nearly do are bent onto each other by the first pass.
func (l *leaf) fold(ids []int32) []int32 {
	clear(l.twins)
	if len(ids) <= few || l.f.merged {
		return ids
	}
	segs := l.f.segs
	order := slices.Clone(ids)
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(segs[a].lo, segs[b].lo), cmp.Compare(segs[a].hi, segs[b].hi), cmp.Compare(a, b))
	})
	out := order[:0]
	for i := 0; i < len(order); {
		k := i + 1
		for k < len(order) && segs[order[k]].lo == segs[order[i]].lo && segs[order[k]].hi == segs[order[i]].hi {
			k++
		}
		if k > i+1 {
			t := twin{ids: slices.Clone(order[i+1 : k])}
			for _, id := range order[i:k] {
				l.met = append(l.met, uint32(id)<<1, uint32(id)<<1|1) // they meet one another
				t.moved = t.moved || l.f.moved == nil || l.f.moved[id]
			}
			if l.twins == nil {
				l.twins = map[int32]twin{}
			}
			l.twins[order[i]] = t
		}
		out = append(out, order[i])
		i = k
	}
	return out
}

// explore tests the segments of a cell, in smaller cells where there are many.
func (l *leaf) explore(ids []int32, b box, depth int) {
	if len(ids) > many && depth < deep && b.x1-b.x0 > narrow && b.y1-b.y0 > narrow {
		l.load(ids)
		if _, pile := l.axis(); pile > shallow && l.part(ids, b, depth) {
			return
		}
	}
	l.test(ids, b)
}

// part tests the segments of a cell in a grid of its own, where one parts them well enough.
//
// Long segments that cross the whole cell lie in many of the smaller ones. It pays all the same: the
// number of pairs to test stays as it is, that of crossings held against all segments gets smaller.
func (l *leaf) part(ids []int32, b box, depth int) bool {
	var wide, high int64
	for _, id := range ids {
		s := &l.f.segs[id]
		wide += min(int64(s.hi.x()-s.lo.x()), b.x1-b.x0)
		high += min(abs(int64(s.hi.y()-s.lo.y())), b.y1-b.y0)
	}
	g := lay(b, len(ids), wide/4, high/4)
	if g.nx*g.ny == 1 {
		return false
	}
	l.f.fill(&g, ids, &l.grids[depth])
	if len(g.list) > 20*len(ids) {
		return false
	}
	// A bundle that runs through many of the cells is not parted by them, only tested once in each.
	pairs := 0
	for i := range int(g.nx * g.ny) {
		m := int(g.first[i+1] - g.first[i])
		pairs += m * m
	}
	if pairs > len(ids)*min(3*len(ids), len(g.list)/2) {
		return false
	}
	for i := range int(g.nx * g.ny) {
		if part := g.list[g.first[i]:g.first[i+1]]; len(part) > 1 {
			l.explore(part, g.cell(i), depth+1)
		}
	}
	return true
}

// load makes the segments of a cell ready and tells whether one of them has moved.
func (l *leaf) load(ids []int32) (moved bool) {
	l.spans = l.spans[:0]
	for _, id := range ids {
		m := l.f.moved == nil || l.f.moved[id] || len(l.twins) > 0 && l.twins[id].moved
		moved = moved || m
		l.spans = append(l.spans, l.f.segs[id].span(id, m))
	}
	return moved
}

// test finds the hits in one cell.
func (l *leaf) test(ids []int32, b box) {
	l.box, l.crossed, l.full = b, l.crossed[:0], 1<<16
	if !l.load(ids) {
		return
	}
	if len(l.spans) > few {
		l.sweep()
	} else {
		for i := range l.spans {
			for j := i + 1; j < len(l.spans); j++ {
				l.pair(&l.spans[i], &l.spans[j])
			}
		}
	}
	l.compact()
	for k, p := range l.crossed {
		if k%64 == 63 && l.stop() {
			return
		}
		x, y := p.x(), p.y()
		for i := range l.spans {
			if s := &l.spans[i]; s.boxHolds(x, y) && s.touches(s.side(x, y)) {
				switch {
				case x == s.x0 && y == s.y0:
					l.meet(s, loEnd)
				case x == s.x1 && y == s.y1:
					l.meet(s, hiEnd)
				default:
					l.hit(s, p)
				}
			}
		}
	}
}

func (l *leaf) compact() {
	slices.Sort(l.crossed)
	l.crossed = slices.Compact(l.crossed)
}

// axes are directions across which segments may lie apart from one another when their boxes do not:
// hatching at any angle is nearly square to one of them.
var axes = [...][2]int64{{1, 0}, {0, 1}, {1, 1}, {1, -1}, {2, 1}, {1, 2}, {2, -1}, {1, -2}, {4, 1}, {1, 4}, {4, -1}, {1, -4}}

// axis gives the axis across which the segments lie apart best, and how many of them lie one over
// another along it on the average.
func (l *leaf) axis() (best int, least float64) {
	for k, a := range axes {
		var sum, from, to int64
		for i := range l.spans {
			u, v := l.spans[i].along(a)
			sum += v - u
			if i == 0 {
				from, to = u, v
			}
			from, to = min(from, u), max(to, v)
		}
		if pile := float64(sum) / float64(to-from+1); k == 0 || pile < least {
			best, least = k, pile
		}
	}
	return best, least
}

// along gives the segment's extent along an axis.
func (s *span) along(a [2]int64) (from, to int64) {
	u, v := a[0]*int64(s.x0)+a[1]*int64(s.y0), a[0]*int64(s.x1)+a[1]*int64(s.y1)
	return min(u, v), max(u, v)
}

// sweep tests the pairs whose extents along the best of the axes overlap.
func (l *leaf) sweep() {
	type extent struct {
		from, to int64
		i        int32
	}
	best, _ := l.axis()
	a := axes[best]
	margin := abs(a[0]) + abs(a[1])
	list := make([]extent, len(l.spans))
	for i := range l.spans {
		u, v := l.spans[i].along(a)
		list[i] = extent{u, v + margin, int32(i)}
	}
	slices.SortFunc(list, func(p, q extent) int {
		return cmp.Or(cmp.Compare(p.from, q.from), cmp.Compare(p.i, q.i))
	})
	for i, p := range list {
		if i%64 == 0 && l.stop() {
			return
		}
		for _, q := range list[i+1:] {
			if q.from > p.to {
				break
			}
			l.pair(&l.spans[p.i], &l.spans[q.i])
		}
	}
}

// pair tests two segments against each other: the ends of each in the other, and their crossing.
func (l *leaf) pair(a, b *span) {
	if a.x0 > b.x1 || b.x0 > a.x1 || a.low > b.high || b.low > a.high || !a.moved && !b.moved {
		return
	}
	c0, c1 := a.side(b.x0, b.y0), a.side(b.x1, b.y1)
	t := a.reach()
	if c0 > t && c1 > t || c0 < -t && c1 < -t {
		return
	}
	l.end(a, b, loEnd, c0)
	l.end(a, b, hiEnd, c1)
	d0, d1 := b.side(a.x0, a.y0), b.side(a.x1, a.y1)
	l.end(b, a, loEnd, d0)
	l.end(b, a, hiEnd, d1)
	if (c0 > 0 && c1 < 0 || c0 < 0 && c1 > 0) && (d0 > 0 && d1 < 0 || d0 < 0 && d1 > 0) {
		if x, y := crossing(a, d0, d1); l.box.holds(x, y) {
			if n := len(l.crossed); n == 0 || l.crossed[n-1] != at(x, y) {
				l.crossed = append(l.crossed, at(x, y))
			}
			if len(l.crossed) >= l.full {
				l.compact()
				l.full = max(l.full, 2*len(l.crossed))
			}
		}
	}
}

// end looks whether an end of o lies in a pixel that s meets, on whose side it lies by c.
func (l *leaf) end(s, o *span, which ends, c int64) {
	x, y := o.x0, o.y0
	if which == hiEnd {
		x, y = o.x1, o.y1
	}
	if !s.boxHolds(x, y) || !s.touches(c) || !l.box.holds(x, y) {
		return
	}
	switch {
	case x == s.x0 && y == s.y0:
		if !follows(s, loEnd, o, which) {
			l.meet(o, which)
		}
	case x == s.x1 && y == s.y1:
		if !follows(s, hiEnd, o, which) {
			l.meet(o, which)
		}
	default:
		l.meet(o, which)
		l.hit(s, at(x, y))
	}
}

// hit notes that a segment, and those that it stands for, meet a pixel.
func (l *leaf) hit(s *span, p place) {
	l.hits = append(l.hits, hit{s.id, p})
	if len(l.twins) > 0 {
		for _, id := range l.twins[s.id].ids {
			l.hits = append(l.hits, hit{id, p})
		}
	}
}

// follows tells whether two segments that share a place do so because a path runs on from one to the
// other there. Where paths begin the ends are known to be met anyway.
func follows(s *span, at ends, o *span, there ends) bool {
	switch s.id - o.id {
	case 1:
		return o.up == (there == hiEnd) && s.up == (at == loEnd)
	case -1:
		return s.up == (at == hiEnd) && o.up == (there == loEnd)
	}
	return false
}

func (l *leaf) meet(s *span, which ends) {
	if l.f.merged {
		return
	}
	l.met = append(l.met, uint32(s.id)<<1|uint32(which>>1)) // those that it stands for are met anyway
}
