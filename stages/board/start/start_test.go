package start

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

const mm = geom.MM

// starterOf is one for a board of a size, of which nothing else is known.
func starterOf(width, height geom.Length, beyond ...geom.Length) *starter {
	s := &starter{name: "gauge", limits: limitsOf(nil)}
	s.facts.box = geom.BoxOf(geom.Pt(0, 0), geom.Pt(width, height))
	copy(s.facts.beyond[:], beyond)
	s.facts.board = &panel.Board{Thickness: 1600 * geom.UM}
	return s
}

// The figures beside each case were worked out by hand: 10 mm of rail, a gap of 2 mm on either side of it, 2 mm between
// boards; 250 x 150 mm preferred, 410 x 310 mm at most, the longer side along x, 30 copies at most.
func TestLayout(t *testing.T) {
	four := way{kind: tabbed, frame: true, across: usualGap, along: usualGap}
	two := way{kind: tabbed, across: usualGap, along: usualGap}
	abut := way{kind: scored}
	for _, c := range []struct {
		name          string
		width, height geom.Length
		way           way
		columns, rows int
		turned        bool
		panelX        geom.Length
		panelY        geom.Length
	}{
		// As it is 3 by 2 fit (24 + 190 by 24 + 84); turned 5 by 2: 24 + 5·43 - 2 by 24 + 126.
		{"more fit turned", 62 * mm, 41 * mm, four, 5, 2, true, 237 * mm, 150 * mm},
		// Without rails at the sides 3 columns of 2 (190 by 108) or 5 of 2 (213 by 150).
		{"two rails", 62 * mm, 41 * mm, two, 5, 2, true, 213 * mm, 150 * mm},
		// 7 by 5 would fit; of those with 30 or fewer, 6 by 5: 204 by 150.
		{"thirty at most", 34 * mm, 26 * mm, abut, 6, 5, false, 204 * mm, 150 * mm},
		// 5 by 6 of 15 - 2 and 11.4 - 2: 97 by 90.4, the shortest sides of all with 30.
		{"small", 13 * mm, 9_400 * geom.UM, four, 5, 6, false, 97 * mm, 90_400 * geom.UM},
		// Two fit no 250 x 150 mm: 2 by 1 as it is, 2·100 + 2 + 24 by 138 + 24.
		{"larger than preferred", 100 * mm, 138 * mm, four, 2, 1, false, 226 * mm, 162 * mm},
		// One alone, lying: two would need 2·300 + 2.
		{"one", 200 * mm, 300 * mm, four, 1, 1, true, 324 * mm, 224 * mm},
	} {
		t.Run(c.name, func(t *testing.T) {
			l, err := starterOf(c.width, c.height).lay(c.way)
			require.NoError(t, err)
			assert.Equal(t, []any{c.columns, c.rows, c.turned}, []any{l.columns, l.rows, l.turned})
			assert.Equal(t, c.panelX, l.width)
			assert.Equal(t, c.panelY, l.height)
		})
	}
	_, err := starterOf(400*mm, 300*mm).lay(four) // 424 mm
	require.ErrorContains(t, err, "not one fits a panel of 410 x 310 mm")
}

// What stands out over a side has room: over the lower and upper side 3 and 4 mm, in one row 4.5 mm to the rails, in
// several 7.5 mm between neighbours; turned, the same between columns.
func TestRoomForWhatStandsOut(t *testing.T) {
	w := way{kind: tabbed, frame: true, across: usualGap, along: usualGap, room: partRoom}
	w.beyond[lower], w.beyond[upper] = 3*mm, 4*mm
	for _, c := range []struct {
		columns, rows int
		turned        bool
		want          geom.Length
	}{{5, 1, false, 4_500 * geom.UM}, {5, 2, false, 7_500 * geom.UM}, {5, 1, true, 7_500 * geom.UM}, {1, 5, true, 4_500 * geom.UM}} {
		x, y := w.fitted(c.columns, c.rows, c.turned).gaps(c.turned)
		assert.Equal(t, []geom.Length{c.want, c.want}, []geom.Length{x, y}, c)
	}
	w.beyond = [4]geom.Length{}
	x, _ := w.fitted(5, 2, false).gaps(false)
	assert.Equal(t, usualGap, x)
}

// What the layout is to blame for weighs more than the board's own copper, that more than parts near breaks.
func TestBetter(t *testing.T) {
	held := attempt{errors: 6, own: 6, warnings: 9}
	assert.True(t, held.better(attempt{errors: 1}))
	assert.True(t, attempt{warnings: 3}.better(held))
	assert.True(t, attempt{warnings: 2}.better(attempt{warnings: 3}))
	assert.False(t, attempt{}.better(attempt{}), "of two alike the first stays")
}

