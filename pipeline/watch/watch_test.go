package watch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/reach"
	"panelwright/pipeline/run"
)

// tree is a folder of a test.
type tree struct {
	t   testing.TB
	dir string
}

func newTree(t testing.TB) tree {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	return tree{t, dir}
}

func (r tree) path(name string) string { return filepath.Join(r.dir, filepath.FromSlash(name)) }

func (r tree) write(name, text string) {
	r.t.Helper()
	require.NoError(r.t, os.MkdirAll(filepath.Dir(r.path(name)), 0o755))
	require.NoError(r.t, os.WriteFile(r.path(name), []byte(text), 0o644))
}

func (r tree) rename(old, name string) {
	r.t.Helper()
	require.NoError(r.t, os.Rename(r.path(old), r.path(name)))
}

func (r tree) remove(name string) {
	r.t.Helper()
	require.NoError(r.t, os.RemoveAll(r.path(name)))
}

func (r tree) link(name, target string) {
	r.t.Helper()
	require.NoError(r.t, os.MkdirAll(filepath.Dir(r.path(name)), 0o755))
	if err := os.Symlink(filepath.FromSlash(target), r.path(name)); err != nil {
		r.t.Skipf("no symbolic links here: %v", err)
	}
}

// places are what recipes in the folder recipes name by these paths.
func (r tree) places(paths ...string) []reach.Reach {
	var all []reach.Reach
	for _, p := range paths {
		these, err := reach.Of(r.path("recipes"), pipeline.InPath{Text: p, Dir: r.path("recipes")})
		require.NoError(r.t, err)
		all = append(all, these...)
	}
	return all
}

// words gives changes as a text: "boards/a.gbr is new, boards/b.gbr is gone".
func (r tree) words(changes []Change) string {
	var all []string
	for _, c := range changes {
		rel, err := filepath.Rel(r.dir, c.Path)
		require.NoError(r.t, err)
		all = append(all, filepath.ToSlash(rel)+" "+string(c.How))
	}
	return strings.Join(all, ", ")
}

// later is a time after all that a test writes: what is new among the places counts for unchanged.
func later() time.Time { return time.Now().Add(200 * 365 * 24 * time.Hour) }

// under is a call of Watch that goes on while a test changes files.
type under struct {
	passes chan string // what had changed, of each pass
	end    chan error
	stop   context.CancelFunc
}

func start(t *testing.T, r tree, o Options) under {
	ctx, stop := context.WithCancel(t.Context())
	u := under{make(chan string), make(chan error, 1), stop}
	if o.Pass == nil {
		o.Pass = func(_ context.Context, changes []Change) error {
			select {
			case u.passes <- r.words(changes):
			case <-ctx.Done():
			}
			return nil
		}
	}
	if o.now == nil {
		o.now = later
	}
	go func() { u.end <- Watch(ctx, o) }()
	return u
}

// next waits for a pass.
func (u under) next(t *testing.T) string {
	t.Helper()
	select {
	case got := <-u.passes:
		return got
	case <-time.After(time.Minute):
		t.Fatal("no pass comes")
		return ""
	}
}

// none sees to it that no pass comes for a while of a clock that is not the world's.
func (u under) none(t *testing.T, what string) {
	t.Helper()
	select {
	case got := <-u.passes:
		t.Fatalf("%s: a pass came: %q", what, got)
	case <-time.After(time.Minute):
	}
}

func (u under) ends(t *testing.T) {
	t.Helper()
	u.stop()
	assert.NoError(t, <-u.end)
}

// board is what the tests watch.
func board(t testing.TB) (tree, func() []reach.Reach) {
	r := newTree(t)
	for _, name := range []string{"recipes/gauge.panel.hcl", "recipes/standards/hand.standard.hcl", "boards/gauge/top.gbr", "boards/gauge/in/drill.xnc",
		"boards/tide/top.gbr", "boards/tide/notes.txt", "boards/deep/a/b/top.gbr", "vendor/rev-a/top.gbr", "vendor/rev-b/top.gbr", "vendor/loose/one.gbr", "build/gauge/manifest.json"} {
		r.write(name, name)
	}
	r.link("boards/linked", "../vendor/rev-a")
	r.link("boards/heap/one.gbr", "../../vendor/loose/one.gbr")
	places := append(r.places("gauge.panel.hcl", "standards/hand.standard.hcl", "../boards/gauge", "../boards/tide/*.gbr", "../boards/deep/**/*.gbr",
		"../boards/linked", "../boards/heap", "../boards/later.zip"), reach.Reach{Base: r.dir, Pattern: "recipes/**/*.panel.json"}, reach.Reach{Base: r.dir, Pattern: "build/**/*.panel.hcl"})
	return r, func() []reach.Reach { return places }
}

