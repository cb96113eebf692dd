package reach

import (
	"os"
	"path/filepath"
	"strings"
)

// Trail is where a path leads.
type Trail struct {
	Links []string // the links that it goes through, where they themselves lie, without links
	Real  string   // where it ends, without links, be it there or not
}

// mostLinks is how many links one path may go through, as systems have it.
const mostLinks = 40

// TrailOf follows an absolute path's links.
func TrailOf(abs string) *Trail {
	root := filepath.VolumeName(abs) + string(filepath.Separator)
	t := &Trail{Real: root}
	for todo := parts(abs[len(root):]); len(todo) > 0; {
		part := todo[0]
		todo = todo[1:]
		if part == ".." {
			t.Real = filepath.Dir(t.Real)
			continue
		}
		at := filepath.Join(t.Real, part)
		target, err := os.Readlink(at)
		if err != nil || len(t.Links) == mostLinks {
			t.Real = at
			continue
		}
		t.Links = append(t.Links, at)
		if filepath.IsAbs(target) {
			t.Real = filepath.VolumeName(target) + string(filepath.Separator)
			target = target[len(t.Real):]
		}
		todo = append(parts(target), todo...)
	}
	return t
}

func parts(path string) []string {
	return strings.FieldsFunc(path, func(r rune) bool { return r == filepath.Separator || r == '/' })
}
