package laminate

import (
	"math"

	"panelwright/pipeline/panel"
)

// onWarp turns a direction of the panel into squares of the cosine and sine of its angle to the warp. A direction of
// no length is taken as x.
func onWarp(l panel.Laminate, cos, sin float64) (c2, s2 float64) {
	c2, s2 = float64(cos*cos), float64(sin*sin)
	if n := c2 + s2; n > 0 && !math.IsInf(n, 0) {
		c2, s2 = c2/n, s2/n
	} else {
		c2, s2 = 1, 0
	}
	if l.Warp == "y" {
		return s2, c2
	}
	return c2, s2
}

// factor is the oven's, or 1.
func factor(hot bool, c panel.Constant) float64 {
	if hot {
		return c.Value
	}
	return 1
}

// Elastic is the elastic modulus in MPa in a direction at an angle (its cosine and sine) to the panel's x axis:
// 1/E = c⁴/E1 + s⁴/E2 + (1/G − 2ν/E1) c²s² (R. M. Jones, "Mechanics of Composite Materials", 2nd ed. 1999, section 2.6).
func Elastic(l panel.Laminate, cos, sin float64, hot bool) float64 {
	c2, s2 := onWarp(l, cos, sin)
	e1, e2, g := l.ElasticWarp.Value, l.ElasticFill.Value, l.Shear.Value
	give := float64(c2*c2)/e1 + float64(s2*s2)/e2 + float64((1/g-2*l.Poisson.Value/e1)*float64(c2*s2))
	return factor(hot, l.HotElastic) * 1000 / give
}

// Twisting is the shear modulus in MPa between a direction and the one across it, in the plane:
// 1/G = 4c²s² (1/E1 + 1/E2 + 2ν/E1) + (c² − s²)²/G12 (as Elastic).
func Twisting(l panel.Laminate, cos, sin float64, hot bool) float64 {
	c2, s2 := onWarp(l, cos, sin)
	e1, e2, g := l.ElasticWarp.Value, l.ElasticFill.Value, l.Shear.Value
	d := c2 - s2
	give := float64(4*float64(c2*s2)*(1/e1+1/e2+2*l.Poisson.Value/e1)) + float64(d*d)/g
	return factor(hot, l.HotElastic) * 1000 / give
}

// Contraction is Poisson's ratio: how much the laminate contracts across a direction, in its plane, where it is pulled
// along it: ν = −E ((1/E1 + 1/E2 − 1/G) c²s² − ν12/E1 (c⁴ + s⁴)) (as Elastic).
func Contraction(l panel.Laminate, cos, sin float64) float64 {
	c2, s2 := onWarp(l, cos, sin)
	e1, e2, g := l.ElasticWarp.Value, l.ElasticFill.Value, l.Shear.Value
	both := float64((1/e1+1/e2-1/g)*float64(c2*s2)) - float64(l.Poisson.Value/e1*(float64(c2*c2)+float64(s2*s2)))
	return -float64(Elastic(l, cos, sin, false) / 1000 * both)
}

// Strength is the flexural strength in MPa for bending whose stress runs in a direction: between warp and fill as the
// strength of an ellipse, whose half axes they are. A woven laminate may well be weaker at 45 degrees: no figure was found.
func Strength(l panel.Laminate, cos, sin float64, hot bool) float64 {
	c2, s2 := onWarp(l, cos, sin)
	return factor(hot, l.HotStrength) * ellipse(l.StrengthWarp.Value, l.StrengthFill.Value, c2, s2)
}

// Highest is Strength, cold, of strong material.
func Highest(l panel.Laminate, cos, sin float64) float64 {
	c2, s2 := onWarp(l, cos, sin)
	return ellipse(l.HighestWarp.Value, l.HighestFill.Value, c2, s2)
}

func ellipse(warp, fill, c2, s2 float64) float64 {
	return 1 / math.Sqrt(c2/float64(warp*warp)+s2/float64(fill*fill))
}
