package stagetest

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// marks is a stage as an author might write it, and may be made to misbehave.
type marks struct {
	Board    string           `option:"board" required:"true" help:"whose name the mark bears"`
	Diameter geom.Length      `option:"diameter" range:"0.5..5" help:"of the mark"`
	Notes    *pipeline.InPath `option:"notes" help:"a file to read"`
	run      func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error)
}

func (m *marks) Parts() pipeline.Parts { return pipeline.Parts{Needs: []string{"boards." + m.Board}} }
func (m *marks) ValueTypes() map[string]cty.Type {
	return map[string]cty.Type{"marks.count": cty.Number}
}
func (m *marks) Run(_ context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	return m.run(m, env, in)
}

func kind(role pipeline.Role, run func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error)) pipeline.Kind {
	return pipeline.Kind{Name: "acme_marks", Contract: pipeline.Contract, Summary: "Puts a mark.", Role: role,
		New: func() pipeline.Stage { return &marks{Diameter: geom.FromMM(1), run: run} }}
}

func good(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	if m.Notes != nil {
		data, err := env.Files.Read(context.Background(), *m.Notes)
		if err != nil {
			return pipeline.Result{}, err
		}
		env.Log.Info().Str("notes", string(data)).Msg("read")
	}
	env.Report(pipeline.Finding{Rule: "acme-marks", Severity: pipeline.Note, Message: "one mark for " + in.Board(m.Board).PartNumber})
	p, err := in.Edit().AddMark(panel.Mark{ID: "acme/1", Diameter: m.Diameter}).Build()
	return pipeline.Result{Panel: p, Values: map[string]cty.Value{"marks.count": cty.NumberIntVal(1)}}, err
}

func gauge(t *testing.T) panel.Panel {
	t.Helper()
	p, err := panel.Panel{}.Edit().AddBoard(&panel.Board{Name: "gauge", PartNumber: "RG-1042"}).Build()
	require.NoError(t, err)
	return p
}

const options = `
  board    = "gauge"
  diameter = "2 mm"
  notes    = "texts/notes.txt"
`

var files = map[string]string{"texts/notes.txt": "seen from the top"}

func TestRun(t *testing.T) {
	got := Run(t, kind(pipeline.Shape, good), options, gauge(t), files)
	require.Len(t, got.Panel.Marks(), 1)
	assert.Equal(t, geom.FromMM(2), got.Panel.Marks()[0].Diameter)
	assert.True(t, got.Values["marks.count"].RawEquals(cty.NumberIntVal(1)))
	require.Len(t, got.Findings, 1)
	assert.Equal(t, "one mark for RG-1042", got.Findings[0].Message)
	assert.Contains(t, got.Log, `"notes":"seen from the top"`)
	assert.Contains(t, got.Inputs, "texts/notes.txt")
	assert.Empty(t, got.Outputs)
}

func TestRunWrites(t *testing.T) {
	got := Run(t, kind(pipeline.Write, func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
		w, err := env.Files.Create("fab/" + env.Panel + ".txt")
		if err != nil {
			return pipeline.Result{}, err
		}
		fmt.Fprint(w, len(env.Rules))
		if err := w.Close(); err != nil {
			return pipeline.Result{}, err
		}
		return pipeline.Result{Panel: in, Values: map[string]cty.Value{"marks.count": cty.NumberIntVal(0)}},
			env.Files.Archive("all.zip", []string{"fab/stage-test.txt"})
	}), options, gauge(t), files, WithRules(pipeline.Rule{Name: "one"}))
	assert.Equal(t, "1", string(got.Outputs["fab/stage-test.txt"]))
	assert.Contains(t, got.Outputs, "all.zip")
	assert.Len(t, got.Outputs, 2)
}

func TestFails(t *testing.T) {
	err := Fails(t, kind(pipeline.Shape, good), `board = "gauge"`+"\n  diametre = 2", gauge(t), nil)
	assert.ErrorContains(t, err, `stage.panel.hcl:6:3: stage acme_marks has no option "diametre"; nearest: diameter`)
	err = Fails(t, kind(pipeline.Shape, func(*marks, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
		return pipeline.Result{}, errors.New("no room for a mark")
	}), options, gauge(t), files)
	assert.ErrorContains(t, err, "stage.panel.hcl:4:1: stage acme_marks: no room for a mark")
}

