package scorelines

import (
	"fmt"
	"math"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// usual is a fabricator's table (wedirekt.co.uk, routing and scoring): 0.30 ± 0.10 mm to 2.0 mm thickness,
// 0.40 ± 0.10 mm above.
var usual = []Section{
	{UpTo: 2 * geom.MM, RemainingWeb: 300 * geom.UM, WebTolerance: 100 * geom.UM, Source: usualSource},
	{UpTo: 10 * geom.MM, RemainingWeb: 400 * geom.UM, WebTolerance: 100 * geom.UM, Source: usualSource},
}

const usualSource = "wedirekt.co.uk, routing and scoring"

// section settles what a line looks like in boards of a thickness; From, To and ID are left open.
func (s *ScoreLines) section(thickness geom.Length) (panel.Score, error) {
	rows, named := s.Sections, "the sections"
	if len(rows) == 0 {
		rows, named = usual, "the usual sections"
	}
	x := panel.Score{IncludedAngle: s.IncludedAngle, Leave: s.leave(), BladeOffsetTolerance: s.BladeOffsetTolerance, PositionTolerance: s.PositionTolerance}
	var row *Section
	for i := range rows {
		if thickness <= rows[i].UpTo {
			row = &rows[i]
			break
		}
	}
	switch {
	case s.RemainingWeb != nil:
		x.RemainingWeb, x.Source = *s.RemainingWeb, "remaining_web, as recipe or standard says"
	case row == nil:
		return x, fmt.Errorf("%s end at %v, and the boards are %v thick: say remaining_web, or add a section", named, rows[len(rows)-1].UpTo, thickness)
	default:
		x.RemainingWeb, x.Source = row.RemainingWeb, row.Source
	}
	switch {
	case s.WebTolerance != nil:
		x.WebTolerance = *s.WebTolerance
	case row != nil:
		x.WebTolerance = row.WebTolerance
	}
	if x.RemainingWeb >= thickness {
		return x, fmt.Errorf("remaining_web %v is not less than the boards' thickness %v", x.RemainingWeb, thickness)
	}
	x.Depth = (thickness - x.RemainingWeb) / 2
	x.RemainingWeb = thickness - 2*x.Depth // a nanometre more where it does not halve
	if s.Jump {
		if s.BladeDiameter <= 2*x.Depth {
			return x, fmt.Errorf("a blade of %v cannot cut %v deep from each side", s.BladeDiameter, x.Depth)
		}
		x.BladeDiameter = s.BladeDiameter
		x.RunOut = runOut(s.BladeDiameter, x.Depth) + s.LeadIn
	}
	return x, nil
}

// runOut is how far a groove goes on, getting shallower, beyond where a round blade stands at its full
// depth: √(depth × (diameter − depth)), rounded up to the micrometre.
func runOut(diameter, depth geom.Length) geom.Length {
	return geom.Length(math.Ceil(math.Sqrt(float64(depth)*float64(diameter-depth))/1000)) * geom.UM
}
