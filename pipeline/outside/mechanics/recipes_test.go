package mechanics

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// demoDir holds the demo's recipes and boards.
var demoDir = sync.OnceValues(func() (string, error) {
	root, err := filepath.Abs("../../..")
	if err != nil {
		return "", err
	}
	dir, err := os.MkdirTemp("", "mechanics")
	if err != nil {
		return "", err
	}
	if err := os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root, "recipes"))); err != nil {
		return dir, err
	}
	cmd := exec.Command("go", "run", "./testdata/demoboards", "-o", filepath.Join(dir, "testdata", "boards"))
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil {
		return dir, fmt.Errorf("%w: %s", err, out)
	}
	return dir, nil
})

// madeDemo tells whether there is something to be removed.
var madeDemo bool

func TestMain(m *testing.M) {
	code := m.Run()
	if madeDemo {
		dir, _ := demoDir()
		os.RemoveAll(dir)
	}
	os.Exit(code)
}

// demoPanel is a panel of the demo up to where tabs or score lines are laid; nothing later shapes its material.
func demoPanel(t testing.TB, name string) panel.Panel {
	t.Helper()
	madeDemo = true
	dir, err := demoDir()
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(dir, "recipes", name+".panel.hcl"))
	require.NoError(t, err)
	shape, _, found := strings.Cut(string(text), "stage \"bad_board_marks\"")
	require.True(t, found)
	return built(t, filepath.Join(dir, "recipes", name+"-shape.panel.hcl"), shape)
}

// openPanel is an array of an open board in a frame of rails, with tabs.
func openPanel(t testing.TB, folder string, columns, rows int) panel.Panel {
	t.Helper()
	dir := shared.Dir(t, "boards")
	for _, b := range boardset.All() {
		if b.Folder != folder {
			continue
		}
		base, err := filepath.EvalSymlinks(t.TempDir())
		require.NoError(t, err)
		rel, err := filepath.Rel(base, filepath.Join(dir, b.Folder))
		require.NoError(t, err)
		return built(t, filepath.Join(base, "open.panel.hcl"), "panel \"open\" {\n  revision = \"A\"\n}\n"+b.Stage(filepath.ToSlash(rel))+
			fmt.Sprintf("stage \"array\" {\n  board = %q\n  columns = %d\n  rows = %d\n  gap = \"2 mm\"\n}\n", b.Name(), columns, rows)+
			"stage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\", \"right\"]\n  gap = \"2 mm\"\n}\n"+
			"stage \"breakoff_tabs\" {\n  slot_width = \"2 mm\"\n}\nstage \"support\" {}\n")
	}
	require.Fail(t, "no such board", folder)
	return panel.Panel{}
}

func built(t testing.TB, path, text string) panel.Panel {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0"})
	require.NoError(t, err)
	out, err := run.Build(t.Context(), plan, run.Options{CheckOnly: true, Workers: 2, Rules: rule.All(), Program: pipeline.Program{Name: "panelwright", Version: "0"}})
	require.NoError(t, err)
	require.NotNil(t, out.Panel.Support())
	return out.Panel
}
