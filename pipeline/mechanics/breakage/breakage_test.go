package breakage

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/mechanics/plate"
	"panelwright/pipeline/panel"
)

func um(x, y int) geom.Point { return geom.Pt(geom.Length(x)*geom.UM, geom.Length(y)*geom.UM) }

func rectangle(x0, y0, x1, y1 int) geom.Path {
	return geom.Rectangle(geom.Box{Min: um(x0, y0), Max: um(x1, y1)})
}

// plain is a laminate that is alike along x and y, so that hand calculations stay short; a notch factor of 2.
func plain() panel.Laminate {
	l := laminate.Default()
	l.ElasticWarp.Value, l.ElasticFill.Value, l.Poisson.Value = 24, 24, 0
	l.StrengthWarp.Value, l.StrengthFill.Value = 400, 300
	l.HighestWarp.Value, l.HighestFill.Value = 700, 500
	l.Notch.Value = 2
	return l
}

// gauge is a board of 50 × 40, 1.67 thick over two foils of 0.035: 1.6 of laminate.
func gauge(parts ...panel.Part) *panel.Board {
	return &panel.Board{Name: "gauge", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: rectangle(0, 0, 50_000, 40_000)}, Parts: parts}
}

// tabRow is a row of n holes of 0.5 with 0.3 between them and shoulders of 0.25, along x from the middle (x, y), 0.25 outside of
// the edge: the line is 0.5 n + 0.3 (n − 1) + 0.5 long.
func tabRow(id string, row int, copies []string, x, y, n int) (panel.Row, []panel.Perforation) {
	half := (500*n + 300*(n-1) + 500) / 2
	r := panel.Row{Copies: copies, Web: 300 * geom.UM, Shoulder: 250 * geom.UM, Line: geom.Path{geom.Line(um(x-half, y), um(x+half, y))}}
	var holes []panel.Perforation
	for i := range n {
		holes = append(holes, panel.Perforation{ID: fmt.Sprintf("%s/%d/hole/%d", id, row, i+1), Tab: id, Row: row, Copy: copies[0], At: um(x-half+500+800*i, y), Diameter: 500 * geom.UM})
	}
	return r, holes
}

// upper adds a tab to waste at a copy's upper side, whose edge lies at y.
func upper(b *panel.Builder, copy, n string, x, y, holes int) {
	id := copy + "/tab/upper/" + n
	r, h := tabRow(id, 0, []string{copy}, x, y+250, holes)
	b.AddTab(panel.Tab{ID: id, Copies: []string{copy}, Rail: "rail/upper", Width: 4 * geom.MM, Feet: [2]geom.Point{um(x, y), um(x, y+2000)}, Along: geom.Pt(-1_000_000, 0), Rows: []panel.Row{r}})
	for _, p := range h {
		b.AddPerforation(p)
	}
}

func of(t *testing.T, b *panel.Builder, l panel.Laminate, o Options) Result {
	t.Helper()
	p, err := b.Build()
	require.NoError(t, err)
	got, err := Of(t.Context(), p, l, o)
	require.NoError(t, err)
	return got
}

// framed lays rails round what is placed: the panel reaches so far beyond it to the left, below, to the right and above.
func framed(b *panel.Builder, left, lower, right, upper int) *panel.Builder {
	reach := map[panel.RailSide]int{panel.Left: left, panel.Lower: lower, panel.Right: right, panel.Upper: upper}
	return b.LayRailsApart([]panel.RailSide{panel.Left, panel.Lower, panel.Right, panel.Upper}, 2*geom.MM, func(s panel.RailSide) geom.Length { return um(reach[s]-2000, 0).X }, 0, false)
}

// start is a panel of 70 × 60 with one copy whose lower left corner is at (10, 8).
func start(board *panel.Board) *panel.Builder {
	return framed(panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board, Place: geom.Transform{Shift: um(10_000, 8_000)}}), 10_000, 8_000, 10_000, 12_000)
}

