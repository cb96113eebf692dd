package sparse

import "math"

// The dense kernels. All of them are dot products of rows of a front, three rows with two at a time: six sums, their products and
// what is read stay in the processor's registers (nine do not: the compiler puts them aside). Every product is
// rounded by itself and every sum goes over ascending columns, so neither the processor nor how the work is shared changes a digit.

// six gives the dot products of three rows with two.
func six(a0, a1, a2, b0, b1 []float64) (s00, s01, s10, s11, s20, s21 float64) {
	n := len(a0)
	a1, a2, b0, b1 = a1[:n], a2[:n], b0[:n], b1[:n]
	k := 0
	for ; k+2 <= n; k += 2 {
		p0, p1, p2, q0, q1 := a0[k:k+2:k+2], a1[k:k+2:k+2], a2[k:k+2:k+2], b0[k:k+2:k+2], b1[k:k+2:k+2]
		x, y, z := p0[0], p1[0], p2[0]
		b := q0[0]
		s00 += float64(x * b)
		s10 += float64(y * b)
		s20 += float64(z * b)
		b = q1[0]
		s01 += float64(x * b)
		s11 += float64(y * b)
		s21 += float64(z * b)
		x, y, z = p0[1], p1[1], p2[1]
		b = q0[1]
		s00 += float64(x * b)
		s10 += float64(y * b)
		s20 += float64(z * b)
		b = q1[1]
		s01 += float64(x * b)
		s11 += float64(y * b)
		s21 += float64(z * b)
	}
	if k < n {
		x, y, z := a0[k], a1[k], a2[k]
		b := b0[k]
		s00 += float64(x * b)
		s10 += float64(y * b)
		s20 += float64(z * b)
		b = b1[k]
		s01 += float64(x * b)
		s11 += float64(y * b)
		s21 += float64(z * b)
	}
	return
}

