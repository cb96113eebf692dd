package holding

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// TestSixTabs: two on each long edge, one on each short edge (common practice, no published source).
func TestSixTabs(t *testing.T) {
	lim := Limits{FreeSpan: 70 * mm, Overhang: 45 * mm, Between: 3 * mm}
	for _, side := range []int{1, 3} {
		boards, cands := array(side, side, 120, 80, 1, 5)
		got, err := Choose(context.Background(), boards, cands, lim, Options{})
		require.NoError(t, err)
		require.Empty(t, got.Lacks)
		assert.True(t, got.Proven)
		if side == 1 {
			assert.Len(t, got.Chosen, 6)
		} else {
			assert.Len(t, got.Chosen, 36)
		}
		for b := range boards {
			var at []geom.Length
			for _, i := range got.Chosen {
				if cands[i].Board == b {
					at = append(at, cands[i].At)
				}
				if cands[i].Other == b {
					at = append(at, cands[i].OtherAt)
				}
			}
			assert.ElementsMatch(t, []geom.Length{25 * mm, 95 * mm, 160 * mm, 225 * mm, 295 * mm, 360 * mm}, at, "board %d of %d", b, len(boards))
		}
	}
}
