package run

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

func TestBuildWritesAWholeFolder(t *testing.T) {
	dir := t.TempDir()
	plan := load(t, project(t, dir), kinds())
	opt := options(filepath.Join(dir, "build"))
	var console bytes.Buffer
	opt.Console = &console
	proved := false
	opt.Prove = func(_ context.Context, in ProofInput) ([]pipeline.Finding, error) {
		proved = true
		assert.Equal(t, []string{"fab/gauge-copper-1-top.gbr", "fab/notes/read-first.txt"}, in.Outputs)
		assert.Len(t, in.Panel.Copies(), 1)
		data, err := in.Read("fab/notes/read-first.txt")
		assert.Equal(t, "X00000000\nX00000001\nX00000002\nX00000003\n", string(data))
		at := geom.Pt(1_500_000, -1)
		return []pipeline.Finding{{Rule: "proof", Severity: pipeline.Note, Message: "all there", At: &at}}, err
	}
	out, err := Build(t.Context(), plan, opt)
	require.NoError(t, err)
	assert.True(t, proved)
	assert.True(t, out.Released)
	assert.Equal(t, filepath.Join(dir, "build", "gauge-12up"), out.Dir)
	assert.Len(t, out.Findings, 9)

	got := tree(t, out.Dir)
	assert.Equal(t, "build.log fab/gauge-copper-1-top.gbr fab/notes/read-first.txt gauge-fab.zip manifest.json panel.json report/findings.json report/findings.sarif report/junit.xml", names(got))
	assert.Empty(t, leftovers(t, opt.OutDir))

	var m Manifest
	require.NoError(t, json.Unmarshal([]byte(got["manifest.json"]), &m))
	assert.Equal(t, ToolName{"panelwright", "1.2.3"}, m.Tool)
	assert.Equal(t, "gauge-12up C", m.Panel+" "+m.Revision)
	assert.Equal(t, FindingCounts{Warning: 8, Note: 1}, m.Findings)
	require.Len(t, m.Recipe, 1)
	assert.Equal(t, FileSum{Name: "gauge.panel.hcl", SHA256: sumOf([]byte(gaugeRecipe)), Bytes: int64(len(gaugeRecipe))}, m.Recipe[0])
	var inputs []string
	for _, f := range m.Inputs {
		inputs = append(inputs, f.Name)
	}
	assert.Equal(t, []string{"../data/gauge/bottom/copper.gbr", "../data/gauge/bottom/readme [1]",
		"../data/gauge/outline.gbr", "../data/gauge/top/copper.gbr"}, inputs)
	assert.Equal(t, FileSum{Name: "../data/gauge/outline.gbr", SHA256: sumOf([]byte("M02*")), Bytes: 4}, m.Inputs[2])
	assert.Len(t, m.Outputs, 8, "every file but the manifest")
	for _, o := range m.Outputs {
		assert.Equal(t, sumOf([]byte(got[o.Name])), o.SHA256, o.Name)
		assert.EqualValues(t, len(got[o.Name]), o.Bytes, o.Name)
	}
	assert.True(t, wholeBuild(out.Dir, "gauge-12up", ""))

	assert.Contains(t, got["report/findings.json"], "\"at\": {\n        \"x\": 1.5,\n        \"y\": -0.000001\n", "places in mm")
	assert.NotContains(t, got["report/findings.json"], `"X"`)

	for line := range strings.Lines(got["build.log"]) {
		var event map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &event), line)
		assert.NotContains(t, event, "time")
	}
	assert.Contains(t, got["build.log"], `"stage":"board","files":4,"message":"board read"`)
	assert.Regexp(t, `(?m)^ +\d+\.\d{3} s  board +board read  files=4$`, console.String())
	for name, text := range got {
		assert.NotContains(t, text, dir, "%s holds an absolute path", name)
	}
}

