package verify

import (
	"math"
	"slices"
)

// series is an isotropic plate of a × b (both half as long as the square from −1 to 1 is mapped on) by the Ritz method: the deflection is a
// sum of products X_m(x) Y_n(y) of polynomials that keep the ways in which the sides are held, and of all such sums the one
// of least energy is taken. X_m = (1+x)^p (1−x)^q P_m(x), P_m Legendre's polynomials; p and q are 0 on a free
// side, 1 where it is carried, 2 where it is held fast.
type series struct {
	poisson, ratio float64 // b/a
	x, y           []function
	k, m           [][]float64 // stiffness and mass, in units of D and μ on the square of side 2 (a = 2, b = 2·ratio)
}

// function is a polynomial sampled at Gauss's places: value, first and second derivative; and at −1, 0 and 1.
type function struct{ at, ends [3][]float64 }

// places and weights of Gauss and Legendre on −1 to 1.
var gaussX, gaussW = func() (x, w []float64) {
	const n = 40
	for i := range n {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (n + 0.5))
		for range 100 {
			p, d := legendre(n, z)
			z -= p[n] / d[n]
		}
		_, d := legendre(n, z)
		x, w = append(x, z), append(w, 2/((1-z*z)*d[n]*d[n]))
	}
	return x, w
}()

// legendre gives Legendre's polynomials up to degree n at x and their derivatives (not at ±1).
func legendre(n int, x float64) (p, d []float64) {
	p, d = []float64{1, x}, []float64{0, 1}
	for k := 2; k <= n; k++ {
		p = append(p, (float64(2*k-1)*x*p[k-1]-float64(k-1)*p[k-2])/float64(k))
		d = append(d, float64(k)*p[k-1]+x*d[k-1])
	}
	return p, d
}

// functions makes the polynomials for sides held by p and q; parity 0 takes even ones only, 1 odd ones, 2 all.
func functions(n, p, q, parity int) (out []function) {
	for m := 0; len(out) < n; m++ {
		if parity < 2 && m%2 != parity {
			continue
		}
		sample := func(x float64) [3]float64 {
			// Legendre's polynomial with its derivatives by the recurrence, which holds at ±1 too.
			pp, dd, ee := []float64{1, x}, []float64{0, 1}, []float64{0, 0}
			for k := 2; k <= m; k++ {
				pp = append(pp, (float64(2*k-1)*x*pp[k-1]-float64(k-1)*pp[k-2])/float64(k))
				dd = append(dd, float64(k)*pp[k-1]+x*dd[k-1])
				ee = append(ee, float64(k+1)*dd[k-1]+x*ee[k-1])
			}
			power := func(base float64, e int, sign float64) [3]float64 {
				v := [3]float64{1, 0, 0}
				if e > 0 {
					v[0], v[1] = math.Pow(base, float64(e)), sign*float64(e)*math.Pow(base, float64(e-1))
				}
				if e > 1 {
					v[2] = float64(e*(e-1)) * math.Pow(base, float64(e-2))
				}
				return v
			}
			return product(product(power(1+x, p, 1), power(1-x, q, -1)), [3]float64{pp[m], dd[m], ee[m]})
		}
		var f function
		for _, x := range gaussX {
			for k, v := range sample(x) {
				f.at[k] = append(f.at[k], v)
			}
		}
		for _, x := range []float64{-1, 0, 1} {
			for k, v := range sample(x) {
				f.ends[k] = append(f.ends[k], v)
			}
		}
		scale := 1 / math.Sqrt(integral(f.at[2], f.at[2])+integral(f.at[0], f.at[0]))
		for k := range 3 {
			for i := range f.at[k] {
				f.at[k][i] *= scale
			}
			for i := range f.ends[k] {
				f.ends[k][i] *= scale
			}
		}
		out = append(out, f)
	}
	return out
}

func product(f, g [3]float64) [3]float64 {
	return [3]float64{f[0] * g[0], f[1]*g[0] + f[0]*g[1], f[2]*g[0] + 2*f[1]*g[1] + f[0]*g[2]}
}

func integral(f, g []float64) (s float64) {
	for i, w := range gaussW {
		s += w * f[i] * g[i]
	}
	return s
}

