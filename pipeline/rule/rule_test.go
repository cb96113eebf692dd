package rule

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// weir is a 40 x 30 mm board with one pad on top, its edge pad mm from the lower board edge.
func weir(pad geom.Length) *panel.Board {
	at := geom.Pt(20*geom.MM, pad+500*geom.UM)
	image := &artwork.Image{Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: geom.MM}}, Sets: []artwork.Attributes{nil},
		Objects: []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(at, at)}}}
	return &panel.Board{Name: "weir", CopperCount: 2, Thickness: 1600 * geom.UM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(40*geom.MM, 30*geom.MM)})},
		Layers:  []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: image}}}
}

// row places n copies side by side, gap apart.
func row(b *panel.Board, n int, gap geom.Length) *panel.Builder {
	e := panel.Panel{}.Edit().AddBoard(b)
	for i := range n {
		at := geom.Pt(geom.Length(i)*(40*geom.MM+gap), 0)
		e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c1", 'A'+i), Board: b, Place: panel.Settle(b, 0, at)})
	}
	return e.FitOutline()
}

func judge(t *testing.T, name string, e *panel.Builder, limit float64) []pipeline.Finding {
	t.Helper()
	p, err := e.Build()
	require.NoError(t, err)
	for _, r := range All() {
		if r.Name == name {
			f, err := r.Judge(context.Background(), pipeline.Case{Panel: p, Limit: limit, Workers: 1})
			require.NoError(t, err)
			return f
		}
	}
	t.Fatalf("no rule %s", name)
	return nil
}

func TestEveryRuleStatesItsSource(t *testing.T) {
	seen := map[string]bool{}
	plain := map[string]bool{ // counts and ratios: numbers without a unit
		"panel-aspect": true, "panels-per-production-panel": true, "fiducial-clear-size": true, "fiducial-count": true, "tooling-hole-count": true,
		"tab-strength": true, "tab-left-out": true, "transport-shock": true,
	}
	for _, r := range All() {
		assert.False(t, seen[r.Name], r.Name)
		seen[r.Name] = true
		assert.NotEmpty(t, r.Summary, r.Name)
		assert.NotEmpty(t, r.Severity, r.Name)
		assert.NotEmpty(t, r.Family, r.Name)
		assert.NotEmpty(t, r.Help, r.Name)
		if r.Bound != pipeline.NoBound {
			assert.NotEmpty(t, r.Source, r.Name)
			assert.Equal(t, plain[r.Name], r.Unit == "", r.Name)
			if r.Default == nil {
				assert.Contains(t, r.Source, "no published source", r.Name)
			}
		}
	}
}

func TestCopiesOverlap(t *testing.T) {
	assert.Empty(t, judge(t, "copies-overlap", row(weir(1), 3, 0), 0), "abutted copies touch, which is no overlap")
	f := judge(t, "copies-overlap", row(weir(1), 2, -10*geom.UM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies)
	f = judge(t, "copies-overlap", row(weir(1), 2, -40*geom.MM), 0)
	assert.Len(t, f, 1, "copies in the same place overlap too")
	// A board in another's cut-out lies free.
	ring := weir(1)
	ring.Name = "ring"
	ring.Outline = geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(60*geom.MM, 50*geom.MM)}),
		CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(5*geom.MM, 5*geom.MM), Max: geom.Pt(55*geom.MM, 45*geom.MM)}).Reverse()}}
	in := weir(1)
	e := panel.Panel{}.Edit().AddBoard(ring).AddBoard(in).AddCopy(panel.Copy{ID: "outer", Board: ring}).
		AddCopy(panel.Copy{ID: "inner", Board: in, Place: geom.Transform{Shift: geom.Pt(8*geom.MM, 8*geom.MM)}}).FitOutline()
	assert.Empty(t, judge(t, "copies-overlap", e, 0))
	e = panel.Panel{}.Edit().AddBoard(ring).AddBoard(in).AddCopy(panel.Copy{ID: "outer", Board: ring}).
		AddCopy(panel.Copy{ID: "inner", Board: in, Place: geom.Transform{Shift: geom.Pt(16*geom.MM, 8*geom.MM)}}).FitOutline()
	assert.Len(t, judge(t, "copies-overlap", e, 0), 1)
}

