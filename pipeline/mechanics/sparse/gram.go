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
	g := gram{f: f, columns: columns, out: make([]float64, len(columns)*len(columns)), local: make([]int, len(columns))}
	g.find()
	for s := range g.through {
		if len(g.through[s]) == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		g.front(s)
	}
	n := len(columns)
	for i := range n {
		for j := range i {
			g.out[j*n+i] = g.out[i*n+j]
		}
	}
	return g.out, nil
}

// gram is such a product under way.
type gram struct {
	f       *Factor
	columns []Column
	out     []float64
	of      []int32     // which front each place is in
	through [][]int32   // which columns pass through each front, ascending
	starts  [][]entry   // what they have in each front's own unknowns
	part    [][]float64 // the same with what has come from below: a row of the front's width for each column passing through
	local   []int       // which of those passing through a column is
}

type entry struct {
	column, place int32
	val           float64
}

// find finds which columns pass through which fronts.
func (g *gram) find() {
	p := g.f.plan
	g.of = make([]int32, p.n)
	for s := range p.fronts {
		t := &p.fronts[s]
		for c := t.first; c < t.first+t.w; c++ {
			g.of[c] = int32(s)
		}
	}
	g.through, g.starts, g.part = make([][]int32, len(p.fronts)), make([][]entry, len(p.fronts)), make([][]float64, len(p.fronts))
	for c, column := range g.columns {
		for i, u := range column.At {
			if u < 0 {
				continue
			}
			s := g.of[p.place[u]]
			g.starts[s] = append(g.starts[s], entry{int32(c), p.place[u], column.Val[i]})
			for ; s >= 0; s = p.fronts[s].parent {
				if k := len(g.through[s]); k > 0 && g.through[s][k-1] == int32(c) {
					break
				}
				g.through[s] = append(g.through[s], int32(c))
			}
		}
	}
	for s := range p.fronts {
		g.part[s] = make([]float64, p.fronts[s].w*len(g.through[s]))
	}
}

// front goes forwards through one front, adds its share to the result, and passes on what it takes off the fronts above.
func (g *gram) front(s int) {
	p, through, own := g.f.plan, g.through[s], g.part[s]
	t := &p.fronts[s]
	k, w := len(through), t.w
	for i, c := range through {
		g.local[c] = i
	}
	for _, e := range g.starts[s] {
		own[g.local[e.column]*w+int(e.place)-t.first] += e.val
	}
	l, below := g.f.part(t)
	solveAll(own, l, g.f.inverse[t.first:t.first+w], k, w)

	share := make([]float64, k*k)
	products(share, own, k, w)
	n := len(g.columns)
	for i, c := range through {
		to := g.out[int(c)*n : int(c)*n+n]
		for j, v := range share[i*k : i*k+i+1] {
			to[through[j]] -= v
		}
	}

	g.part[s] = nil
	u := make([]float64, 3*k)
	at := make([]int, k) // where this front's columns are among those of the one above
	last := int32(-1)
	for i := 0; i < len(t.rows); i += 3 {
		l0, l1, l2 := rows3(below, i, len(t.rows), w)
		productsStrip(u[:k], u[k:2*k], u[2*k:], l0, l1, l2, own, k)
		for j, r := range t.rows[i:min(i+3, len(t.rows))] {
			above := g.of[r]
			a := &p.fronts[above]
			if above != last {
				last = above
				for m, c := range g.through[above] {
					g.local[c] = m
				}
				for m, c := range through {
					at[m] = g.local[c] * a.w
				}
			}
			to := g.part[above][int(r)-a.first:]
			for m, v := range u[j*k : j*k+k] {
				to[at[m]] += v
			}
		}
	}
}
