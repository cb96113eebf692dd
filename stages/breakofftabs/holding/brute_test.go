package holding

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFewestByBruteForce: as many tabs as the fewest found by trying every subset, and lacks only where
// no subset holds. The checker is the test's own.
func TestFewestByBruteForce(t *testing.T) {
	feasible, infeasible, joint := 0, 0, 0
	for seed := range uint64(120) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			boards, cands, lim := smallPanel(seed)
			require.LessOrEqual(t, len(cands), 22)
			got, err := Choose(context.Background(), boards, cands, lim, Options{})
			require.NoError(t, err)
			c := newChecker(boards, cands, lim)
			want := c.least()
			var set uint32
			for _, i := range got.Chosen {
				set |= 1 << i
			}
			if want < 0 {
				infeasible++
				assert.NotEmpty(t, got.Lacks)
				return
			}
			feasible++
			if len(boards) > 1 {
				joint++
			}
			assert.Empty(t, got.Lacks)
			assert.Len(t, got.Chosen, want)
			assert.True(t, c.holds(set, 100), "the choice %v does not hold", got.Chosen)
			assert.True(t, got.Proven)
			assert.Equal(t, want, got.LowerBound)
		})
	}
	t.Logf("%d panels can be held, %d of them of more boards than one; %d cannot", feasible, joint, infeasible)
	assert.GreaterOrEqual(t, feasible, 50)
	assert.GreaterOrEqual(t, joint, 25)
	assert.GreaterOrEqual(t, infeasible, 10)
}
