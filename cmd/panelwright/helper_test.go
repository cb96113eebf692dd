package main

import (
	"bytes"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/cmd/program"
	"panelwright/pipeline/cli"
)

// The example of helpers in Python and shell as a shop runs it: a whole build with its proof, which is not needed a second
// time; built anew when a helper's file changes; and a build that a helper spoils leaves the last one as it was.
func TestHelpersExample(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("there is no python3 here")
	}
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("there is no sh here")
	}
	where, err := exec.Command(python, "-c", "import sys; print(sys.executable)").Output() // not a stand-in that looks for it each time
	require.NoError(t, err)
	t.Setenv("PATH", filepath.Dir(strings.TrimSpace(string(where)))+string(os.PathListSeparator)+os.Getenv("PATH"))

	boards, err := demoBoards()
	require.NoError(t, err)
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Join(root(t), "stages", "shophelper", "testdata"))))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "boards", "probe"), os.DirFS(filepath.Join(boards, "probe"))))
	recipe, out := filepath.Join(dir, "probe.panel.hcl"), filepath.Join(dir, "build")
	run := func() (int, string) { return build("build", "-o", out, recipe) }

	code, said := run()
	require.Zero(t, code, said)
	assert.Contains(t, said, "4 numbers are needed and the block ends with 1209: ask for a new block")
	panel := filepath.Join(out, "probe-4up")
	first := files(t, panel)
	assert.Equal(t, "copy,board,lot\nA1,probe,2531\nB1,probe,2531\nC1,probe,2531\nD1,probe,2531\n", string(first["shop/labels/labels.csv"]))
	assert.Contains(t, string(first["fab/probe-4up-notes.txt"]), `letters 1.5 high: "WP01207", in legend on the top`)
	assert.Contains(t, string(first["manifest.json"]), `"file": "helpers/prefixes.csv"`)
	assert.Contains(t, string(first["report/findings.json"]), `"rule": "serial-used-up"`)
	var proved bytes.Buffer
	code = cli.Main(program.New("panelwright", version), []string{"readback", "--sources", dir, panel}, strings.NewReader(""), &proved, &proved)
	require.Zero(t, code, proved.String())

	code, said = run()
	require.Zero(t, code, said)
	assert.Contains(t, said, "unchanged")

	swap(t, filepath.Join(dir, "helpers", "prefixes.csv"), "probe,WP", "probe,PR")
	code, said = run()
	require.Zero(t, code, said)
	second := files(t, panel)
	assert.Contains(t, string(second["panel.json"]), `"PR01207"`)

	for _, spoilt := range []struct{ old, new, said string }{
		{"json.dump(", "sys.exit(\"no table today\")\njson.dump(", "no table today"},
		{`"use": "lettering"`, `"use": "writing"`, "/additions/prints/0/use must be one of"},
	} {
		helper := filepath.Join(dir, "helpers", "serial.py")
		was, err := os.ReadFile(helper)
		require.NoError(t, err)
		swap(t, helper, spoilt.old, spoilt.new)
		code, said = run()
		require.Equal(t, 2, code, said)
		assert.Contains(t, said, spoilt.said)
		assert.Contains(t, said, "probe.panel.hcl:35:1: stage shop_helper: helper serial: ")
		requireSame(t, second, files(t, panel))
		require.NoError(t, os.WriteFile(helper, was, 0o644))
	}
	entries, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, entries, 1, "something half made was left beside the build")
}

// requireSame holds two folders against each other, byte for byte.
func requireSame(t *testing.T, a, b map[string][]byte) {
	t.Helper()
	for name := range maps.Keys(a) {
		require.Equal(t, string(a[name]), string(b[name]), name)
	}
	require.Len(t, b, len(a))
}
