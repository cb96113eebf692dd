package breakofftabs_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/breakofftabs"
)

func box(w, h float64) geom.Box { return geom.Box{Max: geom.Pt(geom.FromMM(w), geom.FromMM(h))} }

func plain(w, h float64) geom.Outline { return geom.Outline{Outer: geom.Rectangle(box(w, h))} }

func round(r geom.Length) geom.Outline {
	from := geom.Pt(r, 0)
	return geom.Outline{Outer: geom.Path{geom.Arc(from, from, geom.Point{}, geom.CounterClockwise)}}
}

func built1(t *testing.T, s *breakofftabs.BreakoffTabs, p panel.Panel) built {
	t.Helper()
	b, err := build(s, p)
	require.NoError(t, err)
	return b
}

// Common practice, no published source: 0.5 mm holes with 0.3 mm between their edges, 3 to 6 a tab, tangent to
// the board's edge from outside; slots of 1.5 to 2.0 mm; all of it comes apart.
func TestRowsFollowTheEdgeFromOutside(t *testing.T) {
	for name, o := range map[string]geom.Outline{
		"rectangle": plain(60, 40), "rounded": {Outer: geom.RoundedRectangle(box(62, 41), 3*geom.MM)}, "round": round(20 * geom.MM), "waves": wavy(300, 20*geom.MM),
	} {
		for holes := 3; holes <= 6; holes++ {
			for _, gap := range []geom.Length{1500 * geom.UM, 2 * geom.MM} {
				t.Run(fmt.Sprint(name, holes, gap), func(t *testing.T) {
					s := stage()
					s.HolesPerTab = holes
					b := built1(t, s, framed(t, o, 2, 1, gap))
					assert.Empty(t, b.findings)
					outlines := map[string]geom.Outline{}
					for _, c := range b.panel.Copies() {
						outlines[c.ID] = c.Outline()
					}
					rows := map[string][]panel.Perforation{}
					for _, h := range b.panel.Perforations() {
						rows[fmt.Sprint(h.Tab, h.Row)] = append(rows[fmt.Sprint(h.Tab, h.Row)], h)
						edge := outlines[h.Copy]
						assert.Equal(t, geom.Outside, edge.Locate(h.At), h.ID)
						assert.InDelta(t, 250e3, edge.Distance(h.At), 1000, h.ID)
					}
					for _, tab := range b.panel.Tabs() {
						assert.Len(t, tab.Rows, len(tab.Copies), "a row for each board")
						for n, r := range tab.Rows {
							row := rows[fmt.Sprint(tab.ID, n)]
							require.Len(t, row, holes)
							assert.InDelta(t, 300, r.Web.MM()*1000, 12, "on a curve the chord is a little shorter")
							assert.Equal(t, r.Web-176*geom.UM, r.WorstWeb, "two positions and a diameter off")
							assert.Equal(t, r.Shoulder-88*geom.UM, r.WorstShoulder)
							assert.Equal(t, 250*geom.UM, r.Stub)
							assert.Equal(t, 300*geom.UM, r.WorstStub)
							assert.Greater(t, r.Shoulder, 150*geom.UM, "on a curve slots end nearer")
							assert.Less(t, r.Shoulder, 400*geom.UM, "the break runs on into the slot")
						}
					}
				})
			}
		}
	}
}

// A gap too small for two rows with material between them gets one that both boards share, midway.
func TestSharedRow(t *testing.T) {
	s := stage()
	p := framed(t, plain(40, 30), 2, 1, geom.MM)
	b := built1(t, s, p)
	assert.Empty(t, b.findings)
	shared := 0
	for _, tab := range b.panel.Tabs() {
		if len(tab.Copies) == 2 {
			shared++
			require.Len(t, tab.Rows, 1)
			assert.Equal(t, tab.Copies, tab.Rows[0].Copies)
			assert.Equal(t, 500*geom.UM, tab.Rows[0].Stub, "half the gap stays on each")
		}
	}
	assert.Positive(t, shared)
}

