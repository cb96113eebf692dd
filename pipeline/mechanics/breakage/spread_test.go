package breakage

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
)

func glass() plate.Bending {
	return laminate.Bending(laminate.Default(), laminate.Stack{Thickness: 1.53}, false)
}

// stiff has equal roots no more and no other than real ones: 2 Ds + Dxy above √(Dx Dy).
func stiff() plate.Bending { return plate.Bending{{9000, 1500, 0}, {1500, 4000, 0}, {0, 0, 6000}} }

func moments(d plate.Bending, c bent) (mx, my, mxy float64) {
	return d[0][0]*c.x + d[0][1]*c.y, d[1][0]*c.x + d[1][1]*c.y, d[2][2] * c.xy
}

// For an isotropic plate the same derivation in real numbers gives, with α = (1 − ν)/(3 + ν) and u = h ± y,
// Mx = Σ [arctan(u/x) − α u x/(x² + u²)]/π and My = −α Σ [arctan(u/x) − u x/(x² + u²)]/π.
func TestSpreadingInAnIsotropicPlate(t *testing.T) {
	const nu = 0.3
	d := plate.Isotropic(20000, nu, 1.6)
	s := spreadIn(d)
	alpha := (1 - nu) / (3 + nu)
	for _, x := range []float64{0.3, 1, 3, 10, 30} {
		for _, y := range []float64{0, 1, 2.5, 7, -12} {
			mx, my, _ := moments(d, s.at(x, y, 2.15))
			var wantX, wantY float64
			for _, u := range []float64{2.15 + y, 2.15 - y} {
				wantX += (math.Atan(u/x) - alpha*u*x/(x*x+u*u)) / math.Pi
				wantY -= alpha * (math.Atan(u/x) - u*x/(x*x+u*u)) / math.Pi
			}
			assert.InDelta(t, wantX, mx, 2e-5, "%v %v", x, y)
			assert.InDelta(t, wantY, my, 2e-5, "%v %v", x, y)
		}
	}
}

func TestSpreadingKeepsTheMomentAndTheConditionsOfTheEdge(t *testing.T) {
	for name, d := range map[string]plate.Bending{"glass": glass(), "turned": turned(glass(), math.Sqrt(0.5), math.Sqrt(0.5)), "stiff in twist": stiff()} {
		t.Run(name, func(t *testing.T) {
			s := spreadIn(d)
			const half = 2.15
			// Close to the edge there is the strip's moment of 1, and none beside it.
			mx, _, _ := moments(d, s.at(1e-6, 0.5, half))
			assert.InDelta(t, 1, mx, 1e-5)
			mx, _, _ = moments(d, s.at(1e-6, 3, half))
			assert.InDelta(t, 0, mx, 1e-5)
			// Every parallel to the edge carries all of it.
			for _, x := range []float64{0.5, 4} {
				sum, step := 0.0, 0.01
				for v := -14.0; v < 14; v += step { // y = sinh v
					m, _, _ := moments(d, s.at(x, math.Sinh(v), half))
					sum += m * math.Cosh(v) * step
				}
				assert.InDelta(t, 2*half, sum, 1e-3)
			}
			// It is even in y, its twist odd.
			a, b := s.at(3, 4, half), s.at(3, -4, half)
			assert.InDelta(t, a.x, b.x, 1e-15)
			assert.InDelta(t, a.xy, -b.xy, 1e-15)
			// Equilibrium, ∂²Mx/∂x² + 2∂²Mxy/∂x∂y + ∂²My/∂y² = 0, and the edge's support, ∂Mx/∂x + 2∂Mxy/∂y = 0.
			m := func(x, y float64) (v [3]float64) { v[0], v[1], v[2] = moments(d, s.at(x, y, half)); return v }
			const e = 0.01
			x, y := 2.0, 1.3
			xx := (m(x+e, y)[0] - 2*m(x, y)[0] + m(x-e, y)[0]) / e / e
			yy := (m(x, y+e)[1] - 2*m(x, y)[1] + m(x, y-e)[1]) / e / e
			xy := (m(x+e, y+e)[2] - m(x+e, y-e)[2] - m(x-e, y+e)[2] + m(x-e, y-e)[2]) / 4 / e / e
			assert.InDelta(t, 0, xx+2*xy+yy, 1e-4*math.Abs(xx))
			x = 1e-4
			at := (m(x+1e-5, y)[0]-m(x-1e-5, y)[0])/2e-5 + 2*(m(x, y+e)[2]-m(x, y-e)[2])/2/e
			assert.InDelta(t, 0, at, 2e-3)
			// Curvatures are those of one deflection: ∂κx/∂y = ½ ∂κxy/∂x.
			dy := (s.at(2, y+e, half).x - s.at(2, y-e, half).x) / 2 / e
			dx := (s.at(2+e, y, half).xy - s.at(2-e, y, half).xy) / 2 / e
			assert.InDelta(t, dy, dx/2, 1e-3*math.Abs(dy))
		})
	}
}

