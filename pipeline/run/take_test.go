package run

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// TestTake: a build made elsewhere is taken whole or not at all.
func TestTake(t *testing.T) {
	ctx := context.Background()
	made := t.TempDir()
	put := func(dir, name, text string) {
		t.Helper()
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, name)), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	sum := func(text string) string { return sumOf([]byte(text)) }
	manifest := `{"schema":1,"panel":"gauge","tool":{"name":"panelwright","version":"1"},"outputs":[{"file":"fab/a.txt","sha256":"` + sum("new") + `","bytes":3}]}`
	fill := func(change func(dir string)) func(string) error {
		return func(dir string) error {
			put(dir, "fab/a.txt", "new")
			put(dir, manifestName, manifest)
			if change != nil {
				change(dir)
			}
			return nil
		}
	}
	old := `{"schema":1,"panel":"gauge","tool":{"name":"panelwright","version":"1"},"outputs":[{"file":"fab/a.txt","sha256":"` + sum("old") + `","bytes":3}]}`
	put(filepath.Join(made, "gauge"), "fab/a.txt", "old")
	put(filepath.Join(made, "gauge"), manifestName, old)
	now := func() string {
		data, err := os.ReadFile(filepath.Join(made, "gauge/fab/a.txt"))
		require.NoError(t, err)
		entries, err := os.ReadDir(made)
		require.NoError(t, err)
		assert.Len(t, entries, 1, "nothing is left beside it")
		return string(data)
	}
	for name, change := range map[string]func(dir string){
		"a file of other content": func(dir string) { put(dir, "fab/a.txt", "odd") },
		"a file of other length":  func(dir string) { put(dir, "fab/a.txt", "longer") },
		"a file too many":         func(dir string) { put(dir, "fab/b.txt", "") },
		"a file missing":          func(dir string) { os.Remove(filepath.Join(dir, "fab/a.txt")) },
		"another manifest":        func(dir string) { put(dir, manifestName, old) },
		"no manifest":             func(dir string) { os.Remove(filepath.Join(dir, manifestName)) },
		"a link in a file's place": func(dir string) {
			os.Remove(filepath.Join(dir, "fab/a.txt"))
			os.Symlink("../"+manifestName, filepath.Join(dir, "fab/a.txt"))
		},
		"a folder in a file's place": func(dir string) {
			os.Remove(filepath.Join(dir, "fab/a.txt"))
			os.Mkdir(filepath.Join(dir, "fab/a.txt"), 0o755)
		},
	} {
		t.Run(name, func(t *testing.T) {
			_, whole, err := Take(ctx, made, "gauge", "", sum(manifest), nil, fill(change))
			require.NoError(t, err)
			assert.False(t, whole)
			assert.Equal(t, "old", now())
		})
	}
	t.Run("cannot be got", func(t *testing.T) {
		gone := errors.New("gone")
		_, _, err := Take(ctx, made, "gauge", "", sum(manifest), nil, func(string) error { return gone })
		assert.ErrorIs(t, err, gone)
		assert.Equal(t, "old", now())
	})
	t.Run("another panel's", func(t *testing.T) {
		_, whole, err := Take(ctx, made, "probe", "", sum(manifest), nil, fill(nil))
		require.NoError(t, err)
		assert.False(t, whole)
		assert.Equal(t, "old", now())
	})
	t.Run("whole", func(t *testing.T) {
		dir, whole, err := Take(ctx, made, "gauge", "", sum(manifest), nil, fill(nil))
		require.NoError(t, err)
		assert.True(t, whole)
		assert.Equal(t, filepath.Join(made, "gauge"), dir)
		assert.Equal(t, "new", now())
	})
}

// TestSharedLetsGo: what was used least lately goes first when there is too much, and what is in use stays.
func TestSharedLetsGo(t *testing.T) {
	dir := t.TempDir()
	for _, n := range []string{"a", "b", "c"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, n), make([]byte, 40), 0o644))
	}
	s := NewShared(100)
	ctx, made := context.Background(), ""
	use := func(name string) {
		t.Helper()
		f := NewFiles(ctx, dir, "")
		got, err := s.once(ctx, f, name, func(files pipeline.Files) (any, error) {
			made += name
			_, err := files.Read(ctx, pipeline.InPath{Text: name})
			return name, err
		})
		require.NoError(t, err)
		assert.Equal(t, name, got)
		assert.Len(t, f.Inputs(), 1)
		assert.Len(t, f.Asked(), 1)
	}
	use("a")
	use("b")
	use("a")
	assert.Equal(t, "ab", made)
	use("c") // b goes
	use("a")
	assert.Equal(t, "abc", made)
	use("b")
	assert.Equal(t, "abcb", made)
}
