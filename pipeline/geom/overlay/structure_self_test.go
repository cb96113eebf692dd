package overlay

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// The check of a region's structure must find what it is there to find.
func TestStructureCheckFindsFaults(t *testing.T) {
	pt := geom.Pt
	square := func(x, y, s geom.Length) geom.Path { return geom.Rectangle(geom.BoxOf(pt(x, y), pt(x+s, y+s))) }
	hole := func(x, y, s geom.Length) geom.Path {
		return closedPath(pt(x, y), pt(x, y+s), pt(x+s, y+s), pt(x+s, y))
	}
	good := geom.Region{
		{Outer: square(0, 0, 100), CutOuts: []geom.Path{closedPath(pt(0, 0), pt(2, 8), pt(10, 10), pt(8, 2)), hole(10, 10, 10), hole(50, 50, 20)}},
		{Outer: square(55, 55, 5)},
		{Outer: square(100, 100, 10)},
	}
	require.NoError(t, checkStraight(good))
	require.NoError(t, checkCurved(good))
	require.NoError(t, checkStraight(nil))
	for what, bad := range map[string]geom.Region{
		"clockwise":               {{Outer: hole(0, 0, 10)}},
		"counter-clockwise":       {{Outer: square(0, 0, 10), CutOuts: []geom.Path{square(2, 2, 2)}}},
		"begins at":               {{Outer: append(square(0, 0, 10)[1:4:4], square(0, 0, 10)[0])}},
		"comes after":             {{Outer: square(50, 0, 10)}, {Outer: square(0, 0, 10)}},
		"the path from":           {{Outer: square(0, 0, 90), CutOuts: []geom.Path{hole(50, 50, 5), hole(20, 20, 5)}}},
		"twice":                   {{Outer: closedPath(pt(0, 0), pt(10, 0), pt(10, 10), pt(5, 5), pt(10, 15), pt(10, 20), pt(0, 20), pt(5, 5))}},
		"cross":                   {{Outer: square(0, 0, 10)}, {Outer: square(5, 5, 10)}},
		"run along each other":    {{Outer: square(0, 0, 10)}, {Outer: square(10, 0, 10)}},
		"have a corner of one on": {{Outer: square(0, 0, 10)}, {Outer: square(10, 2, 3)}},
		"1 and 2 times":           {{Outer: square(0, 0, 20)}, {Outer: square(2, 2, 2)}},
		"falls apart":             {{Outer: square(0, 0, 20), CutOuts: []geom.Path{closedPath(pt(0, 0), pt(5, 15), pt(20, 20), pt(15, 5))}}},
		"of 2 straight edges":     {{Outer: closedPath(pt(0, 0), pt(5, 5))}},
		"an arc":                  {{Outer: geom.Path{geom.Arc(pt(0, 0), pt(10, 0), pt(5, 0), geom.CounterClockwise), geom.Line(pt(10, 0), pt(5, 5)), geom.Line(pt(5, 5), pt(0, 0))}}},
		"an empty path":           {{}},
		"has no length":           {{Outer: closedPath(pt(0, 0), pt(0, 0), pt(5, 0), pt(5, 5))}},
		"the next begins at":      {{Outer: geom.Path{geom.Line(pt(0, 0), pt(5, 0)), geom.Line(pt(5, 1), pt(0, 5)), geom.Line(pt(0, 5), pt(0, 0))}}},
	} {
		err := checkStraight(bad)
		if assert.Error(t, err, what) {
			assert.Contains(t, err.Error(), what)
		}
	}
	// A cut-out with the wrong outline: all in all every side is right, for its own outline it is not.
	wrong := geom.Region{{Outer: square(0, 0, 20), CutOuts: []geom.Path{hole(50, 5, 5)}}, {Outer: square(40, 0, 20)}}
	err := checkStraight(wrong)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "(1)")
}
