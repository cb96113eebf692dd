package mechanics

import (
	"context"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// grooveKey is what the yielding of a groove depends on.
type grooveKey struct {
	thickness, web geom.Length
	angle          geom.Angle
	along          vector
}

// yielding is how much further a grooved plate turns than an uncut one, in rad for each N·mm/mm of moment.
func yielding(_ context.Context, l panel.Laminate, k grooveKey) (float64, error) {
	e := laminate.Elastic(l, -k.along.y, k.along.x, false)
	c := k.web.MM() / 2
	return 8 / (math.Pi * c * c * e), nil
}
