package boardset_test

import (
	"context"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// TestStart makes first recipes from open boards, without a word beside their files. What should come of each was
// reasoned from what the table of tabs says of them (tabs.go) and from their copper; errors that stay are of copper on the board
// itself, nearer to its edge than the rule allows.
func TestStart(t *testing.T) {
	dir := shared.Dir(t, "boards")
	for _, c := range []struct{ folder, way, stays, why string }{
		{"daughter-2l-arcs74", "break-off tabs, rails on all sides, rows of holes moved outwards", "", "a plane 0.267 mm from the edge all the way round"},
		{"notched-2l-large", "break-off tabs, rails on all sides, further apart", "", "a card edge of 81 mm without tabs"},
		{"module-6l-slots", "score lines at the left and right side, slots along the others", "inner-copper-to-edge", "castellated along both long edges"},
		{"pilot-2l-mil", "break-off tabs, rails above and below", "", "text beyond the outline would lie on abutted neighbours"},
		{"square-10l-inch", "", "", "nobody says which layer is which"},
	} {
		t.Run(c.folder, func(t *testing.T) {
			base, err := filepath.EvalSymlinks(t.TempDir())
			require.NoError(t, err)
			rel, err := filepath.Rel(base, filepath.Join(dir, c.folder))
			require.NoError(t, err)
			kept := run.NewShared(1 << 30)
			s, err := stages.Start(context.Background(), pipeline.StartRequest{
				Files: run.NewFiles(context.Background(), base, ""), Paths: []pipeline.InPath{{Text: filepath.ToSlash(rel), Dir: base}}, Rules: rule.All(), Workers: 2,
				Try: func(ctx context.Context, text []byte) ([]pipeline.Finding, error) {
					plan, err := recipe.LoadText(filepath.Join(base, "x.panel.hcl"), text, recipe.Settings{Kinds: stages.All(), Rules: rule.All()})
					if err != nil {
						return nil, err
					}
					out, err := run.Build(ctx, plan, run.Options{CheckOnly: true, Rules: rule.All(), Shared: kept})
					if err != nil {
						return nil, err
					}
					return out.Findings, nil
				},
			})
			require.NoError(t, err)
			if c.way == "" {
				assert.Nil(t, s.Recipe)
				require.Len(t, s.Asks, 1)
				assert.Contains(t, s.Asks[0], "nobody says what these layers are for")
				assert.Contains(t, s.Stage, "function = \"…\"")
				return
			}
			assert.Equal(t, c.way, s.Way, c.why)
			var stays []string
			for _, f := range s.Found {
				if f.Severity == pipeline.Error {
					stays = append(stays, f.Rule)
				}
			}
			slices.Sort(stays)
			var want []string
			if c.stays != "" {
				want = []string{c.stays}
				assert.Contains(t, string(s.Recipe), "# limit \""+c.stays+"\" { at_least = ")
			}
			assert.Equal(t, want, slices.Compact(stays))
			tidy, err := recipe.Tidy("x.panel.hcl", s.Recipe)
			require.NoError(t, err)
			_, err = recipe.LoadText(filepath.Join(base, "x.panel.hcl"), tidy, recipe.Settings{Kinds: stages.All(), Rules: rule.All()})
			require.NoError(t, err)
		})
	}
}
