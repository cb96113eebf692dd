package breakoff

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/outlines"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/edgeclass"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
	"panelwright/stages/breakofftabs"
)

// TestNamedOutlines: alone in a frame each named outline gets what the table says, with a cutter as wide
// as the slot and with one of half of that; 2 × 2 of them are held and proved as well.
func TestNamedOutlines(t *testing.T) {
	table := outlines.Table()
	require.Len(t, table, len(outlines.All()))
	for _, n := range outlines.All() {
		t.Run(n.Name, func(t *testing.T) {
			want, ok := table[n.Name]
			require.True(t, ok)
			for i, cutter := range []geom.Length{2 * geom.MM, geom.MM} {
				for _, side := range []int{1, 2} {
					name := fmt.Sprintf("%d x %d, cutter of %v", side, side, cutter)
					in, err := frame(n.Outline, side, side)
					require.NoError(t, err)
					got, err := build(t.Context(), in, func(s *breakofftabs.BreakoffTabs) { s.Cutters = []geom.Length{cutter} })
					require.NoError(t, err, name)
					holdsPlace(t, name, got.panel)
					refused := want.Rule
					if side > 1 && refused == "" {
						refused = want.Array
					}
					if refused != "" {
						require.NotEmpty(t, got.found, "%s: %s", name, want.Why)
						for _, f := range got.found {
							assert.Equal(t, refused, f.Rule, name)
						}
						continue
					}
					assert.Empty(t, got.found, "%s: %s%s", name, want.Why, sentences(got.found))
					assert.Empty(t, got.proved, "%s%s", name, sentences(got.proved))
					assert.Equal(t, side*side*want.Corners[i], got.unreached, "%s: corners not reached", name)
					if side == 1 {
						assert.Equal(t, want.Tabs, got.tabs, "%s: %s; they stand at %s", name, want.Why, feet(got.panel))
					} else {
						assert.LessOrEqual(t, got.tabs, 4*want.Tabs, name)
						assert.Positive(t, got.tabs, name)
					}
				}
			}
		})
	}
}

func feet(p panel.Panel) string {
	s := ""
	for _, x := range p.Tabs() {
		s += fmt.Sprint(" ", x.Feet[0])
	}
	return s
}

// TestOpenBoards: alone in a frame each open board gets what the table says, all stages run.
func TestOpenBoards(t *testing.T) {
	dir := shared.Dir(t, "boards")
	for _, b := range boardset.All() {
		require.NotEmpty(t, b.Tabs, b.Folder)
		for _, want := range b.Tabs {
			t.Run(b.Folder+map[bool]string{true: " as usual", false: " closer"}[want.Options == ""], func(t *testing.T) {
				p, found := all(t, dir, b, want.Options)
				holdsPlace(t, b.Folder, p)
				var classes []string
				stretches, err := edgeclass.Find(t.Context(), p.Boards()[0])
				require.NoError(t, err)
				for _, x := range stretches {
					if x.Loop == 0 {
						classes = append(classes, fmt.Sprintf("%s %d", x.Class, x.Count))
					}
				}
				assert.Equal(t, b.Edges, classes)
				var planned, proved []pipeline.Finding
				for _, f := range errorsOf(found) {
					switch f.Stage {
					case "breakoff_tabs":
						planned = append(planned, f)
					case "proof":
						proved = append(proved, f)
					}
				}
				switch want.Mode {
				case boardset.Held:
					assert.Empty(t, planned, "%s%s", want.Why, sentences(planned))
					assert.Equal(t, want.Number, len(p.Tabs()), "%s; they stand at %s", want.Why, feet(p))
					assert.Empty(t, proved, sentences(proved))
				case boardset.Refused:
					require.NotEmpty(t, planned, "%s; %d tabs at %s", want.Why, len(p.Tabs()), feet(p))
					for _, f := range planned {
						assert.Equal(t, want.Rule, f.Rule, f.Message)
					}
				default:
					t.Errorf("mode %q", want.Mode)
				}
			})
		}
	}
}

// planOf loads a recipe that reads an open board and goes on with the given stages; base is the folder that it lies in.
func planOf(t *testing.T, dir string, b boardset.Board, rest string) (plan *recipe.Plan, base string) {
	t.Helper()
	base, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	rel, err := filepath.Rel(base, filepath.Join(dir, b.Folder))
	require.NoError(t, err)
	path := filepath.Join(base, "tried.panel.hcl")
	text := "panel \"tried\" {\n  revision = \"A\"\n}\n" + b.Stage(filepath.ToSlash(rel)) + rest
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	plan, err = recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0"})
	require.NoError(t, err)
	return plan, base
}

// all runs all stages on one copy of an open board in a frame.
func all(t *testing.T, dir string, b boardset.Board, options string) (panel.Panel, []pipeline.Finding) {
	t.Helper()
	plan, base := planOf(t, dir, b, fmt.Sprintf("stage \"array\" {\n  board = %q\n  columns = 1\n  rows = 1\n}\n", b.Name())+
		"stage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\", \"right\"]\n  gap = \"2 mm\"\n}\n"+
		"stage \"breakoff_tabs\" {\n  slot_width = \"2 mm\"\n"+options+"\n}\nstage \"rules\" {}\nstage \"write_fab\" {}\n")
	out, err := run.Build(t.Context(), plan, run.Options{OutDir: filepath.Join(base, "build"), Workers: 2, Rules: rule.All(),
		Program: pipeline.Program{Name: "tried", Version: "0"}, Prove: proof.Prove})
	require.NoError(t, err)
	return out.Panel, out.Findings
}
