package plate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// field is the unknowns of a triangle's corners in a given deflection.
func field(s *shape, w, wx, wy func(x, y float64) float64) (u [9]float64) {
	for i := range 3 {
		u[3*i], u[3*i+1], u[3*i+2] = w(s.x[i], s.y[i]), wx(s.x[i], s.y[i]), wy(s.x[i], s.y[i])
	}
	return u
}

func skew(t *testing.T) *shape {
	s := &shape{x: [3]float64{3, 9, 4}, y: [3]float64{-1, 2, 7}}
	require.True(t, s.measure())
	return s
}

// A triangle has no stiffness against moving without bending, and stiffness against everything else.
func TestStiffnessOfOneTriangle(t *testing.T) {
	s := skew(t)
	d := Bending{{9000, 2100, 700}, {2100, 7000, 400}, {700, 400, 2600}}
	k := s.stiffness(&d, 0)
	for name, u := range map[string][9]float64{
		"sinks":  field(s, func(x, y float64) float64 { return 1 }, zero, zero),
		"tips x": field(s, func(x, y float64) float64 { return x }, one, zero),
		"tips y": field(s, func(x, y float64) float64 { return y }, zero, one),
	} {
		for r := range 9 {
			f := 0.0
			for c := range 9 {
				f += k[9*r+c] * u[c]
			}
			assert.InDelta(t, 0, f, 1e-9*d[0][0], name)
		}
	}
	// Bent to w = x²/2: energy D11/2 per area, twice that is uᵀKu.
	u := field(s, func(x, y float64) float64 { return x * x / 2 }, func(x, y float64) float64 { return x }, zero)
	energy := 0.0
	for r := range 9 {
		for c := range 9 {
			energy += u[r] * k[9*r+c] * u[c]
			require.Equal(t, k[9*r+c], k[9*c+r])
		}
	}
	assert.InEpsilon(t, d[0][0]*s.area, energy, 1e-12)
}

func zero(x, y float64) float64 { return 0 }
func one(x, y float64) float64  { return 1 }

// The cubic is exact for deflections of second degree, everywhere in the triangle, and so are load and mass.
func TestDeflectionOfSecondDegree(t *testing.T) {
	s := skew(t)
	w := func(x, y float64) float64 { return 2 - x + 3*y + 0.5*x*x - 0.3*x*y + 0.7*y*y }
	u := field(s, w, func(x, y float64) float64 { return -1 + x - 0.3*y }, func(x, y float64) float64 { return 3 - 0.3*x + 1.4*y })
	dot := func(n [9]float64) (sum float64) {
		for i := range n {
			sum += n[i] * u[i]
		}
		return sum
	}
	for _, l := range [][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {0.2, 0.3, 0.5}, {0.6, 0, 0.4}, {1.2, -0.1, -0.1}} {
		var x, y float64
		for i := range 3 {
			x, y = x+l[i]*s.x[i], y+l[i]*s.y[i]
		}
		assert.InDelta(t, w(x, y), dot(s.atPlace(x, y)), 1e-11)
	}
	// The mean of a polynomial by the middles of the sides (exact for second degree), and of its square by a grid.
	mean, square, count := 0.0, 0.0, 0.0
	for i := range 3 {
		j := next[i]
		mean += w((s.x[i]+s.x[j])/2, (s.y[i]+s.y[j])/2) / 3
	}
	assert.InEpsilon(t, mean, dot(s.meanDeflection()), 1e-12)
	const n = 300
	for i := range n {
		for j := range n - i {
			for _, o := range []float64{1, 2} { // middles of small triangles that point up and down
				if o == 2 && i+j == n-1 {
					continue
				}
				a, b := (float64(i)+o/3)/n, (float64(j)+o/3)/n
				v := w(s.x[0]+a*(s.x[1]-s.x[0])+b*(s.x[2]-s.x[0]), s.y[0]+a*(s.y[1]-s.y[0])+b*(s.y[2]-s.y[0]))
				square, count = square+v*v, count+1
			}
		}
	}
	m := s.mass(5)
	energy := 0.0
	for r := range 9 {
		for c := range 9 {
			energy += u[r] * m[9*r+c] * u[c]
		}
	}
	assert.InEpsilon(t, 5*s.area*square/count, energy, 1e-4)
}

// Batoz's explicit coefficients (1982, eq. for a to e; from memory): a = −x/l², b = ¾ x y / l², c = (¼ x² − ½ y²)/l²,
// d = −y/l², e = (¼ y² − ½ x²)/l² for a side from j to i with x = x_i − x_j; Hx1 = 1.5 (a6 N6 − a5 N5) and so on. The sides here
// run the other way.
func TestSidesAreThePublishedOnes(t *testing.T) {
	s := skew(t)
	for i := range 3 {
		j := next[i]
		x, y := s.x[i]-s.x[j], s.y[i]-s.y[j]
		l2 := x*x + y*y
		e := s.sides[i]
		assert.InDelta(t, 1.5*(-x/l2), e.wx, 1e-14)
		assert.InDelta(t, 1.5*(-y/l2), e.wy, 1e-14)
		assert.InDelta(t, 0.75*x*y/l2, e.xy, 1e-14)
		assert.InDelta(t, (x*x/4-y*y/2)/l2, e.xx, 1e-14)
		assert.InDelta(t, (y*y/4-x*x/2)/l2, e.yy, 1e-14)
	}
}

// A turned triangle with its stiffness turned along bends the same.
func TestTurned(t *testing.T) {
	s := skew(t)
	d := Bending{{9000, 2100, 700}, {2100, 7000, 400}, {700, 400, 2600}}
	k := s.stiffness(&d, 0)
	// By 90°: x' = −y, y' = x. Then κx' = κy, κy' = κx, κxy' = −κxy.
	r := &shape{}
	for i := range 3 {
		r.x[i], r.y[i] = -s.y[i], s.x[i]
	}
	require.True(t, r.measure())
	e := Bending{{7000, 2100, -400}, {2100, 9000, -700}, {-400, -700, 2600}}
	kr := r.stiffness(&e, 0)
	at, sign := [3]int{0, 2, 1}, [3]float64{1, 1, -1} // p = q', q = −p'
	for a := range 9 {
		for b := range 9 {
			assert.InDelta(t, k[9*a+b], sign[a%3]*sign[b%3]*kr[9*(a/3*3+at[a%3])+b/3*3+at[b%3]], 1e-9*math.Abs(k[0]))
		}
	}
}
