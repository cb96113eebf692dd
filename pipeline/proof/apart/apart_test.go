package apart

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

const mm = geom.MM

func rect(x0, y0, x1, y1 float64) geom.Path {
	return geom.Rectangle(geom.Box{Min: geom.Pt(geom.FromMM(x0), geom.FromMM(y0)), Max: geom.Pt(geom.FromMM(x1), geom.FromMM(y1))})
}

func disc(x, y, r float64) geom.Path {
	return Disc{At: geom.Pt(geom.FromMM(x), geom.FromMM(y)), Diameter: geom.FromMM(2 * r)}.path()
}

func line(x0, y0, x1, y1 float64) geom.Path {
	return geom.Path{geom.Line(geom.Pt(geom.FromMM(x0), geom.FromMM(y0)), geom.Pt(geom.FromMM(x1), geom.FromMM(y1)))}
}

func minus(t *testing.T, from geom.Region, less ...geom.Path) geom.Region {
	t.Helper()
	r, err := overlay.Difference(context.Background(), overlay.Options{}, overlay.Of(from...), overlay.Operand{Paths: less})
	require.NoError(t, err)
	return r
}

// framed is a board in a frame, a slot of 2 mm round it but for a tab 4 mm wide below its middle, which breaks
// along a line 0.25 mm outside of the board.
func framed(t *testing.T, board geom.Outline, frame geom.Path) Panel {
	t.Helper()
	band, err := offset.By(context.Background(), geom.Region{{Outer: board.Outer}}, 2*mm, offset.Options{})
	require.NoError(t, err)
	box := board.Box()
	x, y := box.Center().X.MM(), box.Min.Y.MM()
	slot := minus(t, band, board.Outer, rect(x-2, y-4, x+2, y+4))
	var cut []geom.Path
	for _, o := range slot {
		cut = append(cut, o.Outer)
	}
	for _, c := range board.CutOuts {
		cut = append(cut, c.Reverse())
	}
	p := Panel{Material: minus(t, geom.Region{{Outer: frame}}, cut...), Boards: []Board{{ID: "A1", Outline: board}}, Cutter: 2 * mm}
	p.Breaks = []Break{{Line: line(x-2.05, y-0.25, x+2.05, y-0.25), Stubs: []Stub{{Board: 0, Height: 250 * geom.UM}}}}
	return p
}

func judged(t *testing.T, p Panel) []Finding {
	t.Helper()
	found, _, err := New(p).Judge(context.Background(), 0)
	require.NoError(t, err)
	return found
}

func TestBoardsComeOff(t *testing.T) {
	angle := geom.Path{}
	points := []geom.Point{geom.Pt(10*mm, 10*mm), geom.Pt(40*mm, 10*mm), geom.Pt(40*mm, 20*mm), geom.Pt(25*mm, 20*mm), geom.Pt(25*mm, 32*mm), geom.Pt(10*mm, 32*mm)}
	for i, q := range points {
		angle = append(angle, geom.Line(q, points[(i+1)%len(points)]))
	}
	for name, board := range map[string]geom.Outline{
		"rectangle": {Outer: rect(10, 10, 40, 30)},
		"round":     {Outer: disc(25, 25, 14)},
		"L":         {Outer: angle},
		"ring":      {Outer: disc(25, 25, 14), CutOuts: []geom.Path{disc(25, 25, 5).Reverse()}},
	} {
		t.Run(name, func(t *testing.T) {
			p := framed(t, board, rect(0, 0, 50, 45))
			box := board.Box()
			if name == "round" || name == "ring" { // the break follows the edge; here a straight one, a little higher at its ends
				p.Breaks[0].Stubs[0].Height = 450 * geom.UM
			}
			assert.Empty(t, judged(t, p), "unharmed")
			loose, err := Loose(context.Background(), p)
			require.NoError(t, err)
			assert.Empty(t, loose)

			whole := p
			whole.Breaks = nil
			found := judged(t, whole)
			require.Len(t, found, 1, "nothing breaks")
			assert.Equal(t, HangsOn, found[0].Fault)
			assert.Empty(t, found[0].To, "it stays with the frame")

			bitten := p
			y := box.Min.Y.MM() + 4
			if len(board.Outer) == 1 {
				y = box.Center().Y.MM()
			}
			bitten.Material = minus(t, p.Material, rect(box.Max.X.MM()-1, y, box.Max.X.MM()+1, y+1))
			found = judged(t, bitten)
			require.NotEmpty(t, found)
			assert.Equal(t, Damaged, found[0].Fault)
			assert.Greater(t, found[0].Depth, 100*geom.UM)
		})
	}
}

// A slot that leaves a lump on the board's edge: it comes off with it.
func TestWasteOnABoard(t *testing.T) {
	p := framed(t, geom.Outline{Outer: rect(10, 10, 40, 30)}, rect(0, 0, 50, 40))
	r, err := overlay.Union(context.Background(), overlay.Options{}, overlay.Of(p.Material...), overlay.Operand{Paths: []geom.Path{rect(20, 29.9, 21, 31)}})
	require.NoError(t, err)
	p.Material = r
	found := judged(t, p)
	require.Len(t, found, 1)
	assert.Equal(t, Waste, found[0].Fault)
	assert.InDelta(t, 1e12, found[0].Area, 1e10)
	assert.InDelta(t, 1, found[0].Depth.MM(), 1e-3)
}

