package array

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

func ptr[T any](v T) *T { return &v }

func board(w, h geom.Length) *panel.Board {
	return &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{
		Outer: geom.Rectangle(geom.Box{Min: geom.Pt(100*geom.MM, -50*geom.MM), Max: geom.Pt(100*geom.MM+w, -50*geom.MM+h)})}}
}

func run(t *testing.T, a *Array, b *panel.Board) (pipeline.Result, string, error) {
	t.Helper()
	in, err := panel.Panel{}.Edit().AddBoard(b).Build()
	require.NoError(t, err)
	var log bytes.Buffer
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.New(&log)}, func(pipeline.Finding) {}, nil)
	r, err := a.Run(context.Background(), env, in)
	return r, log.String(), err
}

func TestCopiesAreNamedByColumnAndRowFromTheLowerLeft(t *testing.T) {
	a := &Array{Board: "weir", Columns: ptr(2), Rows: ptr(3), Gap: ptr(2 * geom.MM)}
	r, _, err := run(t, a, board(62*geom.MM, 41*geom.MM))
	require.NoError(t, err)
	at := map[string]geom.Point{}
	for _, c := range r.Panel.Copies() {
		at[c.ID] = c.Box().Min
	}
	assert.Equal(t, map[string]geom.Point{
		"A1": {}, "B1": {X: 64 * geom.MM}, "A2": {Y: 43 * geom.MM}, "B2": {X: 64 * geom.MM, Y: 43 * geom.MM},
		"A3": {Y: 86 * geom.MM}, "B3": {X: 64 * geom.MM, Y: 86 * geom.MM},
	}, at)
	assert.Equal(t, geom.Box{Max: geom.Pt(126*geom.MM, 127*geom.MM)}, r.Panel.Outline().Box())
	v := r.Values["array"]
	assert.Equal(t, "126", v.GetAttr("width").AsBigFloat().String())
}

func TestTurnAndTurnEverySecond(t *testing.T) {
	a := &Array{Board: "weir", Columns: ptr(2), Rows: ptr(2), GapX: ptr(geom.MM), GapY: ptr(3 * geom.MM), Turn: geom.Quarter, TurnEverySecond: "row"}
	r, _, err := run(t, a, board(60*geom.MM, 40*geom.MM))
	require.NoError(t, err)
	var turns []geom.Angle
	for _, c := range r.Panel.Copies() {
		turns = append(turns, c.Place.Turn)
		assert.Equal(t, 40*geom.MM, c.Box().Width(), c.ID)
	}
	assert.Equal(t, []geom.Angle{geom.Quarter, geom.Quarter, 3 * geom.Quarter, 3 * geom.Quarter}, turns)
	assert.Equal(t, geom.Box{Max: geom.Pt(81*geom.MM, 123*geom.MM)}, r.Panel.Outline().Box())
}

func TestPitchMayBeLessThanTheBoard(t *testing.T) {
	a := &Array{Board: "weir", Columns: ptr(3), Rows: ptr(1), PitchX: ptr(45 * geom.MM)}
	r, _, err := run(t, a, board(60*geom.MM, 40*geom.MM))
	require.NoError(t, err)
	assert.Equal(t, 150*geom.MM, r.Panel.Outline().Box().Width())
}

func TestFitWithinLogsTheCountsTried(t *testing.T) {
	a := &Array{Board: "weir", Gap: ptr(2 * geom.MM), FitWithin: []geom.Length{190 * geom.MM, 84 * geom.MM}}
	r, log, err := run(t, a, board(62*geom.MM, 41*geom.MM))
	require.NoError(t, err)
	// 3 x 62 + 2 x 2 = 190 fits, a fourth does not; 2 x 41 + 2 = 84 fits, a third does not.
	assert.Len(t, r.Panel.Copies(), 6)
	assert.Equal(t, 7, strings.Count(log, "count tried"))
	assert.Contains(t, log, `"columns":4,"needs":"254 mm","within":"190 mm","fits":false`)
	a.FitWithin[0] = 50 * geom.MM
	_, _, err = run(t, a, board(62*geom.MM, 41*geom.MM))
	assert.EqualError(t, err, "not one copy fits: the board needs 62 mm and fit_within allows 50 mm")
}

func TestCheck(t *testing.T) {
	for want, a := range map[string]*Array{
		"option columns is missing: give columns and rows, or fit_within": {Board: "weir", Rows: ptr(1)},
		"option pitch_x contradicts gap_x: give a pitch or a gap":         {Board: "weir", Rows: ptr(1), Columns: ptr(1), GapX: ptr(geom.MM), PitchX: ptr(geom.MM)},
	} {
		assert.EqualError(t, a.Check(), want)
	}
}

func TestColumnLetters(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		assert.Equal(t, want, ColumnLetters(i))
	}
}

// Clear polarity that reaches into a neighbour is no reason to refuse: it is clipped when layers are written.
func TestClearPolarityMayReachIntoANeighbour(t *testing.T) {
	b := board(20*geom.MM, 10*geom.MM)
	at := geom.Pt(119*geom.MM, -45*geom.MM)
	image := &artwork.Image{Apertures: []artwork.Aperture{{Shape: artwork.Circle, Width: 6 * geom.MM}}, Sets: []artwork.Attributes{nil},
		Objects: []artwork.Object{{Kind: artwork.Flash, Clear: true, Region: -1, Edge: geom.Line(at, at)}}}
	b.Layers = []panel.Layer{{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: image}}
	_, _, err := run(t, &Array{Board: "weir", Columns: ptr(2), Rows: ptr(1), Gap: ptr(1500 * geom.UM)}, b)
	assert.NoError(t, err)
}
