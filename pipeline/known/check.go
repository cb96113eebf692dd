package known

import (
	"context"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sync"

	"panelwright/pipeline/run"
)

// Checker holds records against what is there. It looks at each file once, however many recipes use it, so it is for one pass
// over the recipes. It may be used by several goroutines.
type Checker struct {
	files sync.Map // absolute path to *file
	lists sync.Map // list to func() string
}

// file is what was seen of a file.
type file struct {
	mu    sync.Mutex
	stamp run.Stamp
	sum   string // empty: not read yet
	err   error  // it is not there, or cannot be read
	seen  bool
}

// list is a listing asked for, by absolute folder.
type list struct{ dir, text string }

// look gives the file's SHA-256; where its stamp is that of a content known already, without reading it.
func (c *Checker) look(path string, known string, at run.Stamp) (sum string, stamp run.Stamp, err error) {
	x, _ := c.files.LoadOrStore(path, &file{})
	f := x.(*file)
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.seen {
		f.seen = true
		var info fs.FileInfo
		if info, f.err = os.Stat(path); f.err == nil {
			if f.stamp = run.StampOf(info); !info.Mode().IsRegular() {
				f.err = fs.ErrInvalid
			}
		}
	}
	switch {
	case f.err != nil:
		return "", f.stamp, f.err
	case f.sum != "":
		return f.sum, f.stamp, nil
	case known != "" && at.Same(f.stamp):
		return known, f.stamp, nil
	}
	if f.sum, f.err = run.SumOfFile(path); f.err != nil {
		return "", f.stamp, f.err
	}
	return f.sum, f.stamp, nil
}

// answer asks again what a build has asked, for a recipe in the absolute folder base.
func (c *Checker) answer(ctx context.Context, base string, q run.Asked, stamps map[string]run.Stamp) (answer string, stamp run.Stamp) {
	switch q.What {
	case run.AskedFile:
		answer, stamp, err := c.look(filepath.Join(base, filepath.FromSlash(q.Name)), q.Answer, stamps[q.Name])
		if err != nil {
			return "", stamp
		}
		return answer, stamp
	case run.AskedList:
		dir := filepath.FromSlash(q.In)
		if !filepath.IsAbs(dir) {
			dir = filepath.Join(base, dir)
		}
		once, _ := c.lists.LoadOrStore(list{dir, q.Name}, sync.OnceValue(func() string {
			return run.Answer(ctx, base, q, run.SumOfFile)
		}))
		return once.(func() string)(), stamp
	}
	return run.Answer(ctx, base, q, func(path string) (string, error) {
		sum, _, err := c.look(path, "", stamp)
		return sum, err
	}), stamp
}

// Agrees tells whether a recipe in the folder base gets these answers to what a build asked; if not, which is the first that is
// another one now.
func (c *Checker) Agrees(ctx context.Context, base string, asked []run.Asked) (differs string, ok bool) {
	for _, q := range asked {
		if answer, _ := c.answer(ctx, base, q, nil); answer != q.Answer {
			return q.Name, false
		}
	}
	return "", true
}

// Unchanged tells whether a recipe's build in the folder dir is what building it again would give. If not, why says what has
// changed. Where dates alone have changed, the record's stamps are renewed, and renewed tells to keep it again.
func (c *Checker) Unchanged(ctx context.Context, r *Record, s Settings, base, dir string) (why string, renewed bool) {
	switch {
	case r == nil:
		return "not built before", false
	case r.Settings.key() != s.key():
		return settingsChange(r.Settings, s), false
	}
	renew := func(name string, stamp run.Stamp) {
		if old := r.Stamps[name]; !stamp.Unsure && old != stamp {
			r.Stamps[name], renewed = stamp, true
		}
	}
	for _, f := range r.Files {
		sum, stamp, err := c.look(filepath.Join(base, filepath.FromSlash(f.Name)), f.SHA256, r.Stamps[f.Name])
		if err != nil || sum != f.SHA256 {
			return f.Name + " has changed", false
		}
		renew(f.Name, stamp)
	}
	for _, q := range r.Asked {
		answer, stamp := c.answer(ctx, base, q, r.Stamps)
		if answer != q.Answer {
			return askedChange(q, answer), false
		}
		if q.What == run.AskedFile && answer != "" {
			renew(q.Name, stamp)
		}
	}
	for i, o := range r.Outputs {
		path := filepath.Join(dir, filepath.FromSlash(o.Name))
		info, err := os.Lstat(path)
		if err != nil || !info.Mode().IsRegular() || info.Size() != o.Bytes {
			return "the build's " + o.Name + " is not as it was written", false
		}
		stamp := run.StampOf(info)
		if o.Stamp.Same(stamp) {
			continue
		}
		if sum, err := run.SumOfFile(path); err != nil || sum != o.SHA256 {
			return "the build's " + o.Name + " is not as it was written", false
		}
		if !stamp.Unsure {
			r.Outputs[i].Stamp, renewed = stamp, true
		}
	}
	if name := foreign(r, dir); name != "" {
		return name + " lies in the build folder, and is none of its files", false // the build says what to do
	}
	return "", renewed
}

// foreign names what lies in the build folder without being of it; empty for nothing. Only the folders that the build made are
// looked into.
func foreign(r *Record, dir string) string {
	within := map[string]map[string]bool{".": {}} // by folder, what may lie in it
	for _, o := range r.Outputs {
		for name := o.Name; name != "."; name = path.Dir(name) {
			in := path.Dir(name)
			if within[in] == nil {
				within[in] = map[string]bool{}
			}
			within[in][path.Base(name)] = true
		}
	}
	for _, in := range slices.Sorted(maps.Keys(within)) {
		ours := within[in]
		entries, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(in)))
		if err != nil {
			return in
		}
		for _, e := range entries {
			if !ours[e.Name()] && !run.Strewn(e.Name()) {
				return path.Join(in, e.Name())
			}
		}
	}
	return ""
}

func askedChange(q run.Asked, answer string) string {
	switch q.What {
	case run.AskedList:
		return "the files that " + q.Name + " means have changed"
	case run.AskedVariable:
		return "the variable " + q.Name + " has changed"
	case run.AskedProgram:
		return "the program " + q.Name + " has changed"
	}
	switch {
	case answer == "":
		return q.Name + " is gone"
	case q.Answer == "":
		return q.Name + " is there now"
	}
	return q.Name + " has changed"
}

func settingsChange(old, now Settings) string {
	switch {
	case old.Program != now.Program || old.Version != now.Version || old.Image != now.Image || old.Contract != now.Contract:
		return "built by another program"
	case old.Reject != now.Reject:
		return "built with another --reject"
	case old.key() != now.key() && (old.Epoch == nil) != (now.Epoch == nil) || old.Epoch != nil && *old.Epoch != *now.Epoch:
		return "built with another SOURCE_DATE_EPOCH"
	}
	return "built with other given values"
}
