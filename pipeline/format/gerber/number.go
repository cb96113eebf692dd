package gerber

import (
	"math"
	"math/bits"

	"panelwright/pipeline/geom"
)

// number is a value from an aperture or macro definition. Plain decimals and what is computed from
// them stay exact fractions while they fit; after that the value goes on as floating point.
type number struct {
	num, den int64 // den > 0; 0 when only f holds the value
	f        float64
}

func whole(n int64) number { return number{num: n, den: 1} }

func (a number) exact() bool { return a.den > 0 }

func (a number) float() float64 {
	if a.exact() {
		return float64(a.num) / float64(a.den)
	}
	return a.f
}

func inexact(f float64) number { return number{f: f} }

func (a number) zero() bool {
	if a.exact() {
		return a.num == 0
	}
	return a.f == 0
}

func (a number) neg() number {
	if a.exact() && a.num != math.MinInt64 {
		return number{num: -a.num, den: a.den}
	}
	return inexact(-a.float())
}

func (a number) add(b number) number {
	if a.exact() && b.exact() {
		g := gcd(a.den, b.den)
		x, ok1 := mul(a.num, b.den/g)
		y, ok2 := mul(b.num, a.den/g)
		d, ok3 := mul(a.den, b.den/g)
		if s := x + y; ok1 && ok2 && ok3 && (s > x) == (y > 0) {
			return fraction(s, d)
		}
	}
	return inexact(a.float() + b.float())
}

func (a number) times(b number) number {
	if a.exact() && b.exact() {
		g, h := gcd(a.num, b.den), gcd(b.num, a.den)
		n, ok1 := mul(a.num/g, b.num/h)
		d, ok2 := mul(a.den/h, b.den/g)
		if ok1 && ok2 {
			return fraction(n, d)
		}
	}
	return inexact(a.float() * b.float())
}

// over divides; the caller has seen that b is not zero.
func (a number) over(b number) number {
	if b.exact() && b.num != math.MinInt64 {
		inv := number{num: b.den, den: b.num}
		if inv.den < 0 {
			inv.num, inv.den = -inv.num, -inv.den
		}
		return a.times(inv)
	}
	return inexact(a.float() / b.float())
}

func fraction(n, d int64) number {
	g := gcd(n, d)
	return number{num: n / g, den: d / g}
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	if b < 0 {
		b = -b
	}
	for b != 0 {
		a, b = b, a%b
	}
	if a <= 0 {
		return 1
	}
	return a
}

func mul(a, b int64) (int64, bool) {
	neg := (a < 0) != (b < 0)
	x, y := uint64(a), uint64(b)
	if a < 0 {
		x = -x
	}
	if b < 0 {
		y = -y
	}
	hi, lo := bits.Mul64(x, y)
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if neg {
		return -int64(lo), true
	}
	return int64(lo), true
}

// scaled gives a × k rounded to the nearest whole number, halves away from zero; false when it
// exceeds limit in magnitude.
func (a number) scaled(k, limit int64) (int64, bool) {
	f := a.float() * float64(k)
	if !(math.Abs(f) <= float64(limit)) {
		return 0, false
	}
	if a.exact() {
		return geom.MulDiv(a.num, k, a.den), true
	}
	return int64(math.Round(f)), true
}

// integer gives the value as a whole number when it is one, and small.
func (a number) integer() (int, bool) {
	if a.exact() {
		if a.den == 1 && a.num >= -1_000_000 && a.num <= 1_000_000 {
			return int(a.num), true
		}
		return 0, false
	}
	if a.f == math.Trunc(a.f) && math.Abs(a.f) <= 1_000_000 {
		return int(a.f), true
	}
	return 0, false
}
