// Package changed tells which recipes the changes since a revision in Git concern.
//
// What a revision holds is held against what is there now: committed since, staged, only saved, deleted, or new and not ignored,
// all of it counts, in the revision's own tree and not where a branch left it: for that name $(git merge-base main HEAD). A file
// that Git does not look at, be it that it is ignored or lies outside the repository, could have changed unseen: a recipe that
// uses it is concerned. Git is believed where it was told to take a file for unchanged (git update-index --assume-unchanged).
package changed

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/unicode/norm"
)

// Set is what has changed in one repository's working tree since a revision. It may be used by several goroutines.
type Set struct {
	rev     string
	top     string // absolute, without links
	fold    bool   // names that differ in case or composition alone are one file's
	changed names
	ignored names
	trails  sync.Map // absolute path to *reach.Trail
	linked  sync.Map // reach.Reach, links followed, to *links
}

// entry is one name that Git tells.
type entry struct {
	key  string // see Set.key
	path string // from the repository's top, with slashes, as Git tells it
	how  byte   // A, D, M and so on, as Git has it; ? is new and not added yet
	// opaque: more may lie below it of which Git tells nothing: a submodule, a repository of its own, a link, an ignored folder.
	opaque bool
}

// names are entries, in the order of their keys.
type names []entry

// Since asks Git what is not as it was at the revision rev, in the repository that the folder dir lies in. Errors: what people can mend
// on the command line or in the repository; *run.MachineError without a usable git; run.ErrInterrupted.
func Since(ctx context.Context, dir, rev string) (*Set, error) {
	return NewSets(rev).Of(ctx, dir)
}

// since reads what has changed in the working tree whose top folder is top.
func since(ctx context.Context, g *git, top, rev string) (*Set, error) {
	commit, err := g.commit(ctx, rev)
	if err != nil {
		return nil, err
	}
	// Settings of people's own must not hide anything. A rename is both names.
	differs, err := g.ask(ctx, "-c", "diff.autoRefreshIndex=true", "-c", "diff.relative=false",
		"diff", "--raw", "-z", "--no-abbrev", "--no-renames", "--no-ext-diff", "--no-color", "--ignore-submodules=none", commit, "--")
	if err != nil {
		return nil, err
	}
	others, err := g.ask(ctx, "status", "--porcelain=v1", "-z", "--no-renames", "--untracked-files=all", "--ignored=matching", "--ignore-submodules=all")
	if err != nil {
		return nil, err
	}
	s := &Set{rev: rev, top: top, fold: runtime.GOOS == "windows" || runtime.GOOS == "darwin"}
	if err := s.readDiff(differs); err != nil {
		return nil, err
	}
	if err := s.readStatus(others); err != nil {
		return nil, err
	}
	s.changed.sort()
	s.ignored.sort()
	return s, nil
}

// Sets gives the changes since one revision of any number of repositories, and asks each of them once.
type Sets struct {
	rev          string
	folder, tops map[string]*Set
}

// NewSets makes Sets for a revision.
func NewSets(rev string) *Sets { return &Sets{rev, map[string]*Set{}, map[string]*Set{}} }

// Of gives what Since does.
func (x *Sets) Of(ctx context.Context, dir string) (*Set, error) {
	if s := x.folder[dir]; s != nil {
		return s, nil
	}
	g, err := newGit(dir)
	if err != nil {
		return nil, err
	}
	top, err := g.top(ctx)
	if err != nil {
		return nil, err
	}
	if x.tops[top] == nil {
		s, err := since(ctx, g, top, x.rev)
		if err != nil {
			return nil, err
		}
		x.tops[top] = s
	}
	x.folder[dir] = x.tops[top]
	return x.tops[top], nil
}

// Top gives the top folder of the repository's working tree: absolute, without links.
func (s *Set) Top() string { return s.top }

// Len gives how many files have changed.
func (s *Set) Len() int { return len(s.changed) }

// readDiff reads what git diff --raw -z tells: ":mode mode object object status", then a name.
func (s *Set) readDiff(text string) error {
	for text != "" {
		head, rest, ok := strings.Cut(text, "\x00")
		name, rest, ok2 := strings.Cut(rest, "\x00")
		fields := strings.Fields(strings.TrimPrefix(head, ":"))
		if !ok || !ok2 || len(fields) != 5 || name == "" {
			return fmt.Errorf("git diff told what nobody understands: %.80q", head)
		}
		const submodule, link = "160000", "120000"
		opaque := slices.ContainsFunc(fields[:2], func(mode string) bool { return mode == submodule || mode == link })
		s.changed = append(s.changed, entry{s.key(name), name, fields[4][0], opaque})
		text = rest
	}
	return nil
}

// readStatus reads what git status --porcelain=v1 -z tells: two letters, a blank, a name; a folder's ends with a slash.
func (s *Set) readStatus(text string) error {
	for text != "" {
		line, rest, ok := strings.Cut(text, "\x00")
		if !ok || len(line) < 4 || line[2] != ' ' {
			return fmt.Errorf("git status told what nobody understands: %.80q", line)
		}
		name := strings.TrimSuffix(line[3:], "/")
		e := entry{s.key(name), name, line[0], len(name) < len(line)-3}
		switch line[:2] {
		case "??":
			s.changed = append(s.changed, e)
		case "!!":
			s.ignored = append(s.ignored, e)
		}
		text = rest
	}
	return nil
}

// key makes names comparable: of a file system that knows no case (Windows, macOS) in one case and composition.
func (s *Set) key(name string) string {
	if s.fold {
		return strings.ToLower(norm.NFC.String(name))
	}
	return name
}

// inRepository gives an absolute path's name from the repository's top, with slashes.
func (s *Set) inRepository(abs string) (name string, ok bool) {
	rel, err := filepath.Rel(s.top, abs)
	if err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return filepath.ToSlash(rel), true
	}
	if s.fold { // the top may be spelled in another case
		if rest, ok := strings.CutPrefix(s.key(filepath.ToSlash(abs)), s.key(filepath.ToSlash(s.top))+"/"); ok {
			return rest, true
		}
	}
	return "", false
}

func (n names) sort() {
	slices.SortFunc(n, func(a, b entry) int { return strings.Compare(a.key, b.key) })
}

// at gives the entry of a name or of one that it lies under.
func (n names) at(key string) (entry, bool) {
	for i := 0; i <= len(key); i++ {
		if i < len(key) && key[i] != '/' {
			continue
		}
		if e, ok := n.exactly(key[:i]); ok {
			return e, true
		}
	}
	return entry{}, false
}

func (n names) exactly(key string) (entry, bool) {
	i, ok := slices.BinarySearchFunc(n, key, func(e entry, key string) int { return strings.Compare(e.key, key) })
	if !ok {
		return entry{}, false
	}
	return n[i], true
}

// below gives the entries under a folder; "." is the top.
func (n names) below(folder string) names {
	if folder == "." {
		return n
	}
	// What lies under a folder begins with its name and a slash, so it stands together.
	from, _ := slices.BinarySearchFunc(n, folder+"/", func(e entry, key string) int { return strings.Compare(e.key, key) })
	to, _ := slices.BinarySearchFunc(n, folder+"0", func(e entry, key string) int { return strings.Compare(e.key, key) }) // 0 comes after /
	return n[from:to]
}

// under gives what a folder's entry is called in it.
func (e entry) under(folder string) string {
	if folder == "." {
		return e.key
	}
	return e.key[len(folder)+1:]
}
