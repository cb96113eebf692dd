package breakoff

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/stages/breakofftabs"
)

// TestTradeFacts: boards of 120 x 80 mm with neighbours all round take six tabs each, two on each long
// edge and one on each short one, with 3 to 6 holes in each row, and slots of 1.5 to 2.0 mm build clean.
// Common practice, no published source.
func TestTradeFacts(t *testing.T) {
	board := geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(120*geom.MM, 80*geom.MM)})}
	for _, slot := range []geom.Length{1500 * geom.UM, 1750 * geom.UM, 2 * geom.MM} {
		for holes := 3; holes <= 6; holes++ {
			t.Run(fmt.Sprintf("slots of %v, %d holes", slot, holes), func(t *testing.T) {
				in, err := frameApart(board, 3, 3, slot)
				require.NoError(t, err)
				got, err := build(t.Context(), in, func(s *breakofftabs.BreakoffTabs) {
					s.LongestFreeSpan, s.LongestOverhang, s.HolesPerTab = 70*geom.MM, 45*geom.MM, holes
				})
				require.NoError(t, err)
				assert.Empty(t, got.found, sentences(got.found))
				assert.Empty(t, got.proved, sentences(got.proved))
				holdsPlace(t, "120 x 80", got.panel)
				boxes := map[string]geom.Box{}
				for _, c := range got.panel.Copies() {
					boxes[c.ID] = c.Box()
				}
				on := map[string]map[string]int{} // tabs of each copy by side
				for _, x := range got.panel.Tabs() {
					for i, id := range x.Copies {
						if on[id] == nil {
							on[id] = map[string]int{}
						}
						b := boxes[id]
						side := "short"
						if x.Feet[i].Y == b.Min.Y || x.Feet[i].Y == b.Max.Y {
							side = "long"
						}
						side += map[bool]string{true: ", lower or left", false: ", upper or right"}[x.Feet[i].Y == b.Min.Y || x.Feet[i].X == b.Min.X]
						on[id][side]++
					}
				}
				require.Len(t, on, 9)
				for id, sides := range on {
					assert.Equal(t, map[string]int{"long, lower or left": 2, "long, upper or right": 2, "short, lower or left": 1, "short, upper or right": 1}, sides, id)
				}
				rows := map[[2]any]int{}
				for _, h := range got.panel.Perforations() {
					rows[[2]any{h.Tab, h.Row}]++
				}
				require.NotEmpty(t, rows)
				for k, n := range rows {
					assert.Equal(t, holes, n, "row %v", k)
				}
			})
		}
	}
}
