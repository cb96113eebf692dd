package mechanics

import (
	"context"

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
	return groove.Compliance(ctx, k.section, groove.Material{
		Across: across, Along: along, Through: l.Through.Value * gpa, Shear: l.ShearThrough.Value * gpa,
		AcrossAlong:   l.Poisson.Value * across / (l.ElasticWarp.Value * gpa), // as of the weave: ν / E is the same both ways
		AcrossThrough: l.PoissonThrough.Value, AlongThrough: l.PoissonThrough.Value,
	})
}

// sectionOf is a score line's section where all is as planned.
func sectionOf(p panel.Panel, x panel.Score) groove.Section {
	return groove.Section{Thickness: p.Thickness(), Web: x.RemainingWeb, Angle: x.IncludedAngle}
}
