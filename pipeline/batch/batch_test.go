package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
)

// shop is a folder of recipes and boards, and a program of two small stages.
type shop struct {
	t     *testing.T
	dir   string
	reads atomic.Int64 // how often a board has been read
	under atomic.Int64 // builds under way
	most  atomic.Int64
	block func(ctx context.Context) // what writing waits for
	opt   Options
}

// reader reads a board's files, once for all recipes that use them.
type reader struct {
	Files pipeline.InPath `option:"files" required:"true" help:"what to read"`
	Words string          `option:"words" help:"a variable that is looked at"`
	s     *shop
}

func (r *reader) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	place := filepath.Join(r.Files.Dir, r.Files.Text)
	got, err := env.Once(ctx, place, func(files pipeline.Files) (any, error) {
		r.s.reads.Add(1)
		list, err := files.List(ctx, r.Files)
		if err != nil {
			return nil, err
		}
		b := &panel.Board{Name: "gauge"}
		for _, f := range list {
			data, err := files.Read(ctx, f)
			if err != nil {
				return nil, err
			}
			if strings.Contains(string(data), "bad") {
				return nil, fmt.Errorf("%s: is bad", f.Text)
			}
			b.Revision += string(data)
		}
		return b, nil
	})
	if err != nil {
		return pipeline.Result{}, err
	}
	if r.Words != "" {
		value, _ := env.Variable(r.Words)
		env.Log.Info().Str("value", value).Msg("looked")
	}
	p, err := in.Edit().AddBoard(got.(*panel.Board)).Build()
	return pipeline.Result{Panel: p}, err
}

// writer writes what the board says.
type writer struct{ s *shop }

func (w *writer) Run(ctx context.Context, env *pipeline.Env, in panel.Panel) (pipeline.Result, error) {
	n := w.s.under.Add(1)
	defer w.s.under.Add(-1)
	for old := w.s.most.Load(); n > old && !w.s.most.CompareAndSwap(old, n); old = w.s.most.Load() {
	}
	if w.s.block != nil {
		w.s.block(ctx)
	}
	f, err := env.Files.Create("fab/board.txt")
	if err != nil {
		return pipeline.Result{}, err
	}
	fmt.Fprintln(f, in.Boards()[0].Revision)
	return pipeline.Result{}, f.Close()
}

// judge stands in for the rules, which a recipe that writes must have.
type judge struct{}

func (judge) Run(context.Context, *pipeline.Env, panel.Panel) (pipeline.Result, error) {
	return pipeline.Result{}, nil
}

func newShop(t *testing.T) *shop {
	s := &shop{t: t, dir: t.TempDir()}
	kinds := []pipeline.Kind{
		{Name: "board", Role: pipeline.Source, New: func() pipeline.Stage { return &reader{s: s} }},
		{Name: "rules", Role: pipeline.Judge, New: func() pipeline.Stage { return &judge{} }},
		{Name: "write", Role: pipeline.Write, New: func() pipeline.Stage { return &writer{s: s} }},
	}
	s.opt = Options{
		Build:   run.Options{OutDir: filepath.Join(s.dir, "build"), Program: pipeline.Program{Name: "panelwright", Version: "1"}},
		Records: filepath.Join(s.dir, "records"), AtOnce: 4,
		Load: func(path, supplier string) (*recipe.Plan, error) {
			return recipe.Load(path, recipe.Settings{Kinds: kinds, Supplier: supplier})
		},
	}
	return s
}

func (s *shop) write(name, text string) {
	s.t.Helper()
	at := filepath.Join(s.dir, filepath.FromSlash(name))
	require.NoError(s.t, os.MkdirAll(filepath.Dir(at), 0o755))
	require.NoError(s.t, os.WriteFile(at, []byte(text), 0o644))
}

// recipe writes a recipe that uses a board.
func (s *shop) recipe(name, board, more string) {
	s.write("recipes/"+name+".panel.hcl", fmt.Sprintf("panel %q {\n  revision = \"A\"\n}\nstage \"board\" {\n  files = %q\n%s}\nstage \"rules\" {}\nstage \"write\" {}\n", name, "../boards/"+board, more))
}

// run carries out recipes, and gives for each how it came about, or its error.
func (s *shop) run(ctx context.Context, names ...string) []string {
	s.t.Helper()
	jobs := make([]Job, len(names))
	for i, n := range names {
		jobs[i] = Job{Recipe: filepath.Join(s.dir, "recipes", n+".panel.hcl")}
	}
	var out []string
	s.opt.Ends = func(d Done) {
		assert.Equal(s.t, len(out), d.At, "the order of the jobs")
		said := string(d.How)
		if d.Err != nil {
			said = d.Err.Error()
		} else if d.Why != "" {
			said += ": " + d.Why
		}
		out = append(out, said)
	}
	Run(ctx, jobs, s.opt)
	require.Len(s.t, out, len(names))
	return out
}

const fresh = "built: not built before"

