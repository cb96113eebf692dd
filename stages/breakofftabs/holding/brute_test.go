package holding

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestFewestByBruteForce: as many tabs as the fewest found by trying every subset, and lacks only where
// no subset holds. The checker is the test's own.
func TestFewestByBruteForce(t *testing.T) {
	feasible, infeasible, joint, evenest := 0, 0, 0, 0
	for seed := range uint64(seeds()) {
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
			for _, l := range got.Lacks {
				assert.Equal(t, Room, l.Kind, "the pins' own doing and no other")
			}
			assert.Len(t, got.Chosen, want)
			assert.True(t, c.holds(set, 100), "the choice %v does not hold", got.Chosen)
			assert.True(t, got.Proven)
			assert.Equal(t, want, got.LowerBound)
			least := c.evenest(want)
			if len(boards) == 1 {
				assert.InEpsilon(t, least, c.unevenness(set), 1e-5)
			} else if c.unevenness(set) < least*1.00001 {
				evenest++
			}
		})
	}
	t.Logf("%d panels can be held, %d of them of more boards than one, %d of these the evenest way; %d cannot", feasible, joint, evenest, infeasible)
	assert.GreaterOrEqual(t, feasible, 50)
	assert.GreaterOrEqual(t, joint, 25)
	assert.GreaterOrEqual(t, infeasible, 10)
}

func seeds() int {
	if n, err := strconv.Atoi(os.Getenv("HOLDING_SEEDS")); err == nil {
		return n
	}
	return 120
}
