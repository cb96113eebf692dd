package run

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
)

// finishingStage is a stage that writes while it runs, and again when all is known.
type finishingStage struct {
	fake
	finish func(env *pipeline.Env, in panel.Panel, end pipeline.End) error
}

func (f *finishingStage) Finish(_ context.Context, env *pipeline.Env, in panel.Panel, end pipeline.End) error {
	return f.finish(env, in, end)
}

// withFinish gives kinds whose stage write_fab finishes.
func withFinish(rules, write fakeRun, finish func(env *pipeline.Env, in panel.Panel, end pipeline.End) error) []pipeline.Kind {
	list := with("rules", rules)
	list[len(list)-1] = pipeline.Kind{Name: "write_fab", Summary: "A stage for tests.", Role: pipeline.Write,
		New: func() pipeline.Stage { return &finishingStage{fake{run: write}, finish} }}
	return list
}

func noFinish(*pipeline.Env, panel.Panel, pipeline.End) error { return nil }

// written makes a file of a few words.
func written(env *pipeline.Env, name, text string) error {
	w, err := env.Files.Create(name)
	if err != nil {
		return err
	}
	if _, err := w.Write([]byte(text)); err != nil {
		return err
	}
	return w.Close()
}

// Finish is called once, after the proof, and knows how the build has turned out; so too where the stages that write were
// run again because the proof decided otherwise.
func TestFinishKnowsAll(t *testing.T) {
	near := pipeline.Finding{Rule: "hole-spacing", Severity: pipeline.Warning, Feature: "A1", Measured: figure(0.2)}
	missing := pipeline.Finding{Rule: "object-missing", Severity: pipeline.Error, Feature: "drawing/stamp.txt"}
	field := pipeline.Field{ID: "share", Title: "Share", Unit: "%", Moment: pipeline.AsCut, Step: 1, Columns: 2, Rows: 1, Values: []float64{1, math.NaN()}}
	for _, c := range []struct {
		name     string
		proof    []pipeline.Finding
		released bool
		found    []string
		runs     int
	}{
		{"released", nil, true, []string{"hole-spacing"}, 1},
		{"kept back by the proof", []pipeline.Finding{missing}, false, []string{"object-missing", "hole-spacing"}, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			var order []string
			judged := func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
				env.Report(near)
				env.Judged(pipeline.Judged{Rule: "hole-spacing", Bound: pipeline.AtLeast, Limit: figure(0.25)})
				env.Show(field)
				return pipeline.Result{Panel: in}, nil
			}
			write := func(ctx context.Context, env *pipeline.Env, in panel.Panel, p pipeline.InPath) (pipeline.Result, error) {
				order = append(order, "run")
				shown := field
				shown.ID = "of the writer"
				env.Show(shown)
				return stamped()(ctx, env, in, p)
			}
			var got pipeline.End
			kinds := withFinish(judged, write, func(env *pipeline.Env, in panel.Panel, end pipeline.End) error {
				order = append(order, "finish")
				got = end
				assert.Len(t, in.Copies(), 1)
				assert.Equal(t, c.released, env.Released())
				if assert.Len(t, end.Fields, 2) { // its own to keep
					end.Fields[0].Values[0] = 7
				}
				return written(env, "report/page.txt", "all is known")
			})
			opt := options(filepath.Join(dir, "build"))
			opt.Rules = gateRules()
			opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) {
				order = append(order, "proof")
				return c.proof, nil
			}
			out, err := Build(t.Context(), load(t, project(t, dir), kinds), opt)
			require.NoError(t, err)
			want := "run proof finish"
			if c.runs == 2 {
				want = "run proof run proof finish"
			}
			assert.Equal(t, want, strings.Join(order, " "))
			assert.Equal(t, c.released, got.Released)
			assert.Equal(t, c.released, got.Notice == "")
			var rules []string
			for _, f := range got.Findings {
				rules = append(rules, f.Rule)
			}
			assert.Equal(t, c.found, rules)
			require.NotNil(t, got.Findings[0].Set, "findings say where they come from")
			assert.Equal(t, out.Judged, got.Judged)
			assert.Equal(t, out.Values, got.Values)
			assert.Equal(t, out.Inputs, got.Inputs)
			require.Len(t, got.Recipe, 1)
			assert.Equal(t, "gauge.panel.hcl", got.Recipe[0].Name)
			assert.Equal(t, 1.0, field.Values[0], "fields are the runner's copies")

			var before []string
			for _, o := range got.Outputs {
				before = append(before, o.Name)
				assert.Len(t, o.SHA256, 64)
			}
			assert.Equal(t, c.released, strings.Contains(strings.Join(before, " "), "gauge-fab.zip"), "archives are made before")
			assert.NotContains(t, before, "report/page.txt")
			files := tree(t, out.Dir)
			assert.Equal(t, "all is known", files["report/page.txt"])
			var m Manifest
			require.NoError(t, json.Unmarshal([]byte(files["manifest.json"]), &m))
			listed := 0
			for _, o := range m.Outputs {
				if o.Name == "report/page.txt" {
					listed++
					assert.Equal(t, sumOf([]byte("all is known")), o.SHA256)
				}
			}
			assert.Equal(t, 1, listed, "the manifest lists what Finish wrote")
		})
	}
}