func at(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

func TestPinnedAndForbidden(t *testing.T) {
	p := framed(t, plain(60, 40), 1, 1, 2*geom.MM)
	s := stage()
	s.Pinned = []breakofftabs.Pin{{Copy: "A1", Edge: "upper", Position: 12 * geom.MM}, {Board: "weir", Edge: "left", Position: 9 * geom.MM}}
	s.Forbidden = []breakofftabs.Forbidden{{Board: "weir", Edge: "lower", From: 0, To: 30 * geom.MM}}
	b := built1(t, s, p)
	var pinned []geom.Point
	for _, tab := range b.panel.Tabs() {
		if tab.Pinned {
			pinned = append(pinned, tab.Feet[0])
		}
		if tab.Feet[0].Y == 10*geom.MM {
			assert.Greater(t, tab.Feet[0].X, 40*geom.MM, "the left half of the lower edge is forbidden")
		}
	}
	assert.ElementsMatch(t, []geom.Point{at(22, 50), at(10, 19)}, pinned)

	s = stage()
	s.Pinned = []breakofftabs.Pin{{Copy: "A2", Edge: "upper", Position: 12 * geom.MM}}
	_, _, err := tabbed(s, p)
	assert.EqualError(t, err, `the pinned tab names copy "A2", which there is not; nearest: A1`)
	s.Pinned = []breakofftabs.Pin{{Copy: "A1", Edge: "upper", Position: 70 * geom.MM}}
	_, _, err = tabbed(s, p)
	assert.EqualError(t, err, "the tab pinned on edge upper at 70 mm lies beside A1, whose side there is only 60 mm long")
}

// What a board has at its edge keeps tabs away: copper, castellations, fragile and overhanging parts.
func TestWhatKeepsTabsAway(t *testing.T) {
	board := func() *panel.Board {
		return &panel.Board{Name: "weir", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: plain(60, 40)}
	}
	lower := func(t *testing.T, b *panel.Board, s *breakofftabs.BreakoffTabs) (feet []float64) {
		p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b, Place: panel.Settle(b, 0, geom.Point{})}).FitOutline().
			LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 8*geom.MM, 2*geom.MM, 0, false).Build()
		require.NoError(t, err)
		out, _, err := tabbed(s, p)
		require.NoError(t, err)
		for _, tab := range out.Tabs() {
			if tab.Feet[0].Y == 10*geom.MM {
				feet = append(feet, tab.Feet[0].X.MM()-10)
			}
		}
		return feet
	}
	near := func(feet []float64, x, within float64) bool {
		for _, f := range feet {
			if math.Abs(f-x) < within {
				return true
			}
		}
		return false
	}
	free := lower(t, board(), stage())
	require.NotEmpty(t, free)
	x := free[0] // here a tab stands while nothing speaks against it
	middle := geom.Pt(geom.FromMM(x), 0)

	copper := board()
	pad := geom.Pt(middle.X, 700*geom.UM) // 0.2 mm from the edge, 0.125 mm from the holes at worst
	copper.Layers = []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: &artwork.Image{
		Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}}, Sets: []artwork.Attributes{nil},
		Objects: []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(pad, pad)}}}}}
	assert.False(t, near(lower(t, copper, stage()), x, 1.5), "copper")

	plated := board()
	plated.Drills = []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{
		Tools: []artwork.Tool{{Number: 1, Diameter: geom.MM}}, Holes: []artwork.Hole{{At: middle}}}}}
	assert.False(t, near(lower(t, plated, stage()), x, 3), "castellated")

	parts := board()
	parts.Parts = []panel.Part{{Refdes: "C7", At: geom.Pt(middle.X, 2*geom.MM)}, {Refdes: "J1", At: geom.Pt(middle.X, -geom.MM)}}
	s := stage()
	assert.False(t, near(lower(t, parts, s), x, 4), "J1 lies outside of the board")
	parts.Parts = parts.Parts[:1]
	assert.True(t, near(lower(t, parts, s), x, 0.1), "nobody called C7 fragile")
	s.Fragile = []string{"C*"}
	p := framed(t, plain(60, 40), 1, 1, 2*geom.MM)
	_, found, err := tabbed(s, p)
	require.NoError(t, err)
	require.Len(t, found, 1, "a board without parts")
	assert.Equal(t, "part-not-known", found[0].Rule)
	assert.False(t, near(lower(t, parts, s), x, 4), "C7 is")

	// Bodies by the shop's table: what counts is how far they reach, not where their place is.
	bodies := board()
	c7 := func(b panel.Body) {
		bodies.Parts = []panel.Part{{Refdes: "C7", At: geom.Pt(middle.X, 12*geom.MM), Body: b}}
	}
	long := panel.Body{By: panel.ByTable, Length: 2 * geom.MM, Width: 20 * geom.MM, Fragile: true} // from y = 2 mm
	c7(long)
	assert.False(t, near(lower(t, bodies, stage()), x, 3), "2 mm from the edge")
	long.Fragile = false
	c7(long)
	assert.True(t, near(lower(t, bodies, stage()), x, 0.1), "not fragile, and on the board")
	long.Offset.Y = -3 * geom.MM
	c7(long)
	assert.False(t, near(lower(t, bodies, stage()), x, 3), "stands out by 1 mm")
	long.By = panel.ByPads
	c7(long)
	assert.True(t, near(lower(t, bodies, stage()), x, 0.1), "a guess bars nothing")
}

