package laminate

import (
	"cmp"
	"slices"

	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

// Stack is a board's or rail's layers in the direction of thickness. The outer foils lie at the faces: where their
// copper is etched away nothing is there. Inner foils lie evenly spaced between, and where their copper is etched away
// laminate is. A single foil lies at the top.
type Stack struct {
	Thickness float64 // mm, over the outer copper
	Copper    []Foil  // from the top
}

// Foil is one copper layer: its thickness in mm and the share of the place that is copper, 0 to 1.
type Foil struct{ Thick, Share float64 }

func (f Foil) share() float64 { return min(max(f.Share, 0), 1) }

// Bare is how thick the stack is, in mm, where all its copper is etched away: without the outer foils. It is what rows of
// perforations run through.
func (s Stack) Bare() float64 {
	t := 0.0
	for _, y := range s.layers() {
		if !y.outer {
			t += y.to - y.from
		}
	}
	return t
}

// Of is a board's stack with its copper etched away: its thickness, and foils of share 0, as thick as the board's files say,
// else as the laminate says.
func Of(b *panel.Board, l panel.Laminate) Stack {
	s := Stack{Thickness: b.Thickness.MM(), Copper: make([]Foil, max(b.CopperCount, 0))}
	for i := range s.Copper {
		s.Copper[i].Thick = l.Foil.Value
		if i < len(b.Foils) && b.Foils[i] > 0 {
			s.Copper[i].Thick = b.Foils[i].MM()
		}
	}
	return s
}

// layer is one layer of a stack: where it begins and ends, in mm from the middle, downwards.
type layer struct {
	from, to float64
	foil     int // -1: laminate
	outer    bool
}

// layers gives the stack from the top. Foils thicker than the stack leave no laminate: they are taken thinner.
func (s Stack) layers() []layer {
	copper := 0.0
	for _, f := range s.Copper {
		copper += max(f.Thick, 0)
	}
	scale := 1.0
	if most := 0.9 * s.Thickness; copper > most {
		scale = most / copper
	}
	z, n := -s.Thickness/2, len(s.Copper)
	gap := (s.Thickness - float64(scale*copper)) / float64(max(n-1, 1))
	var out []layer
	lay := func(thick float64, foil int, outer bool) {
		if thick > 0 {
			out = append(out, layer{z, z + thick, foil, outer})
			z += thick
		}
	}
	for i, f := range s.Copper {
		lay(float64(scale*max(f.Thick, 0)), i, i == 0 || i == n-1)
		if i < n-1 || n == 1 {
			lay(gap, -1, false)
		}
	}
	if n == 0 {
		lay(s.Thickness, -1, false)
	}
	return out
}

// plane is the stiffness of a material in its plane: stresses of stretching along x, y and of shear. It has no
// part between stretch and shear, since warp and fill run along x and y.
type plane struct{ xx, yy, xy, shear float64 }

// glass is the laminate as a plane, in MPa.
func glass(l panel.Laminate, hot bool) plane {
	f := 1000 * factor(hot, l.HotElastic)
	e1, e2, nu := l.ElasticWarp.Value, l.ElasticFill.Value, l.Poisson.Value
	by := f / (1 - float64(float64(nu*nu)*e2)/e1)
	p := plane{xx: float64(e1 * by), yy: float64(e2 * by), xy: float64(float64(nu*e2) * by), shear: float64(l.Shear.Value * f)}
	if l.Warp == "y" {
		p.xx, p.yy = p.yy, p.xx
	}
	return p
}

// foil is copper as a plane, in MPa. It is the same in the oven: copper loses a few per cent there (from memory).
func foil(l panel.Laminate) plane {
	e, nu := 1000*l.CopperElastic.Value, l.CopperPoisson.Value
	q := e / (1 - float64(nu*nu))
	return plane{xx: q, yy: q, xy: float64(nu * q), shear: e / (2 + 2*nu)}
}

// CopperPower is the power of the mean by which Bending takes copper that covers a share of a place: -1, the mean of
// compliances.
const CopperPower = -1

// Bending is the stiffness of a stack in the panel's axes: N·mm. hot takes the factor of the oven for the laminate.
// It is positive definite for every laminate that passes Check and every stack that is thicker than nothing.
//
// Where all is copper or all is bare, it is classical laminate theory's (R. M. Jones, as at Elastic, chapter 4), about the
// surface that is not stretched: D − B A⁻¹ B, since copper that is not the same above and below couples bending with
// stretching, and nothing keeps a panel from stretching.
//
// Copper that covers a share c of the place is taken by the series bound (A. Reuss, 1929): strips with and strips without
// lie one behind the other and bear the same moment, so that their compliances are averaged. For one layer that is
// D0 + c·D0/(D0 + (1 − c)·ΔD)·ΔD, with D0 the bare stiffness and ΔD what full copper adds: no pattern of copper is more
// yielding. Of several layers the gaps are taken to lie above one another as far as they can, which is the most yielding.
func Bending(l panel.Laminate, s Stack, hot bool) plate.Bending {
	layers, g, cu := s.layers(), glass(l, hot), foil(l)
	// From bare laminate on, the foil with the largest share is laid first: it reaches where no other is.
	order := make([]int, len(s.Copper))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.Copper[b].share(), s.Copper[a].share()) })
	laid := make([]bool, len(s.Copper))
	var mean compliance
	left := 1.0
	for i := 0; ; i++ {
		next := 0.0
		if i < len(order) {
			next = s.Copper[order[i]].share()
		}
		if left > next {
			mean.add(left-next, bend(layers, laid, g, cu).inverse())
		}
		if i == len(order) {
			break
		}
		left = next
		laid[order[i]] = true
	}
	b := mean.inverse()
	return plate.Bending{{b.xx, b.xy, 0}, {b.xy, b.yy, 0}, {0, 0, b.shear}}
}