// three gives the dot products of three rows with one.
func three(a0, a1, a2, b []float64) (s0, s1, s2 float64) {
	n := len(b)
	a0, a1, a2 = a0[:n], a1[:n], a2[:n]
	for k, v := range b {
		s0 += float64(a0[k] * v)
		s1 += float64(a1[k] * v)
		s2 += float64(a2[k] * v)
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

// rows3 gives three rows of l, w long, from row i; where there are not so many (of n), the last one again.
func rows3(l []float64, i, n, w int) (r0, r1, r2 []float64) {
	i1, i2 := min(i+1, n-1), min(i+2, n-1)
	return l[i*w : i*w+w], l[i1*w : i1*w+w], l[i2*w : i2*w+w]
}

// products sets u[i][j] = −Σ l[i][k] l[j][k] for j ≤ i < n: l is n × w and u is n × n, row by row.
// Above the diagonal it leaves what it likes.
func products(u, l []float64, n, w int) {
	for i := 0; i < n; i += 3 {
		a0, a1, a2 := rows3(l, i, n, w)
		u0, u1, u2 := rows3(u, i, n, n)
		productsStrip(u0, u1, u2, a0, a1, a2, l, min(i+4, n))
	}
}

// productsStrip sets three rows of negative dot products with the first n rows of l.
func productsStrip(u0, u1, u2, a0, a1, a2, l []float64, n int) {
	w := len(a0)
	j := 0
	for ; j+2 <= n; j += 2 {
		b := l[j*w : j*w+2*w]
		s00, s01, s10, s11, s20, s21 := six(a0, a1, a2, b[:w], b[w:])
		u0[j], u0[j+1] = -s00, -s01
		u1[j], u1[j+1] = -s10, -s11
		u2[j], u2[j+1] = -s20, -s21
	}
	if j < n {
		s0, s1, s2 := three(a0, a1, a2, l[j*w:j*w+w])
		u0[j], u1[j], u2[j] = -s0, -s1, -s2
	}
}

// factorPanel factorizes the first w columns of a front in place: l is n × w, row by row, of which the first w rows are a lower
// triangle. inverse gets the diagonal's inverses. least holds what each pivot must exceed. It gives −1, or which pivot does not.
func factorPanel(l, inverse, least []float64, n, w int) int {
	for i := 0; i < w; i += 3 {
		r0, r1, r2 := rows3(l, i, w, w)
		solveRows(r0, r1, r2, l, inverse, i&^1)
		if bad := factorCorner(l, inverse, least, i, w); bad >= 0 {
			return bad
		}
	}
	solveAll(l[w*w:], l, inverse, n-w, w)
	return -1
}

// solveAll replaces n rows b, of w numbers each, by b L⁻ᵀ.
func solveAll(b, l, inverse []float64, n, w int) {
	for i := 0; i < n; i += 3 {
		r0, r1, r2 := rows3(b, i, n, w)
		solveRows(r0, r1, r2, l, inverse, w)
	}
}

// solveRows replaces the first n numbers of three rows r by r L⁻ᵀ, where l is the lower triangle, row by row.
func solveRows(r0, r1, r2, l, inverse []float64, n int) {
	w := len(r0)
	j := 0
	for ; j+2 <= n; j += 2 {
		b := l[j*w : j*w+2*w]
		s00, s01, s10, s11, s20, s21 := six(r0[:j], r1, r2, b, b[w:])
		v0, v1, c := inverse[j], inverse[j+1], b[w+j]
		x0, x1, x2 := float64((r0[j]-s00)*v0), float64((r1[j]-s10)*v0), float64((r2[j]-s20)*v0)
		y0 := (r0[j+1] - s01 - float64(x0*c)) * v1
		y1 := (r1[j+1] - s11 - float64(x1*c)) * v1
		y2 := (r2[j+1] - s21 - float64(x2*c)) * v1
		r0[j], r1[j], r2[j] = x0, x1, x2
		r0[j+1], r1[j+1], r2[j+1] = y0, y1, y2
	}
	if j < n {
		s0, s1, s2 := three(r0, r1, r2, l[j*w:j*w+j])
		v := inverse[j]
		r0[j], r1[j], r2[j] = (r0[j]-s0)*v, (r1[j]-s1)*v, (r2[j]-s2)*v
	}
}

// solveRow does for one whole row what solveRows does for three, with the same sums.
func solveRow(r, l, inverse []float64) {
	w := len(r)
	j := 0
	for ; j+2 <= w; j += 2 {
		b := l[j*w : j*w+2*w]
		var s0, s1 float64
		b0, b1 := b[:j], b[w:w+j]
		for k, v := range r[:j] {
			s0 += float64(b0[k] * v)
			s1 += float64(b1[k] * v)
		}
		x := float64((r[j] - s0) * inverse[j])
		r[j], r[j+1] = x, (r[j+1]-s1-float64(x*b[w+j]))*inverse[j+1]
	}
	if j < w {
		r[j] = (r[j] - dot(l[j*w:j*w+j], r)) * inverse[j]
	}
}

// factorCorner factorizes the block on the diagonal of up to three rows from i; of these the columns before i&^1 are done.
func factorCorner(l, inverse, least []float64, i, w int) int {
	m, from := min(3, w-i), i&^1
	r0, r1, r2 := rows3(l, i, w, w)
	row := func(j int) []float64 { j = min(j, w-1); return l[j*w : j*w+w] }
	var s [4][3]float64 // of column from + c and row i + p
	for c := 0; c < i-from+m; c += 2 {
		s[c][0], s[c+1][0], s[c][1], s[c+1][1], s[c][2], s[c+1][2] = six(r0[:from], r1, r2, row(from+c), row(from+c+1))
	}
	for p := i; p < i+m; p++ {
		r := row(p)[from : p+1]
		for q := from; q < p; q++ {
			r[q-from] = (r[q-from] - s[q-from][p-i] - dot(row(q)[from:q], r)) * inverse[q]
		}
		d := r[p-from] - s[p-from][p-i] - dot(r[:p-from], r)
		if !(d > least[p]) || math.IsInf(d, 0) { // nor may it be no number at all
			return p
		}
		root := math.Sqrt(d)
		r[p-from], inverse[p] = root, 1/root
	}
	return -1
}
