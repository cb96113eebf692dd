package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"panelwright/cmd/program"
	"panelwright/pipeline/cli"
)

// The mistakes in testdata/mistakes are those that people make in a shop's daily use. Each is a change to the small shop
// in shop.txtar, a call of the program, and all that it says. -update writes what it says anew: read it as somebody who has never seen
// the program. Does it say what is wrong, where, and what to do?
//
// What stands before the files of a case is told first, then comes a line for each step: "edit FILE", where the files old and new say what;
// "remove FILE"; "set NAME VALUE"; "$ panelwright ARGUMENTS"; and "exit CODE".
func TestTypicalMistakes(t *testing.T) {
	dir := filepath.Join(root(t), "testdata", "mistakes")
	shop, err := txtar.ParseFile(filepath.Join(dir, "shop.txtar"))
	require.NoError(t, err)
	cases, err := filepath.Glob(filepath.Join(dir, "*.txtar"))
	require.NoError(t, err)
	require.Greater(t, len(cases), 21)
	for _, at := range cases {
		name := strings.TrimSuffix(filepath.Base(at), ".txtar")
		if name == "shop" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			c, err := txtar.ParseFile(at)
			require.NoError(t, err)
			m := mistake{t: t, archive: c}
			t.Chdir(t.TempDir())
			t.Setenv("XDG_CACHE_HOME", t.TempDir())
			lay(t, shop)
			lay(t, c)
			said := m.carryOut()
			require.NotEmpty(t, said)
			if *update {
				m.keep(said)
				require.NoError(t, os.WriteFile(at, txtar.Format(m.archive), 0o644))
				return
			}
			assert.Equal(t, string(m.file("said")), said)
		})
	}
}

// mistake is one case.
type mistake struct {
	t       *testing.T
	archive *txtar.Archive
}

// lay writes the files of an archive but for those that are the case's own.
func lay(t *testing.T, a *txtar.Archive) {
	for _, f := range a.Files {
		if !strings.Contains(f.Name, ".") && !strings.Contains(f.Name, "/") {
			continue
		}
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.FromSlash(f.Name)), 0o755))
		require.NoError(t, os.WriteFile(filepath.FromSlash(f.Name), f.Data, 0o644))
	}
}

func (m mistake) file(name string) []byte {
	for _, f := range m.archive.Files {
		if f.Name == name {
			return f.Data
		}
	}
	m.t.Fatalf("there is no file %q", name)
	return nil
}

// carryOut does the steps, and gives what the program said.
func (m mistake) carryOut() string {
	said, code := "", -1
	calls := 0
	for line := range strings.Lines(string(m.archive.Comment)) {
		what, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		switch what {
		case "edit":
			text, err := os.ReadFile(filepath.FromSlash(rest))
			require.NoError(m.t, err)
			old, new := m.file("old"), m.file("new")
			require.Equal(m.t, 1, bytes.Count(text, old), "%s must hold once:\n%s", rest, old)
			require.NoError(m.t, os.WriteFile(filepath.FromSlash(rest), bytes.Replace(text, old, new, 1), 0o644))
		case "remove":
			require.NoError(m.t, os.RemoveAll(filepath.FromSlash(rest)))
		case "set":
			name, value, _ := strings.Cut(rest, " ")
			m.t.Setenv(name, value)
		case "$":
			args := strings.Fields(rest)
			require.Equal(m.t, "panelwright", args[0])
			var out, log bytes.Buffer
			code = cli.Main(program.New("panelwright", version), args[1:], strings.NewReader(""), &out, &log)
			said = out.String() + log.String()
			calls++
		case "exit":
			want, err := strconv.Atoi(rest)
			require.NoError(m.t, err)
			require.Equal(m.t, want, code, said)
		}
	}
	require.NotEqual(m.t, -1, code)
	require.Equal(m.t, 1, calls)
	require.Contains(m.t, string(m.archive.Comment), "\nexit ")
	return took.ReplaceAllString(said, "")
}

// took is the log of a stage, which tells how long it took.
var took = regexp.MustCompile(`(?m)^ +\d+\.\d+ s .*\n`)

// keep puts down what the program said.
func (m mistake) keep(said string) {
	for i, f := range m.archive.Files {
		if f.Name == "said" {
			m.archive.Files[i].Data = []byte(said)
			return
		}
	}
	m.archive.Files = append(m.archive.Files, txtar.File{Name: "said", Data: []byte(said)})
}
