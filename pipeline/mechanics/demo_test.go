package mechanics_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// demo gives the panel of one of the demo's recipes, as it is before it is judged; change edits the recipe's text.
func demo(t testing.TB, name string, change func(string) string) panel.Panel {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "recipes", name+".panel.hcl"))
	require.NoError(t, err)
	if change != nil {
		text = []byte(change(string(text)))
	}
	folder, err := filepath.Abs(filepath.Join("..", "..", "recipes"))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "recipes", name+".panel.hcl")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.Symlink(filepath.Join(folder, "standards"), filepath.Join(filepath.Dir(path), "standards")))
	require.NoError(t, os.Symlink(demoBoards(t), filepath.Join(filepath.Dir(path), "..", "testdata")))
	require.NoError(t, os.WriteFile(path, text, 0o666))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0"})
	require.NoError(t, err)
	out, err := run.Build(t.Context(), plan, run.Options{CheckOnly: true, Workers: 2, Rules: rule.All()})
	require.NoError(t, err)
	return out.Panel
}

// demoBoards generates the demo's boards once for all tests here.
func demoBoards(t testing.TB) string {
	t.Helper()
	generate.Do(func() {
		if generated, failed = os.MkdirTemp("", "mechanics-demo"); failed != nil {
			return
		}
		command := exec.Command("go", "run", "./testdata/demoboards", "-o", filepath.Join(generated, "boards"))
		command.Dir = filepath.Join("..", "..")
		if out, err := command.CombinedOutput(); err != nil {
			failed = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(t, failed)
	return generated
}

var (
	generate  sync.Once
	generated string
	failed    error
)

func TestMain(m *testing.M) {
	code := m.Run()
	if generated != "" {
		_ = os.RemoveAll(generated)
	}
	os.Exit(code)
}

// carried states that a panel lies on two rails.
func carried(t testing.TB, p panel.Panel, change func(*panel.Support)) panel.Panel {
	t.Helper()
	s := panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Grip: 5 * geom.MM,
		Force: panel.Constant{Value: 5, Unit: "N"}, Laminate: laminate.Default(), Open: 4 * geom.MM, Fine: 500 * geom.UM}
	if change != nil {
		change(&s)
	}
	out, err := p.Edit().SetSupport(s).Build()
	require.NoError(t, err)
	return out
}
