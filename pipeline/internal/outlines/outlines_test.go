package outlines

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// sound holds what every outline must be.
func sound(t *testing.T, name string, o geom.Outline) {
	t.Helper()
	require.NoError(t, o.Outer.Check(), name)
	require.Positive(t, o.Outer.Area(), name)
	for _, c := range o.CutOuts {
		require.NoError(t, c.Check(), name)
		require.Negative(t, c.Area(), name)
		require.Equal(t, geom.Inside, geom.Outline{Outer: o.Outer}.Locate(c[0].From), name)
	}
}

func TestNamedOutlinesAreSound(t *testing.T) {
	seen := map[string]bool{}
	for _, n := range All() {
		assert.False(t, seen[n.Name], n.Name)
		seen[n.Name] = true
		sound(t, n.Name, n.Outline)
		assert.Equal(t, n.Outline, ByName(n.Name))
	}
	assert.Empty(t, ByName("none such").Outer)
	assert.Len(t, ByName("blob").Outer, 300)
	assert.Len(t, ByName("comb").Outer, 16)
}

func TestRandomOutlinesAreSoundAndOfABoardsSize(t *testing.T) {
	arcs, many, holes := 0, 0, 0
	for seed := range uint64(300) {
		o := Random(seed)
		sound(t, "", o)
		b := o.Box()
		require.GreaterOrEqual(t, min(b.Width(), b.Height()), 14*geom.MM, "seed %d", seed)
		require.LessOrEqual(t, max(b.Width(), b.Height()), 151*geom.MM, "seed %d", seed)
		holes += min(1, len(o.CutOuts))
		if len(o.Outer) > 100 {
			many++
		}
		for _, e := range o.Outer {
			if e.Sense != geom.Straight {
				arcs++
				break
			}
		}
	}
	t.Logf("of 300: %d with arcs, %d of more than 100 edges, %d with cut-outs", arcs, many, holes)
	assert.Greater(t, arcs, 100)
	assert.Greater(t, many, 15)
	assert.Greater(t, holes, 15)
}

func TestTheSameSeedGivesTheSameOutline(t *testing.T) {
	for _, seed := range []uint64{0, 1, 2, 77, 1 << 60} {
		a, err := json.Marshal(Random(seed))
		require.NoError(t, err)
		b, err := json.Marshal(Random(seed))
		require.NoError(t, err)
		assert.Equal(t, string(a), string(b))
	}
	assert.NotEqual(t, Random(1), Random(2))
}