// Slots end round with the thinnest cutter's radius, and an inner corner keeps it.
func TestCuttersRadius(t *testing.T) {
	angle := geom.Outline{}
	points := []geom.Point{at(0, 0), at(60, 0), at(60, 25), at(30, 25), at(30, 45), at(0, 45)}
	for i, p := range points {
		angle.Outer = append(angle.Outer, geom.Line(p, points[(i+1)%len(points)]))
	}
	for _, c := range []struct {
		cutters []geom.Length
		radius  float64
	}{{nil, 1}, {[]geom.Length{2 * geom.MM, geom.MM}, 0.5}} {
		s := stage()
		s.Cutters = c.cutters
		b := built1(t, s, framed(t, angle, 1, 1, 2*geom.MM))
		assert.Empty(t, b.findings, "the fillet is expected")
		require.Len(t, b.panel.Unreached(), 1)
		x := b.panel.Unreached()[0]
		assert.InDelta(t, c.radius, x.Radius.MM(), 1e-9)
		assert.Equal(t, at(40, 35), x.At)
		// (1 − π/4) r²: geometry; the cutter is taken 2.5 µm thinner.
		r := c.radius - 0.0025
		assert.InDelta(t, (1-math.Pi/4)*r*r, x.Outline.Area()/1e12, 1e-4)
	}
}

// Waste stays where it is wide enough; a board's notch narrower than that is routed out.
func TestKeepWaste(t *testing.T) {
	points := []geom.Point{at(0, 0), at(60, 0), at(60, 40), at(34, 40), at(34, 25), at(26, 25), at(26, 40), at(0, 40)}
	notched := geom.Outline{}
	for i, p := range points {
		notched.Outer = append(notched.Outer, geom.Line(p, points[(i+1)%len(points)]))
	}
	middle := at(40, 45) // of the notch, 8 mm wide: 4 mm of waste between two slots
	for keep, cut := range map[geom.Length]bool{3 * geom.MM: false, 5 * geom.MM: true} {
		s := stage()
		s.KeepWaste = keep
		b := built1(t, s, framed(t, notched, 1, 1, 2*geom.MM))
		assert.Empty(t, b.findings)
		in := false
		for _, x := range b.panel.Slots() {
			in = in || x.Outline.Locate(middle) == geom.Inside
		}
		assert.Equal(t, cut, in, "keep_waste %v", keep)
	}
}

// Gaps that between leaves out are not cut: the boards stay together there, which the proof tells.
func TestBetween(t *testing.T) {
	s := stage()
	s.Between = []string{"rows", "rails"}
	b := built1(t, s, framed(t, plain(40, 30), 2, 1, 2*geom.MM))
	middle := geom.Pt(51*geom.MM, 25*geom.MM)
	for _, x := range b.panel.Slots() {
		assert.NotEqual(t, geom.Inside, x.Outline.Locate(middle))
	}
	require.NotEmpty(t, b.findings)
	assert.Equal(t, "board-not-free", b.findings[0].Rule)
	assert.Contains(t, b.findings[0].Message, "A1 does not come free along its breaks: it stays with B1")
}

// Where no tab can help, the finding names board, edge and the limit in the way.
func TestNotHeld(t *testing.T) {
	p, err := panel.Panel{}.Edit().Build()
	require.NoError(t, err)
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: plain(60, 90)}
	p, err = p.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board, Place: panel.Settle(board, 0, geom.Point{})}).FitOutline().
		LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, 2*geom.MM, 0, false).Build()
	require.NoError(t, err)
	_, found, err := tabbed(stage(), p)
	require.NoError(t, err)
	require.NotEmpty(t, found)
	for _, f := range found {
		assert.Equal(t, "board-not-held", f.Rule)
		assert.Regexp(t, `^A1 \(board weir\), (left|right) edge: .* more than longest_(free_span|overhang) \(\d+ mm\): no tab can stand nearer: on the stretch .* is the panel's own edge`, f.Message)
		assert.Greater(t, *f.Measured, *f.Limit)
	}
}

func TestCheck(t *testing.T) {
	narrow := geom.MM
	for want, set := range map[string]func(*breakofftabs.BreakoffTabs){
		"the row would lie wholly in the board": func(s *breakofftabs.BreakoffTabs) { s.Inset = 600 * geom.UM },
		"the length of a row of 5 holes":        func(s *breakofftabs.BreakoffTabs) { s.TabWidth = &narrow },
		"does not fit a slot 1 mm wide":         func(s *breakofftabs.BreakoffTabs) { s.SlotWidth, s.Cutters = &narrow, []geom.Length{2 * geom.MM} },
		"nothing would be routed":               func(s *breakofftabs.BreakoffTabs) { s.Between = nil },
		"needs either copy or board":            func(s *breakofftabs.BreakoffTabs) { s.Pinned = []breakofftabs.Pin{{Edge: "upper"}} },
		"not after its beginning": func(s *breakofftabs.BreakoffTabs) {
			s.Forbidden = []breakofftabs.Forbidden{{Copy: "A1", Edge: "upper"}}
		},
	} {
		s := stage()
		set(s)
		assert.ErrorContains(t, s.Check(), want)
	}
}
