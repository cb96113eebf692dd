package verify

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// foil is the copper of the composite rows, in mm.
const foil = 0.035

// composite: laminate with copper on its faces.
func composite(context.Context, *sheets) (Group, error) {
	g := Group{Title: "Composite stiffness", Text: "1.6 mm over 35 µm of copper that covers all: on both faces, and on one, for which the contractions are set to 0. N·mm."}
	l := laminate.Default()
	e1, e2, nu, shear := 1000*l.ElasticWarp.Value, 1000*l.ElasticFill.Value, l.Poisson.Value, 1000*l.Shear.Value
	ec, nc := 1000*l.CopperElastic.Value, l.CopperPoisson.Value
	cube := func(v float64) float64 { return float64(v * v * v) }
	core := cube(thickness-2*foil) / 12
	faces := cube(thickness)/12 - core
	qg, qc := 1-float64(nu*nu*e2/e1), 1-float64(nc*nc)
	got := laminate.Bending(l, laminate.Stack{Thickness: thickness, Copper: []laminate.Foil{{Thick: foil, Share: 1}, {Thick: foil, Share: 1}}}, false)
	g.add("both faces", "D₁₁", float64(e1/qg*core)+float64(ec/qc*faces), got[0][0], layered)
	g.add("both faces", "D₂₂", float64(e2/qg*core)+float64(ec/qc*faces), got[1][1], layered)
	g.add("both faces", "D₁₂", float64(nu*e2/qg*core)+float64(nc*ec/qc*faces), got[0][1], layered)
	g.add("both faces", "D₆₆", float64(shear*core)+float64(ec/(2*(1+nc))*faces), got[2][2], layered)

	// One strip in each direction, with the line that is not stretched where its moments balance.
	l.Poisson.Value, l.CopperPoisson.Value = 0, 0
	got = laminate.Bending(l, laminate.Stack{Thickness: thickness, Copper: []laminate.Foil{{Thick: foil, Share: 1}}}, false)
	for k, e := range []float64{e1, e2} {
		tg := thickness - foil
		glass, copper := float64(e*tg), float64(ec*foil)
		between := thickness / 2 // of the layers' middles
		want := float64(e*cube(tg)/12) + float64(ec*cube(foil)/12) + float64(glass*copper/(glass+copper)*between*between)
		g.add("one face", [2]string{"D₁₁", "D₂₂"}[k], want, got[k][k], layered)
	}
	return g, nil
}

// ligaments: what is left between perforations, as beams and between strips of plate.
func ligaments(ctx context.Context, _ *sheets) (Group, error) {
	g := Group{Title: "Ligaments between perforations", Text: "Holes of 0.5 mm, 0.3 mm between them, 1.6 mm thick, bent along the warp; a ligament b wide between holes d wide has the slope " +
		"12 M/(E t³) (2k/√(k² − 1) · atan √((k + 1)/(k − 1)) − π/2) with k = 1 + b/d. Strip: two lengths of plate of 40 × 10 mm without contraction, held at one end, with a hole's row between them that leaves two " +
		"shoulders of 1 mm, each joined to its half of the border. What the plate beside the holes bends further is left out here: it is held against three-dimensional elements in pipeline/outside/mechanics."}
	l := laminate.Default()
	l.Poisson.Value = 0
	l.ShearThrough.Value = l.Shear.Value
	const d, b, t = 0.5, 0.3, thickness
	e, shear := 1000*l.ElasticWarp.Value, 1000*l.Shear.Value
	ei := func(b float64) float64 { return float64(e*b) * float64(t*t*t) / 12 }

	row := laminate.Row{Diameter: d, Thickness: t, Webs: []float64{b, b, b}, At: []float64{0.15, 0.95, 1.75}, Ends: [2]float64{0, 1.9}, Cos: 1, Holes: true, BeamsAlone: true}
	holes := row.Ligaments(l, false)
	_, slope := held(holes[1], 0, 1)
	g.add("between two holes", "slope under a moment, 1/N·mm", narrowed(d, b)*b/ei(b), slope, beams)

	row = laminate.Row{Diameter: 2, Thickness: t, Webs: []float64{t}, At: []float64{t / 2}, Ends: [2]float64{0, t}, Cos: 1}
	tab := row.Ligaments(l, false)[0]
	sinks, _ := held(tab, 1, 0)
	g.add("tab 2 mm long, square", "deflection under a force, mm/N", 8/(3*ei(t))+1.2*2/(shear*t*t), sinks, beams)
	g.add("tab 2 mm long, square", "moment of a twist, N·mm", 0.1406*float64(t*t*t*t)*shear/2, tab[5][5], beams)
	got, want, err := perforated(ctx, l)
	if err != nil {
		return g, err
	}
	g.add("strip", "what the row adds to the deflection of the end under a force, mm/N", want.sinks, got.sinks, beams)
	g.add("strip", "moment on the row under its own weight, N·mm", want.moment, got.moment, statics)
	return g, nil
}

