package run

import (
	"errors"
	"fmt"
	"path"
	"path/filepath"
	"strings"

	"panelwright/pipeline"
)

// PlaceOf gives the absolute place of what a recipe in the absolute folder base names, be it there or not. Errors say what
// no path of a recipe may be.
func PlaceOf(base string, p pipeline.InPath) (string, error) {
	switch {
	case p.Text == "":
		return "", errors.New("the path is empty: name a file, a folder or a glob")
	case strings.ContainsRune(p.Text, '\\'):
		return "", fmt.Errorf("%s: paths are written with slashes, not backslashes", p.Text)
	case strings.ContainsRune(p.Text, 0):
		return "", fmt.Errorf("%q: a path cannot hold a zero character", p.Text)
	case path.IsAbs(p.Text), filepath.VolumeName(filepath.FromSlash(p.Text)) != "":
		return "", fmt.Errorf("%s: an absolute path is on one machine only: write it relative to the file that holds it", p.Text)
	}
	dir := p.Dir
	if !filepath.IsAbs(dir) {
		dir = filepath.Join(base, dir)
	}
	return filepath.Join(dir, filepath.FromSlash(p.Text)), nil
}

// MayBeGlob tells whether p is a glob, unless there is a file or folder of just this name.
func MayBeGlob(p pipeline.InPath) bool { return strings.ContainsAny(p.Text, "*?[{") }

// Hidden tells whether folders and globs pass a name over.
func Hidden(name string) bool {
	return strings.HasPrefix(name, ".") && name != "." && name != ".."
}
