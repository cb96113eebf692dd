package waste

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

const mm = geom.MM

func box(x0, y0, x1, y1 geom.Length) geom.Box {
	return geom.Box{Min: geom.Pt(x0*mm, y0*mm), Max: geom.Pt(x1*mm, y1*mm)}
}

func outline(b geom.Box) geom.Outline { return geom.Outline{Outer: geom.Rectangle(b)} }

// pair is two boards of 30 × 20 mm, 10 mm apart, with rails of 8 mm on all sides, 2 mm away: 90 × 40 mm.
func pair(t *testing.T, change func(*panel.Board, *panel.Builder)) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", CopperCount: 2, Outline: outline(box(0, 0, 30, 20))}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i, id := range []string{"A1", "B1"} {
		b.AddCopy(panel.Copy{ID: id, Board: board, Place: geom.Transform{Shift: geom.Pt(geom.Length(i)*40*mm, 0)}})
	}
	b.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 8*mm, 2*mm, 0, false)
	change(board, b)
	p, err := b.Build()
	require.NoError(t, err)
	return p
}

// Without slots, what is neither rail nor board is one piece round the boards: 74 × 24 mm less two boards, 576 mm².
// A slot that runs all round one board takes 2 mm away.
func TestPiecesByArea(t *testing.T) {
	p := pair(t, func(*panel.Board, *panel.Builder) {})
	pieces, err := Pieces(context.Background(), p, 1)
	require.NoError(t, err)
	areas := map[string]float64{}
	for _, x := range pieces {
		areas[x.Name] += x.Region.Area() / 1e12
	}
	assert.Equal(t, map[string]float64{"rail/upper": 90 * 8, "rail/lower": 90 * 8, "rail/left": 24 * 8, "rail/right": 24 * 8, "waste": 74*24 - 2*30*20}, areas)

	ring := outline(box(8, 8, 42, 32))
	ring.CutOuts = []geom.Path{geom.Rectangle(box(10, 10, 40, 30)).Reverse()}
	p = pair(t, func(_ *panel.Board, b *panel.Builder) { b.AddSlot(panel.Slot{ID: "slot/1", Outline: ring}) })
	pieces, err = Pieces(context.Background(), p, 1)
	require.NoError(t, err)
	rest := 0.0
	for _, x := range pieces {
		if x.Name == "waste" {
			rest += x.Region.Area() / 1e12
		}
	}
	assert.Equal(t, 74.0*24-34*24-30*20, rest, "the slot takes 34 × 24 mm with its board")
}

// Laminate that stays on boards is no waste.
func TestBlankLaminateIsNoWaste(t *testing.T) {
	p := pair(t, func(_ *panel.Board, b *panel.Builder) {
		b.AddBlank(panel.Blank{ID: "A1/blank/1", Copy: "A1", Outline: outline(box(40, 10, 45, 30))})
	})
	pieces, err := Pieces(context.Background(), p, 1)
	require.NoError(t, err)
	rest := 0.0
	for _, x := range pieces {
		if x.Name == "waste" {
			rest += x.Region.Area() / 1e12
		}
	}
	assert.Equal(t, 74.0*24-2*600-5*20, rest)
}

