package sparse

// Solve replaces right sides by solutions; they lie one behind the other, N each. A solution's digits do not depend on what
// is solved with it, but together three are hardly slower than one: the factor is read once for them.
func (f *Factor) Solve(b []float64) {
	n := f.plan.n
	if n == 0 {
		return
	}
	x := make([]float64, 3*n) // of up to three right sides, by places
	y := make([]float64, 3*f.plan.tallest())
	for ; len(b) >= n; b = b[min(len(b), 3*n):] {
		k := min(3, len(b)/n)
		for j := range k {
			from, to := b[j*n:j*n+n], x[j*n:j*n+n]
			for i, u := range f.plan.order {
				to[i] = from[u]
			}
		}
		if k == 1 {
			f.forwards(x[:n])
			f.backwards(x[:n])
		} else {
			clear(x[k*n:])
			f.forwards3(x, y)
			f.backwards3(x, y)
		}
		for j := range k {
			from, to := x[j*n:j*n+n], b[j*n:j*n+n]
			for i, u := range f.plan.order {
				to[u] = from[i]
			}
		}
	}
}

// tallest is how many rows any front has below its own.
func (p *Plan) tallest() (n int) {
	for i := range p.fronts {
		n = max(n, len(p.fronts[i].rows))
	}
	return n
}

// part gives front t's part of the factor: its own triangle, and what is below.
func (f *Factor) part(t *front) (own, below []float64) {
	l := f.l[t.at : t.at+(t.w+len(t.rows))*t.w]
	return l[:t.w*t.w], l[t.w*t.w:]
}

// forwards replaces a right side by L⁻¹ times it.
func (f *Factor) forwards(x []float64) {
	for s := range f.plan.fronts {
		t := &f.plan.fronts[s]
		l, below := f.part(t)
		w, own := t.w, x[t.first:t.first+t.w]
		solveRow(own, l, f.inverse[t.first:])
		i := 0
		for ; i+3 <= len(t.rows); i += 3 {
			s0, s1, s2 := three(below[i*w:], below[i*w+w:], below[i*w+2*w:], own)
			x[t.rows[i]] -= s0
			x[t.rows[i+1]] -= s1
			x[t.rows[i+2]] -= s2
		}
		for ; i < len(t.rows); i++ {
			x[t.rows[i]] -= dot(below[i*w:i*w+w], own)
		}
	}
}

// forwards3 does the same for three at once.
func (f *Factor) forwards3(x, y []float64) {
	n := f.plan.n
	for s := range f.plan.fronts {
		t := &f.plan.fronts[s]
		l, below := f.part(t)
		x0, x1, x2 := x[:n], x[n:2*n], x[2*n:3*n]
		a0, a1, a2 := x0[t.first:t.first+t.w], x1[t.first:t.first+t.w], x2[t.first:t.first+t.w]
		solveRows(a0, a1, a2, l, f.inverse[t.first:t.first+t.w], t.w)
		r := len(t.rows)
		y0, y1, y2 := y[:r], y[r:2*r], y[2*r:3*r]
		productsStrip(y0, y1, y2, a0, a1, a2, below, r)
		for i, p := range t.rows {
			x0[p] += y0[i]
			x1[p] += y1[i]
			x2[p] += y2[i]
		}
	}
}

// backwards replaces a right side by L⁻ᵀ times it. What comes from below is subtracted row by row, ascending.
func (f *Factor) backwards(x []float64) {
	for s := len(f.plan.fronts) - 1; s >= 0; s-- {
		t := &f.plan.fronts[s]
		l, below := f.part(t)
		w, own := t.w, x[t.first:t.first+t.w]
		i := 0
		for ; i+4 <= len(t.rows); i += 4 {
			b := below[i*w : i*w+4*w]
			b0, b1, b2, b3 := b[:len(own)], b[w:][:len(own)], b[2*w:][:len(own)], b[3*w:][:len(own)]
			v0, v1, v2, v3 := x[t.rows[i]], x[t.rows[i+1]], x[t.rows[i+2]], x[t.rows[i+3]]
			for c, v := range own {
				own[c] = v - float64(b0[c]*v0) - float64(b1[c]*v1) - float64(b2[c]*v2) - float64(b3[c]*v3)
			}
		}
		for ; i < len(t.rows); i++ {
			subtractTimes(own, below[i*w:i*w+w], x[t.rows[i]])
		}
		for i := w - 1; i >= 0; i-- {
			own[i] *= f.inverse[t.first+i]
			subtractTimes(own[:i], l[i*w:i*w+i], own[i])
		}
	}
}

// backwards3 does the same for three at once.
func (f *Factor) backwards3(x, y []float64) {
	n := f.plan.n
	for s := len(f.plan.fronts) - 1; s >= 0; s-- {
		t := &f.plan.fronts[s]
		l, below := f.part(t)
		for j := range 3 {
			xj, yj := x[j*n:j*n+n], y[j*len(t.rows):]
			for i, p := range t.rows {
				yj[i] = xj[p]
			}
		}
		w, r := t.w, len(t.rows)
		a0, a1, a2 := x[t.first:t.first+w], x[n+t.first:n+t.first+w], x[2*n+t.first:2*n+t.first+w]
		y0, y1, y2 := y[:r], y[r:2*r], y[2*r:3*r]
		i := 0
		for ; i+2 <= r; i += 2 {
			b0, b1 := below[i*w:i*w+w], below[i*w+w:i*w+2*w]
			subtractTwo3(a0, a1, a2, b0, b1, [3]float64{y0[i], y1[i], y2[i]}, [3]float64{y0[i+1], y1[i+1], y2[i+1]})
		}
		if i < r {
			subtractTimes3(a0, a1, a2, below[i*w:i*w+w], [3]float64{y0[i], y1[i], y2[i]})
		}
		for i := w - 1; i >= 0; i-- {
			v := f.inverse[t.first+i]
			a0[i], a1[i], a2[i] = a0[i]*v, a1[i]*v, a2[i]*v
			subtractTimes3(a0[:i], a1, a2, l[i*w:i*w+i], [3]float64{a0[i], a1[i], a2[i]})
		}
	}
}

// subtractTimes takes h times v off x.
func subtractTimes(x, v []float64, h float64) {
	v = v[:len(x)]
	for i, a := range v {
		x[i] -= float64(h * a)
	}
}

// subtractTimes3 takes multiples of v off three.
func subtractTimes3(x0, x1, x2, v []float64, h [3]float64) {
	v, x1, x2 = v[:len(x0)], x1[:len(x0)], x2[:len(x0)]
	h0, h1, h2 := h[0], h[1], h[2]
	for i, a := range v {
		x0[i] -= float64(h0 * a)
		x1[i] -= float64(h1 * a)
		x2[i] -= float64(h2 * a)
	}
}

// subtractTwo3 takes multiples of v, and then of u, off three.
func subtractTwo3(x0, x1, x2, v, u []float64, h, g [3]float64) {
	v, u, x1, x2 = v[:len(x0)], u[:len(x0)], x1[:len(x0)], x2[:len(x0)]
	h0, h1, h2, g0, g1, g2 := h[0], h[1], h[2], g[0], g[1], g[2]
	for i, a := range v {
		b := u[i]
		x0[i] = x0[i] - float64(a*h0) - float64(b*g0)
		x1[i] = x1[i] - float64(a*h1) - float64(b*g1)
		x2[i] = x2[i] - float64(a*h2) - float64(b*g2)
	}
}