func TestUnchangedIsNotBuiltAgain(t *testing.T) {
	s := newShop(t)
	s.write("boards/one/a.txt", "1")
	s.write("boards/two/a.txt", "2")
	s.recipe("p", "one", "")
	s.recipe("q", "one", "")
	s.recipe("r", "two", "  words = \"BATCH_TEST\"\n")
	ctx := context.Background()
	all := func() []string { return s.run(ctx, "p", "q", "r") }
	built := func(name, why string) {
		t.Helper()
		assert.Equal(t, []string{"built: " + why}, s.run(ctx, name))
		assert.Equal(t, []string{"unchanged"}, s.run(ctx, name))
	}
	assert.Equal(t, []string{fresh, fresh, fresh}, all())
	assert.EqualValues(t, 2, s.reads.Load(), "each board is read once")
	assert.Equal(t, []string{"unchanged", "unchanged", "unchanged"}, all())

	t.Run("dates alone", func(t *testing.T) {
		for _, n := range []string{"boards/one/a.txt", "recipes/p.panel.hcl", "build/p/fab/board.txt"} {
			require.NoError(t, os.Chtimes(filepath.Join(s.dir, n), time.Time{}, time.Unix(1e9, 5)))
		}
		assert.Equal(t, []string{"unchanged", "unchanged", "unchanged"}, all())
		assert.Equal(t, []string{"unchanged", "unchanged", "unchanged"}, all())
	})
	t.Run("a board", func(t *testing.T) {
		s.write("boards/one/a.txt", "x")
		why := "built: ../boards/one/a.txt has changed"
		assert.Equal(t, []string{why, why, "unchanged"}, all())
		text, err := os.ReadFile(filepath.Join(s.dir, "build/q/fab/board.txt"))
		require.NoError(t, err)
		assert.Equal(t, "x\n", string(text))
	})
	t.Run("content changed and date put back", func(t *testing.T) {
		at := filepath.Join(s.dir, "boards/one/a.txt")
		before, err := os.Stat(at)
		require.NoError(t, err)
		s.write("boards/one/a.txt", "y") // as long as before
		require.NoError(t, os.Chtimes(at, before.ModTime(), before.ModTime()))
		built("p", "../boards/one/a.txt has changed")
	})
	t.Run("a file more in a board's folder", func(t *testing.T) {
		s.write("boards/two/b.txt", "3")
		built("r", "the files that ../boards/two means have changed")
	})
	t.Run("a file less", func(t *testing.T) {
		require.NoError(t, os.Remove(filepath.Join(s.dir, "boards/two/b.txt")))
		assert.Contains(t, s.run(ctx, "r")[0], "built: ")
	})
	t.Run("a variable", func(t *testing.T) {
		t.Setenv("BATCH_TEST", "other")
		built("r", "the variable BATCH_TEST has changed")
	})
	t.Run("the recipe", func(t *testing.T) {
		s.recipe("p", "two", "")
		built("p", "p.panel.hcl has changed")
	})
	t.Run("the build folder", func(t *testing.T) {
		s.write("build/p/fab/board.txt", "2 \n")
		built("p", "the build's fab/board.txt is not as it was written")
		require.NoError(t, os.Remove(filepath.Join(s.dir, "build/p/manifest.json")))
		s.write("build/p/manifest.json", "")
		assert.Contains(t, s.run(ctx, "p")[0], "was not made by a build of p")
		require.NoError(t, os.RemoveAll(filepath.Join(s.dir, "build/p")))
		built("p", "the build's build.log is not as it was written")
	})
	t.Run("a file that no build made", func(t *testing.T) {
		s.write("build/p/fab/mine.txt", "")
		assert.Contains(t, s.run(ctx, "p")[0], "holds files that no build made")
		require.NoError(t, os.Remove(filepath.Join(s.dir, "build/p/fab/mine.txt")))
		s.write("build/p/.DS_Store", "")
		assert.Equal(t, []string{"unchanged"}, s.run(ctx, "p"))
	})
	t.Run("settings", func(t *testing.T) {
		s.opt.Build.Program.Version = "2"
		built("p", "built by another program")
		epoch := int64(1)
		s.opt.Build.SourceDateEpoch = &epoch
		built("p", "built with another SOURCE_DATE_EPOCH")
		s.opt.Build.Gate.Reject = pipeline.Warning
		built("p", "built with another --reject")
		s.opt.Given = map[string]string{"columns": "3"}
		built("p", "built with other given values")
	})
	t.Run("asked for all the same", func(t *testing.T) {
		s.opt.Force = true
		assert.Equal(t, []string{"built"}, s.run(ctx, "p"))
		s.opt.Force = false
	})
	t.Run("the tree moves as a whole", func(t *testing.T) {
		there := filepath.Join(t.TempDir(), "elsewhere")
		require.NoError(t, os.Rename(s.dir, there))
		s.dir = there
		s.opt.Build.OutDir, s.opt.Records = filepath.Join(there, "build"), filepath.Join(there, "records")
		assert.Equal(t, []string{"unchanged"}, s.run(ctx, "p"))
	})
}