// steps are changes one after another, and what the pass after each is told; none where there is none.
var steps = []struct {
	name   string
	change func(r tree)
	want   string
	quick  bool // not waited for where waiting takes time
}{
	{"written", func(r tree) { r.write("boards/gauge/top.gbr", "other") }, "boards/gauge/top.gbr has changed", false},
	{"written again, as long", func(r tree) { r.write("boards/gauge/top.gbr", "OTHER") }, "boards/gauge/top.gbr has changed", true},
	{"replaced by a rename", func(r tree) {
		r.write("boards/gauge/.new", "third")
		r.rename("boards/gauge/.new", "boards/gauge/top.gbr")
	},
		"boards/gauge/top.gbr has changed", false},
	{"hidden", func(r tree) { r.write("boards/gauge/.swap", "x") }, "", false},
	{"beside", func(r tree) { r.write("boards/tide/notes.txt", "other"); r.write("boards/other/top.gbr", "x") }, "", false},
	{"new in a folder", func(r tree) { r.write("boards/gauge/bottom.gbr", "new") }, "boards/gauge/bottom.gbr is new", false},
	{"new folders in a folder", func(r tree) { r.write("boards/gauge/x/y/z.gbr", "new") }, "boards/gauge/x/y/z.gbr is new", false},
	{"in the new folders", func(r tree) { r.write("boards/gauge/x/y/z.gbr", "newer") }, "boards/gauge/x/y/z.gbr has changed", true},
	{"new for a glob", func(r tree) { r.write("boards/tide/bottom.gbr", "new") }, "boards/tide/bottom.gbr is new", true},
	{"new for a deep glob", func(r tree) { r.write("boards/deep/c/d/e.gbr", "new"); r.write("boards/deep/c/d/e.txt", "new") }, "boards/deep/c/d/e.gbr is new", true},
	{"renamed", func(r tree) { r.rename("boards/tide/bottom.gbr", "boards/tide/below.gbr") },
		"boards/tide/below.gbr is new, boards/tide/bottom.gbr is gone", true},
	{"a folder vanishes", func(r tree) { r.rename("boards/gauge", "boards/away") },
		"boards/gauge is gone, boards/gauge/bottom.gbr is gone, boards/gauge/in/drill.xnc is gone, boards/gauge/top.gbr is gone, boards/gauge/x/y/z.gbr is gone", false},
	{"it comes back", func(r tree) { r.remove("boards/away/x"); r.rename("boards/away", "boards/gauge") },
		"boards/gauge is new, boards/gauge/bottom.gbr is new, boards/gauge/in/drill.xnc is new, boards/gauge/top.gbr is new", false},
	{"and is watched again", func(r tree) { r.write("boards/gauge/in/drill.xnc", "other") }, "boards/gauge/in/drill.xnc has changed", false},
	{"removed and made anew", func(r tree) { r.remove("boards/gauge"); r.write("boards/gauge/top.gbr", "anew") },
		"boards/gauge/bottom.gbr is gone, boards/gauge/in/drill.xnc is gone, boards/gauge/top.gbr has changed", false},
	{"that one is watched", func(r tree) { r.write("boards/gauge/top.gbr", "again") }, "boards/gauge/top.gbr has changed", false},
	{"where a link leads", func(r tree) { r.write("vendor/rev-a/top.gbr", "other") }, "boards/linked/top.gbr has changed", false},
	{"a link leads elsewhere", func(r tree) { r.remove("boards/linked"); r.link("boards/linked", "../vendor/rev-b") }, "boards/linked/top.gbr has changed", false},
	{"where a link in a folder leads", func(r tree) { r.write("vendor/loose/one.gbr", "other") }, "boards/heap/one.gbr has changed", false},
	{"a dead link", func(r tree) { r.remove("vendor/loose/one.gbr") }, "boards/heap/one.gbr has changed", false},
	{"what was not there", func(r tree) { r.write("boards/later.zip", "zip") }, "boards/later.zip is new", false},
	{"a recipe", func(r tree) { r.write("recipes/gauge.panel.hcl", "other") }, "recipes/gauge.panel.hcl has changed", true},
	{"a standard", func(r tree) { r.write("recipes/standards/hand.standard.hcl", "other") }, "recipes/standards/hand.standard.hcl has changed", true},
	{"a new recipe", func(r tree) { r.write("recipes/more/tide.panel.json", "{}") }, "recipes/more/tide.panel.json is new", false},
	{"what is ignored", func(r tree) { r.write("build/gauge/x.panel.hcl", "x"); r.write(".git/x.panel.hcl", "x") }, "", false},
}

