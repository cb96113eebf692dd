package overlay

import "math/bits"

// A place is a point of the grid, x in the upper half and y in the lower, both counted from the
// least coordinates of the call: its order is that of x, then y. Coordinates reach 2·10⁹ and a
// little, so that they and their differences fit an int32, and a cross product of two differences
// an int64: orientation tests are exact over the whole range.
type place uint64

func at(x, y int32) place { return place(uint64(uint32(x))<<32 | uint64(uint32(y))) }

func (p place) x() int32 { return int32(p >> 32) }
func (p place) y() int32 { return int32(uint32(p)) }

// turn gives the cross product (b − a) × (c − a): positive when c lies left of the way from a to b.
func turn(a, b, c place) int64 {
	return int64(b.x()-a.x())*int64(c.y()-a.y()) - int64(b.y()-a.y())*int64(c.x()-a.x())
}

// A segment is a piece of an edge that lies between two places, lo before hi.
type segment struct {
	lo, hi place
	src    int32 // the edge that it comes from
	up     bool  // whether the path runs from lo to hi: what lies left of it then has one turn more
	nodes  ends  // which of its ends something else meets, too
}

// ends says which ends of a segment are meant.
type ends uint8

const (
	loEnd ends = 1 << iota
	hiEnd
)

// between makes the segment of a path that runs from one place to another.
func between(from, to place, src int32, nodes ends) segment {
	if from < to {
		return segment{from, to, src, true, nodes}
	}
	return segment{to, from, src, false, nodes>>1 | nodes<<1&hiEnd}
}

// from and to are the ends in the path's direction.
func (s *segment) from() place {
	if s.up {
		return s.lo
	}
	return s.hi
}

func (s *segment) to() place {
	if s.up {
		return s.hi
	}
	return s.lo
}

// meet notes that something else meets the end where the path comes from, or the one it goes to.
func (s *segment) meet(from bool) {
	if from == s.up {
		s.nodes |= loEnd
	} else {
		s.nodes |= hiEnd
	}
}

// met tells whether something else meets the end where the path comes from, or the one it goes to.
func (s *segment) met(from bool) bool {
	if from == s.up {
		return s.nodes&loEnd != 0
	}
	return s.nodes&hiEnd != 0
}

// delta is what the operand's winding number gains on the way over the segment from below.
func (s *segment) delta() int32 {
	if s.up {
		return 1
	}
	return -1
}

// span is a segment made ready for tests against its neighbours.
type span struct {
	x0, y0, x1, y1 int32 // lo and hi
	low, high      int32 // least and greatest y
	id             int32
	up, moved      bool
}

func (s *segment) span(id int32, moved bool) span {
	m := span{x0: s.lo.x(), y0: s.lo.y(), x1: s.hi.x(), y1: s.hi.y(), id: id, up: s.up, moved: moved}
	m.low, m.high = min(m.y0, m.y1), max(m.y0, m.y1)
	return m
}

// side gives the cross product (hi − lo) × (q − lo): positive when q lies left of the segment.
func (s *span) side(x, y int32) int64 {
	return int64(s.x1-s.x0)*int64(y-s.y0) - int64(s.y1-s.y0)*int64(x-s.x0)
}

// reach is the sum of the segment's extents: a pixel whose middle lies beside the segment by a cross
// product greater than half of it is not touched.
func (s *span) reach() int64 {
	return int64(s.x1-s.x0) + int64(s.high-s.low)
}

// boxHolds tells whether a place lies in the segment's box, borders included.
func (s *span) boxHolds(x, y int32) bool {
	return s.x0 <= x && x <= s.x1 && s.low <= y && y <= s.high
}

// touches tells whether the segment meets the pixel of a place within its box: the square one
// nanometre wide about it, with its left and lower sides, without its right and upper ones. c is
// side of the place. Since both ends are middles of pixels, the line does not meet the pixel outside
// the segment.
//
// With the place moved by (u, v), −½ ≤ u, v < ½, the product becomes c + dx·v − dy·u. The pixel is
// met when that can be 0. A rising line touches the upper left and lower right corners last, which
// do not belong to the pixel; a falling one the lower left, which does, and the upper right.
func (s *span) touches(c int64) bool {
	t := s.reach()
	if c > t || c < -t {
		return false
	}
	if s.y1 > s.y0 {
		return -t < 2*c && 2*c < t
	}
	return -t < 2*c && 2*c <= t
}

// crossing gives the pixel that holds the crossing of two segments whose ends lie strictly on either
// side of each other. c0 and c1 are the sides of a's ends with respect to b.
func crossing(a *span, c0, c1 int64) (x, y int32) {
	num, den := c0, c0-c1 // the way from a's lo to the crossing is num/den of a
	if den < 0 {
		num, den = -num, -den
	}
	return a.x0 + fraction(a.x1-a.x0, num, den), a.y0 + fraction(a.y1-a.y0, num, den)
}

// fraction gives d·num/den rounded to the nearest, halves up, for 0 < num < den: the product in 128
// bits, so that no digit is lost.
func fraction(d int32, num, den int64) int32 {
	m := uint64(d)
	if d < 0 {
		m = uint64(-int64(d))
	}
	hi, lo := bits.Mul64(m, uint64(num))
	q, r := bits.Div64(hi, lo, uint64(den))
	if d >= 0 {
		if 2*r >= uint64(den) {
			q++
		}
		return int32(q)
	}
	if 2*r > uint64(den) {
		q++
	}
	return int32(-int64(q))
}
