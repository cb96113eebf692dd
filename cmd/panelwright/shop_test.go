package main

import (
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
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
				env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, ".cache"))
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

// What DEVELOPERS.md shows of the shop's module stands in it just so.
func TestTheDocumentShowsTheShopsModule(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root(t), "DEVELOPERS.md"))
	require.NoError(t, err)
	_, section, found := strings.Cut(string(text), "\n## Your own stages and rules\n")
	require.True(t, found)
	section, _, _ = strings.Cut(section, "\n## ")
	shown := regexp.MustCompile("(?s)```(go|hcl)\n(.*?)```").FindAllStringSubmatch(section, -1)
	require.Greater(t, len(shown), 5)
	module := files(t, filepath.Join(root(t), "testdata", "shop"))
	for _, s := range shown {
		held := slices.ContainsFunc(slices.Sorted(maps.Keys(module)), func(name string) bool {
			return strings.HasSuffix(name, "."+s[1]) && strings.Contains(string(module[name]), s[2])
		})
		assert.True(t, held, "no .%s file of testdata/shop holds\n%s", s[1], s[2])
	}
}