// Two tabs at the upper side: four holes, webs 3 · 0.3 + 2 · 0.25 = 1.4; five holes, webs 4 · 0.3 + 0.5 = 1.7.
// Section moduli 1.4 · 1.6²/6 = 0.597333 and 1.7 · 1.6²/6 = 0.725333 mm³. The stress runs along y, the fill: weak 300/2 =
// 150 MPa, strong 500. Moments 89.6 to 298.667 and 108.8 to 362.667 N·mm; together 198.4 to 661.333.
// The board reaches 40 + 0.25 beyond the row; the hand presses 10 nearer, at 30.25: 198.4/30.25 = 6.559 N to 21.862 N.
func TestRowsAndTheirEdge(t *testing.T) {
	b := start(gauge())
	upper(b, "A1", "1", 20_000, 48_000, 4)
	upper(b, "A1", "2", 50_000, 48_000, 5)
	got := of(t, b, plain(), Options{})
	require.Len(t, got.Breaks, 3)
	for i, c := range []struct {
		kind         Kind
		feature      string
		tabs         []string
		at           geom.Point
		least, most  float64
		small, large float64
	}{
		{OneTab, "A1/tab/upper/1", []string{"A1/tab/upper/1"}, um(20_000, 48_250), 89.6, 298.667, 2.9620, 9.8733},
		{OneTab, "A1/tab/upper/2", []string{"A1/tab/upper/2"}, um(50_000, 48_250), 108.8, 362.667, 3.5967, 11.9890},
		{BoardEdge, "A1", []string{"A1/tab/upper/2", "A1/tab/upper/1"}, um(35_000, 48_250), 198.4, 661.333, 6.5587, 21.8623},
	} {
		x := got.Breaks[i]
		assert.Equal(t, c.kind, x.Kind)
		assert.Equal(t, c.feature, x.Feature)
		assert.ElementsMatch(t, c.tabs, x.Tabs)
		assert.Equal(t, []string{"A1"}, x.Copies)
		assert.Equal(t, c.at, x.At)
		assert.InDeltaSlice(t, []float64{c.least, c.most}, x.Moment[:], 1e-3)
		assert.InDelta(t, 30.25, x.Lever, 1e-12)
		assert.InDeltaSlice(t, []float64{c.small, c.large}, x.Force[:], 1e-3)
		assert.False(t, x.Cut)
	}
}

// With the warp along y instead: 400/2 and 700 MPa.
func TestTheWarpCounts(t *testing.T) {
	b := start(gauge())
	upper(b, "A1", "1", 20_000, 48_000, 4)
	l := plain()
	l.Warp = "y"
	assert.InDeltaSlice(t, []float64{0.597333 * 200, 0.597333 * 700}, sliceOf(of(t, b, l, Options{}).Breaks[0].Moment), 1e-3)
}

func sliceOf(m [2]float64) []float64 { return m[:] }

// A tab of 4 mm cut off by hand: 4 · 1.6²/6 = 1.706667 mm³, without notches 300 to 500 MPa: 512 to 853.3 N·mm.
func TestRowsWithoutHolesAreCutOff(t *testing.T) {
	b := start(gauge(chip("C1", um(10_000, 38_000))))
	b.AddTab(panel.Tab{ID: "A1/tab/upper/1", Copies: []string{"A1"}, Rail: "rail/upper", Width: 4 * geom.MM, Feet: [2]geom.Point{um(20_000, 48_000), um(20_000, 50_000)},
		Along: geom.Pt(-1_000_000, 0), Rows: []panel.Row{{Copies: []string{"A1"}}}})
	got := of(t, b, plain(), Options{})
	require.Len(t, got.Breaks, 1)
	x := got.Breaks[0]
	assert.True(t, x.Cut)
	assert.InDeltaSlice(t, []float64{512, 853.333}, x.Moment[:], 1e-3)
	assert.InDelta(t, 30, x.Lever, 1e-12)
	assert.Empty(t, got.Parts, "what is cut off strains nothing here")
}