func TestArchivesAreDeterministicZips(t *testing.T) {
	dir := t.TempDir()
	plan := load(t, project(t, dir), kinds())
	read := func(epoch *int64) *zip.Reader {
		opt := options(filepath.Join(dir, "build"))
		opt.SourceDateEpoch = epoch
		out, err := Build(t.Context(), plan, opt)
		require.NoError(t, err)
		data := tree(t, out.Dir)["gauge-fab.zip"]
		z, err := zip.NewReader(strings.NewReader(data), int64(len(data)))
		require.NoError(t, err)
		return z
	}
	z := read(nil)
	require.Len(t, z.File, 2)
	whole := tree(t, filepath.Join(dir, "build", "gauge-12up"))
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r) // holds the bytes against the sum in the zip, too
		require.NoError(t, err)
		assert.Equal(t, whole["fab/"+f.Name], string(data))
	}
	assert.Less(t, z.File[0].CompressedSize64, z.File[0].UncompressedSize64/2)
	assert.Equal(t, "gauge-copper-1-top.gbr", z.File[0].Name, "without the folder they share")
	assert.Equal(t, "notes/read-first.txt", z.File[1].Name)
	for _, f := range z.File {
		assert.Equal(t, os.FileMode(0o644), f.Mode())
		assert.Equal(t, zip.Deflate, f.Method)
		assert.True(t, f.Modified.Equal(time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)), f.Modified)
	}
	epoch := int64(1_700_000_000) // 2023-11-14T22:13:20Z
	assert.True(t, read(&epoch).File[0].Modified.Equal(time.Unix(epoch, 0)))
	before := int64(5)
	assert.Equal(t, 1980, read(&before).File[0].Modified.UTC().Year(), "a zip cannot say 1970")
}

func TestSharedFolder(t *testing.T) {
	for _, c := range []struct{ want, names string }{
		{"fab/", "fab/a fab/b"}, {"fab/", "fab/a fab/x/b"}, {"fab/x/", "fab/x/a fab/x/y/b"},
		{"", "a fab/b"}, {"", "fab/a fabric/b"}, {"", "a"}, {"fab/", "fab/a"},
	} {
		assert.Equal(t, c.want, sharedFolder(strings.Fields(c.names)), c.names)
	}
}

// The same recipe and inputs give the same bytes, whatever the folder, its depth, the working
// folder, the time zone and the number of workers.
func TestSameBytesAnywhere(t *testing.T) {
	var trees []map[string]string
	for i, deep := range []string{"a", "b/much/deeper/and [odd] ü", "c d"} {
		dir := filepath.Join(t.TempDir(), filepath.FromSlash(deep))
		path := project(t, dir)
		t.Chdir(filepath.Join(dir, [...]string{"recipes", "data", "."}[i]))
		t.Setenv("TZ", [...]string{"UTC", "Pacific/Auckland", "America/Caracas"}[i])
		rel, err := filepath.Rel(must(os.Getwd()), path)
		require.NoError(t, err)
		opt := options([...]string{"build", "", filepath.Join(dir, "elsewhere")}[i])
		opt.Workers = []int{1, 2, 7}[i]
		if i == 1 {
			opt.Console = &bytes.Buffer{}
			rel = path
		}
		out, err := Build(t.Context(), load(t, rel, kinds()), opt)
		require.NoError(t, err)
		trees = append(trees, tree(t, out.Dir))
	}
	assert.Equal(t, trees[0], trees[1])
	assert.Equal(t, trees[0], trees[2])
}

func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}

func TestAnErrorFindingClosesTheGate(t *testing.T) {
	for _, from := range []string{"rules", "proof"} {
		t.Run(from, func(t *testing.T) {
			dir := t.TempDir()
			list, opt := kinds(), options(filepath.Join(dir, "build"))
			if from == "rules" {
				list = with("rules", judge(pipeline.Error))
			} else {
				opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) {
					return []pipeline.Finding{{Rule: "object-missing", Severity: pipeline.Error, Message: "a flash is missing"}}, nil
				}
			}
			out, err := Build(t.Context(), load(t, project(t, dir), list), opt)
			require.NoError(t, err)
			assert.False(t, out.Released)
			got := tree(t, out.Dir)
			assert.NotContains(t, got, "gauge-fab.zip")
			assert.Contains(t, got["manifest.json"], `"notice": "NOT FOR RELEASE: `)
			assert.Contains(t, got["report/findings.json"], `"notice": "NOT FOR RELEASE: `)
			assert.Contains(t, got["manifest.json"], `"released": false`)
		})
	}
}

