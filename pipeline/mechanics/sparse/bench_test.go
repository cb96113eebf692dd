package sparse

import "testing"

// The parts of the work on a plate of 100 × 99 squares: 30 300 unknowns. Against another library: make bench-solver.
func BenchmarkPlate(b *testing.B) {
	m := plateLike(100, 99)
	var order []int32
	b.Run("order", func(b *testing.B) {
		for b.Loop() {
			order = Order(m.Matrix, m.x, m.y)
		}
	})
	var p *Plan
	b.Run("plan", func(b *testing.B) {
		for b.Loop() {
			p = NewPlan(m.Matrix, order)
		}
		b.ReportMetric(float64(p.Entries()), "entries")
		b.ReportMetric(p.Products(), "products")
	})
	var f *Factor
	b.Run("factor", func(b *testing.B) {
		for b.Loop() {
			f, _ = p.Factor(b.Context(), m.Matrix, 1)
		}
	})
	x := make([]float64, 3*m.N)
	for _, c := range []struct {
		name string
		many int
	}{{"solve", 1}, {"solve three", 3}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				copy(x, m.x)
				f.Solve(x[:c.many*m.N])
			}
		})
	}
	columns := make([]Column, 220)
	for i := range columns {
		at := 3 * (i * 977 % (m.N/3 - 4))
		for k := range 12 {
			columns[i].At, columns[i].Val = append(columns[i].At, int32(at+k)), append(columns[i].Val, 1)
		}
	}
	b.Run("Gram of 220 columns", func(b *testing.B) {
		for b.Loop() {
			_, _ = f.Gram(b.Context(), columns)
		}
	})
	membrane := laplacian(170, 170, 1) // 28 900 unknowns; the plate's spectrum is not like that of anything
	mf, mass := membrane.factor(b), identity(membrane.N)
	b.Run("10 lowest of a membrane", func(b *testing.B) {
		for b.Loop() {
			_, _, _ = Lowest(b.Context(), mf, mass, 10)
		}
	})
}