func TestStackupMismatch(t *testing.T) {
	a, b := weir(1), weir(1)
	b.Name, b.CopperCount, b.Thickness = "sluice", 4, geom.MM
	e := panel.Panel{}.Edit().AddBoard(a).AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: a}).
		AddCopy(panel.Copy{ID: "B1", Board: b, Place: geom.Transform{Shift: geom.Pt(50*geom.MM, 0)}}).FitOutline()
	f := judge(t, "stackup-mismatch", e, 0)
	require.Len(t, f, 2)
	assert.Equal(t, "sluice has a copper layer count of 4, but weir has 2: boards on one panel are made of one laminate", f[0].Message)
	assert.Equal(t, "sluice has a thickness of 1 mm, but weir has 1.6 mm: boards on one panel are made of one laminate", f[1].Message)
	assert.Empty(t, judge(t, "stackup-mismatch", row(weir(1), 2, 0), 0))
}

func TestPanelSize(t *testing.T) {
	assert.Empty(t, judge(t, "panel-size", row(weir(1), 2, 0), 80))
	f := judge(t, "panel-size", row(weir(1), 2, 0), 79.9)
	require.Len(t, f, 1)
	assert.Equal(t, "the panel is 80 x 30 mm; its longer side is 80 mm, more than 79.9 mm", f[0].Message)
	assert.Len(t, judge(t, "panel-short-side", row(weir(1), 2, 0), 31), 1)
	assert.Empty(t, judge(t, "panel-short-side", row(weir(1), 2, 0), 30))
}

func TestRailWidth(t *testing.T) {
	rails := func(w geom.Length) *panel.Builder {
		return row(weir(1), 2, 0).LayRails([]panel.RailSide{panel.Upper}, w, 0, 0, false)
	}
	assert.Empty(t, judge(t, "rail-width", rails(5*geom.MM), 5))
	f := judge(t, "rail-width", rails(4999*geom.UM), 5)
	require.Len(t, f, 1)
	assert.Equal(t, "rail/upper is 4.999 mm wide, less than 5 mm", f[0].Message)
}

// along gives the slot that a cutter of the given width leaves along a line parallel to an axis.
func along(id string, e geom.Edge, width geom.Length) panel.Slot {
	return panel.Slot{ID: id, Outline: geom.Outline{Outer: geom.RoundedRectangle(e.Box().Grow(width/2), width/2)}}
}

// A slot along the lower edge of every copy: its upper flank is the board's edge.
func TestCopperToEdgeMeasuresToTheFlankAndNamesAllCopies(t *testing.T) {
	slotted := func(pad geom.Length) *panel.Builder {
		return row(weir(pad), 3, 2*geom.MM).AddSlot(along("slot/y1/1", geom.Line(geom.Pt(0, -geom.MM), geom.Pt(130*geom.MM, -geom.MM)), 2*geom.MM))
	}
	assert.Empty(t, judge(t, "copper-to-edge", slotted(250*geom.UM), 0.25))
	f := judge(t, "copper-to-edge", slotted(200*geom.UM), 0.25)
	var slot []pipeline.Finding
	for _, x := range f {
		if x.Feature == "slot/y1/1" {
			slot = append(slot, x)
		}
	}
	require.Len(t, slot, 1, "copies that are the same are judged once")
	assert.Equal(t, []string{"A1", "B1", "C1"}, slot[0].Copies)
	assert.InDelta(t, 0.2, *slot[0].Measured, 1e-6)
	assert.Equal(t, "copper on layer copper-1-top of board weir comes within 0.2 mm of slot/y1/1; at least 0.25 mm is asked for", slot[0].Message)
	assert.InDelta(t, 20e6, float64(slot[0].At.X), 1e3)
}

func TestCopperToPerforationAndScore(t *testing.T) {
	hole := row(weir(100*geom.UM), 1, 0).AddPerforation(panel.Perforation{ID: "A1/tab/lower/1/hole/1", Copy: "A1",
		At: geom.Pt(20*geom.MM, -250*geom.UM), Diameter: 500 * geom.UM})
	f := judge(t, "copper-to-perforation", hole, 0.25)
	require.Len(t, f, 1)
	assert.InDelta(t, 0.1, *f[0].Measured, 1e-6)
	score := row(weir(400*geom.UM), 3, 0).AddScore(panel.Score{ID: "score/y1", From: geom.Pt(0, 0), To: geom.Pt(120*geom.MM, 0)})
	f = judge(t, "copper-to-score", score, 0.5)
	require.Len(t, f, 1)
	assert.Equal(t, []string{"A1", "B1", "C1"}, f[0].Copies)
	assert.InDelta(t, 0.4, *f[0].Measured, 1e-6)
}

