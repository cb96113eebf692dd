package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/stages"
)

// unsourced lists the limits that a standard sets without saying in source where they come from, so that no
// finding could; limits counts all that it sets.
func unsourced(t *testing.T, standard string) (none []string, limits int) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Dir(standard)))) // what it is built to beside it
	at := filepath.Join(dir, "a.panel.hcl")
	require.NoError(t, os.WriteFile(at, []byte("panel \"a\" {\n  revision = \"A\"\n  built_to = [\""+filepath.Base(standard)+"\"]\n}\n"+
		"stage \"board\" {\n  name  = \"gauge\"\n  files = \".\"\n}\nstage \"array\" {\n  board   = \"gauge\"\n  columns = 1\n  rows    = 1\n}\nstage \"rules\" {}\n"), 0o644))
	plan, err := recipe.Load(at, recipe.Settings{Kinds: stages.All(), Rules: rule.All()})
	require.NoError(t, err)
	said := map[string]string{} // by option, where it is set
	for _, c := range plan.Calls {
		for _, s := range c.Settled(nil) {
			if strings.HasPrefix(s.Option, "limit ") && s.Origin != "default" {
				said[s.Option] = s.Value
			}
		}
	}
	for option := range said {
		words := strings.Fields(option)
		if last := words[len(words)-1]; last != "at_least" && last != "at_most" {
			continue
		}
		limits++
		own := strings.Join(words[:len(words)-1], " ") + " source"
		table := "limit " + words[1] + " source"
		if strings.Trim(said[own], `"`) == "" && strings.Trim(said[table], `"`) == "" {
			none = append(none, option)
		}
	}
	return none, limits
}

// Every limit of the standards that come with the program says in the findings where it comes from, not only in a
// comment beside it.
func TestStandardsStateTheirSources(t *testing.T) {
	dir := filepath.Join(root(t), "recipes", "standards")
	all := 0
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".standard.hcl") {
			return err
		}
		none, limits := unsourced(t, path)
		assert.Empty(t, none, path)
		assert.NotZero(t, limits, path)
		all += limits
		return nil
	}))
	assert.Greater(t, all, 30)

	bare := filepath.Join(t.TempDir(), "bare.standard.hcl")
	require.NoError(t, os.WriteFile(bare, []byte("standard \"rules\" {\n  limit \"rail-width\" {\n    at_least = \"5 mm\" # somebody said so\n  }\n}\n"), 0o644))
	none, _ := unsourced(t, bare)
	assert.Equal(t, []string{"limit rail-width at_least"}, none)
}
