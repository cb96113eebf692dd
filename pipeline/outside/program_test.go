package outside

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var (
	programOnce sync.Once
	programPath string
	programErr  error
	programDir  string
)

// TestMain removes the program that the tests built, and ends the viewer.
func TestMain(m *testing.M) {
	code := m.Run()
	for range len(painters) {
		_ = (<-painters).end()
	}
	if programDir != "" {
		_ = os.RemoveAll(programDir)
	}
	os.Exit(code)
}

// program gives the path of panelwright, built once.
func program(t *testing.T) string {
	t.Helper()
	dir := root(t)
	programOnce.Do(func() {
		if programDir, programErr = os.MkdirTemp("", "panelwright-outside-"); programErr != nil {
			return
		}
		programPath = filepath.Join(programDir, "panelwright")
		cmd := exec.Command("go", "build", "-buildvcs=false", "-o", programPath, "./cmd/panelwright")
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			programErr = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(t, programErr)
	return programPath
}

// built is a panel on disk.
type built struct {
	dir, name string
	plan      plan
}

// plan is what this package takes from panel.json.
type plan struct {
	Schema int
	Panel  string
	Copies []struct {
		ID, Board   string
		X           json.Number `json:"x_mm"`
		Y           json.Number `json:"y_mm"`
		RotationDeg json.Number `json:"rotation_deg"`
	}
	Boards []struct {
		Name    string
		Sources []struct {
			Name, Use string
			Ignored   string `json:"ignored_because"`
		}
	}
}

// runBuild writes the recipe into a folder of its own and builds it with the program; it gives the
// folder that the panel goes into, what the program said, and its exit code. The board's files are in
// folder; the recipe is told their path relative to itself.
func runBuild(t *testing.T, name, folder string, recipeOf func(files string) string) (out, said string, exit int) {
	t.Helper()
	dir := t.TempDir()
	rel, err := filepath.Rel(dir, folder)
	require.NoError(t, err)
	file := filepath.Join(dir, name+".panel.hcl")
	require.NoError(t, os.WriteFile(file, []byte(recipeOf(filepath.ToSlash(rel))), 0o644))
	out = filepath.Join(dir, "build")
	ctx, stop := context.WithTimeout(context.Background(), 5*time.Minute)
	defer stop()
	cmd := exec.CommandContext(ctx, program(t), "build", "-o", out, file)
	text, err := cmd.CombinedOutput()
	var failed *exec.ExitError
	if err != nil && !errors.As(err, &failed) {
		t.Fatal(err)
	}
	return filepath.Join(out, name), string(text), cmd.ProcessState.ExitCode()
}

// build builds a recipe (see runBuild) and reads panel.json. Findings at error level are no failure
// here: whether the files hold what they must is what is looked at.
func build(t *testing.T, name, folder string, recipeOf func(files string) string) built {
	t.Helper()
	dir, said, exit := runBuild(t, name, folder, recipeOf)
	require.Contains(t, []int{0, 1}, exit, said)
	b := built{dir: dir, name: name}
	data, err := os.ReadFile(filepath.Join(b.dir, "panel.json"))
	require.NoError(t, err, said)
	require.NoError(t, json.Unmarshal(data, &b.plan))
	require.Equal(t, 1, b.plan.Schema)
	require.Equal(t, name, b.plan.Panel)
	return b
}

// nm reads a length in mm, which must be whole nanometres.
func nm(t *testing.T, mm json.Number) int64 {
	t.Helper()
	whole, part, _ := strings.Cut(mm.String(), ".")
	require.LessOrEqual(t, len(part), 6, "%s mm is no whole number of nanometres", mm)
	v, err := strconv.ParseInt(whole+part+strings.Repeat("0", 6-len(part)), 10, 64)
	require.NoError(t, err, "%s is no length", mm)
	return v
}

// copies gives the places of the board's copies by their names.
func (b built) copies(t *testing.T, board string) map[string]place {
	t.Helper()
	out := map[string]place{}
	for _, c := range b.plan.Copies {
		if c.Board != board {
			continue
		}
		turn, err := c.RotationDeg.Float64()
		require.NoError(t, err)
		quarters := int(turn / 90)
		require.Equal(t, turn, float64(quarters)*90, "copy %s is not turned by quarters", c.ID)
		out[c.ID] = place{nm(t, c.X), nm(t, c.Y), quarters & 3}
	}
	return out
}

// uses gives what each source file of the board is for: its functions' names. Ignored files have none.
func (b built) uses(t *testing.T, board string) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	for _, x := range b.plan.Boards {
		if x.Name != board {
			continue
		}
		for _, s := range x.Sources {
			require.True(t, (s.Use == "") != (s.Ignored == ""), "%s: neither used nor ignored with a reason", s.Name)
			for u := range strings.SplitSeq(s.Use, ", ") {
				u = strings.TrimSuffix(u, " (no holes)")
				if u != "" {
					out[s.Name] = append(out[s.Name], u)
				}
			}
			if s.Use == "" {
				out[s.Name] = nil
			}
		}
	}
	require.NotEmpty(t, out, "panel.json names no files of board %s", board)
	return out
}

// file gives the panel's file of a function, empty when there is none.
func (b built) file(function string) string {
	name := b.name + "-" + function + ".gbr"
	if key, ok := strings.CutPrefix(function, "drill "); ok {
		name = b.name + "-drill-" + key + ".drl"
	}
	path := filepath.Join(b.dir, "fab", name)
	if _, err := os.Stat(path); err != nil {
		return ""
	}
	return path
}

// compared are the kinds of functions whose pictures are compared.
var compared = []string{"copper-", "mask-", "paste-", "legend-", "drill "}

func isCompared(function string) bool {
	return slices.ContainsFunc(compared, func(k string) bool { return strings.HasPrefix(function, k) })
}

// pairs puts together each function's source files, which lie in folder, and the panel's files. A
// source that serves several functions (a drill file of plated and non-plated holes) is compared with
// all their files together, and so are several sources of one function.
func (b built) pairs(t *testing.T, board, folder string) []pair {
	t.Helper()
	type group struct{ sources, functions map[string]bool }
	var groups []*group
	uses := b.uses(t, board)
	for _, source := range sorted(uses) {
		g := &group{map[string]bool{source: true}, map[string]bool{}}
		for _, u := range uses[source] {
			if isCompared(u) {
				g.functions[u] = true
			}
		}
		if len(g.functions) == 0 {
			continue
		}
		kept := []*group{g}
		for _, o := range groups {
			if slices.ContainsFunc(sorted(o.functions), func(f string) bool { return g.functions[f] }) {
				for s := range o.sources {
					g.sources[s] = true
				}
				for f := range o.functions {
					g.functions[f] = true
				}
			} else {
				kept = append(kept, o)
			}
		}
		groups = kept
	}
	var out []pair
	for _, g := range groups {
		p := pair{name: strings.Join(sorted(g.functions), " + ")}
		for _, s := range sorted(g.sources) {
			p.source = append(p.source, filepath.Join(folder, filepath.FromSlash(s)))
		}
		for _, f := range sorted(g.functions) {
			if name := b.file(f); name != "" {
				p.panel = append(p.panel, name)
			}
		}
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b pair) int { return strings.Compare(a.name, b.name) })
	return out
}

func sorted[V any](m map[string]V) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func (p pair) drills() bool { return strings.HasPrefix(p.name, "drill ") }