// A check and a failed build finish nothing.
func TestFinishIsOnlyForBuilds(t *testing.T) {
	called := 0
	finish := func(*pipeline.Env, panel.Panel, pipeline.End) error { called++; return nil }
	dir := t.TempDir()
	opt := options(filepath.Join(dir, "build"))
	opt.CheckOnly = true
	_, err := Build(t.Context(), load(t, project(t, dir), withFinish(reporting(nil), stamped(), finish)), opt)
	require.NoError(t, err)
	opt.CheckOnly = false
	opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) {
		return nil, errors.New("no proof today")
	}
	_, err = Build(t.Context(), load(t, project(t, dir), withFinish(reporting(nil), stamped(), finish)), opt)
	require.Error(t, err)
	assert.Zero(t, called)
}

// What a stage may not do when it finishes is told as a fault of the stage, and no build is left.
func TestFinishRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		finish func(env *pipeline.Env, in panel.Panel, end pipeline.End) error
		says   string
	}{
		{"a finding", func(env *pipeline.Env, _ panel.Panel, _ pipeline.End) error {
			env.Report(pipeline.Finding{Rule: "hole-spacing"})
			return nil
		}, "reported a finding of hole-spacing when all findings had been told"},
		{"an archive", func(env *pipeline.Env, _ panel.Panel, _ pipeline.End) error {
			return env.Files.Archive("late.zip", []string{"drawing/stamp.txt"})
		}, `asks for the archive "late.zip" when the archives have been made`},
		{"a file left open", func(env *pipeline.Env, _ panel.Panel, _ pipeline.End) error {
			_, err := env.Files.Create("report/open.txt")
			return err
		}, "left the file report/open.txt open"},
		{"a file that is there", func(env *pipeline.Env, _ panel.Panel, _ pipeline.End) error {
			return written(env, "drawing/stamp.txt", "again")
		}, "was made before"},
		{"a file of the runner's", func(env *pipeline.Env, _ panel.Panel, _ pipeline.End) error {
			return written(env, "report/findings.json", "mine")
		}, "the build itself writes report/findings.json"},
		{"a panic", func(*pipeline.Env, panel.Panel, pipeline.End) error { panic("no such panel") }, "no such panel"},
		{"an error", func(*pipeline.Env, panel.Panel, pipeline.End) error { return errors.New("the page is too long") }, "the page is too long"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			opt := options(filepath.Join(dir, "build"))
			_, err := Build(t.Context(), load(t, project(t, dir), withFinish(reporting(nil), stamped(), c.finish)), opt)
			require.ErrorContains(t, err, c.says)
			assert.ErrorContains(t, err, "gauge.panel.hcl:7")
			assert.ErrorContains(t, err, "stage write_fab")
			assert.NoDirExists(t, opt.OutDir)
		})
	}
}

// Finish sees that the build was interrupted before it.
func TestFinishIsNotCalledWhenInterrupted(t *testing.T) {
	dir := t.TempDir()
	ctx, stop := context.WithCancel(t.Context())
	called := false
	opt := options(filepath.Join(dir, "build"))
	opt.Prove = func(context.Context, ProofInput) ([]pipeline.Finding, error) { stop(); return nil, nil }
	_, err := Build(ctx, load(t, project(t, dir), withFinish(reporting(nil), stamped(), func(*pipeline.Env, panel.Panel, pipeline.End) error { called = true; return nil })), opt)
	require.ErrorIs(t, err, ErrInterrupted)
	assert.False(t, called)
}

// Fields are looked at when they are shown: a report must be able to draw every one.
func TestFieldsAreLookedAt(t *testing.T) {
	good := func() pipeline.Field {
		return pipeline.Field{ID: "share", Step: 1, Columns: 2, Rows: 1, Values: []float64{1, 2}}
	}
	for _, c := range []struct {
		name   string
		change func(f *pipeline.Field)
		says   string
	}{
		{"good", func(*pipeline.Field) {}, ""},
		{"no figure in a square", func(f *pipeline.Field) { f.Values[1] = math.NaN() }, ""},
		{"no id", func(f *pipeline.Field) { f.ID = "" }, "is empty or taken"},
		{"an id that is taken", func(f *pipeline.Field) { f.ID = "first" }, `the id "first", which is empty or taken`},
		{"no columns", func(f *pipeline.Field) { f.Columns = 0 }, "are not those of its grid"},
		{"a value too few", func(f *pipeline.Field) { f.Values = f.Values[:1] }, "are not those of its grid"},
		{"no step", func(f *pipeline.Field) { f.Step = 0 }, "are not those of its grid"},
		{"an endless figure", func(f *pipeline.Field) { f.Values[0] = math.Inf(1) }, "a figure that is not a number"},
		{"a limit that is no number", func(f *pipeline.Field) { f.Least = figure(math.NaN()) }, "a figure that is not a number"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			shows := func(_ context.Context, env *pipeline.Env, in panel.Panel, _ pipeline.InPath) (pipeline.Result, error) {
				first, f := good(), good()
				first.ID = "first"
				env.Show(first)
				c.change(&f)
				env.Show(f)
				return pipeline.Result{Panel: in}, nil
			}
			_, err := Build(t.Context(), load(t, project(t, dir), withFinish(shows, stamped(), noFinish)), options(filepath.Join(dir, "build")))
			if c.says == "" {
				require.NoError(t, err)
				return
			}
			require.ErrorContains(t, err, c.says)
			assert.ErrorContains(t, err, "stage rules")
		})
	}
}