// The judgement as drawn and the one at worst tolerance are two rules.
func TestPerforationInBoard(t *testing.T) {
	at := func(y geom.Length) *panel.Builder {
		return row(weir(geom.MM), 1, 0).AddPerforation(panel.Perforation{ID: "A1/tab/lower/1/hole/1", Copy: "A1",
			At: geom.Pt(20*geom.MM, y), Diameter: 500 * geom.UM})
	}
	tangent := -250 * geom.UM
	assert.Empty(t, judge(t, "perforation-in-board", at(tangent), 0))
	f := judge(t, "perforation-in-board", at(tangent+100*geom.UM), 0)
	require.Len(t, f, 1)
	assert.InDelta(t, 0.1, *f[0].Measured, 1e-6)
	f = judge(t, "perforation-in-board", at(100*geom.UM), 0)
	assert.InDelta(t, 0.35, *f[0].Measured, 1e-6, "the middle inside the board")
	// 0.05 of position and half of 0.05 of diameter (pcbbaltic.lt, tolerances): 0.075 mm at worst.
	assert.Empty(t, judge(t, "perforation-in-board-at-worst", at(tangent), 0.075))
	f = judge(t, "perforation-in-board-at-worst", at(tangent), 0.07)
	require.Len(t, f, 1)
	assert.InDelta(t, 0.075, *f[0].Measured, 1e-6)
}

func TestHoleSpacing(t *testing.T) {
	b := weir(geom.MM)
	b.Drills = []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{
		Tools: []artwork.Tool{{Number: 1, Diameter: 400 * geom.UM}}, Holes: []artwork.Hole{{At: geom.Pt(10*geom.MM, 350*geom.UM)}}}}}
	e := func(pitch geom.Length) *panel.Builder {
		x := row(b, 1, 0)
		for i := range 3 {
			x.AddPerforation(panel.Perforation{ID: fmt.Sprintf("h/%d", i), Copy: "A1", Diameter: 500 * geom.UM, At: geom.Pt(20*geom.MM+geom.Length(i)*pitch, -250*geom.UM)})
		}
		return x
	}
	assert.Empty(t, judge(t, "hole-spacing", e(800*geom.UM), 0.3))
	f := judge(t, "hole-spacing", e(700*geom.UM), 0.3)
	assert.Len(t, f, 2, "two gaps of 0.2 mm")
	near := e(800 * geom.UM).AddPerforation(panel.Perforation{ID: "h/9", Copy: "A1", Diameter: 500 * geom.UM, At: geom.Pt(10*geom.MM, -250*geom.UM)})
	f = judge(t, "hole-spacing", near, 0.25)
	require.Len(t, f, 1)
	assert.Equal(t, "0.15 mm of material between h/9 and A1/hole; at least 0.25 mm are asked for", f[0].Message)
}

