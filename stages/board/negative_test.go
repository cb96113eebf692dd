package board_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

// Copper drawn as a negative, by an old statement, by an attribute, and by both, which is a positive
// again: a board of 20 × 10 mm with a cut-out of 2 × 1 mm, one pad of 0.1 mm drawn.
func TestNegativeCopper(t *testing.T) {
	const pads = math.Pi / 4 * 0.01
	for _, c := range []struct {
		name, before, attribute string
		copper                  float64
		rules                   []string
	}{
		{"positive", "", "", pads, nil},
		{"old statement", "%IPNEG*%\n", "", 200 - 2 - pads, []string{"negative-inverted"}},
		{"attribute", "", ";FilePolarity,Negative", 200 - 2 - pads, []string{"negative-inverted"}},
		{"both", "%IPNEG*%\n", ";FilePolarity,Negative", pads, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := runFolder(t, gauge().with(folder{
				"gauge-top.gbr":     c.before + layer("FileFunction,Copper,L1,Top"+c.attribute, pad),
				"gauge-profile.gbr": layer("FileFunction,Profile,NP", square+box(12, 3, 2, 1)),
			}), nil)
			require.NoError(t, err)
			require.Equal(t, c.rules, r.rules())
			m := r.board.Layers[0].Image
			require.False(t, m.Negative)
			var all []int
			for i := range m.Objects {
				all = append(all, i)
			}
			dark, err := m.RegionIn(context.Background(), geom.Box{Min: geom.Pt(-geom.MM, -geom.MM), Max: geom.Pt(30*geom.MM, 30*geom.MM)}, all)
			require.NoError(t, err)
			require.InDelta(t, c.copper, dark.Area()/1e12, 1e-3)
		})
	}
}