// newSeries makes a plate; held is p and q of the sides along x, then along y.
func newSeries(poisson, ratio float64, n int, held [4]int, parity [2]int) *series {
	r := &series{poisson: poisson, ratio: ratio, x: functions(n, held[0], held[1], parity[0]), y: functions(n, held[2], held[3], parity[1])}
	table := func(f []function, j, k int) [][]float64 {
		out := make([][]float64, len(f))
		for a := range f {
			for b := range f {
				out[a] = append(out[a], integral(f[a].at[j], f[b].at[k]))
			}
		}
		return out
	}
	var tx, ty [3][3][][]float64
	for j := range 3 {
		for k := range 3 {
			tx[j][k], ty[j][k] = table(r.x, j, k), table(r.y, j, k)
		}
	}
	c := ratio
	for a := range r.x {
		for b := range r.y {
			var k, m []float64
			for e := range r.x {
				for f := range r.y {
					k = append(k, c*tx[2][2][a][e]*ty[0][0][b][f]+tx[0][0][a][e]*ty[2][2][b][f]/(c*c*c)+
						poisson/c*(tx[2][0][a][e]*ty[0][2][b][f]+tx[0][2][a][e]*ty[2][0][b][f])+
						2*(1-poisson)/c*tx[1][1][a][e]*ty[1][1][b][f])
					m = append(m, c*tx[0][0][a][e]*ty[0][0][b][f])
				}
			}
			r.k, r.m = append(r.k, k), append(r.m, m)
		}
	}
	return r
}

// at gives the row by which the deflection (derivative dx, dy) at (−1, 0 or 1, by index) follows from the factors.
func (r *series) at(dx, dy, i, j int) (out []float64) {
	for a := range r.x {
		for b := range r.y {
			out = append(out, r.x[a].ends[dx][i]*r.y[b].ends[dy][j]/math.Pow(r.ratio, float64(dy)))
		}
	}
	return out
}

// uniform solves for a pressure of 1, the deflection being 0 in the places given by rows. It gives the factors.
func (r *series) uniform(held ...[]float64) []float64 {
	one := slices.Repeat([]float64{1}, len(gaussX))
	var f []float64
	for a := range r.x {
		for b := range r.y {
			f = append(f, r.ratio*integral(r.x[a].at[0], one)*integral(r.y[b].at[0], one))
		}
	}
	n := len(f)
	k := make([][]float64, n+len(held))
	for i := range k {
		k[i] = make([]float64, n+len(held))
		if i < n {
			copy(k[i], r.k[i])
		}
	}
	for h, row := range held {
		for i, v := range row {
			k[n+h][i], k[i][n+h] = v, v
		}
	}
	return eliminate(k, append(f, make([]float64, len(held))...))[:n]
}

// eliminate solves a system by Gauss, with the largest pivot.
func eliminate(a [][]float64, b []float64) []float64 {
	n := len(b)
	for c := range n {
		p := c
		for i := c + 1; i < n; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		a[c], a[p], b[c], b[p] = a[p], a[c], b[p], b[c]
		for i := c + 1; i < n; i++ {
			f := a[i][c] / a[c][c]
			for j := c; j < n && f != 0; j++ {
				a[i][j] -= f * a[c][j]
			}
			b[i] -= f * b[c]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			b[i] -= a[i][j] * b[j]
		}
		b[i] /= a[i][i]
	}
	return b
}

func dot(a, b []float64) (s float64) {
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// lowest gives λ = ω a² √(μ/D) of the lowest ways to swing, by Jacobi's rotations of L⁻¹ K L⁻ᵀ with M = L Lᵀ.
func (r *series) lowest() []float64 {
	n := len(r.m)
	l, a := make([][]float64, n), make([][]float64, n)
	for i := range n {
		l[i], a[i] = make([]float64, n), slices.Clone(r.k[i])
		for j := range i + 1 {
			s := r.m[i][j] - dot(l[i][:j], l[j][:j])
			if i == j {
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	for range 2 { // once from the left, once, turned over, from the right
		for c := range n {
			for i := range n {
				for q := range i {
					a[i][c] -= l[i][q] * a[q][c]
				}
				a[i][c] /= l[i][i]
			}
		}
		for i := range n {
			for j := range i {
				a[i][j], a[j][i] = a[j][i], a[i][j]
			}
		}
	}
	for range 12 {
		for p := range n {
			for q := p + 1; q < n; q++ {
				if math.Abs(a[p][q]) < 1e-13*math.Sqrt(math.Abs(a[p][p]*a[q][q])) {
					continue
				}
				th := (a[q][q] - a[p][p]) / (2 * a[p][q])
				t := math.Copysign(1/(math.Abs(th)+math.Sqrt(th*th+1)), th)
				c := 1 / math.Sqrt(t*t+1)
				s := t * c
				for i := range n {
					a[i][p], a[i][q] = c*a[i][p]-s*a[i][q], s*a[i][p]+c*a[i][q]
				}
				for i := range n {
					a[p][i], a[q][i] = c*a[p][i]-s*a[q][i], s*a[p][i]+c*a[q][i]
				}
			}
		}
	}
	var out []float64
	for i := range n {
		out = append(out, 4*math.Sqrt(max(a[i][i], 0)))
	}
	slices.Sort(out)
	return out
}
