package overlay

import (
	"cmp"
	"context"
	"slices"
)

// A bandSweep passes over the ends of bands from the least to the greatest, as a sweep does over a graph,
// and makes sure that bands meet in common ends only, and that no corner lies within a nanometre or so of
// a segment that does not end there, so that snap rounding would move nothing.
//
// For that it is not enough to hold neighbours against each other where one has a corner. A steep segment
// may pass within a nanometre of a corner though another edge ends or begins between the two, as seen
// straight up or down. But a corner and a segment that lie so near each other and have nothing between
// them have, within the nanometre to that side, no other corner between them, since corners have whole
// coordinates: right beside the corner the segment is a neighbour of one of its edges; or the corner
// has no edge to that side. In the first case the two segments are held against each other with all four
// ends; in the second the segment is a neighbour of the corner itself, or it is the next one of the
// neighbour beyond a corner at the same x, or it ends with no corner between at the same x, or it follows
// upon an upright one that leads to the corner. All of these are looked at.
type bandSweep struct {
	bands
	states *states
	ends   []tip   // of all bands, sorted
	across []int32 // the bands under the sweep, from the lowest up
	found  []int32 // the paths in the order in which the sweep comes to them

	ended, fan         []int32 // the bands that end and begin at the present corner
	lastEnded, lastFan []int32 // and at the one before
}

// mostAcross is how many bands may lie side by side: beyond that the list of them is too slow.
const mostAcross = 1 << 13

// state gives the state of a face: 0 is what lies outside of all paths, k + 1 what path k encloses.
func (s *bandSweep) state(face int32) int32 {
	if face == 0 {
		return 0
	}
	return s.walks[face-1].inside
}

// run sweeps. It is not ok where bands meet, or may.
func (s *bandSweep) run(ctx context.Context) (ok bool, err error) {
	ends := slices.Grow(s.ends[:0], 2*len(s.list))
	for i := range s.list {
		d := &s.list[i]
		if folds(d.up) || !d.thin && folds(d.low) {
			return false, nil
		}
		ends = append(ends, tip{d.up[0], uint32(2 * i)}, tip{d.up[len(d.up)-1], uint32(2*i + 1)})
	}
	s.ends = sortTips(ends)
	ends = s.ends
	last := none
	for i, n := 0, 0; i < len(ends); n++ {
		if n%4096 == 0 {
			if err := ctx.Err(); err != nil {
				return false, err
			}
		}
		v := ends[i].at
		s.ended, s.lastEnded = s.lastEnded[:0], s.ended
		s.fan, s.lastFan = s.lastFan[:0], s.fan
		id := s.corner(ends[i])
		for ; i < len(ends) && ends[i].at == v; i++ {
			if s.corner(ends[i]) != id {
				return false, nil
			}
			if ends[i].ref&1 == 1 {
				s.ended = append(s.ended, int32(ends[i].ref>>1))
			} else {
				s.fan = append(s.fan, int32(ends[i].ref>>1))
			}
		}
		if last != none && last.x() == v.x() && !(s.clearOf(v, s.lastEnded, s.lastFan) && s.clearOf(last, s.ended, s.fan)) {
			return false, nil
		}
		if s.upright() || !s.pass(v) {
			return false, nil
		}
		last = v
	}
	return len(s.across) == 0, nil
}

// corner tells which corner an end is.
func (s *bandSweep) corner(t tip) int32 {
	if d := &s.list[t.ref>>1]; t.ref&1 == 1 {
		return d.hi
	} else {
		return d.lo
	}
}

// clearOf tells whether a corner lies clear of the last segments of bands that end at another and of the
// first ones of bands that begin there.
func (s *bandSweep) clearOf(v place, ended, fan []int32) bool {
	for _, i := range ended {
		d := &s.list[i]
		for _, side := range [2][]place{d.up, d.low} {
			if near(v, side[len(side)-2], side[len(side)-1]) {
				return false
			}
		}
	}
	for _, i := range fan {
		d := &s.list[i]
		if near(v, d.up[0], d.up[1]) || near(v, d.low[0], d.low[1]) {
			return false
		}
	}
	return true
}

