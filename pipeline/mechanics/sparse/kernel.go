package sparse

import "math"

// The dense kernels. Every product is rounded by itself, and every sum goes over ascending columns, so that neither the
// processor nor how the work is split changes a digit. Nine sums at a time is what 15 registers hold without spilling.

// products sets u[i][j] = −Σ l[i][k] l[j][k] for j ≤ i < n: l is n × w and u is n × n, row by row.
// Above the diagonal it leaves what it likes.
func products(u, l []float64, n, w int) {
	for i := 0; i < n; i += 3 {
		i1, i2 := min(i+1, n-1), min(i+2, n-1)
		a0, a1, a2 := l[i*w:i*w+w], l[i1*w:i1*w+w], l[i2*w:i2*w+w]
		u0, u1, u2 := u[i*n:i*n+n], u[i1*n:i1*n+n], u[i2*n:i2*n+n]
		for j := 0; j <= i; j += 3 {
			if j+3 > n {
				lastProducts(u0, u1, u2, l, a0, a1, a2, j, n, w)
				break
			}
			b := l[j*w : j*w+3*w]
			b0, b1, b2 := b[:w], b[w:2*w], b[2*w:3*w]
			s00, s01, s02, s10, s11, s12, s20, s21, s22 := dots(a0, a1, a2, b0, b1, b2)
			u0[j], u0[j+1], u0[j+2] = -s00, -s01, -s02
			u1[j], u1[j+1], u1[j+2] = -s10, -s11, -s12
			u2[j], u2[j+1], u2[j+2] = -s20, -s21, -s22
		}
	}
}

// lastProducts is what products does in the last one or two columns.
func lastProducts(u0, u1, u2, l, a0, a1, a2 []float64, j, n, w int) {
	for ; j < n; j++ {
		b := l[j*w : j*w+w]
		u0[j], u1[j], u2[j] = -dot(a0, b), -dot(a1, b), -dot(a2, b)
	}
}

// dots gives the nine dot products of three rows with three rows.
func dots(a0, a1, a2, b0, b1, b2 []float64) (s00, s01, s02, s10, s11, s12, s20, s21, s22 float64) {
	n := len(a0)
	a1, a2, b0, b1, b2 = a1[:n], a2[:n], b0[:n], b1[:n], b2[:n]
	for k, x := range a0 {
		y, z := a1[k], a2[k]
		b := b0[k]
		s00 += float64(x * b)
		s10 += float64(y * b)
		s20 += float64(z * b)
		b = b1[k]
		s01 += float64(x * b)
		s11 += float64(y * b)
		s21 += float64(z * b)
		b = b2[k]
		s02 += float64(x * b)
		s12 += float64(y * b)
		s22 += float64(z * b)
	}
	return
}

// dot is a dot product, summed from the front.
func dot(a, b []float64) (s float64) {
	b = b[:len(a)]
	for k, x := range a {
		s += float64(x * b[k])
	}
	return s
}

// factorPanel factorizes the first w columns of a front in place: l is n × w, row by row, of which the first w rows are a lower
// triangle. inverse gets the diagonal's inverses. least holds what each pivot must exceed. It gives −1, or which pivot does not.
func factorPanel(l, inverse, least []float64, n, w int) int {
	for i := 0; i < n; {
		end := n
		if i < w {
			end = w
		}
		m := min(3, end-i) // rows of this strip: none lies on both sides of the triangle's end
		i1, i2 := i+min(1, m-1), i+m-1
		r0, r1, r2 := l[i*w:i*w+w], l[i1*w:i1*w+w], l[i2*w:i2*w+w]
		for j := 0; j < min(i, w); j += 3 {
			if j+3 > w {
				for ; j < w; j++ {
					b, v := l[j*w:j*w+j], inverse[j]
					x0, x1, x2 := (r0[j]-dot(b, r0))*v, (r1[j]-dot(b, r1))*v, (r2[j]-dot(b, r2))*v
					r0[j], r1[j], r2[j] = x0, x1, x2
				}
				break
			}
			b := l[j*w : j*w+3*w]
			b0, b1, b2 := b[:w], b[w:2*w], b[2*w:3*w]
			s00, s01, s02, s10, s11, s12, s20, s21, s22 := dots(r0[:j], r1, r2, b0, b1, b2)
			l10, l20, l21 := b1[j], b2[j], b2[j+1]
			v := inverse[j : j+3]
			x00, x10, x20 := (r0[j]-s00)*v[0], (r1[j]-s10)*v[0], (r2[j]-s20)*v[0]
			x01 := (r0[j+1] - s01 - float64(x00*l10)) * v[1]
			x11 := (r1[j+1] - s11 - float64(x10*l10)) * v[1]
			x21 := (r2[j+1] - s21 - float64(x20*l10)) * v[1]
			x02 := (r0[j+2] - s02 - float64(x00*l20) - float64(x01*l21)) * v[2]
			x12 := (r1[j+2] - s12 - float64(x10*l20) - float64(x11*l21)) * v[2]
			x22 := (r2[j+2] - s22 - float64(x20*l20) - float64(x21*l21)) * v[2]
			r0[j], r0[j+1], r0[j+2] = x00, x01, x02
			r1[j], r1[j+1], r1[j+2] = x10, x11, x12
			r2[j], r2[j+1], r2[j+2] = x20, x21, x22
		}
		if i < w {
			if bad := factorCorner(l, inverse, least, i, m, w); bad >= 0 {
				return bad
			}
		}
		i += m
	}
	return -1
}

// factorCorner factorizes the m × m block on the diagonal at i, of which the columns before i are done.
func factorCorner(l, inverse, least []float64, i, m, w int) int {
	var s [3][3]float64
	i1, i2 := i+min(1, m-1), i+m-1
	r0, r1, r2 := l[i*w:i*w+w], l[i1*w:i1*w+w], l[i2*w:i2*w+w]
	s[0][0], s[0][1], s[0][2], s[1][0], s[1][1], s[1][2], s[2][0], s[2][1], s[2][2] = dots(r0[:i], r1, r2, r0, r1, r2)
	for p := range m {
		row := l[(i+p)*w+i : (i+p)*w+i+p+1]
		for q := range p {
			row[q] = (row[q] - s[p][q] - dot(l[(i+q)*w+i:(i+q)*w+i+q], row)) * inverse[i+q]
		}
		d := row[p] - s[p][p] - dot(row[:p], row)
		if !(d > least[i+p]) || math.IsInf(d, 0) { // nor may it be no number at all
			return i + p
		}
		root := math.Sqrt(d)
		row[p], inverse[i+p] = root, 1/root
	}
	return -1
}