// What is listed, with its kind, its reach and its name, from a place 10 mm right of the panel's lower left corner.
func TestThingsAreListed(t *testing.T) {
	p := pair(t, func(board *panel.Board, b *panel.Builder) {
		board.Layers = []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: &artwork.Image{
			Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 2 * mm}},
			Objects: []artwork.Object{ // inside; across the lower edge; erased, outside
				{Kind: artwork.Flash, Region: -1, Edge: geom.Line(geom.Pt(5*mm, 5*mm), geom.Pt(5*mm, 5*mm))},
				{Kind: artwork.Flash, Region: -1, Edge: geom.Line(geom.Pt(15*mm, 0), geom.Pt(15*mm, 0))},
				{Kind: artwork.Flash, Clear: true, Region: -1, Edge: geom.Line(geom.Pt(15*mm, -3*mm), geom.Pt(15*mm, -3*mm))}}}}}
		board.Drills = []panel.DrillFile{{Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: 2 * mm}},
			Holes: []artwork.Hole{{At: geom.Pt(5*mm, 5*mm)}, {At: geom.Pt(29*mm+500*geom.UM, 10*mm)}},
			Routs: []artwork.Rout{{Path: geom.Path{geom.Line(geom.Pt(10*mm, 10*mm), geom.Pt(20*mm, 10*mm))}}, {Path: geom.Path{geom.Line(geom.Pt(10*mm, 10*mm), geom.Pt(10*mm, 22*mm))}}}}}}
		b.AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(4*mm, 4*mm), Diameter: mm, Mask: 2 * mm, Clear: 3 * mm})
		b.AddMark(panel.Mark{ID: "tooling_hole/1", Kind: panel.ToolingHole, At: geom.Pt(80*mm, 4*mm), Diameter: 3 * mm})
		b.AddScore(panel.Score{ID: "score/x1", From: geom.Pt(60*mm, 10*mm), To: geom.Pt(60*mm, 20*mm), RunOut: 5 * mm, Depth: mm, IncludedAngle: 90 * geom.Degree})
		label := panel.Print{ID: "legend/label", Use: panel.LabelArea, Layers: []panel.Function{{Kind: panel.Legend, Side: panel.Top}}, Area: box(20, 1, 25, 3)}
		b.AddPrint(label)
		thieving := panel.Print{ID: "thieving/rail/lower", Use: panel.Thieving, Layers: label.Layers, Area: box(0, 0, 90, 8), Dots: []panel.Dot{{At: geom.Pt(50*mm, 4*mm), Diameter: mm}}}
		b.AddPrint(thieving)
	})
	things, err := Things(context.Background(), p)
	require.NoError(t, err)
	from := geom.Pt(10*mm, 0)
	got := map[string]float64{}
	for _, x := range things {
		if d, ok := got[x.ID]; !ok || x.Reach(from)/1e6 < d {
			got[x.ID] = x.Reach(from) / 1e6
		}
	}
	for id, want := range map[string]float64{
		"the panel's edge": 0,
		"A1":               10,              // its lower edge is 10 mm above
		"A1/copper-1-top":  18.027756 - 1,   // half a disc about (25, 10), of 1 mm radius, below the edge
		"A1/hole":          22.360680 - 1,   // a slot 2 mm wide from (20, 20) up, over the upper edge
		"fiducial/1":       7.211103 - 1.5,  // at (4, 4), radius of its clear area
		"tooling_hole/1":   70.114193 - 1.5, // at (80, 4)
		"score/x1":         50.249378 - 1,   // from (60, 5), its run-out, with half a groove of 1 mm
		"legend/label":     10.049876,       // its corner (20, 1)
	} {
		assert.InDelta(t, want, got[id], 2e-6, id)
	}
	assert.NotContains(t, got, "thieving/rail/lower")
	holes := 0
	for _, x := range things {
		if x.ID == "A1/hole" {
			holes++
		}
	}
	assert.Equal(t, 2, holes, "the hole and the slot that leave the board")
}

// A pen may lie just at its distance, and not a nanometre nearer.
func TestFreeToTheNanometre(t *testing.T) {
	p := pair(t, func(*panel.Board, *panel.Builder) {})
	things, err := Things(context.Background(), p)
	require.NoError(t, err)
	off := KeepOff(things, func(x Thing) (geom.Length, bool) { return mm, x.Kind == Board || x.Kind == Edge })
	at := func(y geom.Length) geom.Edge { return geom.Line(geom.Pt(20*mm, y), geom.Pt(30*mm, y)) }
	assert.True(t, off.Free(at(1_500_000), mm))
	assert.False(t, off.Free(at(1_499_999), mm))
	assert.True(t, off.Free(at(8_500_000), mm))
	assert.False(t, off.Free(at(8_500_001), mm))
	assert.False(t, off.Free(at(20*mm), mm), "on the board")
	e, ok := off.Pulled(geom.Line(geom.Pt(20*mm, 1_499_000), geom.Pt(20*mm, 8_500_900)), mm)
	require.True(t, ok)
	assert.True(t, off.Free(e, mm))
	assert.Less(t, e.From.Y, 1_504*geom.UM)
	assert.Equal(t, "A1", off.Nearest(outline(box(20, 8, 22, 11))))
	assert.Empty(t, off.Nearest(outline(box(20, 2, 22, 8))))
}