// A crack may take a shorter way from the end hole to the slot than along the row: weak 3 · 0.3 + 2 · 0.15 = 1.2 mm.
func TestTheShorterShoulder(t *testing.T) {
	b := start(gauge())
	id := "A1/tab/upper/1"
	r, h := tabRow(id, 0, []string{"A1"}, 20_000, 48_250, 4)
	r.Shoulder = 150 * geom.UM
	b.AddTab(panel.Tab{ID: id, Copies: []string{"A1"}, Feet: [2]geom.Point{um(20_000, 48_000), um(20_000, 50_000)}, Rows: []panel.Row{r}})
	for _, p := range h {
		b.AddPerforation(p)
	}
	assert.InDeltaSlice(t, []float64{1.2 * 2.56 / 6 * 150, 1.4 * 2.56 / 6 * 500}, sliceOf(of(t, b, plain(), Options{}).Breaks[0].Moment), 1e-9)
}

// Two copies beside each other share two rows: the lighter is bent, and both have an edge that breaks with it.
func TestASharedRow(t *testing.T) {
	small := &panel.Board{Name: "probe", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: rectangle(0, 0, 50_000, 15_000)}}
	b := start(gauge()).AddBoard(small).AddCopy(panel.Copy{ID: "A2", Board: small, Place: geom.Transform{Turn: geom.Half, Shift: um(60_000, 65_000)}}) // y 50 to 65
	for n, x := range []int{20_000, 40_000} {
		id := fmt.Sprint("A1/tab/upper/", n+1)
		r, h := tabRow(id, 0, []string{"A1", "A2"}, x, 49_000, 4)
		b.AddTab(panel.Tab{ID: id, Copies: []string{"A1", "A2"}, Feet: [2]geom.Point{um(x, 48_000), um(x, 50_000)}, Rows: []panel.Row{r}})
		for _, p := range h {
			b.AddPerforation(p)
		}
	}
	got := of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 4)
	for _, x := range got[:2] {
		assert.Equal(t, []string{"A1", "A2"}, x.Copies)
		assert.InDelta(t, 8, x.Lever, 1e-12, "16 mm beyond the row: half of it is more than 16 less a grip of 10")
	}
	assert.Equal(t, "A1", got[2].Feature)
	assert.Equal(t, []string{"A1", "A2"}, got[2].Copies)
	assert.InDelta(t, 31, got[2].Lever, 1e-12)
	assert.Equal(t, []string{"A2", "A1"}, got[3].Copies)
	assert.InDelta(t, 8, got[3].Lever, 1e-12)
}

// A side that a notch parts is one side; one that lies farther in is another; a curve is none.
func TestSidesOfABoard(t *testing.T) {
	path := geom.Path{}
	at := []geom.Point{um(0, 0), um(50_000, 0), um(50_000, 40_000), um(30_000, 40_000), um(30_000, 38_000), um(20_000, 38_000), um(20_000, 40_020), um(10_000, 40_020), um(10_000, 30_000), um(0, 30_000)}
	for i, q := range at {
		path = append(path, geom.Line(q, at[(i+1)%len(at)]))
	}
	b := start(&panel.Board{Name: "stepped", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: path}})
	upper(b, "A1", "1", 50_000, 48_000, 4)
	upper(b, "A1", "2", 25_000, 48_020, 4)
	upper(b, "A1", "3", 13_000, 38_000, 4)
	upper(b, "A1", "4", 17_000, 38_000, 4)
	var edges []Break
	for _, x := range of(t, b, plain(), Options{}).Breaks {
		if x.Kind == BoardEdge {
			edges = append(edges, x)
		}
	}
	require.Len(t, edges, 2)
	assert.ElementsMatch(t, []string{"A1/tab/upper/3", "A1/tab/upper/4"}, edges[0].Tabs)
	assert.ElementsMatch(t, []string{"A1/tab/upper/1", "A1/tab/upper/2"}, edges[1].Tabs)

	disc := geom.Path{geom.Arc(um(40_000, 20_000), um(40_000, 20_000), um(20_000, 20_000), geom.CounterClockwise)}
	b = start(&panel.Board{Name: "disc", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: disc}})
	upper(b, "A1", "1", 30_000, 48_000, 4)
	got := of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 1)
	assert.InDelta(t, 30.25, got[0].Lever, 1e-9)
}