func TestFiducialClearArea(t *testing.T) {
	mark := func(x, y geom.Length) *panel.Builder {
		return row(weir(100*geom.UM), 1, 0).LayRails([]panel.RailSide{panel.Lower}, 10*geom.MM, 2*geom.MM, 0, false).AddMark(panel.Mark{
			ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(x, y), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top}})
	}
	assert.Empty(t, judge(t, "fiducial-clear-area", mark(20*geom.MM, 5*geom.MM), 0))
	f := judge(t, "fiducial-clear-area", mark(20*geom.MM, geom.MM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, "the panel's edge lies 1 mm from the middle of fiducial/1, inside its clear area of 3 mm", f[0].Message)
	f = judge(t, "fiducial-clear-area", mark(20*geom.MM, 11*geom.MM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, "copper on layer copper-1-top of A1 lies 1.1 mm from the middle of fiducial/1, inside its clear area of 3 mm", f[0].Message)
	f = judge(t, "fiducial-clear-area", mark(20*geom.MM, 5*geom.MM).AddMark(panel.Mark{ID: "tooling_hole/1", Kind: panel.ToolingHole, At: geom.Pt(23*geom.MM, 5*geom.MM), Diameter: 4 * geom.MM}), 0)
	require.Len(t, f, 1)
}

// A copy that nothing parts from its neighbour or a rail is found, and where; slots with tabs, score
// lines and the panel's own edge free it.
func TestBoardNotFree(t *testing.T) {
	f := judge(t, "board-not-free", row(weir(geom.MM), 3, 0), 0)
	require.Len(t, f, 2, "the outer copies have one side unfreed, the inner one two")
	assert.Equal(t, []string{"A1", "C1"}, f[0].Copies)
	assert.InDelta(t, 30, *f[0].Measured, 1e-9)
	assert.Equal(t, []string{"B1"}, f[1].Copies)
	assert.InDelta(t, 60, *f[1].Measured, 1e-9)
	line := func(i int) panel.Score {
		x := geom.Length(i) * 40 * geom.MM
		return panel.Score{ID: fmt.Sprintf("score/x%d", i), From: geom.Pt(x, 0), To: geom.Pt(x, 30*geom.MM)}
	}
	assert.Empty(t, judge(t, "board-not-free", row(weir(geom.MM), 3, 0).AddScore(line(1)).AddScore(line(2)), 0))
	f = judge(t, "board-not-free", row(weir(geom.MM), 3, 0).AddScore(line(1)), 0)
	require.Len(t, f, 1)
	assert.Equal(t, []string{"B1", "C1"}, f[0].Copies)
	slot := func(id string, from, to geom.Length) panel.Slot {
		return along(id, geom.Line(geom.Pt(41*geom.MM, from), geom.Pt(41*geom.MM, to)), 2*geom.MM)
	}
	gap := func() *panel.Builder {
		return row(weir(geom.MM), 2, 2*geom.MM).AddSlot(slot("slot/x1/1", 0, 12*geom.MM)).AddSlot(slot("slot/x1/2", 18*geom.MM, 30*geom.MM))
	}
	f = judge(t, "board-not-free", gap(), 0)
	require.Len(t, f, 1)
	assert.InDelta(t, 6, *f[0].Measured, 0.5, "what the slots leave, without a tab to break")
	tab := panel.Tab{ID: "A1/tab/right/1", Copies: []string{"A1", "B1"}, Width: 4 * geom.MM, Feet: [2]geom.Point{{X: 40 * geom.MM, Y: 15 * geom.MM}, {X: 42 * geom.MM, Y: 15 * geom.MM}}}
	assert.Empty(t, judge(t, "board-not-free", gap().AddTab(tab), 0))

	// What no cutter reaches stays on its copy and does not hold it; the copy opposite is told of all the same.
	left := panel.Unreached{ID: "A1/unreached/1", Copy: "A1", At: geom.Pt(40*geom.MM, 15*geom.MM), Radius: geom.MM,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(40*geom.MM, 11*geom.MM), Max: geom.Pt(42*geom.MM, 19*geom.MM)})}}
	f = judge(t, "board-not-free", gap().AddUnreached(left), 0)
	require.Len(t, f, 1)
	assert.Equal(t, []string{"B1"}, f[0].Copies)
}

