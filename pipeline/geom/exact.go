package geom

import "math/bits"

// orient tells on which side of the line from a to b the point c lies: 1 left, −1 right, 0 on it.
// It is exact for all coordinates whose differences fit an int64.
func orient(a, b, c Point) int {
	return crossSign(b.Sub(a), c.Sub(a))
}

// crossSign gives the sign of p × q, exactly.
func crossSign(p, q Point) int {
	if small(p.X) && small(p.Y) && small(q.X) && small(q.Y) {
		switch c := p.Cross(q); {
		case c > 0:
			return 1
		case c < 0:
			return -1
		}
		return 0
	}
	return compareProducts(p.X, q.Y, p.Y, q.X)
}

// small tells whether sums of two products of such lengths fit an int64.
func small(l Length) bool { return -1<<31 <= l && l < 1<<31 }

// compareProducts gives the sign of a*b − c*d, exactly.
func compareProducts(a, b, c, d Length) int {
	s, t := productSign(a, b), productSign(c, d)
	switch {
	case s > t:
		return 1
	case s < t:
		return -1
	case s == 0:
		return 0
	}
	hi1, lo1 := bits.Mul64(magnitude(int64(a)), magnitude(int64(b)))
	hi2, lo2 := bits.Mul64(magnitude(int64(c)), magnitude(int64(d)))
	switch {
	case hi1 == hi2 && lo1 == lo2:
		return 0
	case hi1 > hi2 || hi1 == hi2 && lo1 > lo2:
		return s
	}
	return -s
}

func productSign(a, b Length) int {
	switch {
	case a == 0 || b == 0:
		return 0
	case (a < 0) == (b < 0):
		return 1
	}
	return -1
}
