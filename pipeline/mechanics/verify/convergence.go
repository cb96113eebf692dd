package verify

import (
	"context"
	"fmt"
	"math"

	"panelwright/pipeline/mechanics/plate"
)

// Step is one mesh of a series: how far figures are off in it, as a share of themselves, and by which order they came nearer.
type Step struct {
	Fields, Unknowns                int
	Deflection, Moment, Frequency   float64
	DeflectionOrder, FrequencyOrder float64 // against the step before; 0 of the first
}

const orderLeast = "observed order from the two finest meshes"

// convergence: one case over four meshes.
func convergence(ctx context.Context, _ *sheets) (Group, error) {
	g := Group{Title: "Convergence", Text: "Square simply supported on four sides, uniform load, ν = 0.3, fields of two triangles with diagonals that alternate. Off: the figure over Navier's, less 1; M is the mean of the triangles' own moments at the node, weighted by their areas."}
	d := plate.Isotropic(elastic, 0.3, thickness)
	want := navierMiddle(d, short, short)
	for k, n := range []int{6, 12, 24, 48} {
		m := grid(short, short, n, n, d, 0)
		for i := range n + 1 {
			for _, j := range []int{0, n} {
				m.Held = append(m.Held, plate.Held{Node: m.node(i, j), Deflection: true, SlopeX: true}, plate.Held{Node: m.node(j, i), Deflection: true, SlopeY: true})
			}
		}
		s, err := plate.New(ctx, &m.Model, 1)
		if err != nil {
			return g, err
		}
		b, err := s.Weight(gravity, nil)
		if err != nil {
			return g, err
		}
		x := s.Solve(b)[0]
		hertz, _, err := s.Lowest(ctx, 1)
		if err != nil {
			return g, err
		}
		at := m.node(n/2, n/2)
		step := Step{
			Fields:     n,
			Unknowns:   s.Unknowns(),
			Deflection: x.W[at]/(pressure*want.w) - 1,
			Moment:     s.NodeMoments(s.Moments(x))[at][0]/(pressure*want.mx) - 1,
			Frequency:  lambda(hertz[0], short, d[0][0])/(2*math.Pi*math.Pi) - 1,
		}
		if k > 0 {
			before := g.Steps[k-1]
			step.DeflectionOrder = log2(before.Deflection / step.Deflection)
			step.FrequencyOrder = log2(before.Frequency / step.Frequency)
		}
		g.Steps = append(g.Steps, step)
	}
	last := g.Steps[len(g.Steps)-1]
	if last.DeflectionOrder == 0 || last.FrequencyOrder == 0 {
		return g, fmt.Errorf("the figures do not come nearer: %+v", last)
	}
	g.add("deflection", orderLeast, 2, last.DeflectionOrder, theory)
	g.add("lowest frequency", orderLeast, 2, last.FrequencyOrder, theory)
	return g, nil
}

// log2 is the binary logarithm to 10⁻⁹, by squaring, the same on every processor; 0 of what is not above 0.
func log2(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 0
	}
	f, e := math.Frexp(v)
	out, bit := float64(e), 1.0
	for range 30 {
		f, bit = float64(f*f), float64(bit/2)
		if f < 0.5 {
			f, out = float64(f*2), out-bit
		}
	}
	// f lies between ½ and 1 and its logarithm between −1 and 0, of which the bits were taken off.
	return out
}