// upright tells whether an upright segment and another that joins it come near each other otherwise.
func (s *bandSweep) upright() bool {
	for _, i := range s.ended {
		for _, k := range s.fan {
			d, e := &s.list[i], &s.list[k]
			for _, p := range [2][]place{d.up, d.low} {
				for _, q := range [2][]place{e.up, e.low} {
					if fold(p[len(p)-2], q[0], q[1]) {
						return true
					}
				}
			}
		}
	}
	return false
}

// fold tells whether of two segments that follow each other by x, then y, one is upright and has its end
// near the other.
func fold(p, q, r place) bool {
	return p.x() == q.x() && near(p, q, r) || q.x() == r.x() && near(r, p, q)
}

// folds tells whether the segments of a side do so.
func folds(side []place) bool {
	for i := 2; i < len(side); i++ {
		if fold(side[i-2], side[i-1], side[i]) {
			return true
		}
	}
	return false
}

// pass passes over a corner.
func (s *bandSweep) pass(v place) bool {
	k, ok := s.locate(v)
	if !ok {
		return false
	}
	before, after := int32(-1), int32(-1)
	if k > 0 {
		before = s.across[k-1]
	}
	m := k + len(s.ended)
	if m > len(s.across) {
		return false
	}
	if m < len(s.across) {
		after = s.across[m]
	}
	last := before
	for _, e := range s.across[k:m] {
		if d := &s.list[e]; d.up[len(d.up)-1] != v || !s.apart(last, e, v) {
			return false
		}
		last = e
	}
	if !s.apart(last, after, v) {
		return false
	}
	if before >= 0 {
		if d := &s.list[before]; beside(v, d.up, d.over) {
			return false
		}
	}
	if after >= 0 {
		if d := &s.list[after]; beside(v, d.low, d.under) {
			return false
		}
	}
	if len(s.ended) == 0 && before >= 0 && after >= 0 {
		// What begins between the two sides of an arc, but for these sides, meets neither.
		a, b, own := s.list[before].lens, s.list[after].lens, s.list[s.fan[0]].lens
		if a != 0 && (a == -b || a == b && a < 0) && own != a && own != -a {
			return false
		}
	}
	if !s.begin(v, before, after) {
		return false
	}
	s.across = slices.Replace(s.across, k, m, s.fan...)
	return len(s.across) <= mostAcross
}

// locate gives how many bands lie below a corner.
func (s *bandSweep) locate(v place) (int, bool) {
	i, j := 0, len(s.across)
	for i < j {
		m := (i + j) / 2
		c, ok := s.side(s.across[m], v)
		if !ok {
			return 0, false
		}
		if c > 0 {
			i = m + 1
		} else {
			j = m
		}
	}
	return i, true
}

// side tells where a corner under the sweep lies with respect to a band: above it (1), below it (−1), or
// at its end. It is not ok where it lies in the band.
func (s *bandSweep) side(i int32, v place) (side int, ok bool) {
	d := &s.list[i]
	if d.up[len(d.up)-1] == v {
		return 0, true
	}
	for d.up[d.atUp+1] < v {
		d.atUp++
	}
	c := turn(d.up[d.atUp], d.up[d.atUp+1], v)
	switch {
	case c > 0:
		return 1, true
	case d.thin:
		return -1, c < 0
	}
	for d.low[d.atLo+1] < v {
		d.atLo++
	}
	return -1, turn(d.low[d.atLo], d.low[d.atLo+1], v) < 0
}

