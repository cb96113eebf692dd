package boardset_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// heldBy is how two copies of a board are made a panel.
var heldBy = map[string]string{
	"tabs": "stage \"array\" {\n  board = %q\n  columns = 2\n  rows = 1\n  gap = 2\n}\n" +
		"stage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\", \"right\"]\n  gap = 2\n  width = 10\n}\n" +
		"stage \"breakoff_tabs\" {\n  copper_clearance = \"0.15 mm\"\n  inner_copper_clearance = \"0.15 mm\"\n}\nstage \"rules\" {}\n",
	"score lines": "stage \"array\" {\n  board = %q\n  columns = 2\n  rows = 1\n  gap = 0\n}\n" +
		"stage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\", \"right\"]\n  gap = 0\n  width = 10\n}\nstage \"score_lines\" {}\nstage \"rules\" {}\n",
}

// What the rules about holes find of the boards themselves. The figures were counted by a script of its own over the
// drill files (all pairs of hits of one file that are not one place): the number of pairs of less than 0.25 mm, the
// worst of them, the smallest hole, and 1.6 mm over it. Boards that are not named have none.
var holeFigures = map[string]map[string]float64{
	"module-6l-slots": {"hole-to-hole": 0.202278, "smallest-hole": 0.15, "hole-aspect": 10.666667}, // 13 pairs of 0.15 mm
	// Two holes of 3 mm beside the outlines, for fixing, run into each other between two copies.
	"watch-2l-loops/tabs":        {"hole-to-hole": -1.903829},
	"watch-2l-loops/score lines": {"hole-to-hole": -2.086112},
	// The pairs of tiny-4l-blind, 128 of them, are of holes between neighbouring layers, a laser's.
}

// TestRulesOnBoards judges two copies of every open board by all rules. No board has a table of bodies: what is
// said of parts are guesses, which never weigh more than a warning, and a board without placement hears nothing.
func TestRulesOnBoards(t *testing.T) {
	dir := shared.Dir(t, "boards")
	families := map[string]pipeline.Family{}
	for _, r := range rule.All() {
		families[r.Name] = r.Family
	}
	for _, b := range boardset.All() {
		for _, by := range []string{"tabs", "score lines"} {
			t.Run(b.Folder+"/"+by, func(t *testing.T) {
				base, err := filepath.EvalSymlinks(t.TempDir())
				require.NoError(t, err)
				rel, err := filepath.Rel(base, filepath.Join(dir, b.Folder))
				require.NoError(t, err)
				text := "panel \"x\" {\n  revision = \"A\"\n}\n" + b.Stage(filepath.ToSlash(rel)) + fmt.Sprintf(heldBy[by], b.Name())
				path := filepath.Join(base, "x.panel.hcl")
				require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
				plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0"})
				require.NoError(t, err)
				got, err := run.Build(t.Context(), plan, run.Options{Workers: 2, Rules: rule.All(), Program: pipeline.Program{Name: "panelwright", Version: "0"}, CheckOnly: true})
				require.NoError(t, err)

				figures := map[string]float64{}
				for _, f := range got.Findings {
					switch {
					case f.Stage != "rules":
					case families[f.Rule] == pipeline.AssemblyFamily:
						assert.Equal(t, pipeline.Warning, f.Severity, f.Message)
						assert.Positive(t, boards[b.Folder].parts, f.Message)
						assert.NotContains(t, f.Message, "TESTPOINT")
					case slices.Contains([]string{"hole-to-hole", "smallest-hole", "hole-aspect"}, f.Rule):
						_, twice := figures[f.Rule]
						assert.False(t, twice, f.Message)
						figures[f.Rule] = *f.Measured
						assert.Equal(t, []string{"A1", "B1"}, f.Copies, f.Message)
					case f.Rule == "slot-in-board", f.Rule == "perforation-in-board", f.Rule == "perforation-web-at-worst", f.Rule == "stub-height", f.Rule == "hole-spacing":
						assert.Fail(t, "the stages put it right", f.Message)
					}
				}
				want := holeFigures[b.Folder]
				if w, ok := holeFigures[b.Folder+"/"+by]; ok {
					want = w
				}
				assert.Len(t, figures, len(want))
				for name, v := range want {
					assert.InDelta(t, v, figures[name], 1e-6, name)
				}
			})
		}
	}
}