func TestCheckOnlyTouchesNothing(t *testing.T) {
	dir := t.TempDir()
	path := project(t, dir)
	before := tree(t, dir)
	opt := options(filepath.Join(dir, "build"))
	opt.CheckOnly = true
	out, err := Build(t.Context(), load(t, path, with("write_fab", panics)), opt)
	require.NoError(t, err)
	assert.Len(t, out.Findings, 8)
	assert.Len(t, out.Inputs, 4)
	assert.Equal(t, before, tree(t, dir))
	assert.NoDirExists(t, opt.OutDir)
}

func panics(context.Context, *pipeline.Env, panel.Panel, pipeline.InPath) (pipeline.Result, error) {
	var nothing []int
	return pipeline.Result{}, errors.New(strconv.Itoa(nothing[len(nothing)]))
}

// What a stage does wrong ends in one message at its line of the recipe, of the right kind, and
// leaves no trace.
func TestStageErrors(t *testing.T) {
	const fault, input, broken = "fault", "input", "machine"
	create := func(names ...string) fakeRun {
		return func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
			for _, n := range names {
				w, err := env.Files.Create(n)
				if err != nil {
					return pipeline.Result{}, err
				}
				if err := w.Close(); err != nil {
					return pipeline.Result{}, err
				}
			}
			return pipeline.Result{Panel: in}, nil
		}
	}
	const outside = `a build writes inside its build folder only; give a name relative to it, without ".."`
	for name, c := range map[string]struct {
		stage string
		run   fakeRun
		class string
		want  string
	}{
		"plain error": {"array", func(context.Context, *pipeline.Env, panel.Panel, pipeline.InPath) (pipeline.Result, error) {
			return pipeline.Result{}, errors.New("no board is called \"gage\"\n    name one of: gauge")
		}, input, `gauge.panel.hcl:5:1: stage array: no board is called "gage"`},
		"panic":           {"array", panics, fault, "gauge.panel.hcl:5: stage array: runtime error: index out of range [0] with length 0 (at run/build_test.go:"},
		"climbs out":      {"write_fab", create("../evil.gbr"), input, "gauge.panel.hcl:7:1: stage write_fab: output \"../evil.gbr\": " + outside},
		"absolute":        {"write_fab", create("/tmp/evil.gbr"), input, `output "/tmp/evil.gbr": ` + outside},
		"drive":           {"write_fab", create("c:evil.gbr"), input, `output "c:evil.gbr": ` + outside},
		"inner climb":     {"write_fab", create("fab/../../evil.gbr"), input, outside},
		"backslash climb": {"write_fab", create(`fab\..\..\evil.gbr`), input, outside},
		"backslash":       {"write_fab", create(`fab\evil.gbr`), input, "no part of a name holds"},
		"not clean":       {"write_fab", create("fab//x"), input, "is not a plain relative name"},
		"hidden":          {"write_fab", create("fab/.x"), input, "no part of a name begins with a dot"},
		"device":          {"write_fab", create("fab/nul.gbr"), input, `"nul.gbr" is a device on some systems`},
		"twice":           {"write_fab", create("fab/x", "fab/x"), input, `output "fab/x": was made before in this build`},
		"twice but case":  {"write_fab", create("fab/x", "fab/X"), input, `output "fab/X": was made before in this build, as "fab/x"`},
		"folder case":     {"write_fab", create("fab/x", "Fab/y"), input, `the folder was made before as "fab/"; use one spelling`},
		"file as folder":  {"write_fab", create("fab", "fab/y"), input, `"fab" was made before, as a file`},
		"folder as file":  {"write_fab", create("fab/y", "fab"), input, `a folder of that name was made before`},
		"manifest":        {"write_fab", create("manifest.json"), input, "the build itself writes manifest.json"},
		"findings":        {"write_fab", create("Report/Findings.json"), input, "the build itself writes report/findings.json"},
		"judge writes":    {"rules", create("fab/x"), fault, `makes the file "fab/x", which only stages of the role write may`},
		"left open": {"write_fab", func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
			_, err := env.Files.Create("fab/x")
			return pipeline.Result{Panel: in}, err
		}, fault, "left the file fab/x open"},
		"judge shapes": {"rules", func(_ context.Context, _ *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
			p, err := in.Edit().AddMark(panel.Mark{ID: "fiducial/1"}).Build()
			return pipeline.Result{Panel: p}, err
		}, fault, "changed the panel, which a stage of the role judge must not"},
		"odd severity": {"rules", judge("grave"), fault, `reported a finding of the unknown severity "grave"`},
		"machine's failure told as text": {"write_fab", func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
			f := env.Files.(*Files)
			if err := os.RemoveAll(f.stage); err != nil {
				return pipeline.Result{}, err
			}
			if err := os.WriteFile(f.stage, nil, 0o644); err != nil {
				return pipeline.Result{}, err
			}
			_, err := env.Files.Create("fab/x")
			return pipeline.Result{}, fmt.Errorf("cannot write: %v", err)
		}, broken, "cannot write: fab/x: cannot be written: not a directory"},
		"archive of nothing": {"write_fab", func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
			return pipeline.Result{}, env.Files.Archive("x.zip", []string{"fab/none"})
		}, input, `output "x.zip": its member "fab/none" was not made in this build`},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := project(t, dir)
			opt := options(filepath.Join(dir, "build"))
			_, err := Build(t.Context(), load(t, path, with(c.stage, c.run)), opt)
			require.ErrorContains(t, err, c.want)
			assert.Equal(t, 1, strings.Count(err.Error(), "stage "+c.stage), "named once: %v", err)
			var m *MachineError
			var f *FaultError
			assert.Equal(t, c.class == broken, errors.As(err, &m), "machine: %v", err)
			assert.Equal(t, c.class == fault, errors.As(err, &f), "fault: %v", err)
			assert.NoDirExists(t, opt.OutDir, "an output folder made for nothing is taken away")
			assert.NoFileExists(t, filepath.Join(dir, "evil.gbr"))
		})
	}
}