// A web of 0.5 ± 0.1 over 70 mm less a slot of 10 mm and the 20 mm of a board's cut-out: 40 mm. Across the line the stress runs
// along y: weak 0.4²/6 · 300/2 = 4 N, strong 0.6²/6 · 500 = 30 N: 160 to 1200 N·mm. The panel reaches 48 below the line and 12 above:
// the hand presses at 48 − 10 = 38. 4.21 to 31.58 N.
func TestScoreLine(t *testing.T) {
	cut := gauge()
	cut.Outline.CutOuts = []geom.Path{rectangle(10_000, 39_500, 30_000, 40_500)}
	b := start(cut).AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: rectangle(50_000, 47_000, 60_000, 49_000)}}).
		AddScore(panel.Score{ID: "score/y1", From: um(0, 48_000), To: um(70_000, 48_000), RemainingWeb: 500 * geom.UM, WebTolerance: 100 * geom.UM})
	got := of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 1)
	assert.Equal(t, ScoreLine, got[0].Kind)
	assert.Equal(t, "score/y1", got[0].Feature)
	assert.Equal(t, []string{"A1"}, got[0].Copies)
	assert.InDeltaSlice(t, []float64{160, 1200}, got[0].Moment[:], 1e-9)
	assert.InDelta(t, 38, got[0].Lever, 1e-12)
	assert.InDeltaSlice(t, []float64{4.2105, 31.5789}, got[0].Force[:], 1e-3)
}

// The default laminate, a web of 0.30 ± 0.10 over 100 mm across the warp: 0.2²/6 · 415/1.6 · 100 = 172.9 to 0.4²/6 · 720 · 100 =
// 1920 N·mm.
func TestScoreAcrossTheWarp(t *testing.T) {
	board := &panel.Board{Name: "strip", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: rectangle(0, 0, 80_000, 100_000)}}
	b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline().
		AddScore(panel.Score{ID: "score/x1", From: um(40_000, 0), To: um(40_000, 100_000), RemainingWeb: 300 * geom.UM, WebTolerance: 100 * geom.UM})
	got := of(t, b, laminate.Default(), Options{}).Breaks
	require.Len(t, got, 1)
	assert.InDeltaSlice(t, []float64{172.917, 1920}, got[0].Moment[:], 1e-3)
	assert.InDelta(t, 30, got[0].Lever, 1e-12)
}

// Lines across at 8, 30 and 92 of 100 mm on the right half, one at 45 on the left half, and one along: the strips beside them
// are 8 and 22, 22 and 62, 62 and 8 mm wide, on the left half 45 and 55, along 60 and 20.
func TestStripsBetweenScoreLines(t *testing.T) {
	board := &panel.Board{Name: "strip", Thickness: 1670 * geom.UM, CopperCount: 2, Outline: geom.Outline{Outer: rectangle(0, 0, 80_000, 100_000)}}
	b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
	for i, x := range []struct{ y, from, to int }{{8, 40, 80}, {30, 80, 40}, {45, 0, 40}, {92, 40, 80}} {
		b.AddScore(panel.Score{ID: fmt.Sprint("score/y", i), From: um(1000*x.from, 1000*x.y), To: um(1000*x.to, 1000*x.y), RemainingWeb: 300 * geom.UM})
	}
	b.AddScore(panel.Score{ID: "score/x1", From: um(60_000, 0), To: um(60_000, 100_000), RemainingWeb: 300 * geom.UM})
	got := of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 5)
	for i, want := range []float64{22 - 10, 62 - 10, 55 - 10, 62 - 10, 60 - 10} {
		assert.InDelta(t, want, got[i].Lever, 1e-9, "%d", i)
	}
}

func chip(refdes string, at geom.Point) panel.Part {
	return panel.Part{Refdes: refdes, Side: panel.Top, At: at, Body: panel.Body{By: panel.ByTable, Length: 2 * geom.MM, Width: geom.MM}}
}

