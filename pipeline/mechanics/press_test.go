package mechanics

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// staves is three boards of 60 x 40 mm side by side and as many above them: a score line parts the rows, slots of 2 mm with a tab
// between each two boards part the columns. It is carried above and below; pressed names the copy that 5 N press on.
func staves(t *testing.T, pressed string) *Answers {
	t.Helper()
	const mm = geom.MM
	board := &panel.Board{Name: "stave", Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*mm, 40*mm)})}}
	e := panel.Panel{}.Edit().AddBoard(board)
	for i, id := range copies {
		e.AddCopy(panel.Copy{ID: id, Board: board, Place: geom.Transform{Shift: geom.Pt(geom.Length(i%3)*62*mm, geom.Length(i/3)*40*mm)}})
	}
	e.FitOutline().AddScore(panel.Score{ID: "score/y1", From: geom.Pt(0, 40*mm), To: geom.Pt(184*mm, 40*mm), RemainingWeb: 300 * geom.UM, IncludedAngle: 30 * geom.Degree})
	for c := range 2 {
		x, from := geom.Length(62*c+60)*mm, geom.Length(0)
		slot := func(to geom.Length) {
			e.AddSlot(panel.Slot{ID: fmt.Sprintf("slot/%d/%d", c, to/mm), Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(x, from), Max: geom.Pt(x+2*mm, to)})}})
		}
		for r := range 2 {
			a, b := copies[3*r+c], copies[3*r+c+1]
			y := geom.Length(40*r+20) * mm
			low, high := y-2100*geom.UM, y+2100*geom.UM
			slot(low)
			from = high
			tab := panel.Tab{ID: a + "/tab/right/1", Copies: []string{a, b}, Width: high - low}
			for n, at := range []geom.Length{x + 250*geom.UM, x + 1750*geom.UM} {
				tab.Rows = append(tab.Rows, panel.Row{Copies: []string{[]string{a, b}[n]}, Line: geom.Path{geom.Line(geom.Pt(at, low), geom.Pt(at, high))}})
				for h := range 5 {
					e.AddPerforation(panel.Perforation{ID: fmt.Sprintf("%s/hole/%d/%d", tab.ID, n, h), Tab: tab.ID, Row: n, Copy: tab.Rows[n].Copies[0],
						At: geom.Pt(at, y+geom.Length(h-2)*800*geom.UM), Diameter: 500 * geom.UM})
				}
			}
			e.AddTab(tab)
		}
		slot(80 * mm)
	}
	return of(t, supported(t, e, func(s *panel.Support) {
		s.Open, s.Fine = 8*mm, 2*mm
		s.Force, s.Pressed = panel.Constant{Value: 5, Unit: "N"}, pressed
	}))
}

var copies = []string{"A1", "B1", "C1", "A2", "B2", "C2"}

// No copy pressed on by itself leaves less of tabs and webs together than the one that is chosen. Here that is at the free ends,
// where the webs bear most, though tabs bear more where the middle is pressed on.
func TestNoCopyDoesMoreHarmThanTheOnePressedOn(t *testing.T) {
	least := func(a *Answers) (tabs, all float64) {
		require.Equal(t, Pressed, a.States[2].Kind)
		tabs = highest
		for _, x := range a.Tabs {
			tabs = math.Min(tabs, x.Loads[2].Reserve)
		}
		return tabs, math.Min(tabs, a.Lines[0].Loads[2].Reserve)
	}
	chosen := staves(t, "")
	tabs, all := least(chosen)
	weakest := tabs
	for _, id := range []string{"A1", "B1", "B2"} { // the rest are like these
		x, y := least(staves(t, id))
		weakest = math.Min(weakest, x)
		assert.GreaterOrEqual(t, y*1.001, all, id)
	}
	assert.Less(t, weakest, 0.9*tabs, "by its tabs alone another would be chosen")
	assert.Less(t, all, tabs)
}

// A board round a cut-out has its middle in the air, one round a notch may have it on waste: its own material is pressed on.
func TestWhatIsPressedOnIsTheBoard(t *testing.T) {
	const mm = geom.MM
	outer := geom.Rectangle(geom.Box{Max: geom.Pt(60*mm, 60*mm)})
	hole := geom.Rectangle(geom.Box{Min: geom.Pt(10*mm, 10*mm), Max: geom.Pt(50*mm, 50*mm)})
	board := &panel.Board{Name: "ring", Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: outer, CutOuts: []geom.Path{hole.Reverse()}}}
	e := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
	p := supported(t, e, func(s *panel.Support) { s.Force = panel.Constant{Value: 5, Unit: "N"} })
	a := of(t, p)
	require.Len(t, a.States, 3)
	assert.Equal(t, "A1", a.States[2].Pressed)
	m, err := build(t.Context(), p, *p.Support(), 1)
	require.NoError(t, err)
	_, at, ok := m.on(p.Copies()[0])
	require.True(t, ok)
	assert.True(t, p.Copies()[0].Outline().Locate(at) != geom.Outside && at.Distance(geom.Pt(30*mm, 30*mm)) < 24*float64(mm), "%v", at)
}