func TestGoesOnAfterAFailure(t *testing.T) {
	s := newShop(t)
	s.write("boards/one/a.txt", "1")
	s.write("boards/bad/a.txt", "bad")
	s.recipe("p", "one", "")
	s.recipe("q", "bad", "")
	s.recipe("r", "bad", "")
	s.recipe("s", "one", "")
	s.write("recipes/t.panel.hcl", "panel {")
	got := s.run(context.Background(), "p", "q", "r", "s", "t")
	assert.Equal(t, []string{fresh, fresh}, []string{got[0], got[3]})
	for _, i := range []int{1, 2} {
		assert.Contains(t, got[i], "../boards/bad/a.txt: is bad")
	}
	assert.Contains(t, got[4], "t.panel.hcl:1")
	assert.Equal(t, []string{"unchanged"}, s.run(context.Background(), "p"))
	s.write("boards/bad/a.txt", "good")
	assert.Equal(t, []string{fresh, fresh}, s.run(context.Background(), "q", "r"), "what failed is tried again")
}

func TestBuildsAtOnce(t *testing.T) {
	names := []string{}
	s := newShop(t)
	s.write("boards/one/a.txt", "1")
	for i := range 12 {
		names = append(names, fmt.Sprintf("p%02d", i))
		s.recipe(names[i], "one", "")
	}
	// Each waits until three are under way: it ends only if so many may be.
	three := make(chan struct{})
	s.block = func(ctx context.Context) {
		if s.under.Load() == 3 {
			select {
			case <-three:
			default:
				close(three)
			}
		}
		select {
		case <-three:
		case <-ctx.Done():
		}
	}
	s.opt.AtOnce = 3
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	for _, said := range s.run(ctx, names...) {
		assert.Equal(t, fresh, said)
	}
	assert.EqualValues(t, 3, s.most.Load())
	assert.EqualValues(t, 1, s.reads.Load())

	t.Run("memory for one", func(t *testing.T) {
		s.opt.Memory, s.opt.Force = needBase+1, true
		s.most.Store(0)
		s.run(ctx, names...)
		assert.EqualValues(t, 1, s.most.Load())
	})
}

func TestInterrupted(t *testing.T) {
	s := newShop(t)
	s.write("boards/one/a.txt", "1")
	for _, n := range []string{"p", "q", "r"} {
		s.recipe(n, "one", "")
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.opt.AtOnce = 1
	s.block = func(context.Context) {
		if s.reads.Add(1) > 2 { // the second build
			cancel()
		}
	}
	got := s.run(ctx, "p", "q", "r")
	assert.Equal(t, []string{fresh, run.ErrInterrupted.Error(), run.ErrInterrupted.Error()}, got)
	assert.NoDirExists(t, filepath.Join(s.dir, "build/q"))
	assert.Equal(t, []string{"unchanged"}, s.run(context.Background(), "p"))
}

// TestSharedReadings: builds that use a board another has read record the same inputs as if they had read it
// themselves, from whatever folder they name it.
func TestSharedReadings(t *testing.T) {
	s := newShop(t)
	s.write("boards/one/a.txt", "1")
	s.recipe("p", "one", "")
	s.recipe("q", "one", "")
	s.write("recipes/deeper/r.panel.hcl", strings.ReplaceAll(readText(t, filepath.Join(s.dir, "recipes/q.panel.hcl")), `"q"`, `"r"`))
	s.write("recipes/deeper/r.panel.hcl", strings.ReplaceAll(readText(t, filepath.Join(s.dir, "recipes/deeper/r.panel.hcl")), "../boards", "../../boards"))
	s.run(context.Background(), "p", "q", "deeper/r")
	assert.EqualValues(t, 1, s.reads.Load())
	alone := s.opt
	for _, n := range []string{"p", "q", "deeper/r"} {
		s.opt.Build.OutDir, s.opt.Records = filepath.Join(s.dir, "alone"), filepath.Join(s.dir, "alone-records")
		s.run(context.Background(), n)
		s.opt = alone
		name := filepath.Base(n)
		assert.Equal(t, readText(t, filepath.Join(s.dir, "alone", name, "manifest.json")), readText(t, filepath.Join(s.dir, "build", name, "manifest.json")))
	}
	assert.Equal(t, []string{"unchanged", "unchanged", "unchanged"}, s.run(context.Background(), "p", "q", "deeper/r"))
}

func readText(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestProblems(t *testing.T) {
	s := newShop(t)
	var told []error
	s.opt.Ends = func(d Done) { told = append(told, d.Err) }
	sorry := errors.New("sorry")
	Run(context.Background(), []Job{{Recipe: "none", Problem: sorry}}, s.opt)
	assert.Equal(t, []error{sorry}, told)
	Run(context.Background(), nil, s.opt)
	assert.Len(t, told, 1)
}
