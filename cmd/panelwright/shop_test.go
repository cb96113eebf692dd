package main

import (
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The module of an invented shop in testdata/shop is built, tested and run as a shop does that: a module of its own that
// requires this one.
func TestAShopsOwnProgram(t *testing.T) {
	boards, err := demoBoards()
	require.NoError(t, err)
	shop := filepath.Join(root(t), "testdata", "shop")
	tmp := t.TempDir()
	// A copy of go.mod takes what has to change in it, so that the tree stays as it is; go.sum has what both modules know, so
	// that nothing need be looked up.
	mod := filepath.Join(tmp, "shop.mod")
	stated, err := os.ReadFile(filepath.Join(shop, "go.mod"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(mod, stated, 0o644))
	sums := map[string]bool{}
	for _, dir := range []string{shop, root(t)} {
		text, err := os.ReadFile(filepath.Join(dir, "go.sum"))
		require.NoError(t, err)
		for line := range strings.Lines(string(text)) {
			sums[line] = true
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(tmp, "shop.sum"), []byte(strings.Join(slices.Sorted(maps.Keys(sums)), "")), 0o644))
	command := func(args ...string) {
		t.Helper()
		cmd := exec.Command("go", append([]string{args[0], "-modfile", mod, "-mod=mod"}, args[1:]...)...)
		cmd.Dir = shop
		said, err := cmd.CombinedOutput()
		require.NoError(t, err, "go %s: %s", args[0], said)
	}
	exe := "acme-panels"
	if runtime.GOOS == "windows" {
		exe += ".exe"
	}
	command("build", "-o", filepath.Join(tmp, "bin", exe), ".")
	t.Run("tests of its own", func(t *testing.T) {
		command("test", "-count=1", "./...")
	})
	t.Run("scripts", func(t *testing.T) {
		testscript.Run(t, testscript.Params{
			Dir:                 filepath.Join("testdata", "shop"),
			UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") == "1",
			RequireExplicitExec: true,
			Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "edit": edit},
			Setup: func(env *testscript.Env) error {
				env.Setenv("PATH", filepath.Join(tmp, "bin")+string(filepath.ListSeparator)+env.Getenv("PATH"))
				if err := os.CopyFS(filepath.Join(env.WorkDir, "boards", "relay"), os.DirFS(filepath.Join(boards, "relay"))); err != nil {
					return err
				}
				return os.CopyFS(filepath.Join(env.WorkDir, "shop", "recipes"), os.DirFS(filepath.Join(shop, "recipes")))
			},
		})
	})
	t.Run("go.mod", func(t *testing.T) {
		used, err := os.ReadFile(mod)
		require.NoError(t, err)
		assert.Equal(t, string(used), string(stated), "go.mod of testdata/shop is not what its packages need: run go mod tidy there")
	})
}
