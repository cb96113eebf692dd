package sparse

// Matrix is a symmetric matrix by the columns of its lower triangle, the diagonal included, rows ascending.
// What it holds may be zero: the pattern of a sum of elements does not depend on their values.
type Matrix struct {
	N   int
	Ptr []int32 // N+1: where each column begins in Row and Val
	Row []int32
	Val []float64
}

// Multiply sets y = m x.
func (m *Matrix) Multiply(y, x []float64) {
	clear(y[:m.N])
	for c := range m.N {
		a, b := m.Ptr[c], m.Ptr[c+1]
		rows, vals := m.Row[a:b], m.Val[a:b]
		xc, sum := x[c], 0.0
		for k, r := range rows {
			if int(r) != c {
				y[r] += float64(vals[k] * xc)
			}
			sum += float64(vals[k] * x[r])
		}
		y[c] += sum
	}
}

// Builder adds up a matrix from the blocks of finite elements, always in the order in which they come.
type Builder struct {
	n     int
	at    []int32   // of all blocks, one behind the other
	size  []int32   // of each block
	block []float64 // lower triangles, row by row
}

// NewBuilder makes a builder for n unknowns.
func NewBuilder(n int) *Builder { return &Builder{n: n} }

// Add adds a dense symmetric block (len(at) × len(at), row by row, of which the lower triangle is read) at the
// unknowns at; those below 0 are held and left out. An unknown may come more than once in at.
func (b *Builder) Add(at []int32, block []float64) {
	n := len(at)
	b.at = append(b.at, at...)
	b.size = append(b.size, int32(n))
	for i := range n {
		b.block = append(b.block, block[i*n:i*n+i+1]...)
	}
}

// Matrix gives the sum. Unknowns that no block names have empty columns.
func (b *Builder) Matrix() *Matrix {
	// First how many terms each column gets, then the terms by columns, still in the order in which they came.
	count := make([]int32, b.n+1)
	at := b.at
	for _, n := range b.size {
		for i, r := range at[:n] {
			if r < 0 {
				continue
			}
			for _, c := range at[:i+1] {
				if c >= 0 {
					count[min(r, c)+1]++
				}
			}
		}
		at = at[n:]
	}
	for c := range b.n {
		count[c+1] += count[c]
	}
	row, val := make([]int32, count[b.n]), make([]float64, count[b.n])
	next := append([]int32(nil), count[:b.n]...)
	at = b.at
	block := b.block
	for _, n := range b.size {
		for i, r := range at[:n] {
			line := block[:i+1]
			block = block[i+1:]
			if r < 0 {
				continue
			}
			for j, c := range at[:i+1] {
				if c < 0 {
					continue
				}
				v := line[j]
				if r == c && i != j { // both of the block's two meet on the diagonal
					v *= 2
				}
				k := &next[min(r, c)]
				row[*k], val[*k] = max(r, c), v
				*k++
			}
		}
		at = at[n:]
	}

	// Then each column's terms that share a row are added up, and its rows put in order.
	m := &Matrix{N: b.n, Ptr: make([]int32, b.n+1)}
	sum := make([]float64, b.n)
	seen := make([]int32, b.n) // the last column in which the row came, plus 1
	size := int32(0)           // sums are written over terms that have been read
	for c := range b.n {
		from := size
		for k := count[c]; k < count[c+1]; k++ {
			r := row[k]
			if seen[r] != int32(c)+1 {
				seen[r], sum[r] = int32(c)+1, 0
				row[size] = r
				size++
			}
			sum[r] += val[k]
		}
		sortInts(row[from:size])
		for k := from; k < size; k++ {
			val[k] = sum[row[k]]
		}
		m.Ptr[c+1] = size
	}
	m.Row = append([]int32(nil), row[:size]...)
	m.Val = append([]float64(nil), val[:size]...)
	return m
}

// sortInts sorts: by insertion what is short, as columns of elements are.
func sortInts(a []int32) {
	if len(a) > 64 {
		sortLong(a)
		return
	}
	for i := 1; i < len(a); i++ {
		v, j := a[i], i
		for ; j > 0 && a[j-1] > v; j-- {
			a[j] = a[j-1]
		}
		a[j] = v
	}
}
