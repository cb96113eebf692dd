package scorelines

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
			"A1 and A2 are spaced 1.778 mm: abut them (gap = 0), or say with leave how much blank laminate stays on each board (here 0.889 mm)"},
		"leave and gap disagree": {rectangle, 2 * geom.MM, 0, func(s *ScoreLines) { s.Leave = &mil35 },
			"A1 and A2 are spaced 2 mm, but leave = 0.889 mm asks for a gap of 1.778 mm"},
		"rounded corner": {geom.RoundedRectangle(geom.Box{Max: geom.Pt(34*geom.MM, 26*geom.MM)}, 2*geom.MM), 0, 0, nil,
			"A1 (board sluice) has an edge on the score line at y = 8 mm that is not straight: 30 mm of 34 mm are; rounded corners and notches on a line need a routed relief, which is not made yet"},
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

func TestALineThroughABoardIsRefused(t *testing.T) {
	board := &panel.Board{Name: "sluice", CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: rectangle}}
	b := panel.Panel{}.Edit().AddBoard(board)
	for i, at := range []geom.Point{{}, {Y: 26 * geom.MM}, {X: 34 * geom.MM, Y: 10 * geom.MM}} {
		b.AddCopy(panel.Copy{ID: fmt.Sprintf("copy%d", i+1), Board: board, Place: panel.Settle(board, 0, at)})
	}
	p, err := b.FitOutline().Build()
	require.NoError(t, err)
	_, err = run(stage(), p)
	assert.EqualError(t, err, "the score line at y = 26 mm would run through copy3: line the boards up in full rows and columns")
}
