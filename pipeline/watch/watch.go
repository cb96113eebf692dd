// Package watch carries out a pass of work each time that files have changed.
//
// The files themselves are the truth: what is told of them, by the system or by the clock, only makes Watch look at their
// stamps anew. So nothing is missed for long that the system does not tell, be it that it tells too much at once, that a
// folder was away for a while, or that the file system tells nothing.
package watch

import (
	"cmp"
	"context"
	"fmt"
	"runtime"
	"slices"
	"time"

	"panelwright/pipeline/reach"
)

// Options say what to watch, and what to do.
type Options struct {
	// Places gives what to watch. It is asked before the first pass and after each, for what a pass reads may have changed.
	Places func() []reach.Reach
	// Pass does the work; changes is what has changed since the last one, none in the first. An error ends the watching: what
	// the next change may mend is none.
	Pass func(ctx context.Context, changes []Change) error
	// Waits is told after a pass how many files are watched; may be nil.
	Waits func(files int)
	// Told is told what people should know of the watching itself; may be nil.
	Told func(text string)
	// Ignore are absolute folders that are looked at only where a place lies in them: what a pass writes.
	Ignore []string
	// Every is how often to look at the files. 0: when the system tells that something has changed; where it cannot,
	// every second.
	Every time.Duration

	// Of tests.
	listen func() (teller, error)
	now    func() time.Time // of the file system
	seldom time.Duration
}

// Change is a file or folder that is not as it was.
type Change struct {
	Path string // absolute
	How  How
}

// How says how a file has changed.
type How string

// The ways.
const (
	Changed How = "has changed"
	New     How = "is new"
	Gone    How = "is gone"
)

const (
	quiet = 150 * time.Millisecond // what lies still so long is whole
	most  = time.Second            // after which a pass begins, though files still change
	often = time.Second            // how often to look where the system tells nothing
	// seldom is how often to look all the same where the system tells of changes: some it cannot tell.
	seldom = 10 * time.Second
	least  = 50 * time.Millisecond // between two looks
	// share is how much of the time looking may take: a hundredth at most where the system tells, and a tenth elsewhere.
	share, largeShare = 100, 10
)

// teller tells that something has changed in folders.
type teller interface {
	// watch tells of changes in these folders from now on, and of no others; fresh: some were not watched before.
	// An error says that it cannot tell of all.
	watch(folders map[string]bool) (fresh bool, err error)
	told() <-chan struct{}
	close()
}

// watcher is one call of Watch.
type watcher struct {
	Options
	teller teller // nil: nothing tells
	took   time.Duration
}

// Watch carries out a pass, and another each time that files have changed, until ctx ends or a pass fails. What changes during a
// pass is seen after it.
func Watch(ctx context.Context, o Options) error {
	w := &watcher{Options: o}
	if w.now == nil {
		w.now = time.Now
	}
	if w.listen == nil {
		w.listen = listen
	}
	if w.seldom == 0 {
		w.seldom = seldom
	}
	if w.Every <= 0 {
		var err error
		if w.teller, err = w.listen(); err != nil {
			w.fallBack(err)
		}
	}
	defer func() { w.deaf() }()

	places := w.Places()
	seen := w.look(ctx, places, nil)
	var changes []Change
	for {
		before, was, began := seen, index(places), w.now()
		if err := w.Pass(ctx, changes); err != nil || ctx.Err() != nil {
			return err
		}
		places = w.Places()
		seen = w.look(ctx, places, before)
		changes = compare(before, seen, was, index(places), began)
		if len(changes) == 0 {
			if w.Waits != nil {
				w.Waits(seen.files)
			}
			before, was, began = seen, index(places), time.Time{}
		}
		for len(changes) == 0 {
			if !w.wait(ctx) {
				return nil
			}
			seen = w.look(ctx, places, before)
			changes = compare(before, seen, was, was, began)
		}
		// What is being written is left in peace, for a while.
		for start := time.Now(); time.Since(start) < most; {
			if !pause(ctx, quiet) {
				return nil
			}
			last := seen
			seen = w.look(ctx, places, before)
			if len(compare(last, seen, index(places), index(places), time.Time{})) == 0 {
				break
			}
		}
		if changes = compare(before, seen, was, index(places), began); len(changes) == 0 {
			changes = nil // all is as it was again
		}
	}
}

// look looks at the places, and sees to it that changes there are told.
func (w *watcher) look(ctx context.Context, places []reach.Reach, before *state) *state {
	start := time.Now()
	defer func() { w.took = time.Since(start) }()
	const rounds = 5 // a folder that goes on growing is looked at again soon in any case
	var s *state
	for range rounds {
		s = look(ctx, places, w.Ignore, before)
		if w.teller == nil {
			break
		}
		fresh, err := w.teller.watch(s.folders)
		if err != nil {
			w.fallBack(err)
			break
		}
		if !fresh { // else something may have come between looking and watching
			break
		}
	}
	return s
}

// wait waits until it is time to look at the files again; false when ctx ends.
func (w *watcher) wait(ctx context.Context) bool {
	// However much is told, looking takes no more than its share.
	atLeast := max(least, w.took*largeShare)
	if w.teller == nil {
		return pause(ctx, max(w.every(), atLeast))
	}
	if !pause(ctx, atLeast) {
		return false
	}
	t := time.NewTimer(max(w.seldom, w.took*share))
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-w.teller.told():
	case <-t.C:
		// Whatever has become of the folders meanwhile, from now on they are watched as they are.
		w.teller.watch(nil)
	}
	return true
}

func (w *watcher) every() time.Duration {
	if w.Every > 0 {
		return w.Every
	}
	return often
}

// fallBack goes on without being told of changes.
func (w *watcher) fallBack(err error) {
	w.deaf()
	if w.Told == nil {
		return
	}
	text := fmt.Sprintf("the system does not tell of changes (%v): looking at the files every %s", err, often)
	if runtime.GOOS == "linux" {
		text += "; raise fs.inotify.max_user_watches or fs.inotify.max_user_instances (sysctl) to be told"
	}
	w.Told(text)
}

func (w *watcher) deaf() {
	if w.teller != nil {
		w.teller.close()
		w.teller = nil
	}
}

// pause waits; false when ctx ends first.
func pause(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return ctx.Err() == nil
	}
}

// compare gives what is not as it was, by path. What was not watched before counts only if it has changed since began.
func compare(before, now *state, was, is watched, began time.Time) []Change {
	var all []Change
	for path, e := range now.entries {
		old, ok := before.entries[path]
		switch {
		case ok && e.differs(old):
			all = append(all, Change{path, Changed})
		case !ok && was.covers(path):
			all = append(all, Change{path, New})
		case !ok && e.since(began):
			all = append(all, Change{path, Changed})
		}
	}
	for path := range before.entries {
		if _, ok := now.entries[path]; !ok && is.covers(path) {
			all = append(all, Change{path, Gone})
		}
	}
	slices.SortFunc(all, func(a, b Change) int { return cmp.Compare(a.Path, b.Path) })
	return all
}
