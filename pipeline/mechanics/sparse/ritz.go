package sparse

import (
	"cmp"
	"math"
	"slices"
)

// symmetricEigen gives the eigenvalues of a dense symmetric matrix (n × n, row by row), greatest first, and their vectors as the
// rows of v. It overwrites a. By reflections to three diagonals, then by rotations. Source: J. H. Wilkinson, C. Reinsch,
// "Handbook for Automatic Computation II: Linear Algebra", Springer 1971, contributions II/2 and II/3.
func symmetricEigen(a []float64, n int) (values []float64, v []float64) {
	d, e := make([]float64, n), make([]float64, n)
	v = make([]float64, n*n) // its rows are the basis
	for i := range n {
		v[i*n+i] = 1
	}
	u, p := make([]float64, n), make([]float64, n)
	for k := 0; k+2 < n; k++ {
		// Reflect what is below row k+1 in column k to zero: H = 1 − u uᵀ / h.
		sum := 0.0
		for i := k + 1; i < n; i++ {
			u[i] = a[i*n+k]
			sum += float64(u[i] * u[i])
		}
		rest := 0.0
		for i := k + 2; i < n; i++ {
			rest += math.Abs(u[i])
		}
		if rest == 0 {
			continue
		}
		root := math.Sqrt(sum)
		if u[k+1] > 0 {
			root = -root
		}
		h := sum - float64(u[k+1]*root)
		u[k+1] -= root
		if h == 0 {
			continue
		}
		for i := range n {
			s := 0.0
			for j := k + 1; j < n; j++ {
				s += float64(a[i*n+j] * u[j])
			}
			p[i] = s / h
		}
		half := 0.0
		for i := k + 1; i < n; i++ {
			half += float64(u[i] * p[i])
		}
		half /= h + h
		// A − u qᵀ − q uᵀ with q = p − half u; above row k+1 the reflection acts from one side only.
		for i := range k + 1 {
			for j := k + 1; j < n; j++ {
				a[i*n+j] -= float64(p[i] * u[j])
				a[j*n+i] = a[i*n+j]
			}
		}
		for i := k + 1; i < n; i++ {
			p[i] -= float64(half * u[i])
		}
		for i := k + 1; i < n; i++ {
			for j := k + 1; j < n; j++ {
				a[i*n+j] = a[i*n+j] - float64(u[i]*p[j]) - float64(p[i]*u[j])
			}
		}
		for i := range n { // the basis: v = H v
			s := 0.0
			for j := k + 1; j < n; j++ {
				s += float64(v[j*n+i] * u[j])
			}
			s /= h
			for j := k + 1; j < n; j++ {
				v[j*n+i] -= float64(s * u[j])
			}
		}
	}
	for i := range n {
		d[i] = a[i*n+i]
		if i+1 < n {
			e[i] = a[(i+1)*n+i]
		}
	}
	rotate(d, e, v, n)

	by := make([]int, n)
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(d[j], d[i]) })
	values = make([]float64, n)
	sorted := make([]float64, n*n)
	for i, k := range by {
		values[i] = d[k]
		copy(sorted[i*n:i*n+n], v[k*n:k*n+n])
	}
	return values, sorted
}

// rotate makes a matrix of three diagonals (d, and e beside it) diagonal by implicit QL steps, and turns the rows of v with it.
func rotate(d, e, v []float64, n int) {
	for l := range n {
		for step := 0; ; step++ {
			m := l
			for ; m+1 < n; m++ {
				if math.Abs(e[m]) <= 0x1p-53*(math.Abs(d[m])+math.Abs(d[m+1])) {
					break
				}
			}
			if m == l || step == 60 { // it takes 2 or 3
				break
			}
			g := (d[l+1] - d[l]) / (2 * e[l])
			r := hypotenuse(g, 1)
			if g < 0 {
				r = -r
			}
			g = d[m] - d[l] + e[l]/(g+r)
			s, c, p := 1.0, 1.0, 0.0
			i := m - 1
			for ; i >= l; i-- {
				f, b := s*e[i], float64(c*e[i])
				r = hypotenuse(f, g)
				e[i+1] = r
				if r == 0 {
					d[i+1] -= p
					e[m] = 0
					break
				}
				s, c = f/r, g/r
				g = d[i+1] - p
				r = float64((d[i]-g)*s) + float64(float64(2*c)*b)
				p = float64(s * r)
				d[i+1] = g + p
				g = float64(c*r) - b
				v0, v1 := v[i*n:i*n+n], v[(i+1)*n:(i+2)*n]
				for k, x := range v0 {
					y := v1[k]
					v1[k] = float64(s*x) + float64(c*y)
					v0[k] = float64(c*x) - float64(s*y)
				}
			}
			if i >= l {
				continue
			}
			d[l] -= p
			e[l], e[m] = g, 0
		}
	}
}

// hypotenuse is √(a² + b²), without overflow.
func hypotenuse(a, b float64) float64 {
	a, b = math.Abs(a), math.Abs(b)
	if a < b {
		a, b = b, a
	}
	if a == 0 {
		return 0
	}
	t := b / a
	return a * math.Sqrt(1+float64(t*t))
}
