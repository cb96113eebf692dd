package geom

import "math"

// Sine, cosine and arctangent of package math differ in the last digit from one processor to another,
// where products are fused with sums: enough to move a point by a nanometre. These round every product.

// SinCos gives sine and cosine of an angle in radians, the same on every processor, to about two units
// of the last digit for angles up to some thousand turns.
func SinCos(a float64) (sin, cos float64) {
	// π/2 in three parts, of which the first two have so few digits that their products with whole
	// numbers are exact (W. J. Cody and W. Waite, "Software Manual for the Elementary Functions", 1980).
	const (
		high = 1.57079625129699707031
		mid  = 7.54978941586159635335e-08
		low  = 5.39030285815811905290e-15
	)
	n := math.Round(a / (math.Pi / 2))
	s, c := octant(a - float64(n*high) - float64(n*mid) - float64(n*low))
	return quarters(int(int64(n)&3), s, c)
}

// quarters gives sine and cosine n quarter turns, 0 to 3, beyond an angle with these.
func quarters(n int, sin, cos float64) (float64, float64) {
	switch n {
	case 1:
		return cos, -sin
	case 2:
		return -sin, -cos
	case 3:
		return -cos, sin
	}
	return sin, cos
}

// octant is SinCos between −π/4 and π/4, by the series.
func octant(a float64) (sin, cos float64) {
	z := float64(a * a)
	s, c := 0.0, 0.0
	for k := 20; k >= 2; k -= 2 {
		c = float64((1-c)*z) / float64(k*(k-1))
		s = float64((1-s)*z) / float64(k*(k+1))
	}
	return float64(a * (1 - s)), 1 - c
}

// Atan2 gives the direction of (x, y) in radians, from −π to π, the same on every processor, to about
// two units of the last digit.
func Atan2(y, x float64) float64 {
	ax, ay := math.Abs(x), math.Abs(y)
	if ax == 0 && ay == 0 {
		return 0
	}
	a := arctan(min(ax, ay) / max(ax, ay))
	if ay > ax {
		a = math.Pi/2 - a
	}
	if x < 0 {
		a = math.Pi - a
	}
	if y < 0 {
		return -a
	}
	return a
}

// arctan is for 0 to 1.
func arctan(t float64) float64 {
	base := 0.0
	if t > math.Sqrt2-1 { // tan π/8
		base, t = math.Pi/4, (t-1)/(t+1)
	}
	z := float64(t * t)
	s := 0.0
	for k := 45; k >= 3; k -= 2 {
		s = float64(z * (1/float64(k) - s))
	}
	return base + float64(t*(1-s))
}
