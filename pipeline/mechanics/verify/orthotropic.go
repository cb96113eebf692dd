package verify

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
)

// layer is one sheet of laminate along its weave: moduli in MPa.
type layer struct{ warp, fill, poisson, shear float64 }

// bending is the layer's stiffness along its weave.
func (l layer) bending() plate.Bending {
	t3 := thickness * thickness * thickness / 12
	other := l.poisson * l.fill / l.warp
	n := 1 - float64(l.poisson*other)
	return plate.Bending{
		{l.warp / n * t3, other * l.warp / n * t3, 0},
		{other * l.warp / n * t3, l.fill / n * t3, 0},
		{0, 0, l.shear * t3},
	}
}

// at45 is a stiffness seen in axes that are turned by 45°: with x' = (x+y)/√2 and y' = (y−x)/√2, κx = (κx' + κy' − κxy')/2,
// κy = (κx' + κy' + κxy')/2 and κxy = κx' − κy', and the energy stays the same.
func at45(d plate.Bending) (out plate.Bending) {
	t := [3][3]float64{{0.5, 0.5, -0.5}, {0.5, 0.5, 0.5}, {1, -1, 0}}
	for r := range 3 {
		for c := range 3 {
			for i := range 3 {
				for j := range 3 {
					out[r][c] += float64(t[i][r] * d[i][j] * t[j][c])
				}
			}
		}
	}
	return out
}

// orthotropic: a square of laminate carried on four sides, along its weave and askew.
func orthotropic(ctx context.Context, s *sheets) (Group, error) {
	g := Group{Title: "Orthotropic square, simply supported, uniform load", Text: "24 and 15 GPa, ν 0.14, shear 3 GPa; D is D₁₁. At 45°: the same square lies with its corners on the axes, the weave along its sides, so that the stiffness in the axes couples bending and twist."}
	l := layer{24000, 15000, 0.14, 3000}
	d := l.bending()
	sheet, err := s.rectangle(ctx, 1)
	if err != nil {
		return g, err
	}
	m := sheet.model(d)
	sheet.hold(m, carried, carried, carried, carried)
	got, err := sheet.load(ctx, m, short, d[0][0])
	if err != nil {
		return g, err
	}
	want, a4 := navierMiddle(d, short, short), short*short*short*short
	at := sheet.marks[middle]
	g.add("along the weave", "w·D/qa⁴", want.w*d[0][0]/a4, got.deflection(at), navier)
	g.add("along the weave", "Mx/qa²", want.mx/(short*short), got.moment(at, 0), navier)
	g.add("along the weave", "My/qa²", want.my/(short*short), got.moment(at, 1), navier)

	// The weave's warp runs along (1, 1): a square of a = 141 mm √2 whose sides do.
	h := 141 * geom.MM
	sheet, err = cut(ctx, s.open, []geom.Point{{X: -h}, {Y: -h}, {X: h}, {Y: h}}, []geom.Point{{}})
	if err != nil {
		return g, err
	}
	turned := at45(d)
	m = sheet.model(plate.Bending{{turned[0][0], turned[0][1], -turned[0][2]}, {turned[0][1], turned[1][1], -turned[1][2]}, {-turned[0][2], -turned[1][2], turned[2][2]}})
	sheet.hold(m, carried, carried, carried, carried)
	a2 := 2 * h.MM() * h.MM()
	if got, err = sheet.load(ctx, m, 1, 1); err != nil {
		return g, err
	}
	want = navierMiddle(d, 1, 1)
	at = sheet.marks[middle]
	mx, my, mxy := got.moments[at][0], got.moments[at][1], got.moments[at][2]
	g.add("at 45°", "w·D/qa⁴", want.w*d[0][0], got.state.W[at]*d[0][0]/(pressure*a2*a2), navier)
	g.add("at 45°", "moment along the warp /qa²", want.mx, (float64((mx+my)/2)+mxy)/(pressure*a2), navier)
	g.add("at 45°", "moment along the fill /qa²", want.my, (float64((mx+my)/2)-mxy)/(pressure*a2), navier)
	return g, nil
}

const quoted45 = "E, GPa, against what is quoted"

// askew: a strip cut at 45° to the weave, bent by moments at its ends, as its stiffness is measured.
func askew(ctx context.Context, _ *sheets) (Group, error) {
	g := Group{Title: "At 45° to the weave", Text: "A rectangle bent by moments on two sides: E is 12 M/(κ t³). 17.9 and 17.2 GPa, shear modulus 2.7 GPa, " +
		"ν 0.136 (of a like laminate, oem-pcb.com; the quoted figures come without it). Once by the plate with its stiffness turned, once by package laminate."}
	l := layer{17900, 17200, 0.136, 2700}
	m := grid(60, 40, 12, 8, at45(l.bending()), 0.3)
	x, _, err := m.bent(ctx, [3]float64{1, 0, 0})
	if err != nil {
		return g, err
	}
	// Deflections at (0, 0) and (a, 0) are held at 0; half way between it is κ a²/8.
	got := 12 * 60 * 60 / (8 * x.W[m.node(6, 0)] * thickness * thickness * thickness)
	want := 4 / (1/l.warp + 1/l.fill + 1/l.shear - float64(2*l.poisson)/l.warp)
	material := laminate.Default()
	material.ElasticWarp.Value, material.ElasticFill.Value, material.Poisson.Value, material.Shear.Value = l.warp/1000, l.fill/1000, l.poisson, l.shear/1000
	byLaminate := laminate.Elastic(material, math.Sqrt(0.5), math.Sqrt(0.5), false)
	g.add("plate", "E, GPa", want/1000, got/1000, turned)
	g.add("package laminate", "E, GPa", want/1000, byLaminate/1000, turned)
	g.add("plate", quoted45, 8.3, got/1000, quoted)
	return g, nil
}
