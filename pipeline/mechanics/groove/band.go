package groove

import (
	"context"
	"errors"
	"math"
)

// band is a symmetric matrix: of each row what lies between its first entry and the diagonal. Unknowns are numbered column
// by column of the grid, so that rows are short.
type band struct {
	first []int       // column of the first entry of each row
	row   [][]float64 // from there to the diagonal
}

// newBand makes room for the stiffness of a grid.
func newBand(n int, at []int, g *grid) *band {
	m := &band{first: make([]int, n), row: make([][]float64, n)}
	for i := range m.first {
		m.first[i] = i
	}
	g.triangles(func(nodes [6]int, _, _ [3]float64) {
		least := n
		for _, v := range nodes {
			for _, u := range at[2*v : 2*v+2] {
				if u >= 0 {
					least = min(least, u)
				}
			}
		}
		for _, v := range nodes {
			for _, u := range at[2*v : 2*v+2] {
				if u >= 0 {
					m.first[u] = min(m.first[u], least)
				}
			}
		}
	})
	total := 0
	for i, f := range m.first {
		total += i - f + 1
	}
	all := make([]float64, total)
	for i, f := range m.first {
		m.row[i], all = all[:i-f+1:i-f+1], all[i-f+1:]
	}
	return m
}

// add adds a triangle's stiffness at its unknowns; those below 0 are held.
func (m *band) add(at *[12]int, k *[12][12]float64) {
	for i, r := range at {
		if r < 0 {
			continue
		}
		row, first := m.row[r], m.first[r]
		for j, c := range at {
			if c >= 0 && c <= r {
				row[c-first] += k[i][j]
			}
		}
	}
}

var errLoose = errors.New("the section is not held together")

// solve replaces forces by displacements and the matrix by its factor (Cholesky).
func (m *band) solve(ctx context.Context, b []float64) error {
	for i, row := range m.row {
		if i%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		f := m.first[i]
		for j := f; j < i; j++ {
			from := max(f, m.first[j])
			other := m.row[j]
			s := row[j-f] - dot(row[from-f:j-f], other[from-m.first[j]:])
			row[j-f] = s / other[len(other)-1]
		}
		s := row[i-f] - dot(row[:i-f], row)
		if !(s > 0) {
			return errLoose
		}
		row[i-f] = math.Sqrt(s)
		b[i] = (b[i] - dot(row[:i-f], b[f:])) / row[i-f]
	}
	for i := len(m.row) - 1; i >= 0; i-- {
		row, f := m.row[i], m.first[i]
		b[i] /= row[i-f]
		v := b[i]
		for j, l := range row[:i-f] {
			b[f+j] -= float64(l * v)
		}
	}
	return nil
}

// dot adds up products of a and as many of b, in four sums for speed.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	for len(a) >= 4 && len(b) >= 4 {
		s0 += float64(a[0] * b[0])
		s1 += float64(a[1] * b[1])
		s2 += float64(a[2] * b[2])
		s3 += float64(a[3] * b[3])
		a, b = a[4:], b[4:]
	}
	for i, v := range a {
		s0 += float64(v * b[i])
	}
	return s0 + s1 + (s2 + s3)
}