// A web of 0.5 ± 0.1 as above: strong 30 N, weak 4 N for each length. The board bends by 12/(E t³) of that: 12/(24000 · 1.6³) =
// 1.220703e-4/(N·mm²); its face is 1.67/2 from the middle. C1's body begins 2.5 below the line, the hand presses at 48 − 10 = 38:
// 30 · (1 − 2.5/38) = 28.026 N, 28.026 · 1.220703e-4 · 0.835 = 2856.7 µε; weak 380.9. C2 is above, C3 too far.
func TestStrainAtAScoreLine(t *testing.T) {
	b := start(gauge(chip("C1", um(25_000, 37_000)), chip("C2", um(25_000, 45_000)), chip("C3", um(25_000, 10_000)))).
		AddScore(panel.Score{ID: "score/y1", From: um(0, 48_000), To: um(70_000, 48_000), RemainingWeb: 500 * geom.UM, WebTolerance: 100 * geom.UM})
	got := of(t, b, plain(), Options{}).Parts
	require.Len(t, got, 2)
	assert.Equal(t, "C1", got[0].Refdes)
	assert.Equal(t, "score/y1", got[0].Break)
	assert.Equal(t, 2500*geom.UM, got[0].Distance)
	assert.Equal(t, geom.Length(45_500_000), got[0].At.Y)
	assert.InDelta(t, 2856.7, got[0].Strain, 0.1)
	assert.InDelta(t, 380.9, got[0].Least, 0.1)
	// On the other side the panel ends 12 beyond the line: the hand presses at 6. 30 (1 − 4.5/6) · 1.220703e-4 · 0.835
	assert.Equal(t, "C2", got[1].Refdes)
	assert.InDelta(t, 764.5, got[1].Strain, 0.1)
}

// A second line 30 mm below: between both a hand is at 30 − 10 = 20 from either, below it at max(18 − 10, 18/2) = 9. Strong 30 N,
// weak 4 N as above; 1 N is 1.220703e-4 · 0.835 = 101.929 µε. C1, 2.5 below the upper line: 30 (1 − 2.5/20) = 26.25 N, 2675.6 µε; weak
// 3.5 N, 356.8. C2, 1.5 above the lower one: 27.75 N, 2828.5. C3, 5.5 below it: 30 (1 − 5.5/9) = 11.667 N, 1189.2. C4 in the middle, 14.5 from
// the upper line and 14.5 from the lower: 8.25 N, 840.9. With a third line at 13 below it C3 is 0.5 from that, in a strip of 13 whose
// hand is at 6.5: 30 (1 − 0.5/6.5) = 27.692 N, 2822.7; C2 is not bent by it, though it is but 6.5 away.
func TestStrainStripByStrip(t *testing.T) {
	line := func(y int) panel.Score {
		return panel.Score{ID: fmt.Sprint("score/y", y), From: um(0, 1000*y), To: um(70_000, 1000*y), RemainingWeb: 500 * geom.UM, WebTolerance: 100 * geom.UM}
	}
	board := gauge(chip("C1", um(25_000, 37_000)), chip("C2", um(20_000, 12_000)), chip("C3", um(25_000, 4_000)), chip("C4", um(30_000, 25_000)))
	for _, c := range []struct {
		lines  []int
		strong map[string]float64
		at     map[string]string
	}{
		{[]int{48, 18}, map[string]float64{"C1": 2675.6, "C2": 2828.5, "C3": 1189.2, "C4": 840.9}, map[string]string{"C1": "score/y48", "C2": "score/y18", "C3": "score/y18"}},
		{[]int{48, 18, 13}, map[string]float64{"C1": 2675.6, "C2": 2828.5, "C3": 2822.7, "C4": 840.9}, map[string]string{"C1": "score/y48", "C2": "score/y18", "C3": "score/y13"}},
	} {
		b := start(board)
		for _, y := range c.lines {
			b.AddScore(line(y))
		}
		got := of(t, b, plain(), Options{}).Parts
		require.Len(t, got, len(c.strong))
		for _, x := range got {
			assert.InDelta(t, c.strong[x.Refdes], x.Strain, 0.1, "%v %s", c.lines, x.Refdes)
			assert.InDelta(t, c.strong[x.Refdes]*4/30, x.Least, 0.1, "%v %s", c.lines, x.Refdes)
			if id := c.at[x.Refdes]; id != "" {
				assert.Equal(t, id, x.Break, "%v %s", c.lines, x.Refdes)
			}
		}
	}
}

