package verify

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/mechanics/plate"
)

// thick: a square carried all round whose thickness grows until shear counts.
func thick(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Thick plates", Text: "A square simply supported on four sides, ν = 0.3, shear modulus through the thickness 3500 MPa beside E = 24000 MPa, shear factor 5/6; w in the middle, of the thin plate's qa⁴/D. " +
		"Of boards of 1.6 mm and 200 mm shear makes a thousandth; of tabs, hardly longer than thick, a tenth and more."}
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return g, err
	}
	for _, t := range []float64{5, 10, 20, 40} {
		d := plate.Isotropic(elastic, 0.3, t)
		stiff := 5.0 / 6 * 3500 * t
		m := sheet.model(d)
		for i := range m.Triangles {
			m.Triangles[i].Shear = stiff
		}
		sheet.hold(m, carried, carried, carried, carried)
		got, err := sheet.load(ctx, m, short, d[0][0])
		if err != nil {
			return g, err
		}
		want := 0.0
		for k := 1; k < 200; k += 2 {
			for l := 1; l < 200; l += 2 {
				k2 := math.Pi * math.Pi * float64(k*k+l*l) // times 1/a²
				w := 16 / (math.Pi * math.Pi * float64(k*l)) / (k2 * k2) * float64(2-k%4) * float64(2-l%4)
				want += float64(w * (1 + d[0][0]*k2/(stiff*short*short)))
			}
		}
		g.add(fmt.Sprintf("t/a = %g", t/short), "w·D/qa⁴", want, got.deflection(sheet.marks[middle]), mindlin)
	}
	return g, nil
}
