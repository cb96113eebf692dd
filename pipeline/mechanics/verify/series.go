package verify

import (
	"math"

	"panelwright/pipeline/mechanics/plate"
)

// atMiddle is deflection and moments in the middle of a plate under a pressure of 1.
type atMiddle struct{ w, mx, my float64 }

// navierMiddle sums Navier's double series for a plate of a × b carried on four sides, orthotropic along its sides:
//
//	w = Σ 16 / (π² m n) / Δ · sin(mπ/2) sin(nπ/2), m and n odd,
//	Δ = D11 α⁴ + 2 (D12 + 2 D66) α² β² + D22 β⁴, α = mπ/a, β = nπ/b,
//
// and Mx = D11 α² w + D12 β² w in each term. The sign of a term is that of (−1)^((m+n)/2 − 1).
func navierMiddle(d plate.Bending, a, b float64) (s atMiddle) {
	const most = 401 // the deflection is settled to 10⁻⁹ of itself, moments to 10⁻⁵
	for m := 1; m <= most; m += 2 {
		for n := 1; n <= most; n += 2 {
			alpha, beta := float64(m)*math.Pi/a, float64(n)*math.Pi/b
			a2, b2 := float64(alpha*alpha), float64(beta*beta)
			delta := float64(d[0][0]*a2*a2) + float64(2*(d[0][1]+float64(2*d[2][2]))*a2*b2) + float64(d[1][1]*b2*b2)
			w := 16 / (math.Pi * math.Pi * float64(m*n)) / delta
			if (m+n)/2%2 == 0 {
				w = -w
			}
			s.w += w
			s.mx += float64((float64(d[0][0]*a2) + float64(d[0][1]*b2)) * w)
			s.my += float64((float64(d[0][1]*a2) + float64(d[1][1]*b2)) * w)
		}
	}
	return s
}
