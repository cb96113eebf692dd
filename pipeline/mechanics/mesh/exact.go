package mesh

import (
	"math"
	"math/bits"

	"panelwright/pipeline/geom"
)

// All points lie within ±1 m and little more (frameMargin), so differences stay below 2.01e9 nm and the doubled area of a
// triangle, and each product in it, below 4.1e18: cross products are exact in 64 bits.

// turn is positive where a, b, c turn left, negative where they turn right, 0 on a straight line.
func turn(a, b, c geom.Point) int64 { return b.Sub(a).Cross(c.Sub(a)) }

// inCircle tells whether d lies inside the circle through a, b, c, which are counter-clockwise.
func inCircle(a, b, c, d geom.Point) bool {
	a, b, c = a.Sub(d), b.Sub(d), c.Sub(d)
	aa, bb, cc := a.Dot(a), b.Dot(b), c.Dot(c)
	bc, ca, ab := b.Cross(c), c.Cross(a), a.Cross(b)
	// In floating point each of the factors is rounded once, then the product, then two sums: five roundings of no more than
	// 2⁻⁵³ of the sum of the magnitudes each; eight are taken.
	u, v, w := float64(float64(aa)*float64(bc)), float64(float64(bb)*float64(ca)), float64(float64(cc)*float64(ab))
	sum := u + v + w
	if slack := float64((math.Abs(u) + math.Abs(v) + math.Abs(w)) * 0x1p-50); sum > slack || sum < -slack {
		return sum > 0
	}
	// A product is below 8.1e18 · 4.1e18, so three of them stay below 2¹²⁷.
	s := mul(aa, bc)
	s = s.plus(mul(bb, ca))
	s = s.plus(mul(cc, ab))
	return s.hi > 0 || s.hi == 0 && s.lo > 0
}

// wide is a whole number of 128 bits in two's complement.
type wide struct {
	hi int64
	lo uint64
}

// mul gives the product of a square a ≥ 0 and any b.
func mul(a, b int64) wide {
	neg := b < 0
	if neg {
		b = -b
	}
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if neg {
		var borrow uint64
		lo, borrow = bits.Sub64(0, lo, 0)
		hi, _ = bits.Sub64(0, hi, borrow)
	}
	return wide{int64(hi), lo}
}

func (a wide) plus(b wide) wide {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	hi, _ := bits.Add64(uint64(a.hi), uint64(b.hi), carry)
	return wide{int64(hi), lo}
}

// obtuse tells whether p sees the segment from a to b under more than a right angle: whether it lies inside the circle that has
// the segment as its diameter.
func obtuse(a, b, p geom.Point) bool { return a.Sub(p).Dot(b.Sub(p)) < 0 }