// TestSteps: what is seen of each change, looking at the files by the clock.
func TestSteps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, places := board(t)
		u := start(t, r, Options{Places: places, Every: 3 * time.Second, Ignore: []string{r.path("build")}})
		assert.Empty(t, u.next(t))
		for _, s := range steps {
			s.change(r)
			if s.want == "" {
				u.none(t, s.name)
			} else {
				assert.Equal(t, s.want, u.next(t), s.name)
			}
		}
		u.none(t, "at the end")
		u.ends(t)
	})
}

// TestSystemTells: the same changes, as the system tells of them and by nothing else. What is done in several strokes may be told
// in several passes, where the machine is busy.
func TestSystemTells(t *testing.T) {
	r, places := board(t)
	waits := make(chan int, 1)
	u := start(t, r, Options{
		Places: places, Ignore: []string{r.path("build")}, seldom: time.Hour,
		Waits: func(files int) {
			select {
			case waits <- files:
			default:
			}
		},
		Told: func(text string) { t.Error(text) },
	})
	assert.Empty(t, u.next(t))
	assert.Equal(t, 8, <-waits)
	for _, s := range steps {
		s.change(r)
		if s.want == "" || s.quick {
			continue
		}
		var missing []string
		for _, one := range strings.Split(s.want, ", ") {
			path, _, _ := strings.Cut(one, " ")
			missing = append(missing, path)
		}
		for len(missing) > 0 {
			got := u.next(t)
			missing = slices.DeleteFunc(missing, func(path string) bool { return strings.Contains(", "+got, ", "+path+" ") })
		}
	}
	u.ends(t)
}

// fakeTeller tells what a test has it tell.
type fakeTeller struct {
	tell   chan struct{}
	asked  int
	closed bool
	err    error
}

func (f *fakeTeller) watch(folders map[string]bool) (bool, error) {
	f.asked++
	return false, f.err
}
func (f *fakeTeller) told() <-chan struct{} { return f.tell }
func (f *fakeTeller) close()                { f.closed = true }

// TestTold: what is told is looked at at once, what is not told after a while.
func TestTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, places := board(t)
		f := &fakeTeller{tell: make(chan struct{}, 1)}
		u := start(t, r, Options{Places: places, listen: func() (teller, error) { return f, nil }})
		u.next(t)
		synctest.Wait()
		began := time.Now()
		r.write("boards/gauge/top.gbr", "told")
		f.tell <- struct{}{}
		assert.Equal(t, "boards/gauge/top.gbr has changed", u.next(t))
		assert.Less(t, time.Since(began), time.Second)

		synctest.Wait()
		began = time.Now()
		r.write("boards/gauge/top.gbr", "not told")
		assert.Equal(t, "boards/gauge/top.gbr has changed", u.next(t))
		assert.InDelta(t, 10, time.Since(began).Seconds(), 1)
		u.ends(t)
		assert.True(t, f.closed)
	})
}

// TestMuchIsTold: a system that never stops telling has the files looked at some twenty times a second at most.
func TestMuchIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, places := board(t)
		f := &fakeTeller{tell: make(chan struct{})}
		close(f.tell)
		u := start(t, r, Options{Places: places, listen: func() (teller, error) { return f, nil }})
		u.next(t)
		time.Sleep(5 * time.Second)
		u.ends(t)
		assert.InDelta(t, 5*20, f.asked, 10)
	})
}

