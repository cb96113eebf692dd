package scorelines

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
)

func grid(t *testing.T, outer geom.Path, columns, rows int, gap, railGap geom.Length) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "sluice", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: outer}}
	size := outer.Box()
	b := panel.Panel{}.Edit().AddBoard(board)
	for r := range rows {
		for c := range columns {
			at := geom.Pt(geom.Length(c)*(size.Width()+gap), geom.Length(r)*(size.Height()+gap))
			b.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+c, r+1), Board: board, Place: panel.Settle(board, 0, at)})
		}
	}
	p, err := b.FitOutline().LayRails([]panel.RailSide{panel.Upper, panel.Lower}, 8*geom.MM, railGap, 0, false).Build()
	require.NoError(t, err)
	return p
}

func run(s *ScoreLines, p panel.Panel) (panel.Panel, error) {
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop()}, func(pipeline.Finding) {}, nil)
	r, err := s.Run(context.Background(), env, p)
	return r.Panel, err
}

func stage() *ScoreLines { return Kind().New().(*ScoreLines) }

var rectangle = geom.Rectangle(geom.Box{Max: geom.Pt(34*geom.MM, 26*geom.MM)})

func TestAbuttedBoardsShareLines(t *testing.T) {
	p, err := run(stage(), grid(t, rectangle, 3, 2, 0, 0))
	require.NoError(t, err)
	var ids []string
	outline := p.Outline().Box()
	for _, s := range p.Scores() {
		ids = append(ids, s.ID)
		assert.Equal(t, 300*geom.UM, s.RemainingWeb)
		assert.Equal(t, 650*geom.UM, s.Depth) // (1.6 - 0.3) / 2 a side
		if s.From.Y == s.To.Y {
			assert.Equal(t, []geom.Length{outline.Min.X, outline.Max.X}, []geom.Length{s.From.X, s.To.X}, "straight through the whole panel")
		} else {
			assert.Equal(t, []geom.Length{outline.Min.Y, outline.Max.Y}, []geom.Length{s.From.Y, s.To.Y}, "straight through the whole panel")
		}
	}
	assert.Equal(t, []string{"score/y1", "score/y2", "score/y3", "score/x1", "score/x2"}, ids)
	assert.Equal(t, 8*geom.MM, p.Scores()[0].From.Y)
	assert.Equal(t, 34*geom.MM, p.Scores()[3].From.X)
}

// Common practice, no published source: 70 mil between spaced scored boards leaves 35 mil
// (0.889 mm) of blank laminate on each.
func TestSpacedBoardsKeepHalfTheGap(t *testing.T) {
	s := stage()
	leave := 35 * geom.Mil
	s.Leave = &leave
	p, err := run(s, grid(t, rectangle, 3, 2, 70*geom.Mil, 70*geom.Mil))
	require.NoError(t, err)
	copies := p.Copies()
	line := map[string]geom.Length{}
	for _, x := range p.Scores() {
		if x.From.X == x.To.X {
			line[x.ID] = x.From.X
		} else {
			line[x.ID] = x.From.Y
		}
	}
	assert.Equal(t, 889*geom.UM, line["score/x1"]-copies[0].Box().Max.X)
	assert.Equal(t, 889*geom.UM, copies[1].Box().Min.X-line["score/x1"])
	assert.Equal(t, 889*geom.UM, line["score/y2"]-copies[0].Box().Max.Y)
	assert.Equal(t, 889*geom.UM, copies[3].Box().Min.Y-line["score/y2"])
	assert.Equal(t, 889*geom.UM, copies[0].Box().Min.Y-line["score/y1"])
}

func TestRefusals(t *testing.T) {
	mil35 := 35 * geom.Mil
	for name, c := range map[string]struct {
		outer        geom.Path
		gap, railGap geom.Length
		set          func(*ScoreLines)
		want         string
	}{
		"spaced without leave": {rectangle, 70 * geom.Mil, 0, nil,
			"A1 and A2 are spaced 1.778 mm: abut them (gap = 0), say with leave how much blank laminate stays on each board (here 0.889 mm), " +
				"or space them at least 5 mm for two lines with a strip of waste between"},
		"leave and gap disagree": {rectangle, 2 * geom.MM, 0, func(s *ScoreLines) { s.Leave = &mil35 },
			"A1 and A2 are spaced 2 mm, but leave = 0.889 mm asks for a gap of 1.778 mm, or for one of at least 6.778 mm with two lines and a strip of waste between"},
		"rail too near": {rectangle, 70 * geom.Mil, 500 * geom.UM, func(s *ScoreLines) { s.Leave = &mil35 },
			"A2 and rail/upper are spaced 0.5 mm, and leave = 0.889 mm asks for as much blank laminate at least on the board"},
		"web too thick": {rectangle, 0, 0, func(s *ScoreLines) { w := 2 * geom.MM; s.RemainingWeb = &w },
			"remaining_web 2 mm is not less than the boards' thickness 1.6 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			s := stage()
			if c.set != nil {
				c.set(s)
			}
			_, err := run(s, grid(t, c.outer, 3, 2, c.gap, c.railGap))
			assert.EqualError(t, err, c.want)
		})
	}
}

