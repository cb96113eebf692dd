package mechanics

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
)

// plain is a panel that is one bare board of the given size, without copper, carried at two sides.
func plain(t testing.TB, width, height geom.Length, change func(*panel.Support)) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "stave", Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(width, height)})}}
	e := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
	return supported(t, e, change)
}

func supported(t testing.TB, e *panel.Builder, change func(*panel.Support)) panel.Panel {
	t.Helper()
	s := panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Grip: 5 * geom.MM,
		Laminate: laminate.Default(), Open: 4 * geom.MM, Fine: 500 * geom.UM}
	if change != nil {
		change(&s)
	}
	p, err := e.SetSupport(s).Build()
	require.NoError(t, err)
	return p
}

// of reckons a panel that can be.
func of(t testing.TB, p panel.Panel) *Answers {
	t.Helper()
	a, err := Of(t.Context(), p, 1)
	require.NoError(t, err)
	require.Empty(t, a.Problems)
	return a
}

// held is a board of 40 x 40 mm between two rails of 10 mm that run above and below it, held by tabs in slots of 2 mm: one at
// each of the places given, in mm from the board's left edge, above and below. Each tab is 4.2 mm wide and has a row of five
// holes of 0.5 mm, 0.3 mm apart, that touches the board.
func held(t testing.TB, thickness geom.Length, upper, lower []int) *panel.Builder {
	t.Helper()
	const side, gap, rail = 40, 2, 10
	mm := geom.MM
	board := &panel.Board{Name: "float", Thickness: thickness, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(side*mm, side*mm)})}}
	e := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper, panel.Lower}, rail*mm, gap*mm, 0, false)
	y0 := (rail + gap) * mm
	n := 0
	slots := func(y geom.Length, at []int) {
		from := geom.Length(-1) * mm
		half := 2100 * geom.UM
		add := func(to geom.Length) {
			n++
			e.AddSlot(panel.Slot{ID: fmt.Sprintf("slot/%d", n), Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(from, y), Max: geom.Pt(to, y+gap*mm)})}})
		}
		for _, x := range at {
			add(geom.Length(x)*mm - half)
			from = geom.Length(x)*mm + half
		}
		add((side + 1) * mm)
	}
	slots(y0-gap*mm, lower)
	slots(y0+side*mm, upper)
	tab := func(edge string, k, x int, y geom.Length) {
		id := fmt.Sprintf("A1/tab/%s/%d", edge, k+1)
		from, to := geom.Length(x)*mm-2100*geom.UM, geom.Length(x)*mm+2100*geom.UM
		e.AddTab(panel.Tab{ID: id, Copies: []string{"A1"}, Rail: "rail/" + edge, Width: to - from,
			Rows: []panel.Row{{Copies: []string{"A1"}, Line: geom.Path{geom.Line(geom.Pt(from, y), geom.Pt(to, y))}}}})
		for h := range 5 {
			e.AddPerforation(panel.Perforation{ID: fmt.Sprintf("%s/hole/%d", id, h+1), Tab: id, Copy: "A1",
				At: geom.Pt(geom.Length(x)*mm+geom.Length(h-2)*800*geom.UM, y), Diameter: 500 * geom.UM})
		}
	}
	for k, x := range lower {
		tab("lower", k, x, y0-250*geom.UM)
	}
	for k, x := range upper {
		tab("upper", k, x, y0+side*mm+250*geom.UM)
	}
	return e
}