// TestWrittenForLong: a pass waits until what is written lies still, for a second at most.
func TestWrittenForLong(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, places := board(t)
		f := &fakeTeller{tell: make(chan struct{}, 1)}
		u := start(t, r, Options{Places: places, listen: func() (teller, error) { return f, nil }})
		u.next(t)
		synctest.Wait()
		writing := func(d time.Duration) {
			for end, text := time.Now().Add(d), ""; time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
				text += "more"
				r.write("boards/gauge/top.gbr", text)
				select {
				case f.tell <- struct{}{}:
				default:
				}
			}
		}
		began := time.Now()
		go writing(500 * time.Millisecond)
		u.next(t)
		assert.InDelta(t, 0.7, time.Since(began).Seconds(), 0.2, "once it is whole")
		u.none(t, "after it was whole")

		synctest.Wait()
		began = time.Now()
		go writing(3 * time.Second)
		u.next(t)
		assert.InDelta(t, 1.2, time.Since(began).Seconds(), 0.3, "though it goes on")
		u.next(t) // and what came of it in the end
		for range 5 {
			select {
			case <-u.passes:
			case <-time.After(time.Minute):
			}
		}
		u.ends(t)
	})
}

// TestDuringAPass: what changes while a pass goes on has another pass follow; what is put back has none.
func TestDuringAPass(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, places := board(t)
		go1 := make(chan string)
		var all []string
		u := start(t, r, Options{Places: places, Every: time.Second, Pass: func(_ context.Context, changes []Change) error {
			if all = append(all, r.words(changes)); len(all) == 1 {
				r.write("boards/gauge/in/drill.xnc", "during the pass")
			}
			go1 <- all[len(all)-1]
			return nil
		}})
		assert.Empty(t, <-go1)
		assert.Equal(t, "boards/gauge/in/drill.xnc has changed", <-go1)
		time.Sleep(time.Minute)
		assert.Len(t, all, 2)
		u.ends(t)
	})
}

// TestNewPlaces: what a pass has found to be read, and has changed since the pass began, has another pass follow; what was as it is
// long before has none.
func TestNewPlaces(t *testing.T) {
	for _, since := range []bool{true, false} {
		synctest.Test(t, func(t *testing.T) {
			r, places := board(t)
			read := places()[:1]
			now := later
			if since {
				now = func() time.Time { return time.Unix(0, 0) }
			}
			var u under
			passed := 0
			u = start(t, r, Options{
				Places: func() []reach.Reach {
					if passed++; passed > 1 {
						return places()
					}
					return read
				},
				Every: time.Second, now: now, Ignore: []string{r.path("build")},
			})
			u.next(t)
			if since {
				assert.Contains(t, u.next(t), "boards/gauge/in/drill.xnc has changed")
			}
			u.none(t, "what was there before")
			r.write("boards/gauge/in/drill.xnc", "changed")
			assert.Equal(t, "boards/gauge/in/drill.xnc has changed", u.next(t))
			u.ends(t)
		})
	}
}

// TestFallsBack: where the system cannot tell, files are looked at every second, and people are told why.
func TestFallsBack(t *testing.T) {
	for name, listen := range map[string]func() (teller, error){
		"too many programs": func() (teller, error) { return nil, syscall.EMFILE },
		"too many folders":  func() (teller, error) { return &fakeTeller{err: syscall.ENOSPC}, nil },
	} {
		synctest.Test(t, func(t *testing.T) {
			r, places := board(t)
			var told []string
			u := start(t, r, Options{Places: places, listen: listen, Told: func(text string) { told = append(told, text) }})
			u.next(t)
			synctest.Wait()
			require.Len(t, told, 1, name)
			assert.Contains(t, told[0], "looking at the files every 1s")
			began := time.Now()
			r.write("boards/gauge/top.gbr", "other")
			assert.Equal(t, "boards/gauge/top.gbr has changed", u.next(t), name)
			assert.InDelta(t, 1, time.Since(began).Seconds(), 0.5)
			u.ends(t)
		})
	}
}

// TestPassFails: an error of a pass ends the watching and comes back; so does the end of the context, without one.
func TestPassFails(t *testing.T) {
	r, places := board(t)
	wrong := errors.New("standard output is closed")
	u := start(t, r, Options{Places: places, Every: time.Second, Pass: func(context.Context, []Change) error { return wrong }})
	assert.ErrorIs(t, <-u.end, wrong)
	ctx, cancel := context.WithCancel(t.Context())
	assert.NoError(t, Watch(ctx, Options{Places: places, Pass: func(context.Context, []Change) error { cancel(); return nil }}))
}