// An edge that one tab alone holds breaks as that tab does, which is told once: 298.667 N·mm at 30.25 mm are 9.873 N. A second tab
// makes it an edge.
func TestAnEdgeWithOneTab(t *testing.T) {
	b := start(gauge())
	upper(b, "A1", "1", 20_000, 48_000, 4)
	got := of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 1)
	assert.Equal(t, OneTab, got[0].Kind)
	assert.InDelta(t, 9.8733, got[0].Force[1], 1e-3)
	b = start(gauge())
	upper(b, "A1", "1", 20_000, 48_000, 4)
	upper(b, "A1", "2", 50_000, 48_000, 4)
	got = of(t, b, plain(), Options{}).Breaks
	require.Len(t, got, 3)
	assert.Equal(t, BoardEdge, got[2].Kind)
	assert.InDelta(t, 2*9.8733, got[2].Force[1], 2e-3)
}

// Beside a single row in the middle of a wide board the strain is what the moment for each length of its line,
// 298.667/3.4 mm = 87.84 N strong, gives by the half plane.
func TestStrainAtARow(t *testing.T) {
	board := gauge(chip("C1", um(25_000, 35_000)), chip("C2", um(25_000, 25_000)), chip("C3", um(45_000, 35_000)), chip("C4", um(25_000, 5_000)))
	board.Outline.Outer = rectangle(-400_000, -400_000, 450_000, 40_000) // so large that its other sides do not count
	l := plain()
	b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board})
	upper(b, "A1", "1", 25_000, 40_000, 4)
	got := of(t, b, l, Options{}).Parts
	require.Len(t, got, 3)
	s := spreadIn(laminate.Bending(l, laminate.Stack{Thickness: 1.6}, false))
	for i, c := range []struct {
		refdes   string
		x, y     float64 // from the row's middle
		distance float64
	}{{"C1", 40.25 - 35.5, 1, 4.75}, {"C2", 14.75, 1, 14.75}, {"C3", 4.75, 19, 17.940}} {
		assert.Equal(t, c.refdes, got[i].Refdes)
		assert.InDelta(t, c.distance, got[i].Distance.MM(), 1e-3)
		at := got[i].At
		k := s.at(40.25-at.Y.MM(), 25-at.X.MM(), 1.7).greatest()
		want := 298.6667 / 3.4 * k * 0.835 * 1e6 * (1 - c.x/(440.25-10))
		assert.InEpsilon(t, want, got[i].Strain, 0.002, c.refdes)
		assert.InEpsilon(t, want*0.3, got[i].Least, 0.002, c.refdes)
	}
	assert.Greater(t, got[0].Strain, 2*got[1].Strain)
}

// A row that breaks strains the copy at the tab's other end too, where that has no holes of its own.
func TestATabStrainsBothCopies(t *testing.T) {
	board := gauge(chip("C1", um(25_000, 38_000)), chip("C2", um(25_000, 2_000)), panel.Part{Refdes: "FID1", At: um(25_000, 39_000)})
	b := start(board).AddCopy(panel.Copy{ID: "A2", Board: board, Place: geom.Transform{Shift: um(10_000, 50_000)}})
	id := "A1/tab/upper/1"
	r, h := tabRow(id, 0, []string{"A1"}, 35_000, 48_250, 4)
	bare := panel.Row{Copies: []string{"A2"}, Line: geom.Path{geom.Line(um(33_300, 50_000), um(36_700, 50_000))}}
	b.AddTab(panel.Tab{ID: id, Copies: []string{"A1", "A2"}, Width: 4 * geom.MM, Feet: [2]geom.Point{um(35_000, 48_000), um(35_000, 50_000)}, Rows: []panel.Row{r, bare}})
	for _, p := range h {
		b.AddPerforation(p)
	}
	got := of(t, b, plain(), Options{})
	require.Len(t, got.Breaks, 2)
	assert.True(t, got.Breaks[1].Cut)
	require.Len(t, got.Parts, 2)
	where := map[string]string{}
	for _, x := range got.Parts {
		where[x.Copy] = x.Refdes
		assert.Equal(t, id, x.Break)
	}
	assert.Equal(t, map[string]string{"A1": "C1", "A2": "C2"}, where)
	assert.Equal(t, "A2", got.Parts[0].Copy, "1.5 from the tab's foot against 1.75 from the row")
}