// What a stage must not do fails its author's test.
func TestMisbehaviour(t *testing.T) {
	var calls atomic.Int64
	for name, c := range map[string]struct {
		run  func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error)
		want string
	}{
		"changes a board": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			in.Boards()[0].Finish = "gold"
			return good(m, env, in)
		}, "the stage changed the panel it was given"},
		"another panel every time": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			m.Diameter = geom.Length(calls.Add(1))
			return good(m, env, in)
		}, "run twice, the stage gave two panels"},
		"the number of workers shows": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			env.Log.Info().Int("workers", env.Workers).Msg("at work")
			return good(m, env, in)
		}, "run twice, the stage logged differently"},
		"findings differ": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			env.Report(pipeline.Finding{Rule: "x", Severity: pipeline.Note, Message: fmt.Sprint(calls.Add(1))})
			return good(m, env, in)
		}, "run twice, the stage gave two lists of findings"},
		"an absolute path": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			env.Log.Info().Msg(m.Notes.Dir)
			return good(m, env, in)
		}, "build.log holds an absolute path of this machine"},
		"fails now and then": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			return pipeline.Result{}, fmt.Errorf("no %d", calls.Add(1))
		}, "run twice, the stage ended in two ways"},
		"an untold value": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			r, err := good(m, env, in)
			r.Values["marks.more"] = cty.True
			return r, err
		}, "gave the value marks.more without having told its type"},
		"a value of another type": {func(m *marks, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
			r, err := good(m, env, in)
			r.Values["marks.count"] = cty.True
			return r, err
		}, "gave the value marks.count of another type than it told"},
	} {
		t.Run(name, func(t *testing.T) {
			said := caught(t, func(r *recorder) { Run(r, kind(pipeline.Shape, c.run), options, gauge(t), files) })
			assert.Contains(t, said, c.want)
		})
	}
	foreign := kind(pipeline.Shape, good)
	foreign.Contract = 2
	said := caught(t, func(r *recorder) { Run(r, foreign, options, gauge(t), files) })
	assert.Contains(t, said, "stage acme_marks is written for version 2 of the contract")
	said = caught(t, func(r *recorder) { Fails(r, kind(pipeline.Shape, good), options, gauge(t), files) })
	assert.Contains(t, said, "the stage was expected to refuse")
}

// recorder is a test that is expected to fail.
type recorder struct {
	testing.TB
	said string
}

func (r *recorder) Errorf(format string, a ...any) { r.said += fmt.Sprintf(format, a...) }
func (r *recorder) FailNow()                       { runtime.Goexit() }
func (r *recorder) Helper()                        {}

func caught(t *testing.T, f func(r *recorder)) string {
	t.Helper()
	r := &recorder{TB: t}
	done := make(chan bool)
	go func() { defer close(done); f(r) }()
	<-done
	require.NotEmpty(t, r.said, "nothing was noticed")
	return r.said
}

func TestFingerprint(t *testing.T) {
	type inner struct{ n map[string]int }
	type outer struct {
		a *inner
		b any
		c []float64
		d [2]string
	}
	make := func() *outer {
		return &outer{&inner{map[string]int{"x": 1, "y": 2, "z": 3}}, int8(4), []float64{0.5}, [2]string{"p", "q"}}
	}
	base := Fingerprint(make())
	for range 20 {
		require.Equal(t, base, Fingerprint(make()), "neither addresses nor map order count")
	}
	for name, change := range map[string]func(*outer){
		"a map's value": func(o *outer) { o.a.n["y"] = 5 },
		"a map's key":   func(o *outer) { delete(o.a.n, "y"); o.a.n["w"] = 2 },
		"a type":        func(o *outer) { o.b = int16(4) },
		"a float":       func(o *outer) { o.c[0] = 0.25 },
		"a boundary":    func(o *outer) { o.d = [2]string{"pq", ""} },
		"a pointer":     func(o *outer) { o.a = nil },
		"a length":      func(o *outer) { o.c = append(o.c, 0) },
	} {
		o := make()
		change(o)
		assert.NotEqual(t, base, Fingerprint(o), name)
	}
	type ring struct{ next *ring }
	r := &ring{}
	r.next = r
	assert.NotEmpty(t, Fingerprint(r), "a ring comes to an end")
	assert.NotEqual(t, Fingerprint(r), Fingerprint(&ring{}))
	assert.NotEmpty(t, Fingerprint(nil))
}
