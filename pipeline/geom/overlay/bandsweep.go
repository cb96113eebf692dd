package overlay

import (
	"cmp"
	"context"
	"slices"
)

// A bandSweep passes over the ends of bands from the least to the greatest, as a sweep does over a graph,
// and makes sure that bands meet in common ends only, and that no corner lies within a nanometre or so of
// a segment that does not end there (bandclear), so that snap rounding would move nothing.
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
