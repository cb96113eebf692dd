package sparse

import "context"

// Column is a sparse column: Val at the unknowns At. Those below 0 are held and left out; what comes twice is added.
type Column struct {
	At  []int32
	Val []float64
}

// Gram gives Gᵀ A⁻¹ G for sparse columns G: a dense symmetric matrix, row by row. It is YᵀY with Y = L⁻¹G, and goes forwards
// only along the ways of the elimination tree that each column touches, so many columns with few entries are cheap.
func (f *Factor) Gram(ctx context.Context, columns []Column) ([]float64, error) {
	p, n := f.plan, len(columns)
	out := make([]float64, n*n)

	// Which columns pass through each front, ascending.
	of := make([]int32, p.n)
	for s := range p.fronts {
		t := &p.fronts[s]
		for c := t.first; c < t.first+t.w; c++ {
			of[c] = int32(s)
		}
	}
	through := make([][]int32, len(p.fronts))
	for g, c := range columns {
		for _, u := range c.At {
			if u < 0 {
				continue
			}
			for s := of[p.place[u]]; s >= 0; s = p.fronts[s].parent {
				if k := len(through[s]); k > 0 && through[s][k-1] == int32(g) {
					break
				}
				through[s] = append(through[s], int32(g))
			}
		}
	}

	// Their parts in the fronts' own unknowns: w × the columns that pass through, row by row.
	part := make([][]float64, len(p.fronts))
	for s := range p.fronts {
		part[s] = make([]float64, p.fronts[s].w*len(through[s]))
	}
	local := make([]int32, n)
	type term struct {
		column, place int32
		val           float64
	}
	terms := make([][]term, len(p.fronts))
	for g, c := range columns {
		for i, u := range c.At {
			if u >= 0 {
				s := of[p.place[u]]
				terms[s] = append(terms[s], term{int32(g), p.place[u], c.Val[i]})
			}
		}
	}
	for s := range p.fronts {
		k := len(through[s])
		if k == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		t := &p.fronts[s]
		for i, g := range through[s] {
			local[g] = int32(i)
		}
		own := part[s]
		for _, e := range terms[s] {
			own[(int(e.place)-t.first)*k+int(local[e.column])] += e.val
		}
		l := f.l[t.at : t.at+(t.w+len(t.rows))*t.w]
		f.forwardsOwn(l, own, t, k)
		gramOf(out, own, through[s], t.w, n)
		if t.parent < 0 {
			continue
		}
		below := make([]float64, len(t.rows)*k)
		timesPanel(below, l[t.w*t.w:], own, len(t.rows), t.w, k)
		part[s] = nil
		f.scatter(part, through, below, s, of)
	}
	for i := range n {
		for j := range i {
			out[j*n+i] = out[i*n+j]
		}
	}
	return out, nil
}

// scatter takes what front s does off the fronts its rows are in.
func (f *Factor) scatter(part [][]float64, through [][]int32, below []float64, s int, of []int32) {
	p := f.plan
	k := len(through[s])
	at := make([]int, k) // where this front's columns are among those of the other
	last := int32(-1)
	for i, r := range p.fronts[s].rows {
		u := of[r]
		if u != last {
			last = u
			j := 0
			for c, g := range through[s] {
				for through[u][j] != g {
					j++
				}
				at[c] = j
			}
		}
		to := part[u][(int(r)-p.fronts[u].first)*len(through[u]):]
		for c, v := range below[i*k : i*k+k] {
			to[at[c]] -= v
		}
	}
}

// gramOf adds a front's share of YᵀY to the lower triangle of out (n × n).
func gramOf(out, own []float64, columns []int32, w, n int) {
	k := len(columns)
	for r := range w {
		row := own[r*k : r*k+k]
		for i, a := range row {
			if a == 0 {
				continue
			}
			to := out[int(columns[i])*n : int(columns[i])*n+n]
			for j, b := range row[:i+1] {
				to[columns[j]] += float64(a * b)
			}
		}
	}
}
