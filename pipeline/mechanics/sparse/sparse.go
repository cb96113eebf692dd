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
	b.terms(func(_, c int32, _ float64) { count[c+1]++ })
	for c := range b.n {
		count[c+1] += count[c]
	}
	row, val := make([]int32, count[b.n]), make([]float64, count[b.n])
	next := append([]int32(nil), count[:b.n]...)
	b.terms(func(r, c int32, v float64) {
		row[next[c]], val[next[c]] = r, v
		next[c]++
	})

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

// terms gives every term of the sum, in order.
func (b *Builder) terms(give func(row, column int32, value float64)) {
	at, block := b.at, b.block
	for _, n := range b.size {
		for i := range n {
			r := at[i]
			for j := range i + 1 {
				switch c := at[j]; {
				case r < 0 || c < 0:
				case r == c && i != j: // both of the block's two meet on the diagonal
					give(r, c, 2*block[j])
				case r >= c:
					give(r, c, block[j])
				default:
					give(c, r, block[j])
				}
			}
			block = block[i+1:]
		}
		at = at[n:]
	}
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
