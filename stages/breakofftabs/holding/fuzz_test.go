package holding

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// FuzzChoose: whatever the places, limits and pins, the choice ends, holds where it says so by the test's
// own checker, and has every pin.
func FuzzChoose(f *testing.F) {
	f.Add([]byte("a panel of boards"), int64(70), int64(45), int64(3))
	f.Add([]byte{0, 0, 0, 1, 1, 1, 255, 255, 255}, int64(1), int64(1), int64(0))
	f.Add([]byte("b0,b01"), int64(70), int64(45), int64(3)) // a pin leaves the only place of another board no room
	f.Add([]byte("LLLLLLLLLLLLLLLLLLLLLLLL"), int64(900), int64(900), int64(0))
	f.Fuzz(func(t *testing.T, data []byte, span, over, between int64) {
		boards := []Board{
			board("l", polygon(pt(0, 0), pt(60, 0), pt(60, 20), pt(20, 20), pt(20, 60), pt(0, 60))),
			board("disc", disc(pt(100, 30), 30*mm)),
			board("comb", moved(combPath(3, 20, 25), pt(0, 80))),
		}
		data = data[:min(len(data), 90)]
		var cands []Candidate
		on := func(x byte) (int, geom.Length) {
			b := int(x) % 3
			return b, geom.Length(boards[b].Outline.Length() * float64(x) / 256)
		}
		for ; len(data) >= 3; data = data[3:] {
			b, at := on(data[0])
			o, oAt := on(data[1])
			c := private(boards, b, at)
			if o != b && data[2]&3 != 0 {
				c = shared(boards, b, at, o, oAt)
			}
			c.Half, c.OtherHalf = geom.Length(data[2]>>4)*mm/2, geom.Length(data[2]>>4)*mm/3
			c.Pinned = data[2]&12 == 12
			cands = append(cands, c)
		}
		lim := Limits{geom.Length(span%1000) * mm, geom.Length(over%1000) * mm, geom.Length(between%20) * mm}
		got, err := Choose(context.Background(), boards, cands, lim, Options{MaxSteps: 100_000})
		if lim.FreeSpan <= 0 || lim.Overhang <= 0 || lim.Between < 0 {
			assert.Error(t, err)
			return
		}
		require.NoError(t, err)
		chosen := make([]bool, len(cands))
		for _, i := range got.Chosen {
			chosen[i] = true
		}
		for i, c := range cands {
			assert.True(t, chosen[i] || !c.Pinned, "pin %d", i)
		}
		lacking := map[int]bool{}
		for _, l := range got.Lacks {
			lacking[l.Board] = lacking[l.Board] || l.Kind != Room
		}
		c := newChecker(boards, cands, lim)
		for b := range boards {
			assert.Equal(t, !lacking[b], c.boardHolds(b, func(i int) bool { return chosen[i] }, 0) || c.boardHolds(b, func(i int) bool { return chosen[i] }, 100), "board %d: %v", b, got.Lacks)
		}
	})
}