// Tabs are mended step by step, each step once, from what was found.
func TestMended(t *testing.T) {
	s := starterOf(28*mm, 80*mm)
	s.facts.outer = &near{size: 260 * geom.UM, layer: "copper-1-top"}
	measured := 103.2
	notHeld := []pipeline.Finding{{Rule: "board-not-held", Severity: pipeline.Error, Measured: &measured, Option: "longest_free_span"}}
	a := attempt{way: way{kind: tabbed, frame: true, words: "tabs"}, found: notHeld, errors: 1}

	var ok bool
	a.way, ok = s.mended(a)
	require.True(t, ok)
	assert.Equal(t, -80*geom.UM, a.way.tabs.inset, "0.25 + 0.088 - 0.26 = 0.078 mm, to the next hundredth")
	a.way, ok = s.mended(a)
	require.True(t, ok)
	assert.Equal(t, 3, a.way.tabs.holes, "28 mm is small")
	a.way, ok = s.mended(a)
	require.True(t, ok)
	assert.Equal(t, 104*mm, a.way.tabs.span)
	measured = 121
	_, ok = s.mended(a)
	assert.False(t, ok, "more than twice the usual is not proposed")

	_, ok = s.mended(attempt{way: way{kind: scored}, found: notHeld, errors: 1})
	assert.False(t, ok)
	_, ok = s.mended(attempt{way: a.way, errors: 1, found: []pipeline.Finding{{Rule: "panel-size", Severity: pipeline.Error}}})
	assert.False(t, ok, "tabs hold it: nothing here mends the rest")
	w, ok := s.mended(attempt{way: way{kind: tabbed}, warnings: 2, found: []pipeline.Finding{
		{Rule: "part-near-break", Severity: pipeline.Warning, Feature: "A1/part/R7"},
		{Rule: "crystal-near-break", Severity: pipeline.Warning, Feature: "A1/part/C2"},
		{Rule: "panel-sag", Severity: pipeline.Warning, Feature: "A1/part/C3"},
	}})
	require.True(t, ok)
	assert.Equal(t, []string{"C2", "R7"}, w.tabs.fragile)
}

func TestOutwards(t *testing.T) {
	s := starterOf(100*mm, 70*mm)
	out := func(outer, inner geom.Length) geom.Length {
		s.facts.outer, s.facts.inner = &near{size: outer}, &near{size: inner}
		l, _ := s.outwards()
		return l
	}
	assert.Zero(t, out(338*geom.UM, 488*geom.UM))
	assert.Equal(t, 10*geom.UM, out(337*geom.UM, mm))
	assert.Equal(t, 240*geom.UM, out(254*geom.UM, 254*geom.UM), "0.4 + 0.088 - 0.254 = 0.234 mm")
	assert.Zero(t, out(0, mm), "0.34 mm of stub is more than is proposed")
}

// sides of an outline: an L 60 x 45 mm with a notch of 30 x 25 mm at its upper right.
func TestShape(t *testing.T) {
	points := []geom.Point{geom.Pt(0, 0), geom.Pt(60*mm, 0), geom.Pt(60*mm, 20*mm), geom.Pt(30*mm, 20*mm), geom.Pt(30*mm, 45*mm), geom.Pt(0, 45*mm)}
	var outer geom.Path
	for i, p := range points {
		outer = append(outer, geom.Line(p, points[(i+1)%len(points)]))
	}
	f := facts{box: outer.Box()}
	for _, e := range outer {
		if s, ok := f.sideOf(e); ok {
			f.straight[s] += e.Length() / float64(f.length(s))
		}
	}
	f.fill = geom.Outline{Outer: outer}.Area() / (60 * 45 * 1e12)
	assert.InDeltaSlice(t, []float64{1, 20.0 / 45, 0.5, 1}, f.straight[:], 1e-9)
	assert.InDelta(t, 1-30.0*25/(60*45), f.fill, 1e-9)
	assert.False(t, f.rectangle())
	assert.Equal(t, right, f.nearest(geom.Pt(59*mm, 10*mm)))
}

func TestCleanNames(t *testing.T) {
	for name, want := range map[string]string{"gauge_rev_c": "gauge", "gauge_v1_2": "gauge", "revolver": "revolver", "river": "river"} {
		assert.Equal(t, want, revisionEnd.ReplaceAllString(name, ""), name)
	}
	assert.True(t, generic.MatchString("gerber"))
	assert.False(t, generic.MatchString("gerbera"))
}
