package mechanics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

func pressing(newtons float64) func(*panel.Support) {
	return func(s *panel.Support) { s.Force = panel.Constant{Value: newtons, Unit: "N"} }
}

func trialOf(t testing.TB, p panel.Panel) *Trial {
	t.Helper()
	trial, err := NewTrial(t.Context(), p, 1)
	require.NoError(t, err)
	require.Empty(t, trial.Problems)
	return trial
}

// anew is what solving the panel without the left-out tabs' joints says.
func anew(t testing.TB, p panel.Panel, keep []bool) (weight, pressed, hertz float64) {
	t.Helper()
	m, err := build(t.Context(), p, *p.Support(), 1)
	require.NoError(t, err)
	var left []joint
	first := m.firstBands()
	for _, j := range m.joints {
		switch k := m.bands[j.band].tab; {
		case keep[k]:
			left = append(left, j)
		case first[k] != j.band: // what stands on the other board
			left = append(left, j)
		}
	}
	m.joints = left
	r, err := m.solve(t.Context(), 1, 1)
	require.NoError(t, err)
	weight, pressed = highest, highest
	least := func() (v float64) {
		v = highest
		for _, x := range m.tabs(r) {
			i := slices.IndexFunc(p.Tabs(), func(y panel.Tab) bool { return y.ID == x.Tab })
			if keep[i] {
				for _, l := range x.Loads {
					v = math.Min(v, l.Reserve)
				}
			}
		}
		return v
	}
	r.states = r.states[:1]
	weight = least()
	for _, c := range p.Copies() {
		triangle, at, ok := m.finder.nearest(m.middleOf(c))
		require.True(t, ok)
		right, err := r.cold.Weight(gravity, []plate.Load{{Triangle: triangle, X: at.X.MM(), Y: at.Y.MM(), Value: m.support.Force.Value}})
		require.NoError(t, err)
		r.states[0].state = r.cold.Solve(right)[0]
		pressed = math.Min(pressed, least())
	}
	return weight, pressed, r.hertz[0]
}

// TestTrial: whatever is taken away and put back, in whatever order, a trial says what solving the panel with those joints alone says.
func TestTrial(t *testing.T) {
	p := supported(t, held(t, 1600*geom.UM, []int{8, 22, 33}, []int{12, 30}), pressing(2))
	trial := trialOf(t, p)
	random := rand.New(rand.NewPCG(7, 7))
	all := []bool{true, true, true, true, true}
	tried, fallen := 0, 0
	for range 60 {
		keep := slices.Clone(all)
		for i := range keep {
			keep[i] = random.IntN(3) > 0
		}
		said := trial.Try(keep)
		if falls := !keep[0] && !keep[1] || !keep[2] && !keep[3] && !keep[4]; falls != said.Falls {
			t.Errorf("%v: falls %v", keep, said.Falls)
		}
		assert.Equal(t, !said.Falls, trial.Settle(keep))
		if said.Falls {
			fallen++
			assert.True(t, math.IsInf(said.Share(Limits{1, 1, 1}), 1))
			continue
		}
		now := trial.Now()
		assert.InEpsilon(t, said.Reserve, now.Reserve, 1e-7)
		assert.InEpsilon(t, said.Sag, now.Sag, 1e-7)
		assert.Equal(t, said.Worst, now.Worst)
		if tried++; tried > 8 { // solving is slow
			continue
		}
		weight, pressed, hertz := anew(t, p, keep)
		assert.InEpsilon(t, math.Min(float64(weight*trial.hot.strength), pressed), now.Reserve, 1e-6, "%v", keep)
		assert.InEpsilon(t, hertz, trial.Hertz(keep), 0.08, "%v", keep)
	}
	assert.Greater(t, tried, 20)
	assert.Positive(t, fallen)
}

// TestJudge: a trial with all of its tabs says what is reckoned in full, and Judge what Of does.
func TestJudge(t *testing.T) {
	p := supported(t, held(t, 1600*geom.UM, []int{8, 33}, []int{12, 30}), pressing(2))
	a := of(t, p)
	v, problems, err := Judge(t.Context(), p, 1)
	require.NoError(t, err)
	require.Empty(t, problems)
	least := highest
	for _, x := range a.Tabs {
		least = math.Min(least, x.Least)
	}
	assert.InEpsilon(t, least, v.Reserve, 1e-9)
	assert.InEpsilon(t, a.Hertz[0], v.Hertz, 1e-6)
	assert.InEpsilon(t, a.States[1].Percent, v.Sag, 1e-9)
	assert.Zero(t, v.Webs, "there is no score line")

	trial := trialOf(t, p)
	now := trial.Now()
	assert.InEpsilon(t, v.Reserve, now.Reserve, 1e-6)
	assert.Equal(t, v.Worst, now.Worst)
	assert.InEpsilon(t, v.Sag, now.Sag, 0.08, "corners and the middle are watched, and nothing between")
	trial.Correct(v)
	now = trial.Now()
	assert.InEpsilon(t, v.Sag, now.Sag, 1e-9)
	assert.InEpsilon(t, v.Hertz, trial.Hertz([]bool{true, true, true, true}), 1e-9)

	// Limits: each counts.
	for _, l := range []Limits{{v.Sag / 2, 0, 0}, {100, 2 * v.Reserve, 0}, {100, 0, 2 * v.Hertz}} {
		assert.InEpsilon(t, 2, v.Share(l), 1e-9)
	}
	assert.InEpsilon(t, 2, Verdict{Sag: 1, Reserve: 5, Webs: 1}.Share(Limits{100, 2, 20}), 1e-9)
}

func TestTrialsAreTheirOwn(t *testing.T) {
	trial := trialOf(t, supported(t, held(t, 1600*geom.UM, []int{8, 33}, []int{12, 30}), pressing(2)))
	before := trial.Now()
	other := trial.Clone()
	require.True(t, other.Settle([]bool{true, false, true, true}))
	assert.Equal(t, before, trial.Now())
	assert.NotEqual(t, before, other.Now())
	require.True(t, other.Settle([]bool{true, true, true, true}))
	assert.InEpsilon(t, before.Reserve, other.Now().Reserve, 1e-9)
}
