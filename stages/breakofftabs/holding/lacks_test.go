package holding

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// edges picks the candidates on some edges of a 120 × 80 mm board by itself: below, right, above, left.
func edges(cands []Candidate, which ...int) (cs []Candidate) {
	ends := []geom.Length{0, 120 * mm, 200 * mm, 320 * mm, 400 * mm}
	for _, c := range cands {
		for _, w := range which {
			if ends[w] < c.At && c.At < ends[w+1] {
				cs = append(cs, c)
			}
		}
	}
	return cs
}

// TestLacks: what cannot be kept is named, with its stretch; what can be is kept.
func TestLacks(t *testing.T) {
	lim := Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}
	wide := Limits{FreeSpan: 500 * mm, Overhang: 500 * mm}
	boards, all := array(1, 1, 120, 80, 5, 5)
	for _, c := range []struct {
		name  string
		cands []Candidate
		lim   Limits
		want  []Lack
	}{
		{"nothing on the right", edges(all, 0, 2, 3), lim, []Lack{
			{Kind: FreeSpan, From: 115 * mm, To: 205 * mm, Measured: 90 * mm}}},
		{"one short edge", edges(all, 3), wide, []Lack{
			{Kind: OppositeSides}, {Kind: CentreOfMass, Measured: 60 * mm}}},
		{"two edges in a corner", edges(all, 2, 3), wide, []Lack{
			{Kind: OppositeSides}, {Kind: CentreOfMass}}},
		{"a short overhang", edges(all, 0, 1, 2, 3), Limits{FreeSpan: 70 * mm, Overhang: 4 * mm}, []Lack{
			{Kind: Overhang, Measured: 5 * mm}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Choose(context.Background(), boards, c.cands, c.lim, Options{})
			require.NoError(t, err)
			assert.NotEmpty(t, got.Chosen)
			assert.False(t, got.Proven)
			kinds := map[Kind]bool{}
			for _, l := range got.Lacks {
				kinds[l.Kind] = true
				for _, w := range c.want {
					if w.Kind == l.Kind && w.Measured != 0 {
						assert.Equal(t, w.Measured, l.Measured, "%s", l.Kind)
					}
					if w.Kind == l.Kind && w.To != 0 {
						assert.Equal(t, w, l)
					}
				}
			}
			for _, w := range c.want {
				assert.True(t, kinds[w.Kind], "%s is missing in %v", w.Kind, got.Lacks)
				delete(kinds, w.Kind)
			}
			assert.Empty(t, kinds)
		})
	}
}

// TestOneBoardLacks: a board that cannot be held does not keep its neighbours from being held.
func TestOneBoardLacks(t *testing.T) {
	lim := Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}
	boards, cands := array(3, 1, 120, 80, 5, 5)
	var some []Candidate
	for _, c := range cands {
		if c.Board != 2 || c.At > 200*mm { // nothing below and right of the third
			some = append(some, c)
		}
	}
	boards = append(boards, board("lonely", moved(geom.Rectangle(geom.BoxOf(pt(0, 0), pt(50, 50))), pt(500, 0))))
	got, err := Choose(context.Background(), boards, some, lim, Options{})
	require.NoError(t, err)
	require.NotEmpty(t, got.Lacks)
	for _, l := range got.Lacks {
		assert.GreaterOrEqual(t, l.Board, 2, "%v", l)
	}
	assert.Equal(t, Lack{Board: 3, Kind: NoCandidate, To: 200 * mm}, got.Lacks[len(got.Lacks)-1])
}

// TestPins: pins are in, those without room for both are reported, and the rest is chosen round them.
func TestPins(t *testing.T) {
	lim := Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}
	boards, cands := array(1, 1, 120, 80, 5, 5)
	pin := func(at ...geom.Length) (is []int) {
		for i := range cands {
			for _, a := range at {
				if cands[i].At == a {
					cands[i].Pinned = true
					is = append(is, i)
				}
			}
		}
		return is
	}
	first := pin(60 * mm)
	got, err := Choose(context.Background(), boards, cands, lim, Options{})
	require.NoError(t, err)
	assert.Subset(t, got.Chosen, first)
	assert.Empty(t, got.Lacks)
	assert.True(t, got.Proven)
	assert.Greater(t, len(got.Chosen), 6, "a pin in the middle of a long edge costs a seventh tab")

	both := pin(60*mm, 65*mm)
	got, err = Choose(context.Background(), boards, cands, lim, Options{})
	require.NoError(t, err)
	assert.Subset(t, got.Chosen, both)
	assert.Equal(t, []Lack{{Kind: Room, From: 60 * mm, To: 65 * mm}}, got.Lacks)
	assert.True(t, got.Proven)
}

