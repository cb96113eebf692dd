package breakofftabs

import (
	"context"
	"fmt"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// grid places columns x rows copies of an outline with a gap, and rails above and below.
func grid(t *testing.T, outer geom.Path, columns, rows int, gap geom.Length) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: outer}}
	size := outer.Box()
	b := panel.Panel{}.Edit().AddBoard(board)
	for r := range rows {
		for c := range columns {
			at := geom.Pt(geom.Length(c)*(size.Width()+gap), geom.Length(r)*(size.Height()+gap))
			b.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+c, r+1), Board: board, Place: panel.Settle(board, 0, at)})
		}
	}
	p, err := b.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, gap, 0, false).Build()
	require.NoError(t, err)
	return p
}

func run(t *testing.T, s *BreakoffTabs, p panel.Panel) (panel.Panel, error) {
	t.Helper()
	require.NoError(t, s.Check())
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop()}, func(pipeline.Finding) {}, nil)
	r, err := s.Run(context.Background(), env, p)
	return r.Panel, err
}

func stage() *BreakoffTabs { return Kind().New().(*BreakoffTabs) }

func box(w, h geom.Length) geom.Box { return geom.Box{Max: geom.Pt(w, h)} }

// Common practice, no published source: 0.5 mm holes with 0.3 mm between hole edges make a five-hole
// row 3.7 mm long.
func TestRowLength(t *testing.T) {
	assert.Equal(t, 3700*geom.UM, stage().rowLength())
	p, err := run(t, stage(), grid(t, geom.Rectangle(box(40*geom.MM, 30*geom.MM)), 2, 2, 2*geom.MM))
	require.NoError(t, err)
	rows := map[string][]panel.Perforation{}
	for _, h := range p.Perforations() {
		rows[h.Tab+" "+h.Copy] = append(rows[h.Tab+" "+h.Copy], h)
	}
	require.NotEmpty(t, rows)
	for key, row := range rows {
		require.Len(t, row, 5, key)
		first, last := row[0], row[4]
		assert.InDelta(t, 3.7e6, first.At.Distance(last.At)+float64(first.Diameter), 0.5, key)
	}
}

// Common practice, no published source: hole edges touch the board edge from outside.
func TestPerforationsTouchTheBoardEdgeFromOutside(t *testing.T) {
	outlines := map[string]geom.Path{
		"rectangle": geom.Rectangle(box(40*geom.MM, 30*geom.MM)),
		"rounded":   geom.RoundedRectangle(box(62*geom.MM, 41*geom.MM), 3*geom.MM),
		"odd sizes": geom.Rectangle(box(40_000_001, 30_000_003)),
	}
	for name, outer := range outlines {
		t.Run(name, func(t *testing.T) {
			p, err := run(t, stage(), grid(t, outer, 2, 2, 2*geom.MM))
			require.NoError(t, err)
			copies := map[string]panel.Copy{}
			for _, c := range p.Copies() {
				copies[c.ID] = c
			}
			rows := map[string]int{}
			for _, h := range p.Perforations() {
				o := copies[h.Copy].Outline()
				assert.Equal(t, geom.Outside, o.Locate(h.At), h.ID)
				assert.InDelta(t, float64(h.Diameter)/2, o.Distance(h.At), 1000, h.ID)
				rows[h.Copy]++
			}
			// One row on each board's own edge: a tab between two boards has two rows.
			for id, n := range rows {
				tabs := 0
				for _, tab := range p.Tabs() {
					for _, c := range tab.Copies {
						if c == id {
							tabs++
						}
					}
				}
				assert.Equal(t, 5*tabs, n, id)
			}
		})
	}
}

// The break runs on from the row into the slot: what is left between the last hole and the slot's
// round end is as wide as between two holes.
func TestWaist(t *testing.T) {
	for _, slot := range []geom.Length{1600 * geom.UM, 2 * geom.MM, 2400 * geom.UM} {
		s := stage()
		r := float64(slot) / 2
		last := float64(s.rowLength()-s.HoleDiameter) / 2
		rise := r - float64(s.HoleDiameter)/2
		end := float64(s.waist(slot))/2 + r
		gap := geom.Pt(geom.Round(end-last), geom.Round(rise)).Norm() - r - float64(s.HoleDiameter)/2
		assert.InDelta(t, float64(s.BetweenHoles), gap, 1000, "slot %v", slot)
	}
}

func TestEvenPlaces(t *testing.T) {
	s := stage()
	s.LongestFreeSpan = 30 * geom.MM
	p, err := run(t, s, grid(t, geom.Rectangle(box(62*geom.MM, 41*geom.MM)), 1, 1, 2*geom.MM))
	require.NoError(t, err)
	var x []geom.Length
	for _, tab := range p.Tabs() {
		if tab.Rail == "rail/upper" {
			x = append(x, tab.Feet[0].X)
		}
	}
	// Three tabs, each in the middle of a third of 62 mm.
	require.Len(t, x, 3)
	assert.InDelta(t, 10.333333e6, float64(x[0]), 1)
	assert.InDelta(t, 31e6, float64(x[1]), 1)
	assert.InDelta(t, 51.666667e6, float64(x[2]), 1)
}

