package known

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestImage holds what is read out of a program against what Go's own tool says of it, and sees that it changes with the code
// where version and size stay.
func TestImage(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles programs")
	}
	dir := t.TempDir()
	build := func(name, code string, flags ...string) string {
		t.Helper()
		at, out := filepath.Join(dir, name+".go"), filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(at, []byte(code), 0o644))
		c := exec.Command("go", append(append([]string{"build", "-o", out}, flags...), at)...)
		c.Env = append(os.Environ(), "CGO_ENABLED=0")
		text, err := c.CombinedOutput()
		require.NoError(t, err, string(text))
		return out
	}
	one := build("one", "package main\nfunc main() { println(1) }\n")
	two := build("two", "package main\nfunc main() { println(2) }\n")
	id := func(path string) string {
		t.Helper()
		got, err := linkerID(path)
		require.NoError(t, err)
		return got
	}
	want, err := exec.Command("go", "tool", "buildid", one).Output()
	require.NoError(t, err)
	assert.Equal(t, strings.TrimSpace(string(want)), id(one))
	assert.NotEqual(t, id(one), id(two))
	assert.Empty(t, id(build("three", "package main\nfunc main() {}\n", "-ldflags=-buildid=")), "then the file's own sum stands for it")
	mine, err := Image()
	require.NoError(t, err)
	assert.Regexp(t, `^(go .{40,}|sha256 [0-9a-f]{64})$`, mine)
}
