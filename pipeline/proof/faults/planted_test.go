package faults

import (
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var seed = flag.Uint64("seed", 0, "draw the places of the faults by this seed; two seeds unless given")

// places is how many faults of each class are planted.
const places = 10

// fewest is how many are enough of faults of score lines: there are no more lines on the panel.
const fewest = 5

// class is a class of faults: the one rule that must find it, and how one is planted at a place that is
// drawn; no place, where that drawn does not fit.
type class struct {
	name, rule string
	plant      func(s *subject, r *rand.Rand) (place string, edited map[string][]byte)
}

var classes = []class{
	{"tab removed", "tab-missing", tabRemoved},
	{"hole moved 50 um inward", "perforation-in-board", holeMoved},
	{"hole missing", "written-holes", holeMissing},
	{"slot widened into a board", "board-damaged", slotWidened},
	{"island cut loose", "loose-piece", islandCut},
	{"contour left open", "open-contour", leftOpen},
	{"one copy shifted in a layer", "written-layer", copyShifted},
	{"copper layer shifted", "written-layer", layerShifted},
	{"rail cut or added to", "written-profile", railCut},
	{"cut-out lost", "board-not-free", cutOutLost},
	{"tool of another diameter", "written-holes", toolChanged},
	{"score line moved by 10 um", "written-score", scoreMoved},
	{"score line left out", "written-score", scoreLost},
	{"score line cut short", "written-score", scoreCut},
	{"score section told otherwise", "written-score", scoreTold},
}

// ofTabs are the classes of faults in tabs and the slots between them.
var ofTabs = []string{"tab removed", "hole moved 50 um inward", "hole missing", "slot widened into a board", "island cut loose"}

// slow is a build with much artwork, whose turn comes less often.
const slow = "gauge-12up"

// onDisk plants the fault in the build folder itself: besides the proof's rule, each file that was changed
// is named as such, and no other.
func onDisk(t *testing.T, s *subject, edited map[string][]byte, rule, place string) {
	t.Helper()
	var altered []string
	for _, f := range s.readbackOf(t, edited) {
		if f.Rule == "written-file" {
			altered = append(altered, f.Feature)
		} else {
			assert.Equal(t, rule, f.Rule, "on the disk, %s: %s", place, f.Message)
		}
	}
	assert.Equal(t, slices.Sorted(maps.Keys(edited)), altered, "on the disk, %s", place)
}

func enough(c class) int {
	if c.rule == "written-score" {
		return fewest
	}
	return places
}

func TestPlantedFaults(t *testing.T) {
	subjects := build(t)
	// The unharmed twin: every file taken apart and put together again.
	for _, s := range subjects {
		require.Equal(t, string(s.files[s.file("profile.gbr")]), string(s.profile.text()))
		for _, name := range s.layers("-") {
			require.Equal(t, string(s.files[name]), string(moved(s.files[name], shiftNone)))
		}
		rules, found := s.prove(t, nil)
		require.Empty(t, rules, "%s: %v", s.name, found)
	}
	seeds := []uint64{7, 1861}
	if *seed != 0 {
		seeds = []uint64{*seed}
	}
	for _, n := range seeds {
		t.Run(fmt.Sprint("seed ", n), func(t *testing.T) {
			var table strings.Builder
			for i, c := range classes {
				r := rand.New(rand.NewPCG(n, uint64(i)))
				seen := map[string]bool{}
				for tries := 0; len(seen) < enough(c); tries++ {
					require.Less(t, tries, 100_000, "%s: only %d places are found", c.name, len(seen))
					s := pick(r, subjects)
					if len(s.in.Panel.Tabs()) == 0 && slices.Contains(ofTabs, c.name) {
						continue
					}
					place, edited := c.plant(s, r)
					if place == "" || seen[place] || s.name == slow && r.IntN(3) > 0 {
						continue
					}
					seen[place] = true
					for name := range edited {
						require.NotEqual(t, string(s.files[name]), string(edited[name]), "%s at %s: nothing was changed", c.name, place)
					}
					rules, found := s.prove(t, edited)
					if len(seen) == 1 {
						onDisk(t, s, edited, c.rule, place)
					}
					fmt.Fprintf(&table, "%-28s %-90s %s\n", c.name, place, strings.Join(rules, ", "))
					if !assert.Equal(t, []string{c.rule}, rules, "%s at %s", c.name, place) {
						for _, f := range found {
							t.Log(f.Rule, f.Feature, f.Message)
						}
					}
				}
			}
			t.Log("\n" + table.String())
		})
	}
}
