package mechanics

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// TestWhatCannotBeReckoned: panels that nothing holds are told of, with what to do, and nothing else is made up.
func TestWhatCannotBeReckoned(t *testing.T) {
	pins := func(at ...geom.Point) func(*panel.Support) {
		return func(s *panel.Support) { s.Carried, s.Sides, s.Pins = panel.ByPins, nil, at }
	}
	mm := geom.MM
	for _, c := range []struct {
		name         string
		upper, lower []int
		change       func(*panel.Support)
		kinds        []ProblemKind
		says         string
	}{
		{"a board without tabs", nil, nil, nil, []ProblemKind{LoosePiece}, "A1 hangs on to nothing that is carried"},
		{"one tab", []int{20}, nil, nil, []ProblemKind{NotCarried}, "A1 is carried along one line only and turns about it"},
		{"one edge under it", []int{10, 30}, []int{10, 30}, func(s *panel.Support) { s.Sides = []panel.RailSide{panel.Lower} }, []ProblemKind{NotCarried}, "the edges lower do not hold the panel"},
		{"no pins", []int{10, 30}, []int{10, 30}, pins(), []ProblemKind{NotCarried}, "the panel lies on 0 pins"},
		{"two pins", []int{10, 30}, []int{10, 30}, pins(geom.Pt(5*mm, 5*mm), geom.Pt(35*mm, 5*mm)), []ProblemKind{NotCarried}, "the panel lies on 2 pins"},
		{"pins in a line", []int{10, 30}, []int{10, 30}, pins(geom.Pt(5*mm, 5*mm), geom.Pt(20*mm, 5*mm), geom.Pt(35*mm, 5*mm)), []ProblemKind{NotCarried}, "not in a line"},
		{"pins beside the panel", []int{10, 30}, []int{10, 30}, pins(geom.Pt(-5*mm, 5*mm), geom.Pt(-20*mm, 5*mm), geom.Pt(-35*mm, 15*mm)), []ProblemKind{NotCarried}, "only 0 of the 3 pins lie under the panel's material"},
		{"pins in one corner", []int{10, 30}, []int{10, 30}, pins(geom.Pt(5*mm, 5*mm), geom.Pt(15*mm, 5*mm), geom.Pt(5*mm, 9*mm)), []ProblemKind{Tips}, "the panel tips: its centre of mass, at (20.0, 32.0) mm"},
		{"held at an edge where nothing is", []int{10, 30}, []int{10, 30}, func(s *panel.Support) { s.Carried, s.Sides = panel.ByOneRail, nil }, []ProblemKind{NotCarried}, "has no material"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, err := Of(t.Context(), supported(t, held(t, 1600*geom.UM, c.upper, c.lower), c.change), 1)
			require.NoError(t, err)
			var kinds []ProblemKind
			text := ""
			for _, x := range a.Problems {
				kinds = append(kinds, x.Kind)
				text += x.Message + "\n"
			}
			assert.Equal(t, c.kinds, kinds, text)
			assert.Contains(t, text, c.says)
			assert.Empty(t, a.States)
			assert.Empty(t, a.Tabs)
			assert.Empty(t, a.Hertz)
		})
	}
}

func TestWhatHoldsAfterAll(t *testing.T) {
	mm := geom.MM
	a := of(t, supported(t, held(t, 1600*geom.UM, []int{20}, nil), func(s *panel.Support) {
		s.Carried, s.Sides = panel.ByPins, nil
		s.Pins = []geom.Point{geom.Pt(5*mm, 15*mm), geom.Pt(35*mm, 15*mm), geom.Pt(20*mm, 60*mm), geom.Pt(5*mm, 5*mm), geom.Pt(35*mm, 5*mm), geom.Pt(20*mm, 9*mm)}
	}))
	assert.Len(t, a.Tabs, 1, "three pins under the lower rail, two under the board and one under the rail that it hangs on")
	a = of(t, supported(t, held(t, 1600*geom.UM, []int{20}, []int{20}), func(s *panel.Support) { s.Carried, s.Sides = panel.ByOneRail, []panel.RailSide{panel.Upper} }))
	for _, x := range a.Tabs {
		assert.True(t, x.Without.Falls, "%s: the board and the lower rail fall, or the lower rail alone", x.Tab)
	}
}

