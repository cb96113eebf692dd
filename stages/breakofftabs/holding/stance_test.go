package holding

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
)

func TestStance(t *testing.T) {
	foot := func(x, y geom.Length, out [2]float64) Candidate {
		return Candidate{Foot: geom.Pt(x*geom.MM, y*geom.MM), Outward: out, Width: 4 * geom.MM}
	}
	up, down, right := [2]float64{0, 1}, [2]float64{0, -1}, [2]float64{1, 0}
	mass := geom.Pt(20*geom.MM, 15*geom.MM)
	for name, c := range map[string]struct {
		feet []Candidate
		want Stance
	}{
		"none":                   {nil, Stance{false, math.MaxInt64}},
		"opposite, through it":   {[]Candidate{foot(20, 0, down), foot(20, 30, up)}, Stance{true, 0}},
		"a foot's width":         {[]Candidate{foot(22, 0, down), foot(22, 30, up)}, Stance{true, 0}},
		"more than that":         {[]Candidate{foot(23, 0, down), foot(23, 30, up)}, Stance{true, geom.MM}},
		"one side":               {[]Candidate{foot(5, 30, up), foot(35, 30, up)}, Stance{false, 15 * geom.MM}},
		"two neighbouring sides": {[]Candidate{foot(5, 30, up), foot(40, 5, right)}, Stance{false, 0}},
	} {
		got := StanceOf(mass, c.feet)
		if name == "two neighbouring sides" {
			assert.False(t, got.Opposite)
			continue
		}
		assert.Equal(t, c.want, got, name)
	}
	assert.True(t, Stance{true, 0}.AsGood(Stance{false, geom.MM}))
	assert.True(t, Stance{false, geom.MM + 500}.AsGood(Stance{false, geom.MM}))
	assert.False(t, Stance{false, 0}.AsGood(Stance{true, 0}))
	assert.False(t, Stance{true, math.MaxInt64}.AsGood(Stance{true, 0}))
	assert.True(t, Stance{false, math.MaxInt64}.AsGood(Stance{false, math.MaxInt64}))
}
