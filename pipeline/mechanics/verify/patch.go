package verify

import (
	"context"
	"math"

	"panelwright/pipeline/mechanics/plate"
)

const patchOff = "moments off by at most"

// patch: the patch test on an irregular mesh, with every entry of the stiffness.
func patch(ctx context.Context, _ *sheets) (Group, error) {
	g := Group{Title: "Patch test", Text: "An irregular mesh of 8 × 6 × 2 triangles, all entries of D other than 0, moments of 1 on its border, carried at three corners: every corner of every triangle must have these moments."}
	d := plate.Bending{{9000, 2100, 700}, {2100, 7000, 400}, {700, 400, 2600}}
	for _, c := range []struct {
		name string
		m    [3]float64
	}{{"Mx", [3]float64{1, 0, 0}}, {"My", [3]float64{0, 1, 0}}, {"Mxy", [3]float64{0, 0, 1}}} {
		_, moments, err := grid(60, 40, 8, 6, d, 0.7).bent(ctx, c.m)
		if err != nil {
			return g, err
		}
		worst := 0.0
		for _, t := range moments {
			for _, at := range t {
				for k := range at {
					worst = max(worst, math.Abs(at[k]-c.m[k]))
				}
			}
		}
		g.add(c.name, patchOff, 0, worst, statics)
	}
	return g, nil
}