// A line goes on through whatever stands in its way: that is for the rule score-through-board to tell.
func TestALineRunsFromEdgeToEdge(t *testing.T) {
	board := &panel.Board{Name: "sluice", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: rectangle}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i, at := range []geom.Point{{}, {Y: 26 * geom.MM}, {X: 34 * geom.MM, Y: 10 * geom.MM}} {
		b.AddCopy(panel.Copy{ID: fmt.Sprintf("copy%d", i+1), Board: board, Place: panel.Settle(board, 0, at)})
	}
	p, err := b.FitOutline().Build()
	require.NoError(t, err)
	out, err := run(stage(), p)
	require.NoError(t, err)
	assert.Equal(t, geom.Pt(0, 26*geom.MM), out.Scores()[0].From)
	assert.Equal(t, geom.Pt(68*geom.MM, 26*geom.MM), out.Scores()[0].To)
}

func positions(p panel.Panel) map[string]geom.Length {
	at := map[string]geom.Length{}
	for _, x := range p.Scores() {
		if x.From.X == x.To.X {
			at[x.ID] = x.From.X
		} else {
			at[x.ID] = x.From.Y
		}
	}
	return at
}

// Least distance of two lines: 5.0 mm (eurocircuits.de, customer-panel guidelines).
func TestAWideGapTakesTwoLines(t *testing.T) {
	s := stage()
	s.Between = []string{"columns"}
	p, err := run(s, grid(t, rectangle, 2, 1, 5*geom.MM, 0))
	require.NoError(t, err)
	assert.Equal(t, map[string]geom.Length{"score/x1": 34 * geom.MM, "score/x2": 39 * geom.MM}, positions(p))
	assert.Empty(t, p.Blanks())
	leave := 1 * geom.MM
	s.Leave = &leave
	p, err = run(s, grid(t, rectangle, 2, 1, 7*geom.MM, 0))
	require.NoError(t, err)
	assert.Equal(t, map[string]geom.Length{"score/x1": 35 * geom.MM, "score/x2": 40 * geom.MM}, positions(p))
	_, err = run(s, grid(t, rectangle, 2, 1, 7*geom.MM-geom.UM, 0))
	assert.ErrorContains(t, err, "asks for a gap of 2 mm, or for one of at least 7 mm with two lines")
}

// Between a board and a rail one line is enough, however wide the gap: what lies beyond it stays on the rail.
func TestARailTakesOneLine(t *testing.T) {
	s := stage()
	s.Between = []string{"rails"}
	p, err := run(s, grid(t, rectangle, 1, 1, 0, 3*geom.MM))
	require.NoError(t, err)
	assert.Equal(t, map[string]geom.Length{"score/y1": 11 * geom.MM, "score/y2": 37 * geom.MM}, positions(p))
	s.Between = []string{"left_and_right_rails"}
	_, err = run(s, grid(t, rectangle, 1, 1, 0, 3*geom.MM))
	assert.ErrorContains(t, err, "nothing to score")
}

func area(r []panel.Blank, copy string) (mm2 float64) {
	for _, b := range r {
		if b.Copy == copy {
			mm2 += b.Outline.Area() / 1e12
		}
	}
	return mm2
}

// 34 x 26 mm with 1 mm all round: 36 x 28 less 34 x 26 are 124 mm2.
func TestBlankLaminateBelongsToTheBoard(t *testing.T) {
	s := stage()
	leave := 1 * geom.MM
	s.Leave = &leave
	p, err := run(s, grid(t, rectangle, 3, 3, 2*geom.MM, 1*geom.MM))
	require.NoError(t, err)
	assert.InDelta(t, 124, area(p.Blanks(), "B2"), 1e-9, "lines on all four sides")
	assert.InDelta(t, 96, area(p.Blanks(), "A1"), 1e-9, "no line at the left: 35 x 28 less 34 x 26")
	assert.Empty(t, p.Slots())
}

