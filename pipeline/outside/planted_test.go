package outside

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// TestPlantedFaultsInWrittenFiles: four copies in all quarter turns look like their source, and
// faults planted in the files that the program wrote are found.
func TestPlantedFaultsInWrittenFiles(t *testing.T) {
	folder := filepath.Join(shared.Dir(t, "boards"), "watch-2l-loops")
	v := newViewer(t)
	panel := build(t, "turned", folder, func(files string) string {
		return fmt.Sprintf(`panel "turned" {
  revision = "A"
}
stage "board" {
  name  = "watch"
  files = %q
  drill "drill_1_16.xln" {
    plating = "plated"
  }
}
stage "place" {
  copy "A1" {
    board = "watch"
    x     = 0
    y     = 0
  }
  copy "B1" {
    board = "watch"
    x     = "28 mm"
    y     = 0
    turn  = 180
  }
  copy "A2" {
    board = "watch"
    x     = 0
    y     = "29.123457 mm"
    turn  = 90
  }
  copy "B2" {
    board = "watch"
    x     = "28 mm"
    y     = "29.123457 mm"
    turn  = 270
  }
}
stage "rails" {
  sides = ["upper", "lower"]
  gap   = "2 mm"
}
stage "tooling_holes" {}
stage "fiducials" {}
stage "rules" {}
stage "write_fab" {}
`, files)
	})
	b := board{outlineOf(t, folder), panel.copies(t, "watch")}
	require.Equal(t, []string{"A1", "A2", "B1", "B2"}, sorted(b.copies))
	for id, quarters := range map[string]int{"A1": 0, "A2": 1, "B1": 2, "B2": 3} {
		require.Equal(t, quarters, b.copies[id].quarters, id)
	}
	a1, b1 := b.copies["A1"].box(b.outline), b.copies["B1"].box(b.outline)
	pairs := panel.pairs(t, "watch", folder)
	found, _, err := v.compare(b, pairs)
	require.NoError(t, err)
	for _, m := range found {
		// The viewer rounds a little otherwise along x than along y: at turns of 90° and 270°, blobs of
		// up to 8 pixels were measured, where strokes nearly touch.
		if q := b.copies[m.copy].quarters; q == 1 || q == 3 {
			m.blobs = slices.DeleteFunc(m.blobs, func(b blob) bool { return b.size <= 8 })
		}
		if len(m.blobs) > 0 {
			t.Error(m)
		}
	}
	checkDrills(t, "turned", b, pairs)
	shared.Ran(t, "viewer: turned copies")

	// What is drawn on and beside the board's edge goes with its copy.
	grown := func(x boxNM) boxNM {
		const by = 1_500_000
		return boxNM{x.x0 - by, x.y0 - by, x.x1 + by, x.y1 + by}
	}
	for name, c := range map[string]struct {
		plant func(t *testing.T, g *gerberText)
		found []string
	}{
		"written anew":               {func(*testing.T, *gerberText) {}, nil},
		"shifted by two pixels":      {func(_ *testing.T, g *gerberText) { g.shift(grown(b1), 2*pixel, 0) }, []string{"B1"}},
		"shifted by two pixels down": {func(_ *testing.T, g *gerberText) { g.shift(grown(a1), 0, -2*pixel) }, []string{"A1"}},
		"a flash dropped":            {func(t *testing.T, g *gerberText) { require.True(t, g.dropFlash(grown(b1), 3)) }, []string{"B1"}},
		"two copies swapped":         {func(_ *testing.T, g *gerberText) { g.exchange(grown(a1), grown(b1), b1.x0-a1.x0, 0) }, []string{"A1", "B1"}},
	} {
		for _, p := range pairs {
			if p.name != "copper-1-top" && p.name != "mask-bottom" {
				continue
			}
			t.Run(name+" in "+p.name, func(t *testing.T) {
				text, err := os.ReadFile(p.panel[0])
				require.NoError(t, err)
				g, err := readGerberText(text)
				require.NoError(t, err)
				c.plant(t, g)
				q := p
				q.panel = []string{write(t, "planted.gbr", string(g.bytes()))}
				found, _, err := v.compare(b, []pair{q})
				require.NoError(t, err)
				got := map[string]bool{}
				for _, m := range found {
					got[m.copy] = true
				}
				require.ElementsMatch(t, c.found, sorted(got))
				shared.Ran(t, "viewer: planted in written "+p.name+", "+name)
			})
		}
	}
}
