package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
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
