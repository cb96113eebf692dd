package breakage

import "math"

// General is a limit of strain in µε that is quoted for boards in general: ±500 (AMD, XAPP1377).
const General = 500.0

// Rate is how fast a board is strained where boards are parted by hand, in µε/s, unless another is said: from
// memory, no published source.
const Rate = 10_000.0

// Limit is how much a board of a thickness in mm may be strained, in µε, at a rate in µε/s: √(2.35/t)·(1900 − 300 log₁₀ rate),
// IPC/JEDEC-9704, from memory. 0 where that is below 0 or says nothing.
func Limit(thickness, rate float64) float64 {
	if !(thickness > 0) || !(rate > 0) || math.IsInf(rate, 0) {
		return 0
	}
	return max(0, float64(math.Sqrt(2.35/thickness)*(1900-float64(300*ln(rate)/math.Ln10))))
}

// ln is the natural logarithm of a number above 0, the same on every processor, to a few units of the last digit: that of
// package math differs.
func ln(x float64) float64 {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, e = 2*m, e-1
	}
	// ln m = 2 artanh((m − 1)/(m + 1)), by its series: the argument is 0.172 at most.
	t := (m - 1) / (m + 1)
	z := float64(t * t)
	sum := 0.0
	for k := 23; k >= 1; k -= 2 {
		sum = float64(z*sum) + 1/float64(k)
	}
	return float64(float64(e)*math.Ln2) + float64(2*float64(t*sum))
}