// A pad that reaches onto the neighbour is told of and cut; a macro there cannot be cut and is an
// error; a hole too.
func TestReachIntoNeighbour(t *testing.T) {
	b := weir(geom.MM)
	pad := func(aperture int32, x geom.Length) artwork.Object {
		return artwork.Object{Kind: artwork.Flash, Aperture: aperture, Region: -1, Edge: geom.Line(geom.Pt(x, 10*geom.MM), geom.Pt(x, 10*geom.MM))}
	}
	m := b.Layers[0].Image
	m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Macro, Primitives: []artwork.Primitive{
		{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{4 * geom.MM, geom.MM}, Points: []geom.Point{{}}}}})
	m.Objects = append(m.Objects, pad(0, 40*geom.MM))
	assert.Empty(t, judge(t, "cut-at-neighbour", row(b, 3, geom.MM), 0))
	f := judge(t, "cut-at-neighbour", row(b, 3, 400*geom.UM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies)
	assert.Equal(t, "layer copper-1-top of board weir has objects that reach a neighbouring copy: 1 is cut half-way", f[0].Message)
	assert.Empty(t, judge(t, "reach-into-neighbour", row(b, 3, 400*geom.UM), 0), "it is cut")
	m.Objects = append(m.Objects, pad(1, 40*geom.MM))
	f = judge(t, "reach-into-neighbour", row(b, 3, 400*geom.UM), 0)
	require.Len(t, f, 2)
	assert.Equal(t, "artwork on layer copper-1-top of A1 lies on B1", f[0].Message)
	assert.Empty(t, judge(t, "reach-into-neighbour", row(b, 3, 3*geom.MM), 0))
	m.Objects = m.Objects[:1]
	b.Drills = []panel.DrillFile{{Plating: artwork.NonPlated, From: 1, To: 2, Drilling: &artwork.Drilling{
		Tools: []artwork.Tool{{Number: 1, Diameter: 3 * geom.MM}}, Holes: []artwork.Hole{{At: geom.Pt(40*geom.MM, 10*geom.MM)}}}}}
	f = judge(t, "reach-into-neighbour", row(b, 2, geom.MM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, "a hole of A1 lies on B1", f[0].Message)
	assert.Empty(t, judge(t, "reach-into-neighbour", row(b, 2, 2*geom.MM), 0))
}

func TestSlotInBoard(t *testing.T) {
	slot := func(y, width geom.Length) *panel.Builder {
		return row(weir(geom.MM), 2, 2*geom.MM).AddSlot(along("slot/y1/1", geom.Line(geom.Pt(0, y), geom.Pt(82*geom.MM, y)), width)).SetCutters([]geom.Length{width})
	}
	assert.Empty(t, judge(t, "slot-in-board", slot(-geom.MM, 2*geom.MM), 0), "its flank is the boards' edge")
	f := judge(t, "slot-in-board", slot(-800*geom.UM, 2*geom.MM), 0)
	require.Len(t, f, 2)
	assert.InDelta(t, 0.2, *f[0].Measured, 1e-6)
	assert.Equal(t, "slot/y1/1 reaches 0.2 mm into A1; at most 0 mm are allowed", f[0].Message)
	f = judge(t, "slot-in-board", slot(15*geom.MM, 2*geom.MM), 0)
	require.Len(t, f, 2, "through the middle of both")
	assert.Len(t, judge(t, "cutter-diameter", slot(-geom.MM, 700*geom.UM), 0.8), 1)
	assert.Empty(t, judge(t, "cutter-diameter", slot(-geom.MM, 800*geom.UM), 0.8))
}

func TestHoleOffPanel(t *testing.T) {
	at := func(x geom.Length) *panel.Builder {
		b := weir(geom.MM)
		b.Drills = []panel.DrillFile{{Plating: artwork.NonPlated, From: 1, To: 2, Drilling: &artwork.Drilling{
			Tools: []artwork.Tool{{Number: 1, Diameter: geom.MM}}, Holes: []artwork.Hole{{At: geom.Pt(x, 10*geom.MM)}}}}}
		return row(b, 1, 0)
	}
	assert.Empty(t, judge(t, "hole-off-panel", at(39*geom.MM), 0))
	assert.Len(t, judge(t, "hole-off-panel", at(39_800*geom.UM), 0), 1)
	f := judge(t, "hole-off-panel", at(500*geom.MM), 0)
	require.Len(t, f, 1)
	assert.Equal(t, "holes of A1 that do not lie wholly on the panel: 1, the first at (500, 10) mm", f[0].Message)
}

// Two L-shaped boards in each other's notch: their boxes interlock, and what one draws in its own notch
// lies on the other.
func TestInterlockingBoards(t *testing.T) {
	mm := func(x, y geom.Length) geom.Point { return geom.Pt(x*geom.MM, y*geom.MM) }
	angle := func(pad geom.Point) *panel.Board {
		b := weir(geom.MM)
		b.Name = "angle"
		var path geom.Path
		corners := []geom.Point{mm(0, 0), mm(40, 0), mm(40, 10), mm(10, 10), mm(10, 30), mm(0, 30)}
		for i, p := range corners {
			path = append(path, geom.Line(p, corners[(i+1)%len(corners)]))
		}
		b.Outline.Outer = path
		b.Layers[0].Image.Objects[0].Edge = geom.Line(pad, pad)
		return b
	}
	nest := func(b *panel.Board) *panel.Builder {
		return panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "one", Board: b}).
			AddCopy(panel.Copy{ID: "two", Board: b, Place: panel.Settle(b, geom.Half, mm(12, 12))}).FitOutline()
	}
	assert.Empty(t, judge(t, "reach-into-neighbour", nest(angle(mm(5, 5))), 0))
	assert.Empty(t, judge(t, "copies-overlap", nest(angle(mm(5, 5))), 0))
	f := judge(t, "reach-into-neighbour", nest(angle(mm(30, 36))), 0)
	require.NotEmpty(t, f)
	f = judge(t, "reach-into-neighbour", nest(angle(mm(25, 36))), 0)
	require.NotEmpty(t, f)
	assert.Equal(t, "artwork on layer copper-1-top of one lies on two", f[0].Message)
}
