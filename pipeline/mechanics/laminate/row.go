package laminate

import (
	"math"

	"panelwright/pipeline/panel"
)

// Row is one row of perforations as it is left to bend: holes in a line, or none (a tab that is cut by hand).
type Row struct {
	Diameter  float64    // mm; of a row without holes, the length that is looked at
	Thickness float64    // mm
	Webs      []float64  // least width of each ligament, from slot to slot, mm: shoulders first and last
	At        []float64  // where the middle of each ligament lies along the row, mm
	Ends      [2]float64 // where the row begins and ends at the slots
	Cos, Sin  float64    // of the direction across the row (that in which the tab is bent), to the panel's x axis
	Holes     bool
	Beside    []int // how many holes bound each ligament, 1 or 2; nil: the first and the last have one, the others two
	// BeamsAlone leaves out what the plate beside the holes bends further: for tests against beam theory.
	BeamsAlone bool
}

// Ligaments gives for each ligament of a row its stiffness as a beam across the row, between the lines that touch
// the holes on either side, as plate.Joint wants it: for (w, ∂w/∂x, ∂w/∂y) at its beginning and at its end, in the panel's
// axes; the beam runs from the beginning in the direction Cos, Sin. A ligament of no width or thickness holds nothing:
// zeros.
//
// A ligament is thicker than wide and so a beam in plane stress, no plate: it bends with E·b·t³/12, gives way to shear with
// 6/5 of the force over the area (S. P. Timoshenko, "Strength of Materials", for rectangles), and is twisted as its
// rectangle. Its width changes along it: between two holes it is b + d − √(d² − 4s²) at s from the middle, a shoulder has
// half of that, for a hole on one side only; the other is taken straight. Flexibilities are added up along it and inverted.
// What the plate beside the holes bends further is added in the middle (constriction.go).
// Shear through the thickness goes by its own modulus, taken to be the same along warp and fill.
//
// A tab without holes is a beam in the same way; a plate as wide as it is would be stiffer by 1/(1 − ν²), 2 %.
func (r Row) Ligaments(l panel.Laminate, hot bool) [][6][6]float64 {
	cos, sin := unit(r.Cos, r.Sin)
	m := material{
		elastic: Elastic(l, cos, sin, hot),
		plane:   Twisting(l, cos, sin, hot),
		through: 1000 * factor(hot, l.HotElastic) * l.ShearThrough.Value,
	}
	m.n = slant(m.elastic, Elastic(l, -sin, cos, hot), Contraction(l, cos, sin), m.plane)
	out := make([][6][6]float64, len(r.Webs))
	for i := range r.Webs {
		f := r.flexibility(i, m)
		out[i] = f.stiffness(r.Diameter, cos, sin)
	}
	return out
}

func unit(cos, sin float64) (float64, float64) {
	n := math.Sqrt(float64(cos*cos) + float64(sin*sin))
	if !(n > 0) || math.IsInf(n, 0) {
		return 1, 0
	}
	return cos / n, sin / n
}

// material is what a ligament is made of, in MPa: along it, sheared in the panel's plane, sheared through the thickness.
// n is that of slant.
type material struct{ elastic, plane, through, n float64 }

// flexibility says how the end of a ligament gives way whose beginning is held: deflection under a force, deflection
// under a moment (slope under a force), slope under a moment, turn under a twist. ok is false for what holds nothing.
type flexibility struct {
	force, both, moment, twist float64
	ok                         bool
}

// sides is how many sides of ligament i are holes: 2, 1 for shoulders, 0 where the tab has none.
func (r Row) sides(i int) float64 {
	if !r.Holes {
		return 0
	}
	if i < len(r.Beside) {
		return float64(r.Beside[i])
	}
	n := 2.0
	if i == 0 {
		n--
	}
	if i == len(r.Webs)-1 {
		n--
	}
	return n
}

// Gauss's three places and weights on -1 to 1.
var gauss = [3][2]float64{{-0.7745966692414834, 5.0 / 9}, {0, 8.0 / 9}, {0.7745966692414834, 5.0 / 9}}

// flexibility is that of a ligament with what the plate beside it bends further.
func (r Row) flexibility(i int, m material) flexibility {
	f := r.beam(i, m)
	d, t, sides := r.Diameter, r.Thickness, r.sides(i)
	if !f.ok || sides == 0 || r.BeamsAlone {
		return f
	}
	cell := r.Webs[i] + float64(sides/2*d)
	whole := (d + further(r.Webs[i], d, t, int(sides), m.n)) / (m.elastic * cell * float64(float64(t*t)*t) / 12)
	if more := whole - f.moment; more > 0 {
		f.moment += more
		f.both += float64(more * d / 2)
		f.force += float64(more * float64(d*d) / 4)
	}
	return f
}

