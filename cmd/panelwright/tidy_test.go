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

// settled is what a recipe ends up with: every option of every stage, and its value.
func settled(t *testing.T, path, supplier string) []string {
	t.Helper()
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), Supplier: supplier, ProgramVersion: version})
	require.NoError(t, err)
	out := []string{plan.Name, plan.Revision}
	for _, c := range plan.Calls {
		out = append(out, "stage "+c.Kind.Name)
		for _, v := range c.Settled(nil) {
			out = append(out, v.Option+" = "+v.Value)
		}
	}
	return out
}

// TestTidyKeepsValues: every recipe of the demo and its standards, laid out badly, say the same as before, and the same
// again in canonical layout.
func TestTidyKeepsValues(t *testing.T) {
	dir := t.TempDir()
	good, bad := filepath.Join(dir, "good"), filepath.Join(dir, "bad")
	for _, b := range []string{"gauge", "modem", "probe", "relay"} { // that they are there is all that is asked of them
		require.NoError(t, os.MkdirAll(filepath.Join(dir, "testdata", "boards", b), 0o777))
	}
	require.NoError(t, os.CopyFS(good, os.DirFS("../../recipes")))
	require.NoError(t, filepath.WalkDir(good, func(path string, e fs.DirEntry, err error) error {
		rel, relErr := filepath.Rel(good, path)
		require.NoError(t, relErr)
		if err != nil || e.IsDir() {
			return os.MkdirAll(filepath.Join(bad, rel), 0o777)
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		rough := strings.NewReplacer(" = ", "=", "\n  ", "\r\n\t \t", "{\n", "{   \n\n\n\n").Replace(string(text))
		return os.WriteFile(filepath.Join(bad, rel), []byte("\n\n"+rough), 0o666)
	}))
	want, recipes := map[string][]string{}, 0
	each := func(f func(key, path, supplier string)) {
		paths, err := filepath.Glob(filepath.Join(bad, "*.panel.hcl"))
		require.NoError(t, err)
		for _, path := range paths {
			for _, s := range append(recipe.GlanceAt(path).Suppliers, "") {
				f(path+" "+s, path, s)
			}
		}
	}
	each(func(key, path, s string) {
		recipes++
		want[key] = settled(t, filepath.Join(good, filepath.Base(path)), s)
		assert.Equal(t, want[key], settled(t, path, s), "laid out badly, %s reads otherwise: the test is wrong", key)
	})
	require.Greater(t, recipes, 6)
	changed := 0
	require.NoError(t, filepath.WalkDir(bad, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || filepath.Ext(path) != ".hcl" {
			return err
		}
		before, after, err := recipe.TidyFile(path)
		require.NoError(t, err)
		if string(before) != string(after) {
			changed++
		}
		return os.WriteFile(path, after, 0o666)
	}))
	require.Greater(t, changed, 10)
	each(func(key, path, s string) { assert.Equal(t, want[key], settled(t, path, s), key) })
}
