package geom

import (
	"errors"
	"math"
	"strconv"
	"strings"
)

// Angle is an angle in millionths of a degree, counter-clockwise positive seen from the top.
type Angle int64

// Degree and the quarter turns, which transform exactly.
const (
	Degree   Angle = 1_000_000
	Quarter  Angle = 90 * Degree
	Half     Angle = 180 * Degree
	FullTurn Angle = 360 * Degree
)

// FromDegrees rounds an angle in degrees to the nearest millionth.
func FromDegrees(deg float64) Angle { return Angle(math.Round(deg * 1e6)) }

// Degrees gives the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a) / 1e6 }

// Normal brings the angle into [0°, 360°).
func (a Angle) Normal() Angle {
	a %= FullTurn
	if a < 0 {
		a += FullTurn
	}
	return a
}

// Quarters tells how many quarter turns the angle is, and whether it is a whole number of them.
func (a Angle) Quarters() (n int, exact bool) {
	a = a.Normal()
	return int(a / Quarter), a%Quarter == 0
}

// SinCos gives sine and cosine, the same on every processor; the four quarter turns give exact zeros
// and ones, and angles that mirror each other the same values.
func (a Angle) SinCos() (sin, cos float64) {
	a = a.Normal()
	n, rest := int(a/Quarter), a%Quarter
	if rest > Quarter/2 {
		cos, sin = octant(float64(Quarter-rest) * (math.Pi / 180e6))
	} else {
		sin, cos = octant(float64(rest) * (math.Pi / 180e6))
	}
	return quarters(n, sin, cos)
}

// Decimal writes the angle in degrees, exactly and without trailing zeros: "22.5".
func (a Angle) Decimal() string { return Length(a).Decimal() }

// String writes the angle in degrees: "22.5 deg".
func (a Angle) String() string { return a.Decimal() + " deg" }

// ParseAngle reads a plain decimal number of degrees; digits past the sixth are rounded.
func ParseAngle(s string) (Angle, error) {
	s = strings.TrimSpace(s)
	if strings.Trim(s, "+-.0123456789") != "" { // no exponents, no "inf"
		return 0, errors.New("an angle is a plain decimal number of degrees")
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(f) > 1e6 {
		return 0, errors.New("an angle is a plain decimal number of degrees, at most a million")
	}
	return FromDegrees(f), nil
}
