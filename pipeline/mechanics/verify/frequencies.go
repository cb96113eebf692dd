package verify

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/mechanics/plate"
)

// frequencies of squares.
func frequencies(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Natural frequencies of squares", Text: "ν = 0.3; λ = ω a² √(μ/D). Of frequencies that come twice one is listed. The free square has three of 0 before these."}
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return g, err
	}
	d := plate.Isotropic(elastic, 0.3, thickness)
	for _, c := range []struct {
		name  string
		sides [4]holding
		want  []float64
		at    []int // which of the frequencies that come out
		from  Source
	}{
		{"simply supported", [4]holding{carried, carried, carried, carried}, []float64{2 * math.Pi * math.Pi, 5 * math.Pi * math.Pi, 8 * math.Pi * math.Pi}, []int{0, 1, 3}, exact},
		{"clamped", [4]holding{fast, fast, fast, fast}, []float64{35.985, 73.394, 108.22}, []int{0, 1, 3}, modes},
		{"held at one side", [4]holding{free, free, free, fast}, []float64{3.4710, 8.5067, 21.285, 27.199}, []int{0, 1, 2, 3}, modes},
		{"free", [4]holding{}, []float64{13.468, 19.596, 24.270, 34.801}, []int{3, 4, 5, 6}, modes},
	} {
		m := sheet.model(d)
		sheet.hold(m, c.sides[:]...)
		count := c.at[len(c.at)-1] + 1
		var hertz []float64
		if c.sides == [4]holding{} {
			hertz, _, err = plate.LowestFree(ctx, m, count, 1)
		} else {
			var system *plate.System
			if system, err = plate.New(ctx, m, 1); err == nil {
				hertz, _, err = system.Lowest(ctx, count)
			}
		}
		if err != nil {
			return g, fmt.Errorf("%s: %w", c.name, err)
		}
		for i, want := range c.want {
			g.add(c.name, fmt.Sprintf("λ%d", c.at[i]-c.at[0]+1), want, lambda(hertz[c.at[i]], short, d[0][0]), c.from)
		}
	}
	return g, nil
}
