package board_test

import (
	"archive/zip"
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/run"
	"panelwright/stages/board"
)

// folder is a board's data in a test: names to contents.
type folder map[string]string

// with gives a copy of f with other files put in; empty content takes a file away.
func (f folder) with(more folder) folder {
	out := folder{}
	for n, c := range f {
		out[n] = c
	}
	for n, c := range more {
		if c == "" {
			delete(out, n)
			continue
		}
		out[n] = c
	}
	return out
}

// write puts the files into a folder called "data" in a new temporary folder, which it gives.
func (f folder) write(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "data"), 0o777))
	for n, c := range f {
		p := filepath.Join(dir, "data", n)
		require.NoError(t, os.MkdirAll(filepath.Dir(p), 0o777))
		require.NoError(t, os.WriteFile(p, []byte(c), 0o666))
	}
	return dir
}

// zipped packs members into data.zip in a new temporary folder, in the order of their names.
func zipped(t testing.TB, members folder) string {
	t.Helper()
	dir := t.TempDir()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	var names []string
	for n := range members {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		w, err := z.Create(n)
		require.NoError(t, err)
		_, err = w.Write([]byte(members[n]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	require.NoError(t, os.WriteFile(filepath.Join(dir, "data.zip"), b.Bytes(), 0o666))
	return dir
}

// layer makes a layer file in millimetres, four decimals, drawn with a 0.1 mm pen.
func layer(attributes, body string) string {
	var b strings.Builder
	for _, a := range strings.Split(attributes, ";") {
		if a != "" {
			b.WriteString("%TF." + a + "*%\n")
		}
	}
	b.WriteString("%FSLAX44Y44*%\n%MOMM*%\n%ADD10C,0.1*%\n%LPD*%\nG01*\nD10*\n" + body + "M02*\n")
	return b.String()
}

const (
	pad    = "X50000Y50000D03*\n"
	square = "X0Y0D02*\nX200000D01*\nY100000D01*\nX0D01*\nY0D01*\n" // 20 × 10 mm
	drill  = "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.5\n%\nT1\nX5.0Y5.0\nM30\n"
)

// gauge is a sound two-layer board.
func gauge() folder {
	return folder{
		"gauge-top.gbr":     layer("FileFunction,Copper,L1,Top;ProjectId,gauge,0,C", pad),
		"gauge-bottom.gbr":  layer("FileFunction,Copper,L2,Bot;ProjectId,gauge,0,C", pad),
		"gauge-profile.gbr": layer("FileFunction,Profile,NP;ProjectId,gauge,0,C", square),
		"gauge.drl":         drill,
	}
}

// result is what came of a run.
type result struct {
	board    *panel.Board
	findings []pipeline.Finding
	values   pipeline.Result
}

func (r result) rules() []string {
	var out []string
	for _, f := range r.findings {
		out = append(out, f.Rule)
	}
	return out
}

// runIn runs the stage on text within dir; change sets further options.
func runIn(t testing.TB, dir, text string, change func(*board.Board)) (result, error) {
	t.Helper()
	s := board.Kind().New().(*board.Board)
	s.Name = "gauge"
	s.Files = []pipeline.InPath{{Text: text, Dir: dir}}
	if change != nil {
		change(s)
	}
	require.NoError(t, s.Check())
	var r result
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "p", Workers: 2, Files: run.NewFiles(context.Background(), dir, "")},
		func(f pipeline.Finding) { r.findings = append(r.findings, f) }, func() []pipeline.Finding { return r.findings })
	got, err := s.Run(context.Background(), env, panel.Panel{})
	if err != nil {
		require.Zero(t, got)
		return r, err
	}
	r.values = got
	r.board = got.Panel.Board("gauge")
	require.NotNil(t, r.board)
	return r, nil
}

func runFolder(t testing.TB, f folder, change func(*board.Board)) (result, error) {
	t.Helper()
	return runIn(t, f.write(t), "data", change)
}
