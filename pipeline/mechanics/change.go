package mechanics

import "math"

// Leaving joints out takes their stiffness away, and putting them back adds it: K' = K − G S Gᵀ, where G are the columns of the joints'
// relative motions and S their stiffness, negative for those that come back. By the Sherman–Morrison–Woodbury formula
// (W. W. Hager, "Updating the inverse of a matrix", SIAM Review 31, 1989) Gᵀu' = Gᵀu + C y with (1 − S C) y = S Gᵀu and
// C = GᵀK⁻¹G; C itself changes likewise. It is exact, and costs next to nothing beside solving.

// change is the way from the selection that was settled on to another.
type change struct {
	joints []int
	back   []bool    // of each joint: it is put back
	lu     []float64 // of 1 − S C, 3 × 3 for each two joints
	order  []int     // of its rows
	away   []bool    // the joints that are gone afterwards
}

// to gives the way to a selection; false where that does not hold.
func (t *Trial) to(keep []bool) (*change, bool) {
	away, ok := t.goneWithout(keep)
	if !ok {
		return nil, false
	}
	c := &change{away: away}
	for i := range away {
		if away[i] != t.away[i] {
			c.joints, c.back = append(c.joints, i), append(c.back, !away[i])
		}
	}
	n := 3 * len(c.joints)
	c.lu = make([]float64, n*n)
	for a, i := range c.joints {
		for k := range 3 {
			row := c.lu[(3*a+k)*n : (3*a+k+1)*n]
			for l := range 3 {
				s := -t.joints[i].stiff[k][l]
				if c.back[a] {
					s = -s
				}
				from := t.c[(3*i+l)*t.rows:]
				for b, j := range c.joints {
					for m := range 3 {
						row[3*b+m] += float64(s * from[3*j+m])
					}
				}
			}
			row[3*a+k]++
		}
	}
	c.order, ok = decompose(c.lu, n)
	return c, ok
}

// solve gives y for k right sides r, of which row gives those of one of the joints' motions.
func (t *Trial) solve(c *change, k int, row func(i int) []float64) []float64 {
	n := 3 * len(c.joints)
	b := make([]float64, n*k)
	for a, i := range c.joints {
		for m := range 3 {
			to := b[(3*a+m)*k : (3*a+m+1)*k]
			for l := range 3 {
				s := t.joints[i].stiff[m][l]
				if c.back[a] {
					s = -s
				}
				for e, v := range row(3*i + l)[:k] {
					to[e] += float64(s * v)
				}
			}
		}
	}
	return substitute(c.lu, c.order, b, n, k)
}

// apply makes a change.
func (t *Trial) apply(c *change) {
	n, rows := 3*len(c.joints), t.rows
	if n > 0 {
		y := t.solve(c, rows, func(i int) []float64 { return t.c[i*rows : (i+1)*rows] })
		force := t.solve(c, 1, func(i int) []float64 { return t.cold[i : i+1] })
		at := make([]float64, n)
		for r := range rows {
			row := t.c[r*rows : (r+1)*rows]
			for a, i := range c.joints {
				copy(at[3*a:], row[3*i:3*i+3])
			}
			for i, v := range at {
				t.cold[r] += float64(v * force[i])
				for e, w := range y[i*rows : (i+1)*rows] {
					row[e] += float64(v * w)
				}
			}
		}
	}
	copy(t.away, c.away)
}

// judge reckons the worst of all loads after a change.
func (t *Trial) judge(c *change, keep []bool) Verdict {
	return t.judgeTabs(c, keep, make([]float64, len(t.tabs)))
}

