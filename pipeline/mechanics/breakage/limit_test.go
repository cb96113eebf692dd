package breakage

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// √(2.35/1.6) = 1.21192; times 1900 − 300·2 = 1300, 1000, 700.
func TestLimit(t *testing.T) {
	for _, c := range []struct{ thickness, rate, want float64 }{
		{1.6, 100, 1575.5}, {1.6, 1000, 1211.9}, {1.6, Rate, 848.3}, {2.35, 1000, 1000}, {0.8, Rate, 1199.7},
		{1.6, 1e7, 0}, {0, 100, 0}, {1.6, 0, 0}, {-1, 1, 0}, {math.NaN(), 1, 0}, {1.6, math.Inf(1), 0},
	} {
		assert.InDelta(t, c.want, Limit(c.thickness, c.rate), 0.05, "%v %v", c.thickness, c.rate)
	}
}

func TestLogarithm(t *testing.T) {
	for _, x := range []float64{1e-300, 1e-9, 0.3, 0.7, 0.7072, 0.99999, 1, 1.00001, 1.41, 1.42, 2, math.E, 10, 1e4, 12345.678, 1e300} {
		assert.InDelta(t, math.Log(x), ln(x), 4e-16*max(1, math.Abs(math.Log(x))))
	}
}

func TestRoot(t *testing.T) {
	for _, z := range []number{{4, 0}, {-4, 0}, {3, 4}, {3, -4}, {-3, 4}, {0, 0}} {
		r := z.root()
		assert.GreaterOrEqual(t, r.re, 0.0)
		back := r.times(r)
		assert.InDelta(t, z.re, back.re, 1e-14)
		assert.InDelta(t, z.im, back.im, 1e-14)
	}
}
