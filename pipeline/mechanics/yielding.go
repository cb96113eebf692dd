package mechanics

import (
	"context"
	"errors"

	"panelwright/pipeline/mechanics/groove"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// grooveKey is what the yielding of a groove depends on.
type grooveKey struct {
	section groove.Section
	along   vector
}

// yielding is how much further a grooved plate turns than an uncut one, in rad for each N·mm/mm of moment. Copper is kept
// back from grooves and left out.
func yielding(ctx context.Context, l panel.Laminate, k grooveKey) (float64, error) {
	const gpa = 1000
	across, along := laminate.Elastic(l, k.along.y, -k.along.x, false), laminate.Elastic(l, k.along.x, k.along.y, false)
	material := groove.Material{
		Across: across, Along: along, Through: l.Through.Value * gpa, Shear: l.ShearThrough.Value * gpa,
		AcrossAlong:   laminate.Contraction(l, k.along.y, -k.along.x),
		AcrossThrough: l.PoissonThrough.Value, AlongThrough: l.PoissonThrough.Value,
	}
	c, err := groove.Compliance(ctx, k.section, material)
	if errors.Is(err, groove.ErrContractions) { // a laminate unlike any that is made: contraction in its plane counts for more
		material.AcrossThrough, material.AlongThrough = 0, 0
		c, err = groove.Compliance(ctx, k.section, material)
	}
	return c, err
}

// sectionOf is a score line's section where all is as planned.
func sectionOf(p panel.Panel, x panel.Score) groove.Section {
	return groove.Section{Thickness: p.Thickness(), Web: x.RemainingWeb, Angle: x.IncludedAngle}
}