// TestCovers: which files the places mean.
func TestCovers(t *testing.T) {
	r := newTree(t)
	x := index(append(r.places("../boards/gauge", "../boards/tide/*.gbr", "gauge.panel.hcl"), reach.Reach{Base: r.path("more"), Pattern: "**/*.panel.hcl"}))
	for name, want := range map[string]bool{
		"boards/gauge": true, "boards/gauge/a/b": true, "boards/gauge/.a/b": false, "boards/gauge2": false, "boards/tide": true, "boards/tide/a.gbr": true,
		"boards/tide/a/b.gbr": false, "recipes/gauge.panel.hcl": true, "recipes/x": false, "more/a/b.panel.hcl": true, "more/a/b.hcl": false, ".": false,
	} {
		assert.Equal(t, want, x.covers(r.path(name)), name)
	}
}

// TestCompare: what a file is told to be, by how it was and how it is, and by what was watched and is.
func TestCompare(t *testing.T) {
	r := newTree(t)
	path := r.path("boards/a.gbr")
	file := func(stamp int64, sum string) *state {
		return &state{entries: map[string]entry{path: {stamp: run.Stamp{Modified: stamp, Unsure: sum != ""}, sum: sum}}}
	}
	none := &state{}
	here, elsewhere := index(r.places("../boards")), index(r.places("../other"))
	began := time.Unix(1000, 0)
	for _, c := range []struct {
		name        string
		before, now *state
		was, is     watched
		want        How
	}{
		{"the same", file(1, ""), file(1, ""), here, here, ""},
		{"another date", file(1, ""), file(2, ""), here, here, Changed},
		{"the same stamp, another content", file(1, "x"), file(1, "y"), here, here, Changed},
		{"the same stamp, the same content", file(1, "x"), file(1, "x"), here, here, ""},
		{"new", none, file(1, ""), here, here, New},
		{"gone", file(1, ""), none, here, here, Gone},
		{"no longer watched", file(1, ""), none, here, elsewhere, ""},
		{"not watched before, older than the pass", none, file(1, ""), elsewhere, here, ""},
		{"not watched before, changed since", none, file(began.UnixNano()+1, ""), elsewhere, here, Changed},
	} {
		var want []Change
		if c.want != "" {
			want = []Change{{path, c.want}}
		}
		assert.Equal(t, want, compare(c.before, c.now, c.was, c.is, began), c.name)
	}
}

// TestContentWhereStampsSayNothing: of a file that could have changed with the same stamp, the content counts.
func TestContentWhereStampsSayNothing(t *testing.T) {
	r := newTree(t)
	r.write("boards/a.gbr", "new")
	path := r.path("boards/a.gbr")
	places := r.places("../boards")
	info, err := os.Stat(path)
	require.NoError(t, err)
	sum, err := run.SumOfFile(path)
	require.NoError(t, err)
	before := &state{entries: map[string]entry{path: {stamp: run.StampOf(info), sum: sum}}}
	assert.Equal(t, sum, look(t.Context(), places, nil, before).entries[path].sum)
	before.entries[path] = entry{stamp: run.StampOf(info), sum: "another"}
	assert.True(t, look(t.Context(), places, nil, before).entries[path].differs(before.entries[path]))
}

// TestFoldersMadeAnew: a folder that was removed and is there again is watched again.
func TestFoldersMadeAnew(t *testing.T) {
	r := newTree(t)
	r.write("boards/gauge/top.gbr", "x")
	n, err := listen()
	require.NoError(t, err)
	defer n.close()
	watch := func() bool {
		fresh, err := n.watch(map[string]bool{r.path("boards"): true, r.path("boards/gauge"): true})
		require.NoError(t, err)
		return fresh
	}
	told := func() {
		select {
		case <-n.told():
		case <-time.After(time.Minute):
			t.Fatal("nothing is told")
		}
	}
	assert.True(t, watch())
	assert.False(t, watch())
	r.remove("boards/gauge")
	require.NoError(t, os.Mkdir(r.path("boards/gauge"), 0o755))
	for told(); !watch(); told() {
	}
	for watch() { // until all of the removal has been told
	}
	select {
	case <-n.told():
	default:
	}
	r.write("boards/gauge/bottom.gbr", "x")
	told()
}