// judgeTabs does, and notes of every tab how much it uses of its limit, where that is more than all of it.
func (t *Trial) judgeTabs(c *change, keep []bool, shares []float64) Verdict {
	v := Verdict{Reserve: highest}
	n, loads := 3*len(c.joints), 1+t.press[1]-t.press[0]
	// What the changed joints do under the weight, and under a unit force in each place pressed on.
	var y []float64
	if n > 0 {
		y = t.solve(c, loads, func(i int) []float64 {
			return append(append(make([]float64, 0, loads), t.cold[i]), t.c[i*t.rows+t.press[0]:i*t.rows+t.press[1]]...)
		})
	}
	moves := func(row int, to []float64) {
		from := t.c[row*t.rows : (row+1)*t.rows]
		to[0] = t.cold[row]
		copy(to[1:], from[t.press[0]:t.press[1]])
		for a, i := range c.joints {
			for m := range 3 {
				w := from[3*i+m]
				for k, f := range y[(3*a+m)*loads : (3*a+m+1)*loads] {
					to[k] += float64(w * f)
				}
			}
		}
	}
	gone := t.away
	if c.away != nil {
		gone = c.away
	}
	rel := make([]float64, 3*loads)
	worst := -1
	asked := t.limits.LeastReserve / t.off.reserve
	for i := range t.joints {
		j := &t.joints[i]
		if gone[i] || !keep[j.tab] {
			continue
		}
		for k := range 3 {
			moves(3*i+k, rel[k*loads:(k+1)*loads])
		}
		weight := [3]float64{rel[0], rel[loads], rel[2*loads]}
		for k := range loads {
			u, strength := weight, j.strength
			if k == 0 {
				strength *= t.hot.strength // under the weight alone the oven is worse
			} else {
				for m := range 3 {
					u[m] += float64(t.force * rel[m*loads+k])
				}
			}
			if float64(length3(u[0], u[1]*reachOfTurn, u[2]*reachOfTurn)*j.steepest*math.Max(v.Reserve, asked)) < strength {
				continue // it is neither the worst nor overloaded
			}
			most := 0.0
			for _, s := range j.stress {
				most = math.Max(most, math.Abs(float64(s[0]*u[0])+float64(s[1]*u[1])+float64(s[2]*u[2])))
			}
			r := strength / most
			if r < v.Reserve {
				v.Reserve, worst = r, j.tab
			}
			if r < asked {
				shares[j.tab] = math.Max(shares[j.tab], asked/r)
			}
		}
	}
	for _, s := range shares {
		if s > 1 {
			v.Over += float64((s - 1) * (s - 1))
		}
	}
	if worst >= 0 {
		v.Worst = t.tabs[worst].id
		v.Reserve = math.Min(highest, float64(v.Reserve*t.off.reserve))
	}
	// How far a panel sags is asked of it unloaded.
	for w := range t.watch {
		row := 3*len(t.joints) + w
		sink := t.cold[row]
		for a, i := range c.joints {
			for m := range 3 {
				sink += float64(t.c[row*t.rows+3*i+m] * y[(3*a+m)*loads])
			}
		}
		sag := float64(math.Abs(sink)*t.hot.sag*t.off.sag) / t.span * 100
		v.Sag = math.Max(v.Sag, sag)
		if s := sag / t.limits.MostSag; t.limits.MostSag > 0 && s > 1 {
			v.Over += float64((s - 1) * (s - 1))
		}
	}
	return v
}

// decompose makes a matrix two triangles in place, with pivots by columns. It tells whether the matrix is regular: what is free to turn leaves a
// pivot of next to nothing.
func decompose(a []float64, n int) (order []int, ok bool) {
	order = make([]int, n)
	for i := range order {
		order[i] = i
	}
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r*n+c]) > math.Abs(a[p*n+c]) {
				p = r
			}
		}
		if !(math.Abs(a[p*n+c]) >= regular) {
			return order, false
		}
		if p != c {
			for k := range n {
				a[p*n+k], a[c*n+k] = a[c*n+k], a[p*n+k]
			}
			order[p], order[c] = order[c], order[p]
		}
		for r := c + 1; r < n; r++ {
			f := a[r*n+c] / a[c*n+c]
			a[r*n+c] = f
			if f == 0 {
				continue
			}
			row, from := a[r*n:(r+1)*n], a[c*n:(c+1)*n]
			for k := c + 1; k < n; k++ {
				row[k] -= float64(f * from[k])
			}
		}
	}
	return order, true
}

// substitute solves for k right sides, b row by row, with what decompose left.
func substitute(lu []float64, order []int, b []float64, n, k int) []float64 {
	x := make([]float64, n*k)
	for i, o := range order {
		copy(x[i*k:(i+1)*k], b[o*k:(o+1)*k])
	}
	take := func(to, from []float64, f float64) {
		for e, v := range from {
			to[e] -= float64(f * v)
		}
	}
	for r := range n {
		for c := range r {
			if f := lu[r*n+c]; f != 0 {
				take(x[r*k:(r+1)*k], x[c*k:(c+1)*k], f)
			}
		}
	}
	for r := n - 1; r >= 0; r-- {
		for c := r + 1; c < n; c++ {
			if f := lu[r*n+c]; f != 0 {
				take(x[r*k:(r+1)*k], x[c*k:(c+1)*k], f)
			}
		}
		f := lu[r*n+r]
		for e := range k {
			x[r*k+e] /= f
		}
	}
	return x
}
