// Package groove reckons how much more a board bends at a score line than it would uncut.
//
// A profile of thickness put into plate theory, ∫ 12 ds / (E' h³), makes narrow grooves far too stiff, because stress
// spreads only gradually into the full thickness beside them. So the section is reckoned as a body in plane
// strain (nothing stretches along the line), by finite elements: triangles with six nodes in which strain is linear
// (B. Fraeijs de Veubeke, "Displacement and equilibrium models in the finite element method", in O. C. Zienkiewicz and
// G. S. Holister (editors), Stress Analysis, Wiley 1965). They give pure bending of an uncut strip exactly. What two
// grooves add to it is a lower bound that rises as triangles get smaller: here it is up to 0.3 % too low, up to
// 0.8 % where the tips lie further beside each other than the web is thick.
//
// Grooves are taken as sharp. Stress at their tips is then without bound and is not given; how much they
// yield hardly depends on a blade's small radius.
package groove

import (
	"context"
	"errors"
	"fmt"
	"math"

	"panelwright/pipeline/geom"
)

// Section is a board's section across a score line: a V from either face, both equally deep.
type Section struct {
	Thickness geom.Length
	Web       geom.Length // what is left between the tips' depths
	Offset    geom.Length // how far the tips lie beside each other, either way; at most twice Web
	Angle     geom.Angle  // from flank to flank; 0 is a slit; at most WidestAngle
}

// WidestAngle is that of the flattest grooves that can be reckoned.
const WidestAngle = 150 * geom.Degree

// leastWeb is the least web that can be reckoned and leastDepth the least depth, in thicknesses: beyond them triangles
// become so narrow that rounding shows.
const (
	leastWeb   = 0.004
	leastDepth = 0.003
)

// Material is what a board is made of: its three directions are across the line in the board's plane, along the line, and
// through the thickness. Strains along the line must not depend on shear, as they do where the line runs at a slant to
// the weave; then take the constants in the line's directions and leave that out.
type Material struct {
	Across, Along, Through float64 // MPa, elastic moduli
	Shear                  float64 // MPa, between across and through
	// Poisson's ratios: how much the second direction contracts where the first is pulled.
	AcrossAlong, AcrossThrough, AlongThrough float64
}

// ErrContractions is that of Poisson's ratios too large for the elastic moduli.
var ErrContractions = errors.New("no material has these Poisson's ratios with these elastic moduli: it would give work away")

// Compliance is the rotation that the line adds to an uncut board's, in rad for each N·mm of moment on a mm of line: rad/N.
// It is 0 for grooves without depth, rises as web falls and hardly changes with the angle. Errors are a section or a
// material that cannot be (ErrContractions among them), and that ctx is done.
func Compliance(ctx context.Context, s Section, m Material) (float64, error) {
	return compliance(ctx, s, m, usual)
}

func compliance(ctx context.Context, s Section, m Material, f fineness) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	e, err := m.inPlane()
	if err != nil {
		return 0, err
	}
	if s.Web == s.Thickness {
		return 0, nil
	}
	// Very shallow grooves lie in even stress: what they yield goes with the square of their depth.
	shallow := 1.0
	if depth, least := float64(s.Thickness-s.Web)/2, float64(leastDepth*float64(s.Thickness)); depth < least {
		shallow = float64(depth*depth) / float64(least*least)
		s.Web = s.Thickness - geom.Length(2*least)
	}
	// Lengths are reckoned in halves of the thickness and stiffness in E': then the uncut strip, bent by the moment
	// of a stress of 1 at its faces (2/3), turns by 1 in each length of 1.
	g := s.grid(f)
	turned, err := g.turned(ctx, e)
	if err != nil {
		return 0, err
	}
	half := s.Thickness.MM() / 2
	extra := max(0, turned-2*g.reach) / (2.0 / 3) // rotation for moment 1, in these units
	return float64(shallow*extra) / float64(e.unit*float64(half*half)), nil
}

func (s Section) check() error {
	switch {
	case s.Thickness <= 0 || s.Thickness > geom.Limit:
		return fmt.Errorf("a board cannot be %v thick", s.Thickness)
	case s.Web > s.Thickness:
		return fmt.Errorf("a web of %v is more than the board's thickness, %v", s.Web, s.Thickness)
	case float64(s.Web) < float64(leastWeb*float64(s.Thickness)):
		return fmt.Errorf("a web of %v in a board of %v is none", s.Web, s.Thickness)
	case s.Angle < 0 || s.Angle > WidestAngle:
		return fmt.Errorf("an angle of %v between a groove's flanks is not within 0 and %v", s.Angle, WidestAngle)
	case s.Offset > 2*s.Web || s.Offset < -2*s.Web:
		return fmt.Errorf("grooves that lie %v beside each other with a web of %v are not one score line", s.Offset, s.Web)
	}
	return nil
}

// elastic is stress for strain in the section's plane: (σx, σz, τ) of (εx, εz, γ), in units of the plane modulus E' of
// bending.
type elastic struct {
	xx, zz, xz, shear float64
	unit              float64 // E' in MPa
}

// inPlane holds the direction along the line unstretched.
func (m Material) inPlane() (elastic, error) {
	for _, v := range []float64{m.Across, m.Along, m.Through, m.Shear, m.AcrossAlong, m.AcrossThrough, m.AlongThrough} {
		if math.IsNaN(v) || math.Abs(v) > 1e9 {
			return elastic{}, fmt.Errorf("%v is no elastic constant", v)
		}
	}
	if m.Across < 1e-3 || m.Along < 1e-3 || m.Through < 1e-3 || m.Shear < 1e-3 {
		return elastic{}, fmt.Errorf("elastic moduli %v, %v, %v and the shear modulus %v MPa must be more than nothing", m.Across, m.Along, m.Through, m.Shear)
	}
	// Strain for stress, where stress along the line is what keeps strain along it at nothing.
	byAlong := -m.AcrossAlong / m.Across * m.Along
	throughByAlong := -m.AlongThrough
	a := 1/m.Across + float64(byAlong*m.AcrossAlong/m.Across)
	b := -m.AcrossThrough/m.Across - float64(byAlong*throughByAlong)/m.Along
	c := 1/m.Through - float64(throughByAlong*throughByAlong)/m.Along
	det := float64(a*c) - float64(b*b)
	if !(a > 0) || !(c > 0) || !(det > 1e-12*float64(a*c)) {
		return elastic{}, fmt.Errorf("%w: %v, %v and %v", ErrContractions, m.AcrossAlong, m.AcrossThrough, m.AlongThrough)
	}
	unit := 1 / a
	return elastic{xx: c / det / unit, zz: a / det / unit, xz: -b / det / unit, shear: m.Shear / unit, unit: unit}, nil
}
