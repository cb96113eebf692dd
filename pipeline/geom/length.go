package geom

import (
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// Length is a distance or a coordinate in whole nanometres.
//
// Exact data (file coordinates, placements, holes, arc centres) stay in this unit from reading to
// writing. Inch formats down to 2.5 and metric ones down to 4.6 digits are exact in it.
type Length int64

// Units of length in nanometres.
const (
	NM   Length = 1
	UM   Length = 1_000
	MM   Length = 1_000_000
	Mil  Length = 25_400
	Inch Length = 25_400_000
)

// Limit is the largest coordinate that the model carries: one metre either way. Within it cross
// products of differences fit an int64.
const Limit Length = 1000 * MM

// FromMM rounds a length in millimetres to the nearest nanometre, halves away from zero.
func FromMM(mm float64) Length { return Length(math.Round(mm * 1e6)) }

// MM gives the length in millimetres.
func (l Length) MM() float64 { return float64(l) / 1e6 }

// String writes the length in millimetres, exactly and without trailing zeros: "1.5 mm".
func (l Length) String() string { return l.Decimal() + " mm" }

// Decimal writes the length in millimetres, exactly and without trailing zeros: "1.5".
func (l Length) Decimal() string {
	sign := ""
	v := uint64(l)
	if l < 0 {
		sign, v = "-", -v
	}
	whole, frac := v/1e6, v%1e6
	if frac == 0 {
		return sign + strconv.FormatUint(whole, 10)
	}
	f := strconv.FormatUint(1e6+frac, 10)[1:]
	return sign + strconv.FormatUint(whole, 10) + "." + strings.TrimRight(f, "0")
}

// Abs gives the magnitude of l.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}

// Round rounds a value in nanometres to a Length, halves away from zero.
func Round(nm float64) Length { return Length(math.Round(nm)) }

// MulDiv gives a*b/c rounded to the nearest, halves away from zero, without overflow in between.
// c must be positive and the result must fit.
func MulDiv(a, b, c int64) int64 {
	neg := (a < 0) != (b < 0)
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	q, r := bits.Div64(hi, lo, uint64(c))
	if r >= uint64(c)-r {
		q++
	}
	if neg {
		return -int64(q)
	}
	return int64(q)
}

func magnitude(v int64) uint64 {
	if v < 0 {
		return -uint64(v)
	}
	return uint64(v)
}
