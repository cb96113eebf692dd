package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/run"
)

// The scripts in testdata run whole recipes with small stages of the test's own. With
// UPDATE_SCRIPTS=1 the expected texts are written anew.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") == "1",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_CACHE_HOME", filepath.Join(e.WorkDir, ".cache"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"same": sameTrees, "exits": exits, "await": await,
		},
	})
}

// cached runs the tests with a cache folder of their own.
type cached struct{ *testing.M }

func (m cached) Run() int {
	dir, err := os.MkdirTemp("", "panelwright-cache-")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	os.Setenv("XDG_CACHE_HOME", dir)
	return m.M.Run()
}

func TestMain(m *testing.M) {
	testscript.Main(cached{m}, map[string]func(){
		"panelwright": func() {
			version := "1.2.3"
			if v := os.Getenv("CLI_TEST_VERSION"); v != "" {
				version = v
			}
			os.Exit(Main(Program{
				Name: "panelwright", Version: version, Stages: testKinds(), Rules: testRules(),
				PanelData: panelData, Survey: survey,
			}, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
		"bare": func() { os.Exit(Main(Program{}, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// exits runs a program that must end with the code: exits 2 panelwright build x.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code program args...")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var exit interface{ ExitCode() int }
	if errors.As(err, &exit) {
		code = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(code) != args[0] {
		ts.Fatalf("exit code %d, and %s was expected", code, args[0])
	}
}

// same compares two folders, names and bytes.
func sameTrees(ts *testscript.TestScript, neg bool, args []string) {
	read := func(dir string) map[string]string {
		m := map[string]string{}
		ts.Check(filepath.WalkDir(ts.MkAbs(dir), func(at string, e os.DirEntry, err error) error {
			if err != nil || e.IsDir() {
				return err
			}
			data, err := os.ReadFile(at)
			m[strings.TrimPrefix(at, ts.MkAbs(dir))] = string(data)
			return err
		}))
		return m
	}
	a, b := read(args[0]), read(args[1])
	differ := ""
	if len(a) == 0 {
		ts.Fatalf("%s is empty", args[0])
	}
	for name := range a {
		if a[name] != b[name] {
			differ += " " + name
		}
	}
	if same := differ == "" && len(a) == len(b); same == neg {
		ts.Fatalf("%s and %s: %d and %d files, differing:%s", args[0], args[1], len(a), len(b), differ)
	}
}

// await waits until a file is there.
func await(ts *testscript.TestScript, neg bool, args []string) {
	for range 1000 {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	ts.Fatalf("%s does not come", args[0])
}

// panelData is not the program's own: the expected texts here are the engine's matter alone.
func panelData(p panel.Panel, name, _ string) ([]byte, error) {
	return fmt.Appendf(nil, "{\"panel\": %q, \"copies\": %d}\n", name, len(p.Copies())), nil
}

func survey(ctx context.Context, files pipeline.Files, paths []pipeline.InPath, w io.Writer, asJSON bool,
	keep func(string, []byte) (string, error)) (bool, error) {
	if keep != nil {
		path, err := keep("board-top.svg", []byte("<svg/>"))
		if err != nil {
			return false, err
		}
		fmt.Fprintln(w, path)
	}
	for _, p := range paths {
		list, err := files.List(ctx, p)
		if err != nil {
			return false, err
		}
		for _, f := range list {
			fmt.Fprintln(w, f.Text, asJSON)
		}
	}
	return true, nil
}

func testKinds() []pipeline.Kind {
	kind := func(name string, role pipeline.Role, summary string, make func() pipeline.Stage) pipeline.Kind {
		return pipeline.Kind{Name: name, Role: role, Summary: summary, New: make, Contract: pipeline.Contract}
	}
	return []pipeline.Kind{
		kind("write_list", pipeline.Write, "Writes a list of the copies.", func() pipeline.Stage { return &writeList{} }),
		kind("board", pipeline.Source, "Reads a board.", func() pipeline.Stage { return &readBoard{} }),
		kind("array", pipeline.Shape, "Repeats a board.", func() pipeline.Stage { return &array{Columns: 2} }),
		kind("trouble", pipeline.Shape, "Does what no stage should.", func() pipeline.Stage { return &trouble{} }),
		kind("rules", pipeline.Judge, "Judges the panel.", func() pipeline.Stage { return &rules{} }),
	}
}

func testRules() []pipeline.Rule {
	most := 6.0
	byTheStage := func(context.Context, pipeline.Case) ([]pipeline.Finding, error) { return nil, nil } // which judges for itself
	return []pipeline.Rule{
		{Name: "copies", Contract: pipeline.Contract, Judge: byTheStage, Summary: "The number of copies on a panel.", Bound: pipeline.AtMost, Default: &most, Severity: pipeline.Error, Source: "common practice, no published source"},
		{Name: "copies-overlap", Contract: pipeline.Contract, Judge: byTheStage, Summary: "No two copies overlap.", Severity: pipeline.Error},
	}
}

// readBoard reads a board's files; each says how wide it is.
type readBoard struct {
	Name  string          `option:"name" required:"true" help:"the board's name"`
	Files pipeline.InPath `option:"files" required:"true" help:"folder or file"`
}

func (b *readBoard) Parts() pipeline.Parts {
	return pipeline.Parts{Gives: []string{"boards." + b.Name}}
}

func (b *readBoard) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"boards." + b.Name: cty.Object(map[string]cty.Type{"width": cty.Number})}
}

func (b *readBoard) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	list, err := env.Files.List(ctx, b.Files)
	if err != nil {
		return pipeline.Result{}, err
	}
	board := &panel.Board{Name: b.Name}
	width := 0
	for _, f := range list {
		data, err := env.Files.Read(ctx, f)
		if err != nil {
			return pipeline.Result{}, err
		}
		if width, err = strconv.Atoi(strings.TrimSpace(string(data))); err != nil {
			return pipeline.Result{}, fmt.Errorf("%s: is not a width in mm: %q\n    write a whole number", f.Text, data)
		}
		board.Sources = append(board.Sources, panel.SourceFile{Name: f.Text, Bytes: int64(len(data)), Use: "width"})
	}
	w := geom.FromMM(float64(width))
	board.Outline.Outer = geom.Rectangle(geom.Box{Max: geom.Pt(w, w)})
	env.Log.Info().Int("width", width).Msg("board read")
	p, err := in.Edit().AddBoard(board).Build()
	return pipeline.Result{Panel: p, Values: map[string]cty.Value{
		"boards." + b.Name: cty.ObjectVal(map[string]cty.Value{"width": cty.NumberIntVal(int64(width))}),
	}}, err
}

type array struct {
	Board   string      `option:"board" required:"true" help:"which board to repeat"`
	Columns int         `option:"columns" range:"1..200" help:"copies side by side"`
	Gap     geom.Length `option:"gap" range:"0..100" help:"board edge to board edge"`
	Note    string      `option:"note" choice:"short|long" help:"how much to say"`
}

func (a *array) Parts() pipeline.Parts {
	return pipeline.Parts{Needs: []string{"boards." + a.Board}, Gives: []string{"copies"}}
}

func (a *array) Run(_ context.Context, _ *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	edit := in.Edit()
	b := in.Board(a.Board)
	for i := range a.Columns {
		at := geom.Pt((b.Outline.Box().Max.X+a.Gap)*geom.Length(i), 0)
		edit.AddCopy(panel.Copy{ID: string(rune('A'+i)) + "1", Board: b, Place: geom.Transform{Shift: at}, Column: i})
	}
	p, err := edit.Build()
	return pipeline.Result{Panel: p}, err
}

type trouble struct {
	Kind string `option:"kind" required:"true" choice:"panic|wait" help:"which"`
}

func (t *trouble) Run(ctx context.Context, _ *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if t.Kind == "panic" {
		var none []int
		_ = none[len(in.Copies())+5]
	}
	if err := os.WriteFile(os.Getenv("CLI_TEST_WAITING"), nil, 0o644); err != nil {
		return pipeline.Result{}, err
	}
	<-ctx.Done()
	return pipeline.Result{}, ctx.Err()
}

type limit struct {
	Rule   string  `label:"0"`
	AtMost float64 `option:"at_most" required:"true" help:"the most that is allowed"`
}

type rules struct {
	Limits []limit `block:"limit" labels:"1" help:"a rule's limit"`
}

func (r *rules) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	most, option := *env.Rules[0].Default, ""
	for _, l := range r.Limits {
		most, option = l.AtMost, "limit copies at_most"
	}
	n := float64(len(in.Copies()))
	for i, c := range in.Copies() {
		if float64(i) >= most {
			env.Report(pipeline.Finding{Rule: "copies", Severity: pipeline.Error, Feature: c.ID, Message: "is one copy too many", Measured: &n, Limit: &most, Option: option})
		}
	}
	env.Report(pipeline.Finding{Rule: "copies", Severity: pipeline.Note, Message: "counted", Measured: &n})
	return pipeline.Result{Panel: in}, nil
}

type writeList struct {
	Folder string `option:"folder" help:"where the list goes"`
	Loose  bool   `option:"loose" help:"no archive, whose bytes are the packer's matter"`
}

// Schemas is of JSON that it might write.
func (w *writeList) Schemas() map[string][]byte {
	return map[string][]byte{"copies": []byte("{\"type\": \"array\"}\n"), "count": []byte("{\"type\": \"number\"}\n")}
}

func (w *writeList) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	folder := "fab"
	if w.Folder != "" {
		folder = w.Folder
	}
	name := folder + "/" + env.Panel + "-copies.txt"
	f, err := env.Files.Create(name)
	if err != nil {
		return pipeline.Result{}, err
	}
	for _, c := range in.Copies() {
		fmt.Fprintln(f, c.ID)
	}
	if err := f.Close(); err != nil {
		return pipeline.Result{}, err
	}
	if w.Loose {
		return pipeline.Result{Panel: in}, nil
	}
	return pipeline.Result{Panel: in}, env.Files.Archive(env.Panel+"-fab.zip", []string{name})
}

func TestExitCodesAreTheirOwn(t *testing.T) {
	require.Equal(t, 130, exitCode(fmt.Errorf("x: %w", run.ErrInterrupted)))
	require.Equal(t, 130, exitCode(context.Canceled))
	require.Equal(t, 3, exitCode(fmt.Errorf("x: %w", &run.MachineError{Err: errors.New("full")})))
	require.Equal(t, 3, exitCode(&run.FaultError{}))
	require.Equal(t, 2, exitCode(errors.New("any other")))
	require.Equal(t, 0, exitCode(nil))
}

// A result that could not be handed over is no success.
func TestStandardOutputThatFails(t *testing.T) {
	var said strings.Builder
	code := Main(Program{}, []string{"version"}, nil, failing{}, &said)
	require.Equal(t, 3, code)
	require.Equal(t, "standard output cannot be written: no room\n", said.String())
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no room") }

// A panic outside the stages ends in words too.
func TestPanicOutsideTheStages(t *testing.T) {
	var out, said strings.Builder
	code := Main(Program{
		Survey: func(context.Context, pipeline.Files, []pipeline.InPath, io.Writer, bool, func(string, []byte) (string, error)) (bool, error) {
			panic("odd")
		},
	}, []string{"survey", "."}, nil, &out, &said)
	require.Equal(t, 3, code)
	require.Regexp(t, `^internal fault: odd \(at cli/script_test.go:\d+\)\n    This is a mistake in the program`, said.String())
	require.NotContains(t, said.String(), "goroutine")
}
