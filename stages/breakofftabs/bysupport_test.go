package breakofftabs_test

import (
	"context"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/scorelines"
)

// carried states that a panel lies on rails above and below and is pressed on with 5 N; the mesh is coarse, to be quick.
func carried(t testing.TB, p panel.Panel, change func(*panel.Support)) panel.Panel {
	t.Helper()
	s := panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Grip: 5 * geom.MM,
		Force: panel.Constant{Value: 5, Unit: "N"}, Laminate: laminate.Default(), Open: 10 * geom.MM, Fine: 2 * geom.MM}
	if change != nil {
		change(&s)
	}
	out, err := p.Edit().SetSupport(s).Build()
	require.NoError(t, err)
	return out
}

// limited sets the limits.
func limited(sag, reserve, hertz float64) func(*panel.Support) {
	return func(s *panel.Support) { s.MostSag, s.LeastReserve, s.LeastFrequency = &sag, &reserve, &hertz }
}

// tabsBySupport runs the stage once.
func tabsBySupport(t *testing.T, in panel.Panel, change func(*breakofftabs.BreakoffTabs)) (panel.Panel, []pipeline.Finding) {
	t.Helper()
	s := stage()
	s.Placing = "by_support"
	if change != nil {
		change(s)
	}
	var found []pipeline.Finding
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 2, Rules: rule.All()}, func(f pipeline.Finding) { found = append(found, f) }, nil)
	r, err := s.Run(t.Context(), env, in)
	require.NoError(t, err)
	return r.Panel, found
}

// bySupport runs the stage as a recipe does, with one worker and with several.
func bySupport(t *testing.T, in panel.Panel, body string) stagetest.Got {
	t.Helper()
	return stagetest.Run(t, breakofftabs.Kind(), "placing = \"by_support\"\n"+body, in, nil, stagetest.WithRules(rule.All()...))
}

func rules(all []pipeline.Finding) (out []string) {
	for _, f := range all {
		out = append(out, f.Rule)
	}
	return out
}

// keepsLimits reckons a panel anew, and the limits that its support states.
func keepsLimits(t *testing.T, p panel.Panel) *mechanics.Answers {
	t.Helper()
	a, err := mechanics.Of(t.Context(), p, 1)
	require.NoError(t, err)
	require.Empty(t, a.Problems)
	s := p.Support()
	assert.True(t, a.Keeps(mechanics.Limits{MostSag: *s.MostSag, LeastReserve: *s.LeastReserve, LeastFrequency: *s.LeastFrequency}))
	return a
}

// TestBySupport: fewer tabs than spans ask for, within the limits when reckoned anew, whichever limit is the one that counts; more than
// geometry alone asks for where a limit does.
func TestBySupport(t *testing.T) {
	// By geometry two boards side by side need three tabs, one two.
	for _, x := range []struct {
		name             string
		copies           int
		sag, reserve, hz float64
		says             string
	}{
		{"geometry", 2, 5, 0.5, 5, `^3 tabs hold the panel \(spans ask for 7\): carried at its upper and lower edges it sags [\d.]+ % of the span between its supports \(at most 5 %\), its tabs are [\d.]+ times as strong as they are strained, whichever copy is pressed on \(at least 0.5\), and it swings [\d.]+ times a second at its slowest \(at least 5\)\. Fewer would not hold every board from two sides\. One more tab, on [AB]1's (upper|lower|left|right) edge at \([\d.]+, [\d.]+\) mm, would `},
		{"sag", 1, 0.0095, 0.5, 5, `\(at most 0.0095 %\).* Without any one of them a limit would be broken, or a board not be held from two sides\.`},
		{"strength", 2, 5, 9, 5, `\(at least 9\).* Without any one of them`},
		{"frequency", 1, 5, 0.5, 350, `\(at least 350\)\. Without any one of them`},
	} {
		t.Run(x.name, func(t *testing.T) {
			in := framed(t, plain(60, 40), x.copies, 1, 2*geom.MM)
			out, found := tabsBySupport(t, carried(t, in, limited(x.sag, x.reserve, x.hz)), nil)
			require.Equal(t, []string{"tabs-by-support"}, rules(found))
			t.Log(found[0].Message)
			assert.Regexp(t, x.says, found[0].Message)
			geometry := 1 + x.copies
			if x.name == "geometry" {
				assert.Len(t, out.Tabs(), geometry)
			} else {
				assert.Greater(t, len(out.Tabs()), geometry)
			}
			keepsLimits(t, out)
		})
	}
}

// TestBySupportKeepsPins: what the recipe pins stays, whether it is needed or not, and no tab stands where it forbids one.
func TestBySupportKeepsPins(t *testing.T) {
	in := carried(t, framed(t, plain(60, 40), 1, 1, 2*geom.MM), limited(5, 1, 5))
	got := bySupport(t, in, `
pinned {
  copy     = "A1"
  edge     = "upper"
  position = 12
}
pinned {
  copy     = "A1"
  edge     = "upper"
  position = 30
}
forbidden {
  copy = "A1"
  edge = "left"
  from = 0
  to   = 40
}
`)
	pinned := 0
	for _, x := range got.Panel.Tabs() {
		if x.Pinned {
			pinned++
		}
		assert.NotEqual(t, 10*geom.MM, x.Feet[0].X, "the left edge is forbidden")
	}
	assert.Equal(t, 2, pinned)
	assert.Len(t, got.Panel.Tabs(), 3, "and one opposite")
}