// Corners rounded by 3 mm: beside each lie (1 - π/4) x 9 = 1.931 mm2. Where four boards meet, or two, a cutter of 0.8 mm
// takes them away but for what it does not reach; beside a rail it may cross the line, and leaves next to nothing.
func TestRoundedCornersAreRelieved(t *testing.T) {
	s := stage()
	s.Cutters = []geom.Length{800 * geom.UM}
	outer := geom.RoundedRectangle(geom.Box{Max: geom.Pt(34*geom.MM, 26*geom.MM)}, 3*geom.MM)
	p, err := run(s, grid(t, outer, 2, 2, 0, 0))
	require.NoError(t, err)
	boards := geom.BoxOf(geom.Pt(0, 8*geom.MM), geom.Pt(68*geom.MM, 60*geom.MM))
	var slots, left, outside float64
	for _, x := range p.Slots() {
		slots += x.Outline.Area() / 1e12
		beyond, err := overlay.Difference(t.Context(), overlay.Options{}, overlay.Of(x.Outline), overlay.Operand{Paths: []geom.Path{geom.Rectangle(boards)}})
		require.NoError(t, err)
		outside += beyond.Area() / 1e12
	}
	for _, x := range p.Unreached() {
		left += x.Outline.Area() / 1e12
		if box := x.Outline.Box(); box.Min.Y == boards.Min.Y || box.Max.Y == boards.Max.Y {
			assert.Less(t, box.Height(), 110*geom.UM, "beside a rail: 3 - √(9 - 0.8²) = 0.109 mm")
		}
	}
	assert.Len(t, p.Slots(), 9, "one where four boards meet, four where two do, four at single corners")
	assert.InDelta(t, 16*9*(1-math.Pi/4), slots-outside+left, 0.05, "what is routed and what is left make up all that lies beside the corners")
	assert.Positive(t, outside)
	assert.Less(t, left, slots)
	assert.Empty(t, p.Blanks())
	assert.Equal(t, []geom.Length{800 * geom.UM}, p.Cutters())

	s.Relieve = "nothing"
	p, err = run(s, grid(t, outer, 2, 2, 0, 0))
	require.NoError(t, err)
	assert.Empty(t, p.Slots())
	assert.InDelta(t, 4*9*(1-math.Pi/4), area(p.Blanks(), "A1"), 0.01, "they stay on the boards")
}

func TestANotchIsRelievedAndACornerStaysWhereLaminateIsLeft(t *testing.T) {
	s := stage()
	leave := 1 * geom.MM
	s.Leave = &leave
	mm := func(xy ...float64) (p geom.Path) {
		n := len(xy)
		for i := 0; i < n; i += 2 {
			p = append(p, geom.Line(geom.Pt(geom.FromMM(xy[i]), geom.FromMM(xy[i+1])), geom.Pt(geom.FromMM(xy[(i+2)%n]), geom.FromMM(xy[(i+3)%n]))))
		}
		return p
	}
	// A corner cut off by 2 mm, and a notch 6 mm wide and 5 mm deep in the lower edge.
	outer := mm(0, 0, 10, 0, 10, 5, 16, 5, 16, 0, 34, 0, 34, 24, 32, 26, 0, 26)
	p, err := run(s, grid(t, outer, 3, 3, 2*geom.MM, 1*geom.MM))
	require.NoError(t, err)
	require.NotEmpty(t, p.Slots())
	// Blank: 124 mm2 all round, 2 mm2 in the corner, less the 6 x 1 mm before the notch.
	assert.InDelta(t, 124+2-6, area(p.Blanks(), "B2"), 1e-9)
}

// √(0.65 x (100 - 0.65)) = 8.036 mm for a blade of 100 mm and a depth of 0.65 mm; trade tables have 8.3 for 0.7 mm.
func TestRunOutOfARoundBlade(t *testing.T) {
	assert.Equal(t, 8_037*geom.UM, runOut(100*geom.MM, 650*geom.UM))
	assert.InDelta(t, 8.3, runOut(100*geom.MM, 700*geom.UM).MM(), 0.05)
}