// TestPreference decides between places that are otherwise alike.
func TestPreference(t *testing.T) {
	boards := []Board{board("disc", disc(pt(0, 0), 20*mm))}
	cands := around(boards, 16)
	for i := range cands {
		cands[i].Preference = 1
	}
	cands[5].Preference, cands[13].Preference = 0, 0
	got, err := Choose(context.Background(), boards, cands, Limits{FreeSpan: 100 * mm, Overhang: 1 * mm}, Options{})
	require.NoError(t, err)
	assert.Equal(t, []int{5, 13}, got.Chosen)
}

// TestWrongInput is refused with the place.
func TestWrongInput(t *testing.T) {
	lim := Limits{FreeSpan: 70 * mm, Overhang: 45 * mm}
	boards, _ := array(2, 1, 120, 80, 5, 5)
	ok := shared(boards, 0, 160*mm, 1, 360*mm)
	for _, c := range []struct {
		change func(b []Board, c *Candidate, l *Limits)
		says   string
	}{
		{func(_ []Board, _ *Candidate, l *Limits) { l.FreeSpan = 0 }, "free span"},
		{func(b []Board, _ *Candidate, _ *Limits) { b[1].Outline = b[1].Outline[:3] }, "not closed"},
		{func(b []Board, _ *Candidate, _ *Limits) { b[1].Outline = nil }, "not closed"},
		{func(b []Board, _ *Candidate, _ *Limits) { b[0].Outline = geom.Path{geom.Line(pt(1, 1), pt(1, 1))} }, "no length"},
		{func(b []Board, _ *Candidate, _ *Limits) { b[0].Outline = b[0].Outline.Reverse() }, "counter-clockwise"},
		{func(b []Board, _ *Candidate, _ *Limits) { b[0].Corners = []geom.Length{401 * mm} }, "corner at 401 mm"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Board = 2 }, "no board 2"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Board = -1 }, "no board -1"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Other = 2 }, "no board 2"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Other = 0 }, "both feet"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.OtherAt = 500 * mm }, "position 500 mm"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Half = -1 }, "negative"},
		{func(_ []Board, c *Candidate, _ *Limits) { c.Outward = [2]float64{math.NaN(), 0} }, "direction"},
	} {
		bs, one, l := append([]Board(nil), boards...), ok, lim
		c.change(bs, &one, &l)
		_, err := Choose(context.Background(), bs, []Candidate{one}, l, Options{})
		assert.ErrorContains(t, err, c.says)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Choose(ctx, boards, []Candidate{ok}, lim, Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// TestNothing: no boards, no candidates.
func TestNothing(t *testing.T) {
	got, err := Choose(context.Background(), nil, nil, Limits{FreeSpan: 1, Overhang: 1}, Options{})
	require.NoError(t, err)
	assert.Equal(t, Choice{Proven: true}, got)
}

// TestStringsBridge: a string round a comb is far shorter than its edge, one round an L cuts its inner
// corner, one round a disc follows it.
func TestStringsBridge(t *testing.T) {
	for _, c := range []struct {
		outline  geom.Path
		from, to geom.Length // of places
		want     float64     // mm
	}{
		{combPath(10, 8, 20), 100 * mm, 560 * mm, 10 + 76 + 14}, // up the first flank, over ten teeth, down to (4, 6)
		{polygon(pt(0, 0), pt(60, 0), pt(60, 20), pt(20, 20), pt(20, 60), pt(0, 60)), 70 * mm, 170 * mm, 10 + math.Hypot(40, 40) + 10},
		{disc(pt(0, 0), 20*mm), 10 * mm, 50 * mm, 40},
	} {
		boards := []Board{board("x", c.outline)}
		cands := []Candidate{private(boards, 0, c.from), private(boards, 0, c.to)}
		m := newModel(boards, cands, Limits{FreeSpan: 1000 * mm, Overhang: 1000 * mm})
		assert.InDelta(t, c.want, m.rings[0].span(0, 1).MM(), 0.001, fmt.Sprint(c.outline.Box()))
	}
}
