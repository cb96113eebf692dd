package writereport

import (
	"math"
	"strconv"
	"strings"
)

// scale is how the figures of a field are parted into bands: edge i is (first + i) steps.
type scale struct {
	step   float64
	digits int // after the point, of the edges
	first  int64
	bands  int
}

// scaleFor parts the range into about eight bands with round edges.
func scaleFor(least, most float64) scale {
	span := most - least
	if !(span > 0) {
		span = math.Abs(most)
		if span == 0 {
			span = 1
		}
	}
	for exponent := -12; exponent < 16; exponent++ {
		for _, m := range []string{"1", "2", "2.5", "5"} {
			step, _ := strconv.ParseFloat(m+"e"+itoa(exponent), 64) // decimals as near as can be, whatever the processor
			if span > float64(step*9) {
				continue
			}
			s := scale{step: step, first: int64(math.Floor(least / step))}
			s.bands = max(int(int64(math.Ceil(most/step))-s.first), 1)
			if exponent < 0 {
				s.digits = -exponent
			}
			if m == "2.5" && exponent < 1 {
				s.digits = 1 - exponent
			}
			return s
		}
	}
	return scale{step: span, first: 0, bands: 1}
}

// edge is the lower edge of a band.
func (s scale) edge(i int) float64 { return float64(float64(s.first+int64(i)) * s.step) }

// text writes an edge.
func (s scale) text(i int) string { return strconv.FormatFloat(s.edge(i), 'f', s.digits, 64) }

// band gives the band of a figure.
func (s scale) band(v float64) int {
	return min(max(int(math.Floor(v/s.step))-int(s.first), 0), s.bands-1)
}

// figure writes a figure a digit finer than the edges.
func (s scale) figure(v float64, unit string) string {
	return strings.TrimSpace(strconv.FormatFloat(v, 'f', s.digits+1, 64) + " " + unit)
}