// Far from equal roots the sum of waves itself: 2 sin(kh)/(πk) Σ aj exp(−rj k x) cos(ky), by the trapezium rule.
func TestSpreadingIsTheSumOfItsWaves(t *testing.T) {
	for _, d := range []plate.Bending{glass(), stiff()} {
		s := spreadIn(d)
		x, y, half := 3.0, 1.0, 2.15
		var want bent
		const dk = 1e-3
		for k := dk / 2; k < 20; k += dk {
			for _, w := range s.waves {
				a, r := complex(w.a.re, w.a.im), complex(w.r.re, w.r.im)
				f := complex(2*math.Sin(k*half)/(math.Pi*k)*dk*w.weight, 0) * a * exp(-r*complex(k*x, 0))
				want.x -= real(f*r*r) * math.Cos(k*y)
				want.y += real(f) * math.Cos(k*y)
				want.xy -= 2 * real(f*r) * math.Sin(k*y)
			}
		}
		got := s.at(x, y, half)
		assert.InEpsilon(t, want.x, got.x, 1e-5)
		assert.InEpsilon(t, want.y, got.y, 1e-5)
		assert.InEpsilon(t, want.xy, got.xy, 1e-5)
	}
}

func exp(z complex128) complex128 {
	return complex(math.Exp(real(z))*math.Cos(imag(z)), math.Exp(real(z))*math.Sin(imag(z)))
}

func TestTurnedAndYielding(t *testing.T) {
	l := laminate.Default()
	d := glass()
	for _, a := range []float64{0, 0.3, math.Pi / 4, 1, math.Pi / 2} {
		// Of bare laminate it is 12/(E t³) with the modulus in that direction.
		e := laminate.Elastic(l, math.Cos(a), math.Sin(a), false)
		assert.InEpsilon(t, 12/(e*math.Pow(1.53, 3)), yielding(d, math.Cos(a), math.Sin(a)), 1e-12)
	}
	quarter := turned(d, 0, 1)
	assert.InEpsilon(t, d[1][1], quarter[0][0], 1e-12)
	assert.InEpsilon(t, d[2][2], quarter[2][2], 1e-12)
	iso := plate.Isotropic(20000, 0.3, 1.6)
	assert.InEpsilon(t, iso[0][0], turned(iso, 0.6, 0.8)[0][0], 1e-12)
	assert.InEpsilon(t, iso[2][2], turned(iso, 0.6, 0.8)[2][2], 1e-12)
}

func TestGreatestCurvature(t *testing.T) {
	assert.InDelta(t, 3, bent{3, -1, 0}.greatest(), 1e-15)
	assert.InDelta(t, 1, bent{0, 0, 2}.greatest(), 1e-15) // κxy = −2 ∂²w/∂x∂y: twist of 1 bends by 1 at 45°
	assert.InDelta(t, 4, bent{-4, 1, 0}.greatest(), 1e-15)
}

func BenchmarkSpreading(b *testing.B) {
	s := spreadIn(glass())
	for b.Loop() {
		s.at(3, 1, 2)
	}
}
