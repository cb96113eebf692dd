package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	programs "panelwright/cmd/program"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/schema"
)

// schemas gives the program's.
func schemas(t *testing.T) schema.Program {
	t.Helper()
	p := programs.New("panelwright", "0")
	return schema.Program{Name: "panelwright", Version: "0", Stages: p.Stages, Rules: p.Rules}
}

// holdJSON holds files against a JSON Schema and gives for each what does not fit.
func holdJSON(t *testing.T, text []byte, files ...string) [][]string {
	t.Helper()
	dir := filepath.Join(root(t), "testdata", "outside")
	node, err := exec.LookPath("node")
	if err != nil {
		shared.Missing(t, "node, which holds recipes against their schema, is not here")
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "ajv-2020")); err != nil {
		shared.Missing(t, "the validator of JSON Schema is not here: run npm ci in testdata/outside")
	}
	at := filepath.Join(t.TempDir(), "schema.json")
	require.NoError(t, os.WriteFile(at, text, 0o644))
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, node, append([]string{filepath.Join(dir, "hold-schema.mjs"), at}, files...)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	raw, err := cmd.Output()
	require.NoError(t, err, said.String())
	var answers []struct{ Faults []string }
	require.NoError(t, json.Unmarshal(raw, &answers))
	require.Len(t, answers, len(files))
	var out [][]string
	for _, a := range answers {
		out = append(out, a.Faults)
	}
	return out
}

// Source: JSON Schema 2020-12, by the validator ajv (npm, ajv 8), which also holds the schema itself against its meta-schema.
// The reader of recipes and the schema take and refuse the same documents, but for what the form alone does not show.
func TestRecipesBySchema(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "boards", "gauge"), 0o755))
	table, err := txtar.ParseFile(filepath.Join(root(t), "pipeline", "schema", "testdata", "documents.txtar"))
	require.NoError(t, err)
	require.Greater(t, len(table.Files), 40)
	s := schemas(t)
	settings := recipe.Settings{Kinds: s.Stages, Rules: s.Rules}
	var files []string
	for _, f := range table.Files {
		at := filepath.Join(dir, f.Name)
		require.NoError(t, os.WriteFile(at, f.Data, 0o644))
		files = append(files, at)
		_, err := recipe.Load(at, settings)
		assert.Equal(t, strings.HasPrefix(f.Name, "good-"), err == nil, "the reader of recipes: %s: %v", f.Name, err)
	}
	text, err := s.Recipe()
	require.NoError(t, err)
	refused := 0
	for i, faults := range holdJSON(t, text, files...) {
		name := table.Files[i].Name
		bad := strings.HasPrefix(name, "bad-")
		assert.Equal(t, bad, len(faults) > 0, "the schema: %s: %v", name, faults)
		if bad {
			refused++
		}
	}
	assert.Greater(t, refused, 30)
	shared.Ran(t, "recipes in JSON by their schema")
}

// The demo's recipes in HCL's JSON syntax end up with the values of those in HCL, and fit the schemas, as does a standard.
func TestDemoRecipesInJSON(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root(t), "recipes"))))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root(t), "pipeline", "schema", "testdata", "recipes"))))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "testdata", "boards", "gauge"), 0o755))
	s := schemas(t)
	var files []string
	for name, supplier := range map[string]string{"gauge": "", "gauge-suppliers": "estuary"} {
		var settled [2][][2]string
		for i, ext := range []string{".panel.hcl", ".panel.json"} {
			plan, err := recipe.Load(filepath.Join(dir, "recipes", name+ext), recipe.Settings{Kinds: s.Stages, Rules: s.Rules, Supplier: supplier})
			require.NoError(t, err)
			for _, c := range plan.Calls {
				settled[i] = append(settled[i], [2]string{"stage", c.Kind.Name})
				for _, x := range c.Settled(nil) {
					settled[i] = append(settled[i], [2]string{x.Option, x.Value})
				}
			}
		}
		require.Greater(t, len(settled[0]), 100)
		assert.Equal(t, settled[0], settled[1], name)
		files = append(files, filepath.Join(dir, "recipes", name+".panel.json"))
	}
	slices.Sort(files)
	text, err := s.Recipe()
	require.NoError(t, err)
	standards, err := s.Standard()
	require.NoError(t, err)
	for _, faults := range holdJSON(t, text, files...) {
		assert.Empty(t, faults)
	}
	standard := filepath.Join(dir, "recipes", "standards", "hand-break.standard.json")
	// What is wrong in a standard is seen, and a recipe is none.
	broken := filepath.Join(dir, "broken.standard.json")
	data, err := os.ReadFile(standard)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(broken, bytes.Replace(data, []byte(`"holes_per_tab": 5`), []byte(`"holes_per_tab": "five"`), 1), 0o644))
	faults := holdJSON(t, standards, standard, broken, files[0])
	assert.Empty(t, faults[0])
	assert.Contains(t, strings.Join(faults[1], "\n"), "holes_per_tab must be integer")
	assert.NotEmpty(t, faults[2])
	shared.Ran(t, "the demo's recipes in JSON by their schema")
}