func TestProofThatCannotRun(t *testing.T) {
	dir := t.TempDir()
	opt := options(filepath.Join(dir, "build"))
	opt.Prove = func(_ context.Context, in ProofInput) ([]pipeline.Finding, error) {
		_, err := in.Read("fab/none")
		return nil, err
	}
	_, err := Build(t.Context(), load(t, project(t, dir), kinds()), opt)
	assert.EqualError(t, err, `the proof of the written files cannot be carried out: output "fab/none": was not made in this build`)
}

// Ctrl-C at any stage leaves the old build as it was and nothing beside it.
func TestInterrupted(t *testing.T) {
	dir := t.TempDir()
	path := project(t, dir)
	opt := options(filepath.Join(dir, "build"))
	first, err := Build(t.Context(), load(t, path, kinds()), opt)
	require.NoError(t, err)
	before := tree(t, first.Dir)
	opt.Program.Version = "2"
	for _, k := range kinds() {
		for _, how := range []string{"notices", "does not notice"} {
			ctx, cancel := context.WithCancel(t.Context())
			run := k.New().(*fake).run
			list := with(k.Name, func(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error) {
				cancel()
				if how == "notices" {
					return pipeline.Result{}, fmt.Errorf("while working: %w", ctx.Err())
				}
				return run(context.WithoutCancel(ctx), env, in, files)
			})
			_, err := Build(ctx, load(t, path, list), opt)
			assert.ErrorIs(t, err, ErrInterrupted, "%s %s", k.Name, how)
			assert.Equal(t, before, tree(t, first.Dir))
			assert.Empty(t, leftovers(t, opt.OutDir))
		}
	}
}

func TestSecondBuildOfTheSamePanel(t *testing.T) {
	dir := t.TempDir()
	path := project(t, dir)
	opt := options(filepath.Join(dir, "build"))
	list := with("write_fab", func(ctx context.Context, env *pipeline.Env, in panel.Panel, files pipeline.InPath) (pipeline.Result, error) {
		_, err := Build(ctx, load(t, path, kinds()), opt)
		assert.EqualError(t, err, fmt.Sprintf("another build of gauge-12up is running (process %d); wait for it to end", os.Getpid()))
		var m *MachineError
		assert.ErrorAs(t, err, &m)
		return writeFiles(ctx, env, in, files)
	})
	_, err := Build(t.Context(), load(t, path, list), opt)
	require.NoError(t, err)
	_, err = Build(t.Context(), load(t, path, kinds()), opt)
	require.NoError(t, err, "the lock is gone")
}