// Stiffer by copper, by half: a third less strain. Turned by a quarter, as long as the laminate is alike.
func TestCopperAndTurnedCopies(t *testing.T) {
	board := gauge(chip("C1", um(25_000, 35_000)))
	l := plain()
	d := laminate.Bending(l, laminate.Stack{Thickness: 1.6}, false)
	bare := func() *panel.Builder {
		b := start(board)
		upper(b, "A1", "1", 35_000, 48_000, 4)
		return b
	}
	plainStrain := of(t, bare(), l, Options{}).Parts[0].Strain
	var asked []geom.Point
	stiff := Options{Bending: func(q geom.Point) (out plate.Bending) {
		asked = append(asked, q)
		for i := range 3 {
			for k := range 3 {
				out[i][k] = 1.5 * d[i][k]
			}
		}
		return out
	}}
	assert.InEpsilon(t, plainStrain/1.5, of(t, bare(), l, stiff).Parts[0].Strain, 1e-12)
	require.Len(t, asked, 1)
	assert.InDelta(t, 43.5, asked[0].Y.MM(), 1e-9, "on the panel, nearest to the row")

	turned := panel.Panel{}.Edit().AddBoard(board).
		AddCopy(panel.Copy{ID: "A1", Board: board, Place: geom.Transform{Turn: geom.Quarter, Shift: um(50_000, 10_000)}}) // x 10 to 50, y 10 to 60
	// The board's upper side lies to the left now.
	line := geom.Line(um(9_750, 33_300), um(9_750, 36_700))
	turned.AddTab(panel.Tab{ID: "A1/tab/upper/1", Copies: []string{"A1"}, Width: 4 * geom.MM, Feet: [2]geom.Point{um(10_000, 35_000), um(8_000, 35_000)}, Rows: []panel.Row{{Copies: []string{"A1"}, Line: geom.Path{line}}}})
	for i := range 4 {
		turned.AddPerforation(panel.Perforation{ID: fmt.Sprint("hole/", i), Tab: "A1/tab/upper/1", Copy: "A1", At: um(9_750, 33_800+800*i), Diameter: 500 * geom.UM})
	}
	l.StrengthWarp, l.HighestWarp = l.StrengthFill, l.HighestFill
	assert.InEpsilon(t, plainStrain, of(t, turned, l, Options{}).Parts[0].Strain, 1e-9)
}

