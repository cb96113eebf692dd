package sparse

import "slices"

// Plan is what of a factorization depends on the pattern alone. It is not changed once made, and may be used at the same time.
type Plan struct {
	n        int
	ptr, row []int32 // the matrix's pattern
	order    []int32 // which unknown is eliminated at each place
	place    []int32 // the inverse
	fronts   []front // children before parents, every subtree in one piece
	rows     []int32 // of all fronts: the places below their own columns
	up       []int32 // for each of rows: which row of the parent's front it is
	entry    []int32 // of all fronts: which entries of the matrix go into them
	to       []int   // for each of entry: where in the factor
	size     int     // of the factor
	products float64
}

// front is a run of columns with one pattern below them: one dense block of the factor.
type front struct {
	first, w int // the columns are the places first to first + w − 1
	rows     []int32
	up       []int32
	parent   int32 // −1: none
	children []int32
	at       int // where its (w + len(rows)) × w entries begin in the factor, row by row
	entry    []int32
	to       []int
	work     float64 // products in its whole subtree
}

// NewPlan prepares the factorization of matrices with m's pattern in the given order.
func NewPlan(m *Matrix, order []int32) *Plan {
	p := &Plan{n: m.N, ptr: m.Ptr, row: m.Row, order: slices.Clone(order)}
	p.place = inverse(p.order)
	ptr, col := rowsOf(m, p.place)
	parent := eliminationTree(ptr, col)
	p.renumber(postorder(parent))
	ptr, col = rowsOf(m, p.place)
	parent = eliminationTree(ptr, col)
	groups := amalgamate(columnCounts(ptr, col, parent), parent)
	again := make([]int32, 0, p.n)
	for _, g := range groups {
		again = append(again, g.columns...)
	}
	p.renumber(again)
	ptr, col = rowsOf(m, p.place)
	p.makeFronts(groups, ptr, col)
	p.placeEntries(m)
	return p
}

func inverse(order []int32) []int32 {
	place := make([]int32, len(order))
	for i, u := range order {
		place[u] = int32(i)
	}
	return place
}

// renumber puts the order itself in the given order.
func (p *Plan) renumber(by []int32) {
	order := make([]int32, p.n)
	for i, k := range by {
		order[i] = p.order[k]
	}
	p.order, p.place = order, inverse(order)
}

// makeFronts finds the rows of every front, and which rows of its parent's front they are.
func (p *Plan) makeFronts(groups []group, ptr, col []int32) {
	of := make([]int32, p.n) // which front a place's column is in
	p.fronts = make([]front, len(groups))
	at, total := 0, 0
	for s, g := range groups {
		f := &p.fronts[s]
		f.first, f.w, f.parent = at, len(g.columns), g.parent
		for range g.columns {
			of[at] = int32(s)
			at++
		}
		total += g.rows
		if g.parent >= 0 {
			p.fronts[g.parent].children = append(p.fronts[g.parent].children, int32(s))
		}
	}
	p.rows, p.up = make([]int32, total), make([]int32, total)
	total = 0
	for s, g := range groups {
		f := &p.fronts[s]
		f.rows, f.up = p.rows[total:total:total+g.rows], p.up[total:total+g.rows:total+g.rows]
		total += g.rows
	}
	// Each row's part of the factor is a subtree: from the columns it is coupled with up to its own.
	seen := make([]int32, len(groups))
	for i := range int32(p.n) {
		seen[of[i]] = i + 1
		for _, k := range col[ptr[i]:ptr[i+1]] {
			for s := of[k]; seen[s] != i+1; s = p.fronts[s].parent {
				seen[s] = i + 1
				p.fronts[s].rows = append(p.fronts[s].rows, i)
			}
		}
	}
	for s := range p.fronts {
		f := &p.fronts[s]
		f.at = p.size
		p.size += (f.w + len(f.rows)) * f.w
		r, w := len(f.rows), f.w
		own := float64(w*(w*w+3*r*(w+r))) / 6
		f.work += own
		p.products += own
		if f.parent < 0 {
			continue
		}
		up := &p.fronts[f.parent]
		up.work += f.work
		k := 0
		for i, row := range f.rows {
			if own := int(row) - up.first; own < up.w {
				f.up[i] = int32(own)
				continue
			}
			for up.rows[k] < row {
				k++
			}
			f.up[i] = int32(up.w + k)
		}
	}
}

// placeEntries finds where every entry of the matrix goes.
func (p *Plan) placeEntries(m *Matrix) {
	of := make([]int32, p.n)
	count := make([]int32, len(p.fronts)+1)
	for s := range p.fronts {
		f := &p.fronts[s]
		for c := f.first; c < f.first+f.w; c++ {
			of[c] = int32(s)
		}
	}
	for c := range m.N {
		for _, r := range m.Row[m.Ptr[c]:m.Ptr[c+1]] {
			count[of[min(p.place[r], p.place[c])]+1]++
		}
	}
	for s := range p.fronts {
		count[s+1] += count[s]
	}
	p.entry, p.to = make([]int32, len(m.Row)), make([]int, len(m.Row))
	from := make([]int32, len(m.Row)) // the row, for now
	next := slices.Clone(count[:len(p.fronts)])
	for c := range m.N {
		for k := m.Ptr[c]; k < m.Ptr[c+1]; k++ {
			a, b := p.place[m.Row[k]], p.place[c]
			s := of[min(a, b)]
			e := next[s]
			next[s]++
			p.entry[e], from[e] = k, max(a, b)
			p.to[e] = int(min(a, b))
		}
	}
	local := make([]int32, p.n)
	for s := range p.fronts {
		f := &p.fronts[s]
		f.entry, f.to = p.entry[count[s]:count[s+1]], p.to[count[s]:count[s+1]]
		for i := range f.w {
			local[f.first+i] = int32(i)
		}
		for i, row := range f.rows {
			local[row] = int32(f.w + i)
		}
		for i, row := range from[count[s]:count[s+1]] {
			f.to[i] = int(local[row])*f.w + f.to[i] - f.first
		}
	}
}

// Entries is how many numbers the factor holds, and Products how many products are summed to get it.
func (p *Plan) Entries() int { return p.size }

// Products is how many products are summed to get the factor.
func (p *Plan) Products() float64 { return p.products }

// fits says whether m has the plan's pattern.
func (p *Plan) fits(m *Matrix) bool {
	return m.N == p.n && len(m.Val) == len(m.Row) && slices.Equal(m.Ptr, p.ptr) && slices.Equal(m.Row, p.row)
}