// beam is the flexibility of a ligament by itself.
func (r Row) beam(i int, m material) flexibility {
	d, t, web, sides := r.Diameter, r.Thickness, r.Webs[i], r.sides(i)
	if !(d > 0) || !(t > 0) || !(web > 0) {
		return flexibility{}
	}
	f := flexibility{ok: true}
	// s = d/2 · 2u/(1+u²), √(d² − 4s²) = d (1−u²)/(1+u²), u from -1 to 1: smooth to the ends, where the width grows
	// straight upwards over s. A ligament of the least width there is still needs no more than 32 pieces for nine digits.
	const pieces = 32
	for k := range pieces {
		for _, g := range gauss {
			u := (float64(2*k+1-pieces) + g[0]) / pieces
			u2 := float64(u * u)
			half := (1 - u2) / (1 + u2)
			ds := float64(d*half) / (1 + u2) * g[1] / pieces
			arm := float64(d * (0.5 - u/(1+u2))) // to the end
			b := web + float64(float64(sides/2*d)*(1-half))
			ei := float64(m.elastic*b) * float64(float64(t*t)*t) / 12
			f.moment += ds / ei
			f.both += float64(arm*ds) / ei
			f.force += float64(float64(arm*arm)*ds)/ei + float64(1.2*ds)/float64(float64(b*t)*m.through)
			f.twist += ds / torsion(b, t, m.plane, m.through)
		}
	}
	return f
}

// torsion is the stiffness of a rectangle against twisting, in N·mm²: width b in the panel's plane, thickness t. The torsion
// constant is R. J. Roark's ("Formulas for Stress and Strain", 7th ed., table 10.1, case 4): x y³ (16/3 − 3.36 y/x (1 − y⁴/12x⁴)) for
// half sides x ≥ y, to 0.5 % of Saint-Venant's series. Where shear in the plane and through the thickness differ, the
// sides are stretched by the roots of the moduli (S. G. Lekhnitskii, "Theory of Elasticity of an Anisotropic Body", 1963).
func torsion(b, t, plane, through float64) float64 {
	x, y := float64(b*math.Sqrt(through))/2, float64(t*math.Sqrt(plane))/2
	if x < y {
		x, y = y, x
	}
	q := y / x
	q4 := float64(float64(q*q) * float64(q*q))
	j := float64(x*float64(y*float64(y*y))) * (16.0/3 - float64(3.36*q*(1-q4/12)))
	return j / math.Sqrt(float64(plane*through))
}

// stiffness inverts the flexibility of a ligament of length d: with the end's deflection v and slopes p, q against what the
// beginning's motion alone gives, K = Tᵀ F⁻¹ T, so that what moves as one bears no force.
func (f flexibility) stiffness(d, cos, sin float64) (k [6][6]float64) {
	if !f.ok {
		return k
	}
	// T: w, p, q at the beginning, then at the end, to (v, slope along, slope across).
	t := [3][6]float64{
		{-1, -float64(d * cos), -float64(d * sin), 1, 0, 0},
		{0, -cos, -sin, 0, cos, sin},
		{0, sin, -cos, 0, -sin, cos},
	}
	det := float64(f.force*f.moment) - float64(f.both*f.both)
	s := [3][3]float64{{f.moment / det, -f.both / det, 0}, {-f.both / det, f.force / det, 0}, {0, 0, 1 / f.twist}}
	for i := range 6 {
		for j := range i + 1 {
			sum := 0.0
			for a := range 3 {
				for b := range 3 {
					sum += float64(float64(t[a][i]*s[a][b]) * t[b][j])
				}
			}
			k[i][j], k[j][i] = sum, sum
		}
	}
	return k
}

// Modulus is the section modulus of what is left, Σ b·t²/6 in mm³.
func (r Row) Modulus() float64 {
	sum := 0.0
	for _, b := range r.Webs {
		sum += max(b, 0)
	}
	return float64(sum*float64(r.Thickness*r.Thickness)) / 6
}

// Shares says which part of the row's moment each ligament takes when the row is bent as a whole: by their stiffness
// against bending, shoulders less than their width alone says. They add up to 1; all are 0 where nothing is left.
func (r Row) Shares() []float64 {
	out := make([]float64, len(r.Webs))
	sum := 0.0
	for i := range r.Webs {
		if f := r.flexibility(i, material{1, 1, 1, 2}); f.ok {
			out[i] = 1 / f.moment
			sum += out[i]
		}
	}
	for i := range out {
		if sum > 0 {
			out[i] /= sum
		}
	}
	return out
}
