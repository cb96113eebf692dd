// Package stagetest helps those who write stages to test them as recipes run them: options decoded
// from a recipe, the result held against what the stage's kind promises, and everything done twice,
// for equal options and panels must give equal results.
package stagetest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// Name is the name of the panel that stages under test work on; its revision is A.
const Name = "stage-test"

// Got is what a stage left.
type Got struct {
	pipeline.Result                        // the panel, and the values for later stages
	Findings        []pipeline.Finding     // sorted
	Outputs         map[string][]byte      // files made; archives too, when no finding is at error level
	Inputs          map[string]run.FileSum // files read, by their names relative to the recipe
	Log             string                 // JSON lines
}

// Setting changes what a stage is tested with.
type Setting func(*setup)

type setup struct{ rules []pipeline.Rule }

// WithRules sets the program's rules.
func WithRules(r ...pipeline.Rule) Setting { return func(s *setup) { s.rules = r } }

// Run runs a stage of the kind on the panel in and fails the test where it fails. options is the
// inside of the stage's block as a recipe writes it; files are what its paths may name, by slash
// paths relative to the recipe. Whatever parts the stage needs count as given.
//
// The stage is run twice, in different folders and with one and with several workers. Run fails the
// test when the two differ in anything, or when in was changed.
func Run(t testing.TB, kind pipeline.Kind, options string, in panel.Panel, files map[string]string, settings ...Setting) Got {
	t.Helper()
	got, err := twice(t, kind, options, in, files, settings)
	require.NoError(t, err)
	return got
}

// Fails is Run for a stage that must refuse. It gives the error, as a user sees it: with the line of
// the recipe stage.panel.hcl, where the block's inside begins on line 5.
func Fails(t testing.TB, kind pipeline.Kind, options string, in panel.Panel, files map[string]string, settings ...Setting) error {
	t.Helper()
	_, err := twice(t, kind, options, in, files, settings)
	require.Error(t, err, "the stage was expected to refuse")
	return err
}

func twice(t testing.TB, kind pipeline.Kind, options string, in panel.Panel, files map[string]string, settings []Setting) (Got, error) {
	t.Helper()
	var s setup
	for _, f := range settings {
		f(&s)
	}
	require.NoError(t, pipeline.CheckProgram([]pipeline.Kind{kind}, nil), "no program would take this stage")
	before := Fingerprint(in)
	first, err := once(t, kind, options, in, files, s, 1)
	require.Equal(t, before, Fingerprint(in), "the stage changed the panel it was given; panels are immutable")
	second, again := once(t, kind, options, in, files, s, 4)
	require.Equal(t, before, Fingerprint(in), "the stage changed the panel it was given; panels are immutable")
	if err != nil || again != nil {
		require.Equal(t, fmt.Sprint(err), fmt.Sprint(again), "run twice, the stage ended in two ways")
		return Got{}, err
	}
	same(t, first, second)
	return first, nil
}

// same compares two runs.
func same(t testing.TB, a, b Got) {
	t.Helper()
	require.Equal(t, Fingerprint(a.Panel), Fingerprint(b.Panel), "run twice, the stage gave two panels")
	require.Equal(t, Fingerprint(a.Findings), Fingerprint(b.Findings), "run twice, the stage gave two lists of findings")
	require.Equal(t, a.Log, b.Log, "run twice, the stage logged differently")
	require.Equal(t, a.Inputs, b.Inputs, "run twice, the stage read different files")
	require.Equal(t, len(a.Outputs), len(b.Outputs), "run twice, the stage wrote different files")
	for name, data := range a.Outputs {
		require.True(t, string(data) == string(b.Outputs[name]), "run twice, the stage wrote two versions of %s", name)
	}
	require.Equal(t, len(a.Values), len(b.Values), "run twice, the stage settled different values")
	for name, v := range a.Values {
		w, ok := b.Values[name]
		require.True(t, ok && v.RawEquals(w), "run twice, the stage settled %s differently", name)
	}
}

func once(t testing.TB, kind pipeline.Kind, options string, in panel.Panel, files map[string]string, s setup, workers int) (Got, error) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		at := filepath.Join(dir, "recipe", filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	path := filepath.Join(dir, "recipe", "stage.panel.hcl")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(recipeText(kind, options)), 0o644))

	plan, err := recipe.Load(path, recipe.Settings{Kinds: kindsFor(kind, in), Rules: s.rules, ProgramVersion: "0"})
	if err != nil {
		return Got{}, err
	}
	out, err := run.Build(t.Context(), plan, run.Options{
		OutDir: filepath.Join(dir, "build"), Workers: workers, Rules: s.rules,
		Program: pipeline.Program{Name: "stagetest", Version: "0"},
	})
	if err != nil {
		return Got{}, err
	}
	got := Got{Result: pipeline.Result{Panel: out.Panel, Values: out.Settled}, Findings: out.Findings,
		Outputs: map[string][]byte{}, Inputs: map[string]run.FileSum{}}
	for _, f := range out.Inputs {
		got.Inputs[f.Name] = f
	}
	for _, f := range out.Outputs {
		data, err := os.ReadFile(filepath.Join(out.Dir, filepath.FromSlash(f.Name)))
		require.NoError(t, err)
		require.NotContains(t, string(data), dir, "%s holds an absolute path of this machine", f.Name)
		switch f.Name {
		case "build.log":
			got.Log = string(data)
		case "report/findings.json", "report/findings.sarif", "report/junit.xml":
		default:
			got.Outputs[f.Name] = data
		}
	}
	return got, nil
}

// recipeText gives the recipe round the stage; the inside of its block begins on line 5.
func recipeText(kind pipeline.Kind, options string) string {
	rules := ""
	if kind.Role == pipeline.Write {
		rules = `stage "rules" {}`
	}
	return fmt.Sprintf("panel %q { revision = \"A\" }\nstage \"given_panel\" {}\n%s\nstage %q {\n%s\n}\n",
		Name, rules, kind.Name, options)
}

// kindsFor gives the kind under test and those that its recipe needs round it.
func kindsFor(kind pipeline.Kind, in panel.Panel) []pipeline.Kind {
	under := kind
	var last pipeline.Stage
	under.New = func() pipeline.Stage { last = kind.New(); return last }
	giver := &given{in: in, needs: func() []string {
		if p, ok := last.(pipeline.Parter); ok {
			return p.Parts().Needs
		}
		return nil
	}}
	kinds := []pipeline.Kind{under, {Name: "given_panel", Summary: "Gives the test's panel.", Role: pipeline.Source,
		New: func() pipeline.Stage { return giver }}}
	if kind.Role == pipeline.Write {
		kinds = append(kinds, pipeline.Kind{Name: "rules", Summary: "Judges nothing.", Role: pipeline.Judge,
			New: func() pipeline.Stage { return &given{keep: true} }})
	}
	return kinds
}

// given stands before the stage under test and hands it the test's panel. It gives what that stage
// needs: the loader decodes the stages once before it asks what is given, so the needs are known.
type given struct {
	in    panel.Panel
	keep  bool
	needs func() []string
}

func (g *given) Parts() pipeline.Parts {
	if g.needs == nil {
		return pipeline.Parts{}
	}
	return pipeline.Parts{Gives: g.needs()}
}

func (g *given) Run(_ context.Context, _ *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if g.keep {
		return pipeline.Result{Panel: in}, nil
	}
	return pipeline.Result{Panel: g.in}, nil
}