func TestPinned(t *testing.T) {
	p := grid(t, geom.Rectangle(box(40*geom.MM, 30*geom.MM)), 2, 2, 2*geom.MM)
	s := stage()
	s.Pinned = []Pin{{Copy: "A2", Edge: "upper", Position: 12 * geom.MM}, {Board: "weir", Edge: "lower", Position: 20 * geom.MM}}
	q, err := run(t, s, p)
	require.NoError(t, err)
	pins := 0
	for _, tab := range q.Tabs() {
		if !tab.Pinned {
			continue
		}
		pins++
		if tab.Rail == "rail/upper" {
			assert.Equal(t, 12*geom.MM, tab.Feet[0].X, tab.ID)
		} else {
			assert.Contains(t, []geom.Length{20 * geom.MM, 62 * geom.MM}, tab.Feet[0].X, tab.ID)
		}
	}
	assert.Equal(t, 1+4, pins)
}

// A board turned by 180° has its own lower edge above: a pin by board turns with it.
func TestPinnedByBoardFollowsTheTurn(t *testing.T) {
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(box(40*geom.MM, 30*geom.MM))}}
	p, err := panel.Panel{}.Edit().AddBoard(board).
		AddCopy(panel.Copy{ID: "A1", Board: board, Place: panel.Settle(board, geom.Half, geom.Point{})}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	s := stage()
	s.Pinned = []Pin{{Board: "weir", Edge: "lower", Position: 12 * geom.MM}}
	q, err := run(t, s, p)
	require.NoError(t, err)
	for _, tab := range q.Tabs() {
		if tab.Pinned {
			assert.Equal(t, "rail/upper", tab.Rail)
			assert.Equal(t, 28*geom.MM, tab.Feet[0].X)
			return
		}
	}
	t.Fatal("no pinned tab")
}

func TestRefusals(t *testing.T) {
	disc := geom.Path{geom.Arc(geom.Pt(15*geom.MM, 0), geom.Pt(15*geom.MM, 0), geom.Point{}, geom.CounterClockwise)}
	angle := geom.Path{
		geom.Line(geom.Pt(0, 0), geom.Pt(60*geom.MM, 0)), geom.Line(geom.Pt(60*geom.MM, 0), geom.Pt(60*geom.MM, 20*geom.MM)),
		geom.Line(geom.Pt(60*geom.MM, 20*geom.MM), geom.Pt(20*geom.MM, 20*geom.MM)), geom.Line(geom.Pt(20*geom.MM, 20*geom.MM), geom.Pt(20*geom.MM, 45*geom.MM)),
		geom.Line(geom.Pt(20*geom.MM, 45*geom.MM), geom.Pt(0, 45*geom.MM)), geom.Line(geom.Pt(0, 45*geom.MM), geom.Pt(0, 0)),
	}
	width := 3 * geom.MM
	for name, c := range map[string]struct {
		outer geom.Path
		set   func(*BreakoffTabs)
		want  string
	}{
		"round": {disc, nil, "A1 (board weir) cannot get tabs yet: its lower side has no straight edge"},
		"L":     {angle, nil, "A1 (board weir) cannot get tabs yet: it has an inward corner at (20, 30) mm"},
		"large radius": {geom.RoundedRectangle(box(40*geom.MM, 30*geom.MM), 6*geom.MM), nil,
			"A1 (board weir) cannot get tabs yet: its lower_right corner is cut back by 2.485281 mm, more than the slot's width 2 mm: a loose piece of waste would be left there"},
		"slot and gap": {geom.Rectangle(box(40*geom.MM, 30*geom.MM)), func(s *BreakoffTabs) { s.SlotWidth = &width },
			"the gap between A1 and rail/lower is 2 mm, but slot_width is 3 mm: make the gap as wide as the slot"},
		"too short": {geom.Rectangle(box(15*geom.MM, 12*geom.MM)), nil,
			"A1 would not be held on two opposite sides: add rails or neighbours, shorten from_corner (5 mm), or pin tabs; what touches (gap 0) gets no tabs"},
	} {
		t.Run(name, func(t *testing.T) {
			s := stage()
			if c.set != nil {
				c.set(s)
			}
			_, err := run(t, s, grid(t, c.outer, 2, 2, 2*geom.MM))
			assert.EqualError(t, err, c.want)
		})
	}
}

// two places boards of two sizes one above the other, the lower ones in two columns.
func two(t *testing.T, lowerW, upperW geom.Length) panel.Panel {
	t.Helper()
	small := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(box(lowerW, 20*geom.MM))}}
	large := &panel.Board{Name: "sluice", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(box(upperW, 30*geom.MM))}}
	p, err := panel.Panel{}.Edit().AddBoard(small).AddBoard(large).
		AddCopy(panel.Copy{ID: "A1", Board: small, Place: panel.Settle(small, 0, geom.Point{})}).
		AddCopy(panel.Copy{ID: "B1", Board: small, Place: panel.Settle(small, 0, geom.Pt(lowerW+2*geom.MM, 0))}).
		AddCopy(panel.Copy{ID: "top", Board: large, Place: panel.Settle(large, 0, geom.Pt(0, 22*geom.MM))}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	return p
}

func TestTabsThatWouldTouchAreRefused(t *testing.T) {
	s := stage()
	s.LongestFreeSpan = 20 * geom.MM
	_, err := run(t, s, grid(t, geom.Rectangle(box(21*geom.MM, 40*geom.MM)), 2, 2, 2*geom.MM))
	assert.ErrorContains(t, err, "would lie")
	assert.ErrorContains(t, err, "their feet would touch")
	s = stage()
	s.Pinned = []Pin{{Copy: "A1", Edge: "upper", Position: 15 * geom.MM}, {Copy: "A1", Edge: "upper", Position: 16 * geom.MM}}
	_, err = run(t, s, grid(t, geom.Rectangle(box(40*geom.MM, 30*geom.MM)), 2, 2, 2*geom.MM))
	assert.ErrorContains(t, err, "would lie 1 mm apart")
}
