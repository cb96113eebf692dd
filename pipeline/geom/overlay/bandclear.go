package overlay

// A bandSweep must know more than that bands do not cross: that no corner lies within a nanometre or so of
// a segment that does not end there. To hold neighbours against each other where one has a corner is not
// enough for that. A steep segment may pass within a nanometre of a corner though another edge ends or
// begins between the two, as seen straight up or down. But a corner and a segment that lie so near each
// other, and have nothing between them, have no third corner beside them within that nanometre, since
// corners have whole coordinates. So right beside the corner the segment is a neighbour of one of its
// edges, or the corner has no edge to that side. In the first case the two are held against each other with
// all four ends. In the second the segment is a neighbour of the corner itself; or it is the next one of the
// neighbour, beyond a corner at the same x; or it begins or ends at the same x with no corner between; or
// it follows upon an upright one that leads to the corner. All of these are looked at.

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
