package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Source of the expected values: package math, which is right to a unit of the last digit.
func TestTrigAgainstPackageMath(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 200_000 {
		a := (r.Float64() - 0.5) * []float64{1, 10, 1000}[i%3]
		s, c := SinCos(a)
		ws, wc := math.Sincos(a)
		require.InDelta(t, ws, s, 4e-16, "%v", a)
		require.InDelta(t, wc, c, 4e-16, "%v", a)
		x, y := r.Float64()-0.5, (r.Float64()-0.5)*math.Pow(10, -6*r.Float64())
		if i%2 == 0 {
			x, y = y, x
		}
		require.InDelta(t, math.Atan2(y, x), Atan2(y, x), 9e-16, "%v %v", y, x)
	}
	assert.Zero(t, Atan2(0, 0))
	assert.Equal(t, math.Pi, Atan2(0, -1))
	assert.Equal(t, -math.Pi/2, Atan2(-3, 0))
	s, c := SinCos(0)
	assert.Equal(t, [2]float64{0, 1}, [2]float64{s, c})
}

// Turns by any angle keep to the mirrors of the circle to the last bit.
func TestAngleSinCosMirrors(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		a := Angle(r.Int64N(int64(FullTurn)))
		s, c := a.SinCos()
		ws, wc := math.Sincos(a.Degrees() * math.Pi / 180)
		// 4·2⁻⁵² of it is what degrees lose on the way to radians.
		require.InDelta(t, ws, s, 2e-15)
		require.InDelta(t, wc, c, 2e-15)
		s2, c2 := (a + Quarter).SinCos()
		require.Equal(t, [2]float64{c, -s}, [2]float64{s2, c2})
		s3, c3 := (Quarter - a).SinCos()
		require.Equal(t, [2]float64{c, s}, [2]float64{s3, c3})
	}
}
