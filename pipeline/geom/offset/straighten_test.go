package offset

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
)

// What strays by less than fine at the end of a long edge is led straight on, or on round its arc; what
// strays further, or is long itself, stays.
func TestStraightenLeadsLongEdgesOn(t *testing.T) {
	at := func(angle, r float64) geom.Point {
		sin, cos := math.Sincos(angle)
		return geom.Pt(geom.Round(r*cos), geom.Round(r*sin))
	}
	const r = 10e6
	long := geom.Line(geom.Pt(0, 0), geom.Pt(10e6, 0))
	turn := geom.Arc(at(0, r), at(1, r), geom.Pt(0, 0), geom.CounterClockwise)
	back := geom.Arc(at(0, r), at(-1, r), geom.Pt(0, 0), geom.Clockwise)
	chain := func(from geom.Edge, to ...geom.Point) geom.Path {
		p := geom.Path{from}
		for _, q := range to {
			p = append(p, geom.Line(p[len(p)-1].To, q))
		}
		return p
	}
	for _, c := range []struct {
		name  string
		path  geom.Path
		edges int
		end   geom.Point
	}{
		{"line", chain(long, geom.Pt(10.02e6, 300), geom.Pt(10.05e6, -900)), 1, geom.Pt(10.05e6, 0)},
		{"line that strays", chain(long, geom.Pt(10.02e6, 300), geom.Pt(10.05e6, -1100)), 3, geom.Pt(10.05e6, -1100)},
		{"line with a long tail", chain(long, geom.Pt(10.3e6, 300)), 2, geom.Pt(10.3e6, 300)},
		{"arc", chain(turn, at(1.002, r+400), at(1.005, r-900)), 1, at(1.005, r)},
		{"arc the other way", chain(back, at(-1.002, r+400), at(-1.005, r-900)), 1, at(-1.005, r)},
		{"arc that strays", chain(turn, at(1.002, r+400), at(1.005, r-1100)), 3, at(1.005, r-1100)},
		{"nothing after", geom.Path{long}, 1, long.To},
	} {
		before := append(geom.Path{}, c.path...)
		got := straighten(c.path)
		assert.Equal(t, before, c.path, "%s: what it was given stays as it is", c.name)
		if assert.Len(t, got, c.edges, c.name) {
			assert.LessOrEqual(t, got[len(got)-1].To.Distance(c.end), 2.0, c.name)
			assert.Equal(t, c.path[0].From, got[0].From, c.name)
			assert.Equal(t, c.path[0].Sense, got[0].Sense, c.name)
		}
	}
}
