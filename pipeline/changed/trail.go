package changed

import (
	"io/fs"
	"os"
	"path/filepath"

	"panelwright/pipeline/reach"
)

// trail follows the absolute path's links.
func (s *Set) trail(abs string) *reach.Trail {
	if t, ok := s.trails.Load(abs); ok {
		return t.(*reach.Trail)
	}
	t := reach.TrailOf(abs)
	s.trails.Store(abs, t)
	return t
}

// links are the links in a folder and its subfolders.
type links struct {
	names []string // from the folder, with slashes
	all   bool     // false: there was too much to look at, or it could not be read
}

// mostEntries bounds what is looked at in one folder; a build does not look at more either.
const mostEntries = 100_000

// linksIn finds the links in a folder among what may be meant.
func (s *Set) linksIn(folder string, r reach.Reach) *links {
	key := reach.Reach{Base: folder, Pattern: r.Pattern}
	if l, ok := s.linked.Load(key); ok {
		return l.(*links)
	}
	l := &links{all: true}
	seen := 0
	filepath.WalkDir(folder, func(at string, d fs.DirEntry, err error) error {
		if seen++; seen > mostEntries {
			l.all = false
			return fs.SkipAll
		}
		if err != nil {
			l.all = l.all && os.IsNotExist(err)
			return nil
		}
		rel, err := filepath.Rel(folder, at)
		name := filepath.ToSlash(rel)
		switch link := d.Type()&fs.ModeSymlink != 0; {
		case at == folder || err != nil:
		case d.IsDir() && (d.Name() == ".git" || !r.Enters(s.key(name))):
			return fs.SkipDir
		case link && (r.Wants(s.key(name)) || r.Enters(s.key(name))):
			l.names = append(l.names, name)
		}
		return nil
	})
	s.linked.Store(key, l)
	return l
}