// TestBeyondAllTabs: of a limit that no tabs keep it is told what they come to, and it is no worse than with those that spans ask for.
func TestBeyondAllTabs(t *testing.T) {
	in := framed(t, plain(60, 40), 1, 1, 2*geom.MM)
	stood := reckoned(t, stagetest.Run(t, breakofftabs.Kind(), "", carried(t, in, nil), nil).Panel)
	out, found := tabsBySupport(t, carried(t, in, limited(0.0001, 1, 5)), nil)
	require.Equal(t, []string{"tabs-by-support"}, rules(found))
	assert.Regexp(t, `^\d tabs hold the panel \(spans ask for 4\): .* \(at most 0.0001 %\).*No tabs keep the limit of sag: \d+, the most that were tried, come to 0.00\d+ %; so it was to be no worse than with those that spans ask for, 0.00\d+ %\.`, found[0].Message)
	assert.LessOrEqual(t, reckoned(t, out).States[1].Percent, stood.States[1].Percent)
	assert.LessOrEqual(t, len(out.Tabs()), 4)
}

func reckoned(t *testing.T, p panel.Panel) *mechanics.Answers {
	t.Helper()
	a, err := mechanics.Of(t.Context(), p, 1)
	require.NoError(t, err)
	return a
}

// TestCannotBeReckoned: the planned tabs stand, and the note says why.
func TestCannotBeReckoned(t *testing.T) {
	in := carried(t, framed(t, plain(60, 40), 1, 1, 2*geom.MM), func(s *panel.Support) {
		s.Carried, s.Pins = panel.ByPins, []geom.Point{at(1, 1), at(2, 1)}
	})
	got := bySupport(t, in, "")
	require.Equal(t, []string{"tabs-by-support"}, rules(got.Findings))
	assert.Equal(t, "tabs stand as spans ask for, for the panel cannot be reckoned: the panel lies on 2 pins: three that do not lie in a line hold it", got.Findings[0].Message)
	assert.Len(t, got.Panel.Tabs(), len(stagetest.Run(t, breakofftabs.Kind(), "", in, nil).Panel.Tabs()))
}

// TestHeldFromOneSide: a board that no tabs can hold from two sides keeps those that there are as far as limits ask, and that is told.
func TestHeldFromOneSide(t *testing.T) {
	in := carried(t, framed(t, plain(60, 40), 1, 1, 2*geom.MM), limited(50, 0.01, 0.1))
	got := bySupport(t, in, `
forbidden {
  copy = "A1"
  edge = "left"
  from = 0
  to   = 40
}
forbidden {
  copy = "A1"
  edge = "right"
  from = 0
  to   = 40
}
forbidden {
  copy = "A1"
  edge = "lower"
  from = 0
  to   = 60
}
`)
	require.Equal(t, []string{"board-not-held", "board-not-held", "tabs-by-support"}, rules(got.Findings))
	assert.Contains(t, got.Findings[0].Message+got.Findings[1].Message, "no two of its tabs lie on opposite sides")
	assert.NotEmpty(t, got.Panel.Tabs())
	keepsLimits(t, got.Panel)
}

// TestScoredBoardsBySupport: score lines hold one pair of sides, and where their webs are too weak tabs cannot help.
func TestScoredBoardsBySupport(t *testing.T) {
	board := &panel.Board{Name: "weir", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: plain(50, 40)}
	e := panel.Panel{}.Edit().AddBoard(board)
	for c := range 2 {
		e.AddCopy(panel.Copy{ID: column(c) + "1", Board: board, Column: c, Place: panel.Settle(board, 0, geom.Pt(geom.Length(c)*52*geom.MM, 0))})
	}
	p, err := e.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, 0, 0, false).Build()
	require.NoError(t, err)
	p = stagetest.Run(t, scorelines.Kind(), `between = ["upper_and_lower_rails"]`, p, nil).Panel
	require.NotEmpty(t, p.Scores())
	for _, reserve := range []float64{0.5, 200} {
		out, found := tabsBySupport(t, carried(t, p, limited(5, reserve, 5)), func(s *breakofftabs.BreakoffTabs) { s.Between = []string{"columns"} })
		require.NotEmpty(t, found)
		last := found[0].Message
		if reserve > 100 {
			assert.Contains(t, last, "Whatever tabs there are, the webs of its score lines are ")
		} else {
			assert.NotContains(t, last, "Whatever")
			assert.Empty(t, out.Tabs())
			assert.Regexp(t, `^score lines alone hold the panel, no tabs are needed \(spans ask for \d+\): .* its webs of score lines are [\d.]+ times as strong .*One more tab`, last)
			keepsLimits(t, out)
		}
	}
}

// TestWasteBySupport: waste between round boards stays where two tabs hold it at least, or goes.
func TestWasteBySupport(t *testing.T) {
	in := carried(t, framed(t, round(20*geom.MM), 2, 2, 2*geom.MM), limited(5, 1, 5))
	out, told := tabsBySupport(t, in, nil)
	assert.Equal(t, []string{"tabs-by-support"}, rules(told))
	held := map[string]int{}
	for _, x := range out.Tabs() {
		held[x.Rail]++
	}
	for name, n := range held {
		if len(name) > 5 && name[:5] == "waste" {
			assert.GreaterOrEqual(t, n, 2, name)
		}
	}
	keepsLimits(t, out)
	files, err := write(out)
	require.NoError(t, err)
	found, err := prove(out, files)
	require.NoError(t, err)
	assert.Empty(t, found)
}

// TestBySupportStops: it ends when nobody wants it any more.
func TestBySupportStops(t *testing.T) {
	in := carried(t, framed(t, plain(60, 40), 1, 1, 2*geom.MM), nil)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	s := stage()
	s.Placing = "by_support"
	_, err := s.Run(ctx, pipeline.NewEnv(pipeline.Env{}, func(pipeline.Finding) {}, nil), in)
	assert.ErrorIs(t, err, context.Canceled)
}
