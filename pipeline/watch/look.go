package watch

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"panelwright/pipeline/reach"
	"panelwright/pipeline/run"
)

// state is how the files were at one time.
type state struct {
	entries map[string]entry // by absolute path
	folders map[string]bool  // in which something has to change before any of this can, without links
	files   int
}

// entry is a file or folder that is there.
type entry struct {
	folder bool
	dead   bool // a link that leads nowhere, or what cannot be looked at
	stamp  run.Stamp
	sum    string // SHA-256, where the stamp does not vouch for the content
}

// differs tells whether a file is another than it was.
func (e entry) differs(old entry) bool {
	if e.folder != old.folder || e.dead != old.dead {
		return true
	}
	if e.folder {
		return false // what it holds has entries of its own
	}
	a, b := e.stamp, old.stamp
	a.Unsure, b.Unsure = false, false
	return a != b || old.sum != "" && old.sum != e.sum
}

// since tells whether a file has changed after a time; false for the zero time.
func (e entry) since(began time.Time) bool {
	if began.IsZero() || e.folder || e.dead {
		return false
	}
	last := e.stamp.Changed
	if last == 0 {
		last = e.stamp.Modified
	}
	tick := 50 * time.Millisecond
	if last%int64(time.Second) == 0 { // the file system may count whole seconds
		tick = 2 * time.Second
	}
	return last >= began.Add(-tick).UnixNano()
}

// mostEntries bounds what is looked at for one place; a build does not look at more either.
const mostEntries = 100_000

// looker looks at places.
type looker struct {
	*state
	ctx    context.Context
	before *state // nil at first
	ignore []string
	trails map[string]*reach.Trail // of folders
	left   int                     // entries that may still be looked at for this place
}

// look looks at all places.
func look(ctx context.Context, places []reach.Reach, ignore []string, before *state) *state {
	l := &looker{
		state: &state{entries: map[string]entry{}, folders: map[string]bool{}},
		ctx:   ctx, before: before, trails: map[string]*reach.Trail{},
	}
	for _, dir := range ignore {
		l.ignore = append(l.ignore, dir, reach.TrailOf(dir).Real)
	}
	done := map[reach.Reach]bool{}
	for _, r := range places {
		if ctx.Err() != nil {
			break
		}
		if !done[r] {
			done[r], l.left = true, mostEntries
			l.place(r)
		}
	}
	for _, e := range l.entries {
		if !e.folder {
			l.files++
		}
	}
	return l.state
}

// folderOf gives where a path's folder really is, and watches what leads there.
func (l *looker) folderOf(path string) string {
	dir := filepath.Dir(path)
	t := l.trails[dir]
	if t == nil {
		t = reach.TrailOf(dir)
		l.trails[dir] = t
		for _, link := range t.Links {
			l.folders[filepath.Dir(link)] = true
		}
		l.nearest(t.Real)
	}
	return t.Real
}

// nearest watches a folder, or the nearest one above it that is there.
func (l *looker) nearest(dir string) {
	for {
		if info, err := os.Stat(dir); err == nil && info.IsDir() || filepath.Dir(dir) == dir {
			l.folders[dir] = true
			return
		}
		dir = filepath.Dir(dir)
	}
}

func (l *looker) place(r reach.Reach) {
	real := filepath.Join(l.folderOf(r.Base), filepath.Base(r.Base))
	info, err := os.Lstat(r.Base)
	if err != nil {
		if !os.IsNotExist(err) {
			l.entries[r.Base] = entry{dead: true}
		}
		return
	}
	if info.Mode()&fs.ModeSymlink != 0 {
		real = l.follow(r.Base)
		if info, err = os.Stat(r.Base); err != nil {
			l.entries[r.Base] = entry{dead: true}
			return
		}
	}
	switch {
	case info.IsDir():
		l.entries[r.Base] = entry{folder: true}
		l.folder(r, r.Base, real, "")
	case r.Pattern == "":
		l.file(r.Base, info)
	}
}

// follow watches what a link leads through and to.
func (l *looker) follow(link string) (real string) {
	t := reach.TrailOf(link)
	for _, x := range t.Links {
		l.folders[filepath.Dir(x)] = true
	}
	l.nearest(filepath.Dir(t.Real))
	return t.Real
}

func (l *looker) file(path string, info fs.FileInfo) {
	e := entry{stamp: run.StampOf(info)}
	if info.IsDir() {
		e = entry{folder: true}
	}
	old, same := entry{}, false
	if l.before != nil {
		old = l.before.entries[path]
		same = old.sum != "" && !e.differs(entry{stamp: old.stamp})
	}
	if e.stamp.Unsure || same { // it may have changed again with the same stamp
		e.sum, _ = run.SumOfFile(path)
	}
	l.entries[path] = e
}

// folder looks at a folder of a place; name is what it is called in it.
func (l *looker) folder(r reach.Reach, dir, real, name string) {
	l.folders[real] = true
	entries, err := os.ReadDir(dir)
	if err != nil {
		l.entries[dir] = entry{dead: true}
	}
	for _, d := range entries {
		if l.left--; l.left < 0 || l.ctx.Err() != nil {
			return
		}
		at, name := filepath.Join(dir, d.Name()), strings.TrimPrefix(name+"/"+d.Name(), "/")
		switch link := d.Type()&fs.ModeSymlink != 0; {
		case d.IsDir():
			if to := filepath.Join(real, d.Name()); r.Enters(name) && d.Name() != ".git" && !slices.Contains(l.ignore, at) && !slices.Contains(l.ignore, to) {
				l.folder(r, at, to, name)
			}
		case !r.Wants(name):
		case link:
			l.follow(at)
			if info, err := os.Stat(at); err == nil {
				l.file(at, info)
			} else {
				l.entries[at] = entry{dead: true}
			}
		default:
			if info, err := d.Info(); err == nil {
				l.file(at, info)
			}
		}
	}
}

// watched are places by their base.
type watched map[string][]reach.Reach

func index(places []reach.Reach) watched {
	x := watched{}
	for _, r := range places {
		if !slices.Contains(x[r.Base], r) {
			x[r.Base] = append(x[r.Base], r)
		}
	}
	return x
}

// covers tells whether a place means the file at path, or is its folder.
func (x watched) covers(path string) bool {
	if len(x[path]) > 0 {
		return true
	}
	name := ""
	for dir := path; filepath.Dir(dir) != dir; {
		name = strings.TrimSuffix(filepath.Base(dir)+"/"+name, "/")
		dir = filepath.Dir(dir)
		if slices.ContainsFunc(x[dir], func(r reach.Reach) bool { return r.Wants(name) }) {
			return true
		}
	}
	return false
}
