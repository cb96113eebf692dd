package pipeline

import (
	"os"
	"path/filepath"
	"strings"
)

// NearestPath gives the path that a mistyped one most likely meant: the same but for one name in it, which in its folder has one like
// it, and there. Text is relative to the folder dir, with slashes, and comes back so. It is empty when nothing is near.
func NearestPath(dir, text string) string {
	names := strings.Split(text, "/")
	at := dir
	for i, name := range names {
		next := filepath.Join(at, filepath.FromSlash(name))
		if name == "" && i == 0 {
			next = string(filepath.Separator)
		}
		if _, err := os.Lstat(next); err == nil {
			at = next
			continue
		}
		entries, err := os.ReadDir(at)
		if err != nil {
			return ""
		}
		near := nearestName(name, entries, func(other string) bool {
			_, err := os.Stat(filepath.Join(append([]string{at, other}, names[i+1:]...)...))
			return err == nil
		})
		if near == "" {
			return ""
		}
		return strings.Join(append(append(names[:i:i], near), names[i+1:]...), "/")
	}
	return ""
}

// nearestName finds the entry that a name most likely meant. Endings, from the first dot on, are long and much the same: two names
// must differ in the one or the other.
func nearestName(name string, entries []os.DirEntry, good func(string) bool) string {
	stem, end, _ := strings.Cut(name, ".")
	var stems, ends []string
	for _, e := range entries {
		s, x, _ := strings.Cut(e.Name(), ".")
		switch {
		case s == "" || !good(e.Name()):
		case x == end:
			stems = append(stems, s)
		case s == stem:
			ends = append(ends, e.Name())
		}
	}
	if near := Nearest(stem, stems); near != "" {
		return near + name[len(stem):]
	}
	return Nearest(name, ends)
}
