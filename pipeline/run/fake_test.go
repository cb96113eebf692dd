package run

import (
	"context"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
)

// fake is a stage whose Run is a function. Several kinds of it make recipes for the tests.
type fake struct {
	Files pipeline.InPath `option:"files" help:"what to read"`
	run   func(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error)
}

func (f *fake) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	return f.run(ctx, env, in, f.Files)
}

type fakeRun = func(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error)

func kindOf(name string, role pipeline.Role, run fakeRun) pipeline.Kind {
	return pipeline.Kind{Name: name, Summary: "A stage for tests.", Role: role, New: func() pipeline.Stage { return &fake{run: run} }}
}

// readFiles reads all that files means and makes a board of it.
func readFiles(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error) {
	list, err := env.Files.List(ctx, files)
	if err != nil {
		return pipeline.Result{}, err
	}
	b := &panel.Board{Name: "gauge", Outline: geom.Outline{Outer: square(60)}}
	for _, f := range list {
		data, err := env.Files.Read(ctx, f)
		if err != nil {
			return pipeline.Result{}, err
		}
		b.Sources = append(b.Sources, panel.SourceFile{Name: f.Text, Bytes: int64(len(data))})
	}
	env.Log.Info().Int("files", len(list)).Msg("board read")
	p, err := in.Edit().AddBoard(b).Build()
	return pipeline.Result{Panel: p}, err
}

func square(mm int) geom.Path {
	s := geom.Length(mm) * geom.FromMM(1)
	return geom.Rectangle(geom.Box{Max: geom.Pt(s, s)})
}

func place(_ context.Context, _ *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
	p, err := in.Edit().AddCopy(panel.Copy{ID: "A1", Board: in.Board("gauge")}).Build()
	return pipeline.Result{Panel: p}, err
}

// judge reports from several goroutines at once, in whatever order they happen to run.
func judge(severity pipeline.Severity) fakeRun {
	return func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
		done := make(chan bool)
		for i := range 8 {
			go func() {
				env.Report(pipeline.Finding{Rule: "hole-spacing", Severity: severity, Message: "too near", Unit: fmt.Sprint(i)})
				done <- true
			}()
		}
		for range 8 {
			<-done
		}
		return pipeline.Result{Panel: in}, nil
	}
}

// writeFiles writes two files, one of some size, and asks for a zip of them.
func writeFiles(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
	for name, n := range map[string]int{"fab/gauge-copper-1-top.gbr": 200_000, "fab/notes/read-first.txt": 40} {
		w, err := env.Files.Create(name)
		if err != nil {
			return pipeline.Result{}, err
		}
		for i := range n / 10 {
			if _, err := fmt.Fprintf(w, "X%08d\n", i); err != nil {
				return pipeline.Result{}, err
			}
		}
		if err := w.Close(); err != nil {
			return pipeline.Result{}, err
		}
	}
	return pipeline.Result{Panel: in},
		env.Files.Archive("gauge-fab.zip", []string{"fab/notes/read-first.txt", "fab/gauge-copper-1-top.gbr"})
}

func kinds() []pipeline.Kind {
	return []pipeline.Kind{
		kindOf("board", pipeline.Source, readFiles),
		kindOf("array", pipeline.Shape, place),
		kindOf("rules", pipeline.Judge, judge(pipeline.Warning)),
		kindOf("write_fab", pipeline.Write, writeFiles),
	}
}

// with gives the kinds, one of them exchanged.
func with(name string, run fakeRun) []pipeline.Kind {
	list := kinds()
	for i := range list {
		if list[i].Name == name {
			list[i] = kindOf(name, list[i].Role, run)
		}
	}
	return list
}

const gaugeRecipe = `panel "gauge-12up" {
  revision = "C"
}
stage "board" { files = "../data/gauge" }
stage "array" {}
stage "rules" {}
stage "write_fab" {}
`

// project lays a recipe and its data under dir and gives the recipe's path.
func project(t testing.TB, dir string) string {
	t.Helper()
	for name, text := range map[string]string{
		"recipes/gauge.panel.hcl":       gaugeRecipe,
		"data/gauge/outline.gbr":        "M02*",
		"data/gauge/top/copper.gbr":     "G04 top*",
		"data/gauge/.hidden":            "not to be read",
		"data/gauge/top/.also/x.gbr":    "not to be read",
		"data/gauge/bottom/copper.gbr":  "G04 bottom*",
		"data/gauge/bottom/readme [1]":  "brackets",
		"data/other/never-read-by-this": "",
	} {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	return filepath.Join(dir, "recipes", "gauge.panel.hcl")
}

func load(t testing.TB, path string, list []pipeline.Kind) *recipe.Plan {
	t.Helper()
	plan, err := recipe.Load(path, recipe.Settings{Kinds: list, ProgramVersion: "1.2.3"})
	require.NoError(t, err)
	return plan
}

func options(out string) Options {
	return Options{OutDir: out, Workers: 2, Program: pipeline.Program{Name: "panelwright", Version: "1.2.3"}, PanelData: panelData}
}

func panelData(p panel.Panel, name, revision string) ([]byte, error) {
	return fmt.Appendf(nil, "{\"schema\": 1, \"panel\": %q, \"copies\": %d}\n", name, len(p.Copies())), nil
}

// tree gives every file below dir with its content.
func tree(t testing.TB, dir string) map[string]string {
	t.Helper()
	m := map[string]string{}
	err := filepath.WalkDir(dir, func(at string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, at)
		if e.Type()&fs.ModeSymlink != 0 {
			to, err := os.Readlink(at)
			m[filepath.ToSlash(rel)] = "-> " + to
			return err
		}
		data, err := os.ReadFile(at)
		m[filepath.ToSlash(rel)] = string(data)
		return err
	})
	require.NoError(t, err)
	return m
}

func names(m map[string]string) string {
	return strings.Join(slices.Sorted(maps.Keys(m)), " ")
}

// leftovers lists what lies beside the build folders.
func leftovers(t testing.TB, out string) []string {
	t.Helper()
	entries, err := os.ReadDir(out)
	require.NoError(t, err)
	var left []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			left = append(left, e.Name())
		}
	}
	return left
}