// What a build did not make is never replaced.
func TestForeignFolders(t *testing.T) {
	for name, c := range map[string]struct {
		lay  func(t *testing.T, target string, build func())
		want string
	}{
		"a folder of the user's": {func(t *testing.T, target string, _ func()) {
			require.NoError(t, os.MkdirAll(target, 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(target, "plan.odt"), nil, 0o644))
		}, "was not made by a build of gauge-12up (its manifest.json does not say so), and a build replaces the whole folder; move it elsewhere"},
		"another program's manifest": {func(t *testing.T, target string, _ func()) {
			require.NoError(t, os.MkdirAll(target, 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(target, "manifest.json"), []byte(`{"schema":1,"name":"x"}`), 0o644))
		}, "was not made by a build of gauge-12up"},
		"a file": {func(t *testing.T, target string, _ func()) {
			require.NoError(t, os.MkdirAll(filepath.Dir(target), 0o755))
			require.NoError(t, os.WriteFile(target, nil, 0o644))
		}, "is in the way of the build folder; move it elsewhere"},
		"a link": {func(t *testing.T, target string, _ func()) {
			require.NoError(t, os.MkdirAll(filepath.Dir(target), 0o755))
			require.NoError(t, os.Symlink("../data", target))
		}, "is in the way of the build folder; move it elsewhere"},
		"notes beside the build's files": {func(t *testing.T, target string, build func()) {
			build()
			for _, n := range []string{"fab/notes.txt", "a", "b", "c"} {
				require.NoError(t, os.WriteFile(filepath.Join(target, n), nil, 0o644))
			}
		}, "holds files that no build made, and a build replaces the whole folder; move them elsewhere: a, b, c and 1 more"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := project(t, dir)
			opt := options(filepath.Join(dir, "build"))
			c.lay(t, filepath.Join(opt.OutDir, "gauge-12up"), func() {
				_, err := Build(t.Context(), load(t, path, kinds()), opt)
				require.NoError(t, err)
			})
			before := tree(t, dir)
			_, err := Build(t.Context(), load(t, path, kinds()), opt)
			require.ErrorContains(t, err, "gauge-12up: "+c.want)
			assert.Equal(t, before, tree(t, dir))
		})
	}
	t.Run("an empty folder and what a file browser strews are no hindrance", func(t *testing.T) {
		dir := t.TempDir()
		path := project(t, dir)
		opt := options(filepath.Join(dir, "build"))
		target := filepath.Join(opt.OutDir, "gauge-12up")
		require.NoError(t, os.MkdirAll(target, 0o755))
		for range 2 {
			_, err := Build(t.Context(), load(t, path, kinds()), opt)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(target, "fab", ".DS_Store"), nil, 0o644))
		}
	})
}

func TestPanelNames(t *testing.T) {
	for _, name := range []string{"", "..", ".x", "a/b", `a\b`, "con", "x.", strings.Repeat("x", 101), "a\x00b"} {
		plan := load(t, project(t, t.TempDir()), kinds())
		plan.Name = name
		_, err := Build(t.Context(), plan, options(t.TempDir()))
		assert.ErrorContains(t, err, "the name becomes a folder", "%q", name)
	}
}

func TestEpochFromEnvironment(t *testing.T) {
	for text, want := range map[string]int64{"0": 0, "1700000000": 1_700_000_000} {
		t.Setenv("SOURCE_DATE_EPOCH", text)
		got, err := EpochFromEnvironment()
		require.NoError(t, err)
		assert.Equal(t, want, *got)
	}
	for _, text := range []string{"-1", "soon", "1.5", "9999999999999999999"} {
		t.Setenv("SOURCE_DATE_EPOCH", text)
		_, err := EpochFromEnvironment()
		assert.ErrorContains(t, err, "must be a number of seconds since 1970", text)
	}
	t.Setenv("SOURCE_DATE_EPOCH", "")
	got, err := EpochFromEnvironment()
	assert.NoError(t, err)
	assert.Nil(t, got)
}