// begin puts the bands that begin at a corner in order and finds the faces between them.
func (s *bandSweep) begin(v place, before, after int32) bool {
	if len(s.fan) > 1 {
		slices.SortFunc(s.fan, func(a, b int32) int {
			return -cmp.Compare(turn(v, s.list[a].up[1], s.list[b].up[1]), 0)
		})
	}
	face, end := int32(0), int32(0)
	if before >= 0 {
		face = s.list[before].above
	}
	for _, i := range s.fan {
		d := &s.list[i]
		d.below = face
		if d.path >= 0 {
			w := &s.walks[d.path]
			if w.inside < 0 {
				w.left, w.outside = d.along, face
				delta := int32(-1)
				if d.along {
					delta = 1
				}
				w.inside = s.states.next(s.state(face), w.op, delta)
				s.found = append(s.found, d.path)
			}
			switch face {
			case w.outside:
				face = d.path + 1
			case d.path + 1:
				face = w.outside
			default:
				return false
			}
			if (face == w.outside) == (d.along == w.left) {
				return false // the path runs round otherwise than it began
			}
		}
		d.above = face
	}
	if after >= 0 {
		end = s.list[after].below
	}
	return face == end
}

// apart makes sure of two bands that were neighbours up to a place that the one lies clear below the
// other since they have been neighbours, but where they end together.
func (s *bandSweep) apart(lower, upper int32, to place) bool {
	if lower < 0 || upper < 0 { // none to hold against, but the sweep has passed
		if lower >= 0 {
			for d := &s.list[lower]; d.up[d.over+1] < to; {
				d.over++
			}
		}
		if upper >= 0 {
			for d := &s.list[upper]; d.low[d.under+1] < to; {
				d.under++
			}
		}
		return true
	}
	a, b := &s.list[lower], &s.list[upper]
	for {
		p, q := a.up[a.over:], b.low[b.under:]
		if !clear4(p[0], p[1], q[0], q[1]) {
			return false
		}
		if p[0] == q[0] && (a.over > 0 || b.under > 0) || p[1] == q[1] && (len(p) > 2 || len(q) > 2) {
			return false
		}
		next := min(p[1], q[1])
		if next >= to {
			return true
		}
		if p[1] == next {
			a.over++
		}
		if q[1] == next {
			b.under++
		}
	}
}

// clear4 tells whether each end of two segments p and q that lies beside the other lies clear of it, p
// below q. Common ends do not count.
func clear4(p0, p1, q0, q1 place) bool {
	if p0 != q0 {
		if p, q := p0.x(), q0.x(); p >= q && p <= q1.x() && clearSide(p0, q0, q1) != -1 ||
			q >= p && q <= p1.x() && clearSide(q0, p0, p1) != 1 {
			return false
		}
	}
	if p1 != q1 {
		if p, q := p1.x(), q1.x(); p <= q && p >= q0.x() && clearSide(p1, q0, q1) != -1 ||
			q <= p && q >= p0.x() && clearSide(q1, p0, p1) != 1 {
			return false
		}
	}
	return true
}

// clearSide tells on which side of a segment a place lies, above (1) or below (−1), within whose extent
// by x it lies, or that it lies about a nanometre or less from it (0).
func clearSide(v, lo, hi place) int {
	c := turn(lo, hi, v)
	reach := int64(hi.x()-lo.x()) + abs(int64(hi.y())-int64(lo.y()))
	switch {
	case c > reach:
		return 1
	case c < -reach:
		return -1
	case v.y() < min(lo.y(), hi.y())-1:
		return -1
	case v.y() > max(lo.y(), hi.y())+1:
		return 1
	}
	return 0
}

// near tells whether a place that is none of a segment's ends lies about a nanometre or less from it.
func near(v, lo, hi place) bool {
	return v != lo && v != hi && v.x() >= lo.x()-1 && v.x() <= hi.x()+1 && clearSide(v, lo, hi) == 0
}

// beside tells whether a corner lies near the segment before a neighbour's present one, or the one after
// it, where these meet the present one straight above or below the corner.
func beside(v place, side []place, k int32) bool {
	x := v.x()
	return k > 0 && side[k].x() == x && near(v, side[k-1], side[k]) ||
		int(k)+2 < len(side) && side[k+1].x() == x && near(v, side[k+1], side[k+2])
}
