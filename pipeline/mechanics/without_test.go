package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// TestWithoutIsAsSolvedAnew: leaving a tab out by the formula gives what a model without its joints gives.
func TestWithoutIsAsSolvedAnew(t *testing.T) {
	p := supported(t, held(t, 1600*geom.UM, []int{8, 22, 33}, []int{12, 30}), nil)
	a := of(t, p)
	require.Len(t, a.Tabs, 5)
	for i, tab := range p.Tabs() {
		m, err := build(t.Context(), p, *p.Support(), 1)
		require.NoError(t, err)
		var left []joint
		for _, j := range m.joints {
			if m.bands[j.band].tab != i {
				left = append(left, j)
			}
		}
		m.joints = left
		r, err := m.solve(t.Context(), 0, 1)
		require.NoError(t, err)
		reserve, worst := highest, ""
		for _, x := range m.tabs(r) {
			if x.Loads[0].Reserve < reserve {
				reserve, worst = x.Loads[0].Reserve, x.Tab
			}
		}
		got := a.Tabs[i].Without
		require.Equal(t, tab.ID, a.Tabs[i].Tab)
		assert.False(t, got.Falls)
		assert.InEpsilon(t, reserve, got.Reserve, 1e-5)
		assert.Equal(t, worst, got.Worst)
		sag := a.States[0].Sag
		for _, w := range m.watched() {
			sag = math.Max(sag, math.Abs(r.states[0].state.W[w.node]))
		}
		assert.InEpsilon(t, sag, got.Sag, 1e-5)
	}
}

func TestWithoutTheLastTabItFalls(t *testing.T) {
	a := of(t, supported(t, held(t, 1600*geom.UM, []int{20}, []int{10, 30}), nil))
	for _, x := range a.Tabs {
		// The lower rail alone lies on one edge and would turn about it; so would the board.
		assert.Equal(t, x.Tab == "A1/tab/upper/1", x.Without.Falls, x.Tab)
	}
}

// TestTrial: a selection tried is what the panel without the other tabs' joints gives, one by one and all at once.
func TestTrial(t *testing.T) {
	p := supported(t, held(t, 1600*geom.UM, []int{8, 22, 33}, []int{12, 30}), func(s *panel.Support) {
		s.Force = panel.Constant{Value: 2, Unit: "N"}
	})
	trial, err := NewTrial(t.Context(), p, Limits{MostSag: 0.75, LeastReserve: 2}, 1)
	require.NoError(t, err)
	require.Empty(t, trial.Problems)
	a := of(t, p)
	least := highest
	for _, x := range a.Tabs {
		least = math.Min(least, x.Least)
	}
	now := trial.Now()
	assert.InEpsilon(t, least, now.Reserve, 1e-6)

	keep := []bool{true, true, true, true, true}
	tried := trial.Clone()
	for _, gone := range []int{1, 3} {
		before := tried.Without(gone)
		require.True(t, tried.Remove(gone))
		keep[gone] = false
		after, with := tried.Now(), trial.With(keep)
		assert.InEpsilon(t, after.Reserve, before.Reserve, 1e-7)
		assert.InEpsilon(t, after.Sag, before.Sag, 1e-7)
		assert.InEpsilon(t, after.Reserve, with.Reserve, 1e-7)
		assert.InEpsilon(t, after.Sag, with.Sag, 1e-7)
		assert.Equal(t, after.Worst, with.Worst)
	}
	assert.Equal(t, now, trial.Now(), "the first trial is as it was")

	// Anew, without those joints.
	m, err := build(t.Context(), p, *p.Support(), 1)
	require.NoError(t, err)
	var left []joint
	for _, j := range m.joints {
		if k := m.bands[j.band].tab; keep[k] {
			left = append(left, j)
		}
	}
	m.joints = left
	r, err := m.solve(t.Context(), 0, 1)
	require.NoError(t, err)
	least = highest
	for _, x := range m.tabs(r) {
		least = math.Min(least, math.Min(math.Min(x.Loads[0].Reserve, x.Loads[1].Reserve), x.Loads[2].Reserve))
	}
	assert.InEpsilon(t, least, tried.Now().Reserve, 0.02, "that in the oven is estimated")

	// The last tab on a side may go while others hold; the very last may not.
	for i := range keep {
		if tried.Gone(i) {
			continue
		}
		if !tried.Remove(i) {
			assert.True(t, tried.Without(i).Falls)
			assert.True(t, math.IsInf(tried.Without(i).Share(Limits{1, 1, 1}), 1))
		}
	}
	alone := 0
	for i := range keep {
		if !tried.Gone(i) {
			alone++
		}
	}
	assert.Equal(t, 2, alone, "one on either side: a rail lies on its outer edge and turns about it")
}
