package changed

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"panelwright/pipeline/run"
)

// trail is where a path leads.
type trail struct {
	links []string // the links that it goes through, where they themselves lie, without links
	real  string   // where it ends, without links, be it there or not
}

// mostLinks is how many links one path may go through, as systems have it.
const mostLinks = 40

// trail follows the absolute path's links.
func (s *Set) trail(abs string) *trail {
	if t, ok := s.trails.Load(abs); ok {
		return t.(*trail)
	}
	root := filepath.VolumeName(abs) + string(filepath.Separator)
	t := &trail{real: root}
	for todo := parts(abs[len(root):]); len(todo) > 0; {
		part := todo[0]
		todo = todo[1:]
		if part == ".." {
			t.real = filepath.Dir(t.real)
			continue
		}
		at := filepath.Join(t.real, part)
		target, err := os.Readlink(at)
		if err != nil || len(t.links) == mostLinks {
			t.real = at
			continue
		}
		t.links = append(t.links, at)
		if filepath.IsAbs(target) {
			t.real = filepath.VolumeName(target) + string(filepath.Separator)
			target = target[len(t.real):]
		}
		todo = append(parts(target), todo...)
	}
	s.trails.Store(abs, t)
	return t
}

func parts(path string) []string {
	return strings.FieldsFunc(filepath.Clean(path), func(r rune) bool { return r == filepath.Separator })
}

// links are the links in a folder and its subfolders.
type links struct {
	names []string // from the folder, with slashes
	all   bool     // false: there was too much to look at, or it could not be read
}

// mostEntries bounds what is looked at in one folder; a build does not look at more either.
const mostEntries = 100_000

// linksIn finds the links in a folder; hidden ones with what is hidden only if asked for.
func (s *Set) linksIn(folder string, hidden bool) *links {
	type key struct {
		folder string
		hidden bool
	}
	if l, ok := s.linked.Load(key{folder, hidden}); ok {
		return l.(*links)
	}
	l := &links{all: true}
	seen := 0
	filepath.WalkDir(folder, func(at string, d fs.DirEntry, err error) error {
		if seen++; seen > mostEntries {
			l.all = false
			return fs.SkipAll
		}
		switch {
		case err != nil:
			l.all = l.all && os.IsNotExist(err)
		case at == folder:
		case d.Name() == ".git", !hidden && run.Hidden(d.Name()):
			if d.IsDir() {
				return fs.SkipDir
			}
		case d.Type()&fs.ModeSymlink != 0:
			if rel, err := filepath.Rel(folder, at); err == nil {
				l.names = append(l.names, filepath.ToSlash(rel))
			}
		}
		return nil
	})
	s.linked.Store(key{folder, hidden}, l)
	return l
}
