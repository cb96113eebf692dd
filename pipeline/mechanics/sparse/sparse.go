// Package sparse solves large sparse symmetric systems directly, with the same digits on every processor.
package sparse

import "context"

// Matrix is a symmetric matrix by the columns of its lower triangle, the diagonal included, rows ascending.
type Matrix struct {
	N   int
	Ptr []int32 // N+1: where each column begins in Row and Value
	Row []int32
	Val []float64
}

// Builder adds up a matrix from the blocks of finite elements, always in the order in which they come.
type Builder struct{ n int }

// NewBuilder makes a builder for n unknowns.
func NewBuilder(n int) *Builder { return &Builder{n: n} }

// Add adds a dense symmetric block (len(at) × len(at), row by row) at the unknowns at; those below 0 are held and left out.
func (b *Builder) Add(at []int32, block []float64) {}

// Matrix gives the sum.
func (b *Builder) Matrix() *Matrix { return nil }

// Order is an order of elimination that keeps the factor small: by nested dissection of the places x, y of
// the unknowns (unknowns of one node have one place and stay together). It is the same on every processor.
func Order(m *Matrix, x, y []float64) []int32 { return nil }

// Plan is what of a factorization depends on the pattern alone.
type Plan struct{}

// NewPlan prepares the factorization of matrices with m's pattern in the given order.
func NewPlan(m *Matrix, order []int32) *Plan { return nil }

// Factor is a matrix as L D Lᵀ (or L Lᵀ).
type Factor struct{}

// NotDefinite is the error of a matrix that is not positive definite.
type NotDefinite struct{ Unknown int }

func (e *NotDefinite) Error() string { return "" }

// Factor factorizes m, which must be positive definite.
func (p *Plan) Factor(ctx context.Context, m *Matrix, workers int) (*Factor, error) { return nil, nil }

// Solve replaces right sides by solutions; they lie one behind the other, N each.
func (f *Factor) Solve(b []float64) {}

// Gram gives Gᵀ A⁻¹ G for sparse columns G: a dense symmetric matrix, row by row. It goes forwards only along
// the ways of the elimination tree that each column touches, so many columns with few entries are cheap.
func (f *Factor) Gram(ctx context.Context, columns []Column) ([]float64, error) { return nil, nil }

// Column is a sparse column.
type Column struct {
	At  []int32
	Val []float64
}

// Lowest gives the count lowest eigenvalues of K x = λ M x and their vectors (M-normalised), K factorized in f,
// M symmetric and not negative. It ends when each eigenvalue is settled to one part in 10⁹.
func Lowest(ctx context.Context, f *Factor, k, m *Matrix, count int) (values []float64, vectors [][]float64, err error) {
	return nil, nil, nil
}