func TestNothingToReckon(t *testing.T) {
	a, err := Of(t.Context(), supported(t, panel.Panel{}.Edit(), nil), 1)
	require.NoError(t, err)
	require.Len(t, a.Problems, 1)
	assert.Equal(t, NoLaminate, a.Problems[0].Kind)
	p, err := held(t, 1600*geom.UM, []int{20}, []int{20}).Build()
	require.NoError(t, err)
	a, err = Of(t.Context(), p, 1)
	require.NoError(t, err)
	assert.Nil(t, a, "no support is stated")
}

func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Of(ctx, supported(t, held(t, 1600*geom.UM, []int{20}, []int{20}), nil), 1)
	assert.ErrorIs(t, err, context.Canceled)
}

// TestWorkersDoNotMatter: the same digits with any number of workers.
func TestWorkersDoNotMatter(t *testing.T) {
	e := func() panel.Panel { return supported(t, held(t, 1600*geom.UM, []int{8, 22, 33}, []int{12, 30}), nil) }
	a, err := Of(t.Context(), e(), 1)
	require.NoError(t, err)
	b, err := Of(t.Context(), e(), 7)
	require.NoError(t, err)
	assert.Equal(t, a.States, b.States)
	assert.Equal(t, a.Hertz, b.Hertz)
	assert.Equal(t, a.Tabs, b.Tabs)
}

// TestPull: a panel that is pressed on beyond its pins would have to be held down on the other side; with pins all round it lies
// on all of them; a pin under a slot carries nothing.
func TestPull(t *testing.T) {
	mm := geom.MM
	panelOn := func(force float64, at ...geom.Point) *Answers {
		return of(t, supported(t, held(t, 1600*geom.UM, []int{10, 30}, []int{10, 30}), func(s *panel.Support) {
			s.Carried, s.Sides, s.Pins, s.Force.Value = panel.ByPins, nil, at, force
		}))
	}
	corners := []geom.Point{geom.Pt(3*mm, 5*mm), geom.Pt(37*mm, 5*mm), geom.Pt(37*mm, 59*mm), geom.Pt(3*mm, 59*mm)}
	for _, s := range panelOn(2, corners...).States {
		assert.Zero(t, s.Pull, s.Kind)
	}
	// One pin far off the middle of the board and three below it: pressed on its middle the panel turns about two of them.
	a := panelOn(5, geom.Pt(3*mm, 5*mm), geom.Pt(37*mm, 5*mm), geom.Pt(20*mm, 33*mm), geom.Pt(20*mm, 59*mm))
	assert.Positive(t, a.States[2].Pull, "the board is pressed at (20, 32), right before the pin at (20, 33): the far one is lifted")
	a = panelOn(0, append(corners, geom.Pt(20*mm, 11*mm))...)
	assert.Equal(t, []geom.Point{geom.Pt(20*mm, 11*mm)}, a.IdlePins)
	assert.InDelta(t, 63.8, a.Span.MM(), 0.1)
}

func TestWithin(t *testing.T) {
	q := geom.Pt(0, 0)
	assert.True(t, within([]geom.Point{geom.Pt(1, 0), geom.Pt(-1, 1), geom.Pt(-1, -1)}, q))
	assert.True(t, within([]geom.Point{geom.Pt(1, 0), geom.Pt(-1, 0)}, q), "on the line between them")
	assert.False(t, within([]geom.Point{geom.Pt(1, 0), geom.Pt(1, 1), geom.Pt(2, -1)}, q))
	assert.False(t, within(nil, q))
}
