package main

import (
	"bytes"
	"crypto/sha256"
	"debug/elf"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// make release gives the same bytes from two folders, and programs that need nothing of the system that they run on. One system
// of the four is enough to see it: the others are built by the same line.
func TestReleaseIsReproducible(t *testing.T) {
	if os.Getenv("PANELWRIGHT_RELEASE") != "1" {
		t.Skip("compiles all of the program anew, which takes minutes: set PANELWRIGHT_RELEASE=1, as make release-check does")
	}
	if runtime.GOOS != "linux" || runtime.GOARCH != "amd64" {
		t.Skip("looks at what is built for linux/amd64, and runs it")
	}
	var sums, folders []string
	var dist map[string][]byte
	for _, name := range []string{"a", filepath.Join("somewhere else", "with a longer name")} {
		dir := filepath.Join(t.TempDir(), name)
		folders = append(folders, dir)
		for _, part := range []string{"cmd", "pipeline", "stages"} {
			require.NoError(t, os.CopyFS(filepath.Join(dir, part), os.DirFS(filepath.Join(root(t), part))))
		}
		for _, file := range []string{"go.mod", "go.sum", "Makefile"} {
			data, err := os.ReadFile(filepath.Join(root(t), file))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(dir, file), data, 0o644))
		}
		cmd := exec.Command("make", "release", "RELEASES=linux/amd64", "VERSION=9.8.7")
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), "GOFLAGS=-tags=none", "GOAMD64=v3", "MAKEFLAGS=") // what a user may have set
		said, err := cmd.CombinedOutput()
		require.NoError(t, err, string(said))
		dist = files(t, filepath.Join(dir, "dist"))
		sums = append(sums, string(dist["SHA256SUMS"]))
	}
	assert.Equal(t, sums[0], sums[1])
	delete(dist, "SHA256SUMS")
	want := ""
	for _, name := range slices.Sorted(maps.Keys(dist)) {
		want += fmt.Sprintf("%x  %s\n", sha256.Sum256(dist[name]), name)
	}
	assert.Equal(t, want, sums[1])
	for _, name := range []string{"BUILT-WITH", "completion/panelwright.bash", "man/man1/panelwright.1", "man/man5/panelwright-recipes.5"} {
		assert.NotEmpty(t, dist[name], name)
	}

	binary := dist["panelwright-linux-amd64"]
	f, err := elf.NewFile(bytes.NewReader(binary))
	require.NoError(t, err)
	for _, p := range f.Progs {
		assert.NotEqual(t, elf.PT_INTERP, p.Type, "it asks for a loader")
		assert.NotEqual(t, elf.PT_DYNAMIC, p.Type, "it is linked to libraries")
	}
	// The second build may have taken what the first had compiled: so no path of either may be in it, nor any of Go's.
	places, err := exec.Command("go", "env", "GOMODCACHE", "GOROOT").Output()
	require.NoError(t, err)
	for _, path := range slices.Concat(folders, strings.Split(strings.TrimSpace(string(places)), "\n"), []string{os.TempDir() + string(filepath.Separator)}) {
		if len(path) > 2 {
			assert.False(t, bytes.Contains(binary, []byte(path)), "it holds the path %s", path)
		}
	}
	at := filepath.Join(folders[1], "dist", "panelwright-linux-amd64")
	said, err := exec.Command(at, "version").CombinedOutput()
	require.NoError(t, err, string(said))
	assert.True(t, strings.HasPrefix(string(said), "panelwright 9.8.7 ("), string(said))
}
