package board_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/stages/board"
)

// An inner plane that does not say that it is a negative is told of, and the recipe can say it.
func TestUnmarkedNegativePlane(t *testing.T) {
	drills := "M48\n; #@! TF.FileFunction,Plated,1,4,PTH\nMETRIC\nT1C0.05\n%\nT1\nX5.0Y5.0\nX10.0Y5.0\nX15.0Y5.0\nM30\n"
	files := gauge().with(folder{
		"gauge.drl":        drills,
		"gauge-bottom.gbr": layer("FileFunction,Copper,L4,Bot", pad),
		"gauge-2.gbr":      layer("FileFunction,Copper,L2,Inr", pads(5, 5, 10, 5, 15, 5)),
		"gauge-3.gbr":      layer("FileFunction,Copper,L3,Inr", pads(5, 5, 10, 5, 15, 5)+line(5, 5, 10, 5)),
	})
	r, err := runFolder(t, files, nil)
	require.NoError(t, err)
	require.Contains(t, r.rules(), "copper-may-be-negative")
	r, err = runFolder(t, files, func(b *board.Board) { b.Layers = []board.Layer{{Files: "gauge-2.gbr", Negative: true}} })
	require.NoError(t, err)
	require.Contains(t, r.rules(), "negative-inverted")
	require.NotContains(t, r.rules(), "copper-may-be-negative")
}

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