type compliance = plane

func (p *plane) add(by float64, q plane) {
	p.xx += float64(by * q.xx)
	p.yy += float64(by * q.yy)
	p.xy += float64(by * q.xy)
	p.shear += float64(by * q.shear)
}

func (p plane) inverse() plane {
	det := float64(p.xx*p.yy) - float64(p.xy*p.xy)
	return plane{xx: p.yy / det, yy: p.xx / det, xy: -p.xy / det, shear: 1 / p.shear}
}

// bend is the bending stiffness of layers, of whose foils those laid are whole and the others etched away.
func bend(layers []layer, laid []bool, g, cu plane) plane {
	var a, b, d plane
	for _, y := range layers {
		m := g
		if y.foil >= 0 {
			switch {
			case laid[y.foil]:
				m = cu
			case y.outer:
				continue
			}
		}
		from2, to2 := float64(y.from*y.from), float64(y.to*y.to)
		a.add(y.to-y.from, m)
		b.add((to2-from2)/2, m)
		d.add((float64(to2*y.to)-float64(from2*y.from))/3, m)
	}
	// B A⁻¹ B, symmetric as A, B and D are.
	i := a.inverse()
	// C = A⁻¹ B, not symmetric.
	cxx := float64(i.xx*b.xx) + float64(i.xy*b.xy)
	cxy := float64(i.xx*b.xy) + float64(i.xy*b.yy)
	cyx := float64(i.xy*b.xx) + float64(i.yy*b.xy)
	cyy := float64(i.xy*b.xy) + float64(i.yy*b.yy)
	d.xx -= float64(b.xx*cxx) + float64(b.xy*cyx)
	d.xy -= float64(b.xx*cxy) + float64(b.xy*cyy)
	d.yy -= float64(b.xy*cxy) + float64(b.yy*cyy)
	d.shear -= float64(float64(b.shear*b.shear) * i.shear)
	return d
}

// Mass is the stack's mass in tonnes per mm²: copper by its real share; mask, parts and holes are left out.
func Mass(l panel.Laminate, s Stack) float64 {
	const tonnes = 1e-12 // 1 kg/m³ in tonnes per mm³
	sum := 0.0
	for _, y := range s.layers() {
		c := 0.0
		if y.foil >= 0 {
			c = s.Copper[y.foil].share()
		}
		rest := 1 - c
		if y.outer {
			rest = 0
		}
		sum += float64((float64(c*l.CopperDensity.Value) + float64(rest*l.Density.Value)) * (y.to - y.from))
	}
	return float64(sum * tonnes)
}
