package sparse

// Solve replaces right sides by solutions; they lie one behind the other, N each. A solution's digits do not depend on what
// is solved with it.
func (f *Factor) Solve(b []float64) {
	n := f.plan.n
	if n == 0 {
		return
	}
	const most = 4
	x := make([]float64, most*n) // by places, one right side's number beside the other's
	y := make([]float64, most*(f.plan.widest()))
	for ; len(b) >= n; b = b[min(len(b), most*n):] {
		k := min(most, len(b)/n)
		for i, u := range f.plan.order {
			for j := range k {
				x[i*k+j] = b[j*n+int(u)]
			}
		}
		f.forwards(x, y, k)
		f.backwards(x, y, k)
		for i, u := range f.plan.order {
			for j := range k {
				b[j*n+int(u)] = x[i*k+j]
			}
		}
	}
}

// widest is how many rows the largest front has.
func (p *Plan) widest() (n int) {
	for i := range p.fronts {
		n = max(n, p.fronts[i].w+len(p.fronts[i].rows))
	}
	return n
}

// forwards replaces k right sides by L⁻¹ times them.
func (f *Factor) forwards(x, y []float64, k int) {
	for s := range f.plan.fronts {
		t := &f.plan.fronts[s]
		l := f.l[t.at : t.at+(t.w+len(t.rows))*t.w]
		own := x[t.first*k : (t.first+t.w)*k]
		f.forwardsOwn(l, own, t, k)
		below := l[t.w*t.w:]
		if k == 1 {
			forwardsBelow(x, own, below, t)
			continue
		}
		out := y[:len(t.rows)*k]
		timesPanel(out, below, own, len(t.rows), t.w, k)
		for i, r := range t.rows {
			to := x[int(r)*k : int(r)*k+k]
			for j, v := range out[i*k : i*k+k] {
				to[j] -= v
			}
		}
	}
}

// forwardsOwn solves for a front's own columns.
func (f *Factor) forwardsOwn(l, own []float64, t *front, k int) {
	for i := range t.w {
		row, inverse := l[i*t.w:i*t.w+i], f.inverse[t.first+i]
		for j := range k {
			sum := 0.0
			for c, v := range row {
				sum += float64(v * own[c*k+j])
			}
			own[i*k+j] = (own[i*k+j] - sum) * inverse
		}
	}
}

// forwardsBelow takes what a front's own unknowns do off the right side below, for one right side: four rows at a time.
func forwardsBelow(x, own, l []float64, t *front) {
	w, i := t.w, 0
	own = own[:w]
	for ; i+4 <= len(t.rows); i += 4 {
		l0, l1, l2, l3 := l[i*w:i*w+w], l[i*w+w:i*w+2*w], l[i*w+2*w:i*w+3*w], l[i*w+3*w:i*w+4*w]
		l0, l1, l2, l3 = l0[:len(own)], l1[:len(own)], l2[:len(own)], l3[:len(own)]
		var s0, s1, s2, s3 float64
		for c, v := range own {
			s0 += float64(l0[c] * v)
			s1 += float64(l1[c] * v)
			s2 += float64(l2[c] * v)
			s3 += float64(l3[c] * v)
		}
		x[t.rows[i]] -= s0
		x[t.rows[i+1]] -= s1
		x[t.rows[i+2]] -= s2
		x[t.rows[i+3]] -= s3
	}
	for ; i < len(t.rows); i++ {
		x[t.rows[i]] -= dot(l[i*w:i*w+w], own)
	}
}

// timesPanel sets out = l × own: l is n × w, own w × k, all row by row. Sums go over ascending columns of l.
func timesPanel(out, l, own []float64, n, w, k int) {
	for i := range n {
		row := l[i*w : i*w+w]
		j := 0
		for ; j+4 <= k; j += 4 {
			var s0, s1, s2, s3 float64
			b := own[j:]
			for c, v := range row {
				o := b[c*k : c*k+4]
				s0 += float64(v * o[0])
				s1 += float64(v * o[1])
				s2 += float64(v * o[2])
				s3 += float64(v * o[3])
			}
			out[i*k+j], out[i*k+j+1], out[i*k+j+2], out[i*k+j+3] = s0, s1, s2, s3
		}
		for ; j < k; j++ {
			sum := 0.0
			for c, v := range row {
				sum += float64(v * own[c*k+j])
			}
			out[i*k+j] = sum
		}
	}
}

// backwards replaces k right sides by L⁻ᵀ times them. What comes from below is subtracted row by row, ascending.
func (f *Factor) backwards(x, y []float64, k int) {
	for s := len(f.plan.fronts) - 1; s >= 0; s-- {
		t := &f.plan.fronts[s]
		l := f.l[t.at : t.at+(t.w+len(t.rows))*t.w]
		own := x[t.first*k : (t.first+t.w)*k]
		below := l[t.w*t.w:]
		if k == 1 {
			backwardsBelow(x, own, below, t)
		} else {
			for i, r := range t.rows {
				from := x[int(r)*k : int(r)*k+k]
				row := below[i*t.w : i*t.w+t.w]
				if k == 4 {
					v0, v1, v2, v3 := from[0], from[1], from[2], from[3]
					for c, v := range row {
						to := own[c*4 : c*4+4]
						to[0] -= float64(v * v0)
						to[1] -= float64(v * v1)
						to[2] -= float64(v * v2)
						to[3] -= float64(v * v3)
					}
					continue
				}
				for c, v := range row {
					for j, o := range from {
						own[c*k+j] -= float64(v * o)
					}
				}
			}
		}
		for i := t.w - 1; i >= 0; i-- {
			row, inverse := l[i*t.w:i*t.w+i], f.inverse[t.first+i]
			for j := range k {
				v := own[i*k+j] * inverse
				own[i*k+j] = v
				for c, a := range row {
					own[c*k+j] -= float64(a * v)
				}
			}
		}
	}
}

// backwardsBelow takes what lies below off a front's own unknowns, for one right side: four rows at a time.
func backwardsBelow(x, own, l []float64, t *front) {
	w, i := t.w, 0
	own = own[:w]
	for ; i+4 <= len(t.rows); i += 4 {
		l0, l1, l2, l3 := l[i*w:i*w+w], l[i*w+w:i*w+2*w], l[i*w+2*w:i*w+3*w], l[i*w+3*w:i*w+4*w]
		l0, l1, l2, l3 = l0[:len(own)], l1[:len(own)], l2[:len(own)], l3[:len(own)]
		x0, x1, x2, x3 := x[t.rows[i]], x[t.rows[i+1]], x[t.rows[i+2]], x[t.rows[i+3]]
		for c, v := range own {
			own[c] = v - float64(l0[c]*x0) - float64(l1[c]*x1) - float64(l2[c]*x2) - float64(l3[c]*x3)
		}
	}
	for ; i < len(t.rows); i++ {
		v := x[t.rows[i]]
		for c, a := range l[i*w : i*w+w] {
			own[c] -= float64(a * v)
		}
	}
}
