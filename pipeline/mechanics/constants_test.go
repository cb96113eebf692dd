package mechanics

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// Each constant is told with a source, and what is no ratio with its unit; free fall to its last digit.
func TestConstants(t *testing.T) {
	s := panel.Support{Laminate: laminate.Default()}
	all := Constants(s)
	figures := map[string]panel.Constant{}
	for _, c := range all {
		assert.NotEmpty(t, c.Name)
		assert.NotEmpty(t, c.Source, c.Name)
		assert.NotContains(t, figures, c.Short)
		figures[c.Short] = c.Constant
	}
	for short, want := range map[string]struct {
		value float64
		unit  string
	}{"free fall": {9.80665, "m/s2"}, "hand's grip": {10, "mm"}, "parts looked at within": {25, "mm"}, "rate of strain": {10_000, "microstrain/s"}, "shear factor": {0.8333, ""},
		"power of the mean over copper's share": {-1, ""}, "E warp": {24, "GPa"}} {
		assert.Equal(t, want.value, figures[short].Value, short)
		assert.Equal(t, want.unit, figures[short].Unit, short)
	}
	assert.NotContains(t, figures, "pressed with", "nobody presses")
	s.Force = panel.Constant{Value: 2, Unit: "N", Source: "from memory"}
	with := Constants(s)
	assert.Len(t, with, len(all)+1)
	assert.Equal(t, Named{"force that presses on one copy", "pressed with", s.Force}, with[len(all)])
}
