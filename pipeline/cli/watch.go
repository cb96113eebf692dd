package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"panelwright/pipeline"
	"panelwright/pipeline/batch"
	"panelwright/pipeline/reach"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/run"
	"panelwright/pipeline/summary"
	"panelwright/pipeline/watch"
)

func (b *building) watchFlags(c *cobra.Command) {
	c.Flags().BoolVar(&b.watch, "watch", false, "go on after the build: build again what is changed, until Ctrl-C")
	c.Flags().DurationVar(&b.watchEvery, "watch-every", 0, "watch by looking at the files every `TIME`, such as 2s, where the system does not tell of changes")
	c.Long += "\n\n" +
		"--watch goes on: each time that recipes, standards or files that they use change, what hangs on them\n" +
		"is built again, and what is new in folders of recipes too. Ctrl-C ends it with the exit code of the\n" +
		"last time. With --json there is a document for each time, one after another."
}

// watching is a call of build --watch.
type watching struct {
	a    *app
	b    building
	args []string
	opt  batch.Options
	part *summary.Part

	mu     sync.Mutex
	looked map[string][]reach.Reach // what loading has looked at, see buildKey
	places map[string][]reach.Reach // of builds
	before map[string][]reach.Reach // of builds of the pass before
	later  bool                     // the first pass is over

	// Of this pass: builds, those that were made, those that came to nothing.
	of, made, stopped int
}

// watchBuilds builds, and builds again when files change.
func (a *app) watchBuilds(ctx context.Context, b building, opt batch.Options, part *summary.Part, args []string) error {
	w := &watching{a: a, b: b, args: args, opt: opt, part: part, places: map[string][]reach.Reach{}}
	w.opt.Load = func(path, supplier string) (*recipe.Plan, error) { return w.load(path, supplier, opt.Given) }
	o := watch.Options{Places: w.all, Pass: w.pass, Waits: w.waits, Every: b.watchEvery,
		Told: func(text string) { fmt.Fprintln(a.err, text) }}
	for _, dir := range []string{b.out, b.records} {
		if abs, err := filepath.Abs(dir); err == nil && dir != "" {
			o.Ignore = append(o.Ignore, abs)
		}
	}
	return watch.Watch(ctx, o)
}

// load loads a recipe and keeps what was looked at: where it cannot be loaded, that is what may mend it.
func (w *watching) load(path, supplier string, given map[string]string) (*recipe.Plan, error) {
	key := buildKey(batch.Job{Recipe: path, Supplier: supplier})
	var all []reach.Reach
	plan, err := w.a.loadWith(path, recipe.Settings{Given: given, Supplier: supplier, Looks: func(p pipeline.InPath) {
		these, _ := reach.Of("", p) // its folder is absolute
		all = append(all, these...)
	}})
	w.mu.Lock()
	defer w.mu.Unlock()
	w.looked[key] = all
	return plan, err
}

// pass builds once.
func (w *watching) pass(ctx context.Context, changes []watch.Change) error {
	if w.later && !w.a.quiet {
		w.tellChanges(changes)
	}
	w.a.code, w.of, w.made, w.stopped = exitGood, 0, 0, 0
	w.looked, w.before, w.places = map[string][]reach.Reach{}, w.places, map[string][]reach.Reach{}
	t := newTelling(w.a, w.b, w.opt)
	t.again, t.ended = w.later, w.ended
	err := w.a.buildOnce(ctx, t, w.opt, w.part, w.args)
	w.later, w.opt.Force = true, false
	switch {
	case w.a.out.err != nil: // nobody reads on
		return unwritten(w.a.out.err)
	case err != nil:
		w.a.fail(err)
	}
	return nil
}

// ended keeps what to watch of a build.
func (w *watching) ended(d batch.Done) {
	key := buildKey(d.Job)
	w.mu.Lock()
	all := w.looked[key]
	w.mu.Unlock()
	w.of++
	switch {
	case d.Err != nil:
		w.stopped++
	case d.How != batch.Unchanged:
		w.made++
	}
	switch base, err := filepath.Abs(filepath.Dir(d.Recipe)); {
	case err != nil:
	case d.Outcome != nil:
		all = append(all, watch.PlacesOf(base, d.Outcome.Recipe, d.Outcome.Asked)...)
	default: // what was read before it failed is as good a guess as any of what it will read when it is mended
		all = append(all, w.before[key]...)
	}
	w.places[key] = unique(all)
}

// unique drops what is there twice.
func unique(all []reach.Reach) []reach.Reach {
	seen := map[reach.Reach]bool{}
	out := all[:0]
	for _, r := range all {
		if !seen[r] {
			seen[r] = true
			out = append(out, r)
		}
	}
	return out
}

// all gives what to watch: what was called for, and what the builds hang on.
func (w *watching) all() []reach.Reach {
	var all []reach.Reach
	for _, arg := range w.args {
		abs, err := filepath.Abs(arg)
		if err != nil {
			continue
		}
		r := reach.Reach{Base: abs}
		if info, err := os.Stat(abs); err == nil && info.IsDir() {
			r.Pattern = "**/*{" + strings.Join(recipeEnds, ",") + "}"
		}
		all = append(all, r)
	}
	for _, these := range w.places {
		all = append(all, these...)
	}
	return all
}

// mostChanges is how many changed files are named.
const mostChanges = 5

func (w *watching) tellChanges(changes []watch.Change) {
	here, err := os.Getwd()
	fmt.Fprintln(w.a.err)
	for i, c := range changes {
		if i == mostChanges && len(changes) > mostChanges+1 {
			fmt.Fprintf(w.a.err, "and %d more files\n", len(changes)-mostChanges)
			break
		}
		name := c.Path
		if rel, e := filepath.Rel(here, c.Path); err == nil && e == nil {
			name = rel
		}
		fmt.Fprintf(w.a.err, "%s %s\n", filepath.ToSlash(name), c.How)
	}
}

// waits tells that all is done for now.
func (w *watching) waits(files int) {
	if w.a.quiet {
		return
	}
	stopped := ""
	if w.stopped > 0 {
		stopped = fmt.Sprintf(", %d stopped", w.stopped)
	}
	fmt.Fprintf(w.a.err, "\nbuilt %d of %d%s; watching %s; Ctrl-C ends\n", w.made, w.of, stopped, run.Count(files, "file", "files"))
}

// checkWatch refuses what makes no sense together.
func (b *building) checkWatch() error {
	switch {
	case b.watchEvery != 0 && (b.watchEvery < 100*time.Millisecond || b.watchEvery > time.Hour):
		return misuse("option --watch-every does not take %s: a time from 100ms to 1h is wanted", b.watchEvery)
	case b.watchEvery != 0 && !b.watch:
		return misuse("option --watch-every says how --watch goes on: give that one too")
	case b.watch && b.changedFrom.set:
		return misuse("--watch builds what is changed in any case: leave out --changed-from")
	}
	return nil
}
