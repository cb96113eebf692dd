package plate_test

import (
	"testing"

	"panelwright/pipeline/mechanics/plate"
)

// A plate as large as a big panel with tabs: 28 800 triangles, 43 923 unknowns, free sides but two.
func large() *plate.Model {
	m := grid(300, 400, 120, 120, laminate, massPerArea, nil)
	for j := range 121 {
		m.Held = append(m.Held, plate.Held{Node: int32(j), Deflection: true}, plate.Held{Node: int32(120*121 + j), Deflection: true})
	}
	return m
}

func BenchmarkNew(b *testing.B) {
	m := large()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := plate.New(b.Context(), m, 1); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkScaled(b *testing.B) {
	m := large()
	s, err := plate.New(b.Context(), m, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Scaled(b.Context(), m); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWeightSolveMoments(b *testing.B) {
	s, err := plate.New(b.Context(), large(), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		rhs, err := s.Weight(9806.65, nil)
		if err != nil {
			b.Fatal(err)
		}
		s.Moments(s.Solve(rhs)[0])
	}
}

func BenchmarkLowest(b *testing.B) {
	s, err := plate.New(b.Context(), large(), 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := s.Lowest(b.Context(), 3); err != nil {
			b.Fatal(err)
		}
	}
}
