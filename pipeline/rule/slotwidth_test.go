package rule

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func closed(points ...geom.Point) geom.Path {
	var p geom.Path
	for i, q := range points {
		p = append(p, geom.Line(q, points[(i+1)%len(points)]))
	}
	return p
}

func ring(at geom.Point, radius float64) geom.Path {
	r := geom.Pt(geom.FromMM(radius), 0)
	return geom.Path{geom.Arc(at.Add(r), at.Sub(r), at, geom.CounterClockwise), geom.Arc(at.Sub(r), at.Add(r), at, geom.CounterClockwise)}
}

func TestSlotWidth(t *testing.T) {
	for name, c := range map[string]struct {
		outline geom.Outline
		want    float64 // 0: nothing under 2 mm
	}{
		"as wide":                       {geom.Outline{Outer: geom.Rectangle(geom.Box{Max: mm(20, 2)})}, 0},
		"narrower":                      {geom.Outline{Outer: geom.Rectangle(geom.Box{Max: mm(20, 1.999)})}, 1.999},
		"round ends are none":           {geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Max: mm(20, 2)}, geom.MM)}, 0},
		"corners smaller than half":     {geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Max: mm(20, 2)}, 400*geom.UM)}, 0},
		"round ends, narrower":          {geom.Outline{Outer: geom.RoundedRectangle(geom.Box{Max: mm(20, 1.5)}, 750*geom.UM)}, 1.5},
		"the foot of an L":              {geom.Outline{Outer: closed(mm(0, 0), mm(20, 0), mm(20, 1.6), mm(3, 1.6), mm(3, 12), mm(0, 12))}, 1.6},
		"a U round a strip of waste":    {geom.Outline{Outer: closed(mm(0, 0), mm(7, 0), mm(7, 12), mm(4, 12), mm(4, 3), mm(3, 3), mm(3, 12), mm(0, 12))}, 0},
		"round an island":               {geom.Outline{Outer: geom.Rectangle(geom.Box{Max: mm(20, 20)}), CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: mm(3, 1.8), Max: mm(17, 17)}).Reverse()}}, 1.8},
		"rings":                         {geom.Outline{Outer: ring(mm(0, 0), 10), CutOuts: []geom.Path{ring(mm(0, 0), 8.2).Reverse()}}, 1.8},
		"a round board in a square":     {geom.Outline{Outer: geom.Rectangle(geom.Box{Min: mm(-10, -10), Max: mm(10, 10)}), CutOuts: []geom.Path{ring(mm(0.5, 0), 8).Reverse()}}, 1.5},
		"flanks that come together":     {geom.Outline{Outer: closed(mm(0, 0), mm(20, 0), mm(20, 1.7), mm(0, 3))}, 1.7},
		"a wedge of more than a corner": {geom.Outline{Outer: closed(mm(0, 0), mm(10, 0), mm(0, 10))}, 0},
	} {
		f := judge(t, "slot-width", row(weir(geom.MM), 1, 0).AddSlot(panel.Slot{ID: "slot/1", Outline: c.outline}), 2)
		if c.want == 0 {
			assert.Empty(t, f, name)
			continue
		}
		require.Len(t, f, 1, name)
		// Flanks that are not parallel are as far apart as the end of one is from the other: 1.7 cos 3.7 = 1.6964.
		assert.InDelta(t, c.want, *f[0].Measured, map[bool]float64{true: 0.004, false: 2e-6}[name == "flanks that come together"], name)
	}
	// Alike ones together, and what is beside a score line not at all.
	e := row(weir(geom.MM), 1, 0)
	for i, id := range []string{"slot/1", "slot/2", "relief/1"} {
		at := mm(0, float64(10*i))
		e.AddSlot(panel.Slot{ID: id, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: at, Max: at.Add(mm(20, 1.5))})}})
	}
	f := judge(t, "slot-width", e, 2)
	require.Len(t, f, 1)
	assert.Equal(t, "slot/1 is 1.5 mm wide; at least 2 mm are asked for, the same for 1 other slot", f[0].Message)
}