// Nothing here may hang on what a panel lacks.
func TestPanelsWithoutSense(t *testing.T) {
	empty := panel.Panel{}
	got, err := Of(t.Context(), empty, laminate.Default(), Options{})
	require.NoError(t, err)
	assert.Empty(t, got.Breaks)
	nothing := &panel.Board{Name: "nothing", Parts: []panel.Part{chip("C1", um(1000, 1000))}}
	b := panel.Panel{}.Edit().AddBoard(nothing).AddCopy(panel.Copy{ID: "A1", Board: nothing}).
		AddTab(panel.Tab{ID: "t/1", Copies: []string{"A1", "B7"}, Rows: []panel.Row{{Copies: []string{"A1"}}, {Copies: []string{"B7"}}, {}}}).
		AddTab(panel.Tab{ID: "t/2", Copies: []string{"A1"}, Width: geom.MM, Along: geom.Pt(1_000_000, 0), Rows: []panel.Row{{Copies: []string{"A1"}}, {}}}).
		AddTab(panel.Tab{ID: "t/3", Rows: []panel.Row{{Copies: []string{"A1"}, Line: geom.Path{geom.Line(um(1, 1), um(1, 1))}}}}).
		AddPerforation(panel.Perforation{ID: "h", Tab: "t/2", Copy: "A1", Diameter: geom.UM}).
		AddScore(panel.Score{ID: "score/1"}).
		AddScore(panel.Score{ID: "score/2", From: um(1, 1), To: um(500, 700), RemainingWeb: geom.MM})
	got = of(t, b, laminate.Default(), Options{})
	require.Len(t, got.Breaks, 1)
	assert.Equal(t, "t/2", got.Breaks[0].Feature)
	assert.Zero(t, got.Breaks[0].Moment)

	ctx, stop := context.WithCancel(t.Context())
	stop()
	p, err := start(gauge()).AddScore(panel.Score{ID: "score/1", To: um(1000, 0)}).Build()
	require.NoError(t, err)
	_, err = Of(ctx, p, laminate.Default(), Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// many is a panel of columns × rows copies with parts, each held by two tabs above and two below.
func many(tb testing.TB, columns, rows, parts int) panel.Panel {
	var list []panel.Part
	for i := range parts {
		list = append(list, chip(fmt.Sprint("C", i), um(3000+(i*4300)%44_000, 2000+(i*7_900)%36_000)))
	}
	board := gauge(list...)
	b := panel.Panel{}.Edit().AddBoard(board)
	id := func(c, r int) string { return fmt.Sprintf("%c%d", 'A'+c, r+1) }
	for r := range rows {
		for c := range columns {
			b.AddCopy(panel.Copy{ID: id(c, r), Board: board, Place: geom.Transform{Shift: um(6000+52_000*c, 6000+42_000*r)}})
		}
	}
	for r := range rows {
		for c := range columns {
			for n, x := range []int{15_000, 35_000} {
				for side := range 2 {
					x, y := 6000+52_000*c+x, 6000+42_000*r-250+side*40_500
					t := fmt.Sprintf("%s/tab/%d/%d", id(c, r), side, n)
					row, holes := tabRow(t, 0, []string{id(c, r)}, x, y, 5)
					foot, out := um(x, y+250), um(x, y-1750)
					if side == 1 {
						foot, out = um(x, y-250), um(x, y+1750)
					}
					b.AddTab(panel.Tab{ID: t, Copies: []string{id(c, r)}, Rail: "waste/1", Width: 4 * geom.MM, Feet: [2]geom.Point{foot, out}, Rows: []panel.Row{row}})
					for _, h := range holes {
						b.AddPerforation(h)
					}
				}
			}
		}
	}
	p, err := b.Build()
	require.NoError(tb, err)
	return p
}

// Copies that lie alike share what is reckoned, and get the same.
func TestCopiesThatLieAlike(t *testing.T) {
	got, err := Of(t.Context(), many(t, 4, 3, 20), laminate.Default(), Options{})
	require.NoError(t, err)
	require.Len(t, got.Parts, 12*20)
	require.Len(t, got.Breaks, 12*4+12*2)
	first := map[string]Strained{}
	for i, x := range got.Parts {
		if i > 0 {
			assert.GreaterOrEqual(t, got.Parts[i-1].Strain, x.Strain)
		}
		y, ok := first[x.Refdes]
		if !ok {
			first[x.Refdes] = x
			continue
		}
		assert.Equal(t, y.Strain, x.Strain)
		assert.Equal(t, y.Distance, x.Distance)
		assert.Equal(t, x.Copy, x.Break[:len(x.Copy)], "each names its own tab")
	}
}

func BenchmarkTwoHundredCopies(b *testing.B) {
	p := many(b, 12, 17, 100)
	b.ResetTimer()
	for b.Loop() {
		if _, err := Of(b.Context(), p, laminate.Default(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
