package changed

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"panelwright/pipeline"
	"panelwright/pipeline/reach"
	"panelwright/pipeline/recipe"
)

// Concerns tells whether what has changed concerns a recipe, and why: the recipe itself, its standards, and what its options
// name, with all that lies in a folder or fits a glob, now or at the revision. Environment variables and outside programs that a
// stage hangs on are none of Git's matter.
func (s *Set) Concerns(plan *recipe.Plan) (reason string, yes bool) {
	q := &query{Set: s, seen: map[string]bool{}}
	for _, f := range plan.Sources {
		q.place(f.Path, q.itself)
	}
	paths, all := plan.Paths()
	for _, p := range paths {
		q.input(filepath.Dir(plan.Path), p)
	}
	switch {
	case q.hit != "":
		return q.hit, true
	case !all:
		return "which inputs it has hangs on what its stages settle", true
	}
	return q.doubt, q.doubt != ""
}

// query is the question whether a recipe is concerned.
type query struct {
	*Set
	seen  map[string]bool // what has been looked at
	hit   string          // the first change that concerns the recipe
	doubt string          // the first thing that could have changed unseen
}

func (q *query) found(e entry) {
	if q.hit != "" {
		return
	}
	how := "has changed"
	switch e.how {
	case 'A', '?':
		how = "is new"
	case 'D':
		how = "is gone"
	}
	q.hit = shown(e.path) + " " + how + " since " + q.rev
}

func (q *query) unsure(text string) {
	if q.doubt == "" {
		q.doubt = text
	}
}

// shown makes a name fit for a line of text.
func shown(name string) string {
	if utf8.ValidString(name) && !strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return name
	}
	return strconv.Quote(name)
}

// input looks at what a recipe in the folder base names.
func (q *query) input(base string, p pipeline.InPath) {
	all, err := reach.Of(base, p)
	if err != nil {
		q.unsure(err.Error())
	}
	for _, r := range all {
		if r.Pattern == "" {
			q.place(r.Base, q.folder) // a file is a folder with nothing in it
			continue
		}
		r.Pattern = q.key(r.Pattern)
		q.place(r.Base, func(real, name string) { q.tree(real, name, r) })
	}
}

// place looks at an absolute path: at the links on its way, and where it ends by look, which gets its place and its name from the
// repository's top.
func (q *query) place(abs string, look func(real, name string)) {
	t := q.trail(abs)
	entered := false
	for _, l := range t.Links {
		name, ok := q.inRepository(l)
		switch {
		case ok:
			entered = true
			q.itself(l, name)
		case entered: // links on the way to the repository are not the recipe's
			q.outside(l)
		}
	}
	if name, ok := q.inRepository(t.Real); ok {
		look(t.Real, name)
	} else {
		q.outside(t.Real)
	}
}

func (q *query) outside(abs string) {
	q.unsure(shown(filepath.ToSlash(abs)) + " lies outside the repository, where Git does not tell what has changed")
}

func (q *query) ignored(e entry) {
	q.unsure(shown(e.path) + " is ignored by Git, which does not tell whether it has changed")
}

// itself looks whether one name has changed, or what it lies under.
func (q *query) itself(_, name string) {
	if e, ok := q.changed.at(q.key(name)); ok {
		q.found(e)
	}
	if e, ok := q.Set.ignored.at(q.key(name)); ok {
		q.ignored(e)
	}
}

// folder looks at a folder with all that a recipe means by it; a file is one with nothing in it.
func (q *query) folder(real, name string) {
	if !q.seen[real] { // a link may lead back to what it lies in
		q.seen[real] = true
		q.tree(real, name, reach.Reach{})
	}
}

// tree looks at what lies below a folder and is meant by its name in it.
func (q *query) tree(real, name string, r reach.Reach) {
	q.itself(real, name)
	folder := q.key(name)
	wants := func(e entry) bool {
		name := e.under(folder)
		return r.Wants(name) || e.opaque && r.Enters(name)
	}
	in := q.changed.below(folder)
	if i := slices.IndexFunc(in, wants); i >= 0 {
		q.found(in[i])
	}
	in = q.Set.ignored.below(folder)
	if i := slices.IndexFunc(in, wants); i >= 0 {
		q.ignored(in[i])
	}
	links := q.linksIn(real, r)
	for _, l := range links.names {
		q.place(filepath.Join(real, filepath.FromSlash(l)), q.folder)
	}
	if !links.all {
		q.unsure(shown(name) + " holds too much, or what cannot be read, to tell where its links lead")
	}
}
