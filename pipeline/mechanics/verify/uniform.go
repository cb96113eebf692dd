package verify

import (
	"context"
	"fmt"

	"panelwright/pipeline/mechanics/plate"
)

// supported: all four sides carried, uniform load.
func supported(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Simply supported on four sides, uniform load", Text: "ν = 0.3, a the short side, along x; figures in the middle."}
	for _, ratio := range []float64{1, 1.2, 1.5, 2} {
		d := plate.Isotropic(elastic, 0.3, thickness)
		sheet, err := s.rectangle(ctx, ratio)
		if err != nil {
			return g, err
		}
		m := sheet.model(d)
		sheet.hold(m, carried, carried, carried, carried)
		got, err := sheet.load(ctx, m, short, d[0][0])
		if err != nil {
			return g, err
		}
		name, at := fmt.Sprintf("b/a = %g", ratio), sheet.marks[middle]
		want := navierMiddle(d, short, short*ratio)
		g.add(name, "w·D/qa⁴", want.w*d[0][0]/(short*short*short*short), got.deflection(at), navier)
		g.add(name, "Mx/qa²", want.mx/(short*short), got.moment(at, 0), navier)
		g.add(name, "My/qa²", want.my/(short*short), got.moment(at, 1), navier)
	}
	return g, nil
}

// add adds a row with the bound that it has.
func (g *Group) add(of, quantity string, want, got float64, from Source) {
	g.Rows = append(g.Rows, Row{of, quantity, want, got, bound(of, quantity), from})
}

// clampedFigures are what the Ritz method gives of a clamped plate: w·D/qa⁴ in the middle, Mx/qa² in the middle of a long side, and
// moments in the middle.
var clampedFigures = []struct{ ratio, w, edge, mx, my float64 }{
	{1, 0.0012653, -0.051334, 0.022905, 0.022905},
	{1.2, 0.0017249, -0.063898, 0.029972, 0.022840},
	{1.5, 0.0021965, -0.075658, 0.036771, 0.020268},
	{2, 0.0025330, -0.082866, 0.041155, 0.015808},
}

// clamped: all four sides held fast, uniform load.
func clamped(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Clamped on four sides, uniform load", Text: "ν = 0.3, a the short side, along x."}
	for i := range clampedFigures {
		if err := g.clamped(ctx, s, i); err != nil {
			return g, err
		}
	}
	return g, nil
}

// clamped adds a row of clampedFigures.
func (g *Group) clamped(ctx context.Context, s *sheets, i int) error {
	c, d := clampedFigures[i], plate.Isotropic(elastic, 0.3, thickness)
	sheet, err := s.rectangle(ctx, c.ratio)
	if err != nil {
		return err
	}
	m := sheet.model(d)
	sheet.hold(m, fast, fast, fast, fast)
	got, err := sheet.load(ctx, m, short, d[0][0])
	if err != nil {
		return err
	}
	name, at := fmt.Sprintf("b/a = %g", c.ratio), sheet.marks[middle]
	g.add(name, "w·D/qa⁴", c.w, got.deflection(at), ritz)
	g.add(name, "Mx/qa² in the middle of a long side", c.edge, got.moment(sheet.marks[middleLeft], 0), ritz)
	g.add(name, "Mx/qa²", c.mx, got.moment(at, 0), ritz)
	g.add(name, "My/qa²", c.my, got.moment(at, 1), ritz)
	return nil
}

// corners: a square carried at its corners.
func corners(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Square on its four corners, uniform load", Text: "Books give 0.0257 for ν = 0.25 as well (from memory)."}
	for _, c := range []struct{ poisson, w float64 }{{0.3, 0.025507}, {0.25, 0.025669}, {0.18, 0.026092}} {
		if err := g.corners(ctx, s, c.poisson, c.w); err != nil {
			return g, err
		}
	}
	return g, nil
}

// corners adds a square that must sink by w in the middle.
func (g *Group) corners(ctx context.Context, s *sheets, poisson, w float64) error {
	d := plate.Isotropic(elastic, poisson, thickness)
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return err
	}
	m := sheet.model(d)
	for _, side := range sheet.sides {
		m.Held = append(m.Held, plate.Held{Node: side[0], Deflection: true})
	}
	got, err := sheet.load(ctx, m, short, d[0][0])
	if err != nil {
		return err
	}
	name := fmt.Sprintf("ν = %g", poisson)
	g.add(name, "w·D/qa⁴ in the middle", w, got.deflection(sheet.marks[middle]), ritz)
	if poisson == 0.3 {
		g.add(name, "w·D/qa⁴ in the middle of a side", 0.017747, got.deflection(sheet.marks[middleBelow]), ritz)
		g.add(name, "Mx/qa² in the middle", 0.11171, got.moment(sheet.marks[middle], 0), ritz)
		g.add(name, "Mx/qa² in the middle of a side", 0.15044, got.moment(sheet.marks[middleBelow], 0), ritz)
	}
	return nil
}

// rails: a square carried on two opposite sides.
func rails(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Square on two opposite sides (rails), uniform load", Text: "ν = 0.3; carried at x = 0 and x = a, free at the others."}
	d := plate.Isotropic(elastic, 0.3, thickness)
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return g, err
	}
	m := sheet.model(d)
	sheet.hold(m, free, carried, free, carried)
	got, err := sheet.load(ctx, m, short, d[0][0])
	if err != nil {
		return g, err
	}
	g.add("rails", "w·D/qa⁴ in the middle", 0.013094, got.deflection(sheet.marks[middle]), ritz)
	g.add("rails", "w·D/qa⁴ in the middle of a free side", 0.015011, got.deflection(sheet.marks[middleBelow]), ritz)
	return g, nil
}

// cantilever: a square held fast at one side.
func cantilever(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Square held fast at one side, uniform load", Text: "ν = 0.3. A beam with the plate's D would give 0.125."}
	d := plate.Isotropic(elastic, 0.3, thickness)
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return g, err
	}
	m := sheet.model(d)
	sheet.hold(m, free, free, free, fast)
	got, err := sheet.load(ctx, m, short, d[0][0])
	if err != nil {
		return g, err
	}
	g.add("one side", "w·D/qa⁴ in the middle of the far side", 0.12907, got.deflection(sheet.marks[middleRight]), ritz)
	g.add("one side", "w·D/qa⁴ in a far corner", 0.12723, got.deflection(sheet.sides[1][0]), ritz)
	return g, nil
}
