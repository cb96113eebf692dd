package changed

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// TestMain keeps the settings of the people and the machine out of the tests' repositories.
func TestMain(m *testing.M) {
	for _, e := range os.Environ() {
		if name, _, _ := strings.Cut(e, "="); strings.HasPrefix(name, "GIT_") {
			os.Unsetenv(name)
		}
	}
	for name, value := range map[string]string{
		"GIT_CONFIG_GLOBAL": os.DevNull, "GIT_CONFIG_NOSYSTEM": "1", "GIT_AUTHOR_NAME": "acme", "GIT_AUTHOR_EMAIL": "acme@example.org",
		"GIT_COMMITTER_NAME": "acme", "GIT_COMMITTER_EMAIL": "acme@example.org", "LANGUAGE": "de", "LC_ALL": "de_DE.UTF-8",
	} {
		os.Setenv(name, value)
	}
	os.Exit(m.Run())
}

type idle struct{}

func (idle) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

type board struct {
	idle
	Name  string            `option:"name" required:"true" help:"its name"`
	Files []pipeline.InPath `option:"files" required:"true" help:"its files"`
}

func (b *board) Parts() pipeline.Parts { return pipeline.Parts{Gives: []string{"boards." + b.Name}} }

func (b *board) ValueTypes() map[string]cty.Type {
	if b.Name == "" {
		return nil
	}
	return map[string]cty.Type{"boards." + b.Name: cty.Object(map[string]cty.Type{"revision": cty.String})}
}

type writeList struct {
	idle
	Also []pipeline.InPath `option:"also" help:"other files"`
}

type rules struct{ idle }

var kinds = []pipeline.Kind{
	{Name: "board", Summary: "Reads a board.", Role: pipeline.Source, New: func() pipeline.Stage { return &board{} }},
	{Name: "rules", Summary: "Judges.", Role: pipeline.Judge, New: func() pipeline.Stage { return &rules{} }},
	{Name: "write_list", Summary: "Writes.", Role: pipeline.Write, New: func() pipeline.Stage { return &writeList{} }},
}

// repository is a repository of its own in a new folder.
type repository struct {
	t   testing.TB
	dir string
}

func newRepository(t testing.TB, dir string) repository {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("the program git is not here")
	}
	r := repository{t, dir}
	require.NoError(t, os.MkdirAll(dir, 0o755))
	r.git("init", "-q", "-b", "main", "--template=")
	return r
}

func (r repository) git(args ...string) string {
	r.t.Helper()
	c := exec.Command("git", append([]string{"-c", "protocol.file.allow=always", "-c", "gc.auto=0", "-c", "maintenance.auto=false"}, args...)...)
	c.Dir = r.dir
	out, err := c.CombinedOutput()
	require.NoError(r.t, err, "git %v: %s", args, out)
	return strings.TrimSpace(string(out))
}

func (r repository) commit(message string) {
	r.t.Helper()
	r.git("add", "-A")
	r.git("commit", "-q", "-m", message)
}

func (r repository) path(name string) string { return filepath.Join(r.dir, filepath.FromSlash(name)) }

func (r repository) write(name, text string) {
	r.t.Helper()
	require.NoError(r.t, os.MkdirAll(filepath.Dir(r.path(name)), 0o755))
	require.NoError(r.t, os.WriteFile(r.path(name), []byte(text), 0o644))
}

func (r repository) remove(name string) {
	r.t.Helper()
	require.NoError(r.t, os.RemoveAll(r.path(name)))
}

func (r repository) rename(old, name string) {
	r.t.Helper()
	require.NoError(r.t, os.MkdirAll(filepath.Dir(r.path(name)), 0o755))
	require.NoError(r.t, os.Rename(r.path(old), r.path(name)))
}

func (r repository) link(name, target string) {
	r.t.Helper()
	require.NoError(r.t, os.MkdirAll(filepath.Dir(r.path(name)), 0o755))
	if err := os.Symlink(filepath.FromSlash(target), r.path(name)); err != nil {
		r.t.Skipf("no symbolic links here: %v", err)
	}
}

// recipe writes a recipe with a board of the files.
func (r repository) recipe(name, builtTo string, files ...string) {
	r.t.Helper()
	quoted := make([]string, len(files))
	for i, f := range files {
		quoted[i] = fmt.Sprintf("%q", f)
	}
	if builtTo != "" {
		builtTo = fmt.Sprintf("  built_to = [%q]\n", builtTo)
	}
	r.write("recipes/"+name+".panel.hcl", fmt.Sprintf(
		"panel %q {\n  revision = \"A\"\n%s}\nstage \"board\" {\n  name  = \"gauge\"\n  files = [%s]\n}\nstage \"rules\" {}\nstage \"write_list\" {}\n",
		name, builtTo, strings.Join(quoted, ", ")))
}

func (repository) old() time.Time { return time.Unix(1_600_000_000, 0) }