// narrowed is ∫ ds/b(s) along a ligament between two holes: b(s) = b + d − √(d² − 4s²).
func narrowed(d, b float64) float64 {
	k := 1 + b/d
	return float64(2*k/math.Sqrt(float64(k*k)-1)*geom.Atan2(math.Sqrt(k+1), math.Sqrt(k-1))) - math.Pi/2
}

// held gives deflection and slope along x of a beam's end under a force and a moment, its beginning held.
func held(k [6][6]float64, force, moment float64) (sinks, slope float64) {
	a, b, c := k[3][3], k[3][4], k[4][4]
	det := float64(a*c) - float64(b*b)
	return (float64(c*force) - float64(b*moment)) / det, (float64(a*moment) - float64(b*force)) / det
}

type perforatedStrip struct{ sinks, moment float64 }

// perforated reckons the strip, and what it should be.
func perforated(ctx context.Context, l panel.Laminate) (got, want perforatedStrip, err error) {
	const long, wide, hole, web = 40.0, 10.0, 0.5, 1.0
	const nx, ny = 20, 6
	d := laminate.Bending(l, laminate.Stack{Thickness: thickness}, false)
	near, far := grid(long, wide, nx, ny, d, 0), grid(long, wide, nx, ny, d, 0)
	n := int32(len(near.X))
	m := near.Model
	for i := range far.X {
		m.X, m.Y = append(m.X, far.X[i]+long+hole), append(m.Y, far.Y[i])
	}
	for _, t := range far.Triangles {
		for c := range t.Nodes {
			t.Nodes[c] += n
		}
		m.Triangles = append(m.Triangles, t)
	}
	for j := range ny + 1 {
		m.Held = append(m.Held, plate.Held{Node: near.node(0, j), Deflection: true, SlopeX: true, SlopeY: true})
	}
	row := laminate.Row{Diameter: hole, Thickness: thickness, Webs: []float64{web, web}, At: []float64{0.5, 2}, Ends: [2]float64{0, 2.5}, Cos: 1, Holes: true, BeamsAlone: true}
	for k, stiffness := range row.Ligaments(l, false) {
		j := plate.Joint{Stiffness: stiffness}
		for i := k * ny / 2; i <= (k+1)*ny/2; i++ {
			w := 2.0 / ny
			if i == k*ny/2 || i == (k+1)*ny/2 {
				w /= 2
			}
			j.A = append(j.A, plate.Share{Node: near.node(nx, i), Weight: w})
			j.B = append(j.B, plate.Share{Node: n + far.node(0, i), Weight: w})
		}
		m.Joints = append(m.Joints, j)
	}
	s, err := plate.New(ctx, &m, 1)
	if err != nil {
		return got, want, err
	}
	weight, err := s.Weight(gravity, nil)
	if err != nil {
		return got, want, err
	}
	force := make([]float64, len(weight))
	for j := range ny + 1 {
		f := 1.0 / ny
		if j == 0 || j == ny {
			f /= 2
		}
		force[3*(n+far.node(nx, j))] = f
	}
	x := s.Solve(force, weight)
	got.sinks = x[0].W[n+far.node(nx, ny/2)]
	for j := range m.Joints {
		got.moment += s.JointForces(j, x[1])[4] // at the far side: on its slope along x
	}

	// The end sinks by F ∫ (end − x)² / EI dx; over the row 1/EI changes along it, symmetric about its middle, and shear adds.
	const end = 2*long + hole
	ei := d[0][0] * wide
	square := func(v float64) float64 { return float64(v * v) }
	cube := func(v float64) float64 { return float64(v * v * v) }
	got.sinks -= (cube(end) - cube(end-long) + cube(long)) / 3 / ei
	want.sinks = shoulders(l, hole, web, long+hole/2)
	want.moment = pressure * wide * square(long) / 2
	return got, want, nil
}

// shoulders is what two shoulders beside a hole add to the deflection under a force of 1 at a distance from their middle: sums of
// beam theory over thin slices, with a shoulder's width b + d/2 − √(d²/4 − s²).
func shoulders(l panel.Laminate, d, b, away float64) float64 {
	const slices = 20000
	e, shear := 1000*l.ElasticWarp.Value, 1000*l.Shear.Value
	sum := 0.0
	for i := range slices {
		s := float64(d * (float64((float64(i)+0.5)/slices) - 0.5))
		two := float64(2 * (b + float64(d/2) - math.Sqrt(float64(d*d/4)-float64(s*s))))
		sum += float64(float64((away-s)*(away-s))/(e*two*thickness*thickness*thickness/12)) + float64(1.2/(shear*two*thickness))
	}
	return sum * d / slices
}