func TestLinesJump(t *testing.T) {
	out := 15 * geom.MM
	whole := interval{0, 300 * geom.MM}
	at := func(mm ...float64) (list []interval) {
		for i := 0; i < len(mm); i += 2 {
			list = append(list, interval{geom.FromMM(mm[i]), geom.FromMM(mm[i+1])})
		}
		return list
	}
	for name, c := range map[string]struct{ parts, want []interval }{
		"alone":                          {at(100, 150), at(100, 150)},
		"two with room between them":     {at(50, 100, 130, 180), at(50, 100, 130, 180)},
		"two with none":                  {at(50, 100, 129.9, 180), at(50, 180)},
		"they meet":                      {at(100, 150, 50, 100), at(50, 150)},
		"near the panel's edge":          {at(15, 100, 200, 285), at(0, 100, 200, 300)},
		"just farther from it":           {at(15.001, 100), at(15.001, 100)},
		"from edge to edge all the same": {at(10, 290), at(0, 300)},
	} {
		assert.Equal(t, c.want, jumps(c.parts, whole, out), name)
	}
}

func TestSectionsByThickness(t *testing.T) {
	s := stage()
	for thickness, want := range map[geom.Length]geom.Length{800 * geom.UM: 300 * geom.UM, 2 * geom.MM: 300 * geom.UM, 2*geom.MM + 1: 400*geom.UM + 1, 2400 * geom.UM: 400 * geom.UM} {
		x, err := s.section(thickness)
		require.NoError(t, err)
		assert.Equal(t, want, x.RemainingWeb, "%v thick (an odd nanometre stays in the web)", thickness)
		assert.Equal(t, thickness, x.RemainingWeb+2*x.Depth)
		assert.Equal(t, 100*geom.UM, x.WebTolerance)
		assert.Equal(t, usualSource, x.Source)
	}
	s.Sections = []Section{{UpTo: geom.MM, RemainingWeb: 250 * geom.UM, Source: "our fabricator"}, {UpTo: 1600 * geom.UM, RemainingWeb: 400 * geom.UM, WebTolerance: 80 * geom.UM}}
	x, err := s.section(1600 * geom.UM)
	require.NoError(t, err)
	assert.Equal(t, []geom.Length{400 * geom.UM, 600 * geom.UM, 80 * geom.UM}, []geom.Length{x.RemainingWeb, x.Depth, x.WebTolerance})
	_, err = s.section(2 * geom.MM)
	assert.EqualError(t, err, "the sections end at 1.6 mm, and the boards are 2 mm thick: say remaining_web, or add a section")
}

func TestScoresComeBeforeTabs(t *testing.T) {
	p := grid(t, rectangle, 2, 1, 0, 0)
	p, err := p.Edit().AddTab(panel.Tab{ID: "A1/tab/right/1"}).Build()
	require.NoError(t, err)
	_, err = run(stage(), p)
	assert.EqualError(t, err, "there are tabs already, planned as if no line held the boards: put score_lines before breakoff_tabs")
}

// Rows abutted and columns spaced with blank laminate: two stages, each with its own leave, give what one would.
func TestTwoStagesOnOnePanel(t *testing.T) {
	outer := geom.RoundedRectangle(geom.Box{Max: geom.Pt(34*geom.MM, 26*geom.MM)}, 3*geom.MM)
	rows, columns := stage(), stage()
	rows.Between, columns.Between = []string{"rows", "rails"}, []string{"columns"}
	one := stage()
	p, err := run(one, grid(t, outer, 2, 2, 0, 0))
	require.NoError(t, err)
	q, err := run(rows, grid(t, outer, 2, 2, 0, 0))
	require.NoError(t, err)
	q, err = run(columns, q)
	require.NoError(t, err)
	cut := func(p panel.Panel) (mm2 float64) {
		m, err := p.Material(t.Context(), 1)
		require.NoError(t, err)
		return m.Area() / 1e12
	}
	assert.InDelta(t, cut(p), cut(q), 1e-6, "the same is routed away in one stage and in two")
	assert.Equal(t, positions(p), positions(q))

	mm := geom.MM
	columns.Leave = &mm
	board := &panel.Board{Name: "sluice", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: rectangle}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i, at := range []geom.Point{{}, {Y: 26 * geom.MM}, {X: 36 * geom.MM}, {X: 36 * geom.MM, Y: 26 * geom.MM}} {
		b.AddCopy(panel.Copy{ID: fmt.Sprintf("copy%d", i+1), Board: board, Place: panel.Settle(board, 0, at)})
	}
	r, err := b.FitOutline().Build()
	require.NoError(t, err)
	rows.Between = []string{"rows"}
	r, err = run(rows, r)
	require.NoError(t, err)
	r, err = run(columns, r)
	require.NoError(t, err)
	assert.InDelta(t, 26, area(r.Blanks(), "copy1"), 1e-9, "1 mm beside 26 mm")
	_, err = run(columns, r)
	assert.ErrorContains(t, err, "score/x1 lies at x = 35 mm already: another stage score_lines serves these pairs")
}