// A cut-out that was not cut stays in the board, also where it is narrower than the cutter.
func TestSlugStays(t *testing.T) {
	for _, width := range []float64{1.2, 6} {
		board := geom.Outline{Outer: rect(10, 10, 40, 30), CutOuts: []geom.Path{rect(20, 18, 20+width, 24).Reverse()}}
		p := framed(t, board, rect(0, 0, 50, 40))
		assert.Empty(t, judged(t, p))
		solid := framed(t, geom.Outline{Outer: board.Outer}, rect(0, 0, 50, 40))
		p.Material = solid.Material
		found := judged(t, p)
		require.Len(t, found, 1)
		assert.Equal(t, SlugStays, found[0].Fault)
		assert.InDelta(t, width*6e12, found[0].Area, 1e9)
	}
}

func TestBoardCutInTwo(t *testing.T) {
	p := framed(t, geom.Outline{Outer: rect(10, 10, 40, 30)}, rect(0, 0, 50, 40))
	p.Breaks = append(p.Breaks, Break{Line: line(10, 20, 40, 20)})
	found := judged(t, p)
	require.NotEmpty(t, found)
	assert.Equal(t, CutInTwo, found[0].Fault)
}

// What hangs on to nothing: a board without tabs, one whose row of holes parts its tab, an island.
func TestLoose(t *testing.T) {
	ctx := context.Background()
	board := geom.Outline{Outer: rect(10, 10, 40, 30)}
	p := framed(t, board, rect(0, 0, 50, 40))
	holes := p
	for x := 22.6; x < 27.6; x += 0.4 { // overlapping
		holes.Rows = append(holes.Rows, Disc{At: geom.Pt(geom.FromMM(x), geom.FromMM(9)), Diameter: 500 * geom.UM})
	}
	loose, err := Loose(ctx, holes)
	require.NoError(t, err)
	require.Len(t, loose, 1)
	assert.InDelta(t, 600e12, loose[0].Area(), 5e12)

	apart := p
	for x := 23.4; x < 27; x += 0.8 {
		apart.Rows = append(apart.Rows, Disc{At: geom.Pt(geom.FromMM(x), geom.FromMM(9.75)), Diameter: 500 * geom.UM})
	}
	loose, err = Loose(ctx, apart)
	require.NoError(t, err)
	assert.Empty(t, loose, "a row with material between its holes holds")

	island := p
	ring := minus(t, geom.Region{{Outer: rect(42.5, 2, 48, 8)}}, rect(44, 3.5, 46.5, 6.5))
	island.Material = minus(t, p.Material, ring[0].Outer)
	r, err := overlay.Union(ctx, overlay.Options{}, overlay.Of(island.Material...), overlay.Operand{Paths: []geom.Path{rect(44, 3.5, 46.5, 6.5)}})
	require.NoError(t, err)
	island.Material = r
	loose, err = Loose(ctx, island)
	require.NoError(t, err)
	require.Len(t, loose, 1)
	assert.InDelta(t, 7.5e12, loose[0].Area(), 1)
	assert.Empty(t, judged(t, island), "the board comes off all the same")
}

// Abutted boards part along a score line; blank laminate beside it may stay.
func TestScoreLines(t *testing.T) {
	p := Panel{Material: geom.Region{{Outer: rect(0, 0, 60, 20)}}, Boards: []Board{{ID: "A1", Outline: geom.Outline{Outer: rect(0, 0, 30, 20)}}, {ID: "B1", Outline: geom.Outline{Outer: rect(30, 0, 60, 20)}}},
		Breaks: []Break{{Line: line(30, -1, 30, 21), Stubs: []Stub{{Board: 0}, {Board: 1}}}}}
	assert.Empty(t, judged(t, p))
	whole := p
	whole.Breaks = nil
	found := judged(t, whole)
	require.Len(t, found, 1)
	assert.Equal(t, HangsOn, found[0].Fault)
	assert.Equal(t, []int{1}, found[0].To)

	spaced := Panel{Material: geom.Region{{Outer: rect(0, 0, 61, 20)}}, Boards: []Board{{ID: "A1", Outline: geom.Outline{Outer: rect(0, 0, 30, 20)}}, {ID: "B1", Outline: geom.Outline{Outer: rect(31, 0, 61, 20)}}},
		Breaks: []Break{{Line: line(30.5, -1, 30.5, 21), Stubs: []Stub{{Board: 0, Height: 500 * geom.UM}, {Board: 1, Height: 500 * geom.UM}}}}}
	assert.Empty(t, judged(t, spaced))
	spaced.Breaks[0].Stubs[0].Height = 300 * geom.UM
	found = judged(t, spaced)
	require.Len(t, found, 1)
	assert.Equal(t, Waste, found[0].Fault)
}

// Equal surroundings give equal keys wherever they lie; what differs within the window tells them apart.
func TestKey(t *testing.T) {
	board := geom.Outline{Outer: rect(10, 10, 40, 30)}
	move := geom.Transform{Shift: geom.Pt(60*mm, 0)}
	p := framed(t, board, rect(0, 0, 110, 40))
	other := p
	r := minus(t, p.Material, nil...)
	for _, c := range p.Material[0].CutOuts {
		r = minus(t, r, move.Path(c).Reverse())
	}
	other.Material = r
	other.Boards = append(other.Boards, Board{ID: "B1", Outline: move.Outline(board)})
	other.Breaks = append(other.Breaks, Break{Line: move.Path(p.Breaks[0].Line), Stubs: []Stub{{Board: 1, Height: 250 * geom.UM}}})
	x := New(other)
	assert.Equal(t, x.Key(0), x.Key(1))
	other.Rows = []Disc{{At: geom.Pt(25*mm, 9750*geom.UM), Diameter: 500 * geom.UM}}
	x = New(other)
	assert.NotEqual(t, x.Key(0), x.Key(1))
}
