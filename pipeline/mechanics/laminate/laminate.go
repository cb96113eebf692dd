// Package laminate gives bending stiffness, mass and strength of boards: woven glass laminate, its directions, copper on
// it, heat, and the sections that score lines and perforations leave.
//
// Units: N, mm, MPa, tonnes. A laminate's own constants are in the units of panel.Laminate, as data sheets print them.
// The web of a score line is a Stack of the web's thickness without copper.
package laminate

import (
	"fmt"
	"math"

	"panelwright/pipeline/panel"
)

// Check tells what keeps a laminate from being reckoned with: nil when Bending is positive definite and all figures
// are finite.
func Check(l panel.Laminate) error {
	if l.Warp != "x" && l.Warp != "y" {
		return fmt.Errorf(`the warp runs along "x" or "y", not %q`, l.Warp)
	}
	for _, c := range []struct {
		name string
		of   panel.Constant
	}{
		{"elastic modulus along the warp", l.ElasticWarp},
		{"elastic modulus along the fill", l.ElasticFill},
		{"shear modulus", l.Shear},
		{"density", l.Density},
		{"flexural strength along the warp", l.StrengthWarp},
		{"flexural strength along the fill", l.StrengthFill},
		{"highest flexural strength along the warp", l.HighestWarp},
		{"highest flexural strength along the fill", l.HighestFill},
		{"factor of the elastic constants in the oven", l.HotElastic},
		{"factor of the strengths in the oven", l.HotStrength},
		{"elastic modulus through the thickness", l.Through},
		{"shear modulus through the thickness", l.ShearThrough},
		{"notch factor", l.Notch},
		{"elastic modulus of copper", l.CopperElastic},
		{"density of copper", l.CopperDensity},
	} {
		if v := c.of.Value; !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("the %s must be above 0, and is %v", c.name, v)
		}
	}
	if v := l.Foil.Value; !(v >= 0) || math.IsInf(v, 0) {
		return fmt.Errorf("the thickness of copper must not be below 0, and is %v", v)
	}
	// The energy of stretching is positive where ν² < warp / fill (S. G. Lekhnitskii, "Anisotropic Plates", 1968).
	if v := l.Poisson.Value; !(float64(v*v)*l.ElasticFill.Value < l.ElasticWarp.Value) {
		return fmt.Errorf("a contraction of %v is too large for moduli of %v and %v GPa", v, l.ElasticWarp.Value, l.ElasticFill.Value)
	}
	if v := l.CopperPoisson.Value; !(v > -1 && v < 1) {
		return fmt.Errorf("the contraction of copper must lie between -1 and 1, and is %v", v)
	}
	return nil
}
