package changed

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/recipe"
)

// shop makes the working tree of a repository with many recipes, beside a folder of no repository. Git is not asked for it.
func shop(t *testing.T) repository {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	r := repository{t, filepath.Join(dir, "shop")}
	r.write("recipes/standards/shop.standard.hcl", "")
	r.write("recipes/standards/hand.standard.hcl", "built_to = [\"shop.standard.hcl\"]\n")
	r.write("recipes/standards/other.standard.hcl", "")
	for _, name := range []string{"gauge/top.gbr", "gauge/in/drill.xnc", "gauge/.notes", "tide/top.gbr", "tide/sub/top.gbr", "tide/top.txt",
		"deep/a/b/top.gbr", "deep/a/top.txt", "real/rev-c/top.gbr", "real/loose/top.gbr", "one.gbr"} {
		r.write("boards/"+name, name)
	}
	r.write("boards/pack.zip", "zip")
	r.write("boards/made/top.gbr", "made anew each time")
	r.link("boards/linked", "real/rev-c")
	r.link("boards/heap/top.gbr", "../real/loose/top.gbr")
	r.link("boards/heap/round", "../heap")
	r.write("boards/Grüße \"a b\"/top.gbr", "x")
	r.recipe("gauge", "standards/hand.standard.hcl", "../boards/gauge")
	r.recipe("tide", "", "../boards/tide/*.gbr")
	r.recipe("deep", "", "../boards/deep/**/*.gbr", "../boards/one.gbr")
	r.recipe("zip", "standards/other.standard.hcl", "../boards/pack.zip")
	r.recipe("linked", "", "../boards/linked")
	r.recipe("heap", "", "../boards/heap")
	r.recipe("odd", "", "../boards/Grüße \"a b\"")
	return r
}

// concerned gives why each recipe is concerned by what has changed since rev, as Git tells it.
func concerned(t *testing.T, r repository, rev string) map[string]string {
	t.Helper()
	set, err := Since(t.Context(), r.path("recipes"), rev)
	require.NoError(t, err)
	assert.Equal(t, r.dir, set.Top())
	return reasons(t, r, set)
}

// reasons gives why each recipe is concerned.
func reasons(t *testing.T, r repository, set *Set) map[string]string {
	t.Helper()
	paths, err := filepath.Glob(r.path("recipes/*.panel.hcl"))
	require.NoError(t, err)
	why := map[string]string{}
	for _, p := range paths {
		plan, err := recipe.Load(p, recipe.Settings{Kinds: kinds, ProgramVersion: "1.0.0"})
		if err != nil { // it has to be tried, so that its mistakes are shown
			why[strings.TrimSuffix(filepath.Base(p), ".panel.hcl")] = "cannot be loaded"
		} else if reason, yes := set.Concerns(plan); yes {
			why[strings.TrimSuffix(filepath.Base(p), ".panel.hcl")] = reason
		} else {
			assert.Empty(t, reason)
		}
	}
	return why
}

// files gives the files and links of a working tree, and what they hold or where they lead.
func (r repository) files() map[string]string {
	all := map[string]string{}
	require.NoError(r.t, filepath.WalkDir(r.dir, func(at string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(r.dir, at)
		rel = filepath.ToSlash(rel)
		switch {
		case d.IsDir():
			if _, err := os.Stat(filepath.Join(at, ".git")); err == nil { // a repository of its own
				all[rel+"/"] = ""
				return filepath.SkipDir
			}
		case d.Type()&os.ModeSymlink != 0:
			to, err := os.Readlink(at)
			all[rel] = "-> " + to
			return err
		default:
			text, err := os.ReadFile(at)
			all[rel] = string(text)
			return err
		}
		return nil
	}))
	return all
}

// setOf tells what Git would of two states of a working tree; ignored are what is in boards/made and what is called *.bak.
func setOf(r repository, before, now map[string]string) *Set {
	s := &Set{rev: "before", top: r.dir}
	add := func(name string, how byte) {
		e := entry{strings.TrimSuffix(name, "/"), strings.TrimSuffix(name, "/"), how, false}
		e.opaque = strings.HasSuffix(name, "/") || strings.HasPrefix(before[name], "-> ") || strings.HasPrefix(now[name], "-> ")
		if strings.HasSuffix(name, ".bak") {
			s.ignored = append(s.ignored, e)
		} else if !strings.HasPrefix(name, "boards/made/") {
			s.changed = append(s.changed, e)
		}
	}
	for name, text := range now {
		if old, ok := before[name]; !ok {
			add(name, '?')
		} else if old != text {
			add(name, 'M')
		}
	}
	for name := range before {
		if _, ok := now[name]; !ok {
			add(name, 'D')
		}
	}
	s.ignored = append(s.ignored, entry{"boards/made", "boards/made", '!', true})
	s.changed.sort()
	s.ignored.sort()
	return s
}

// TestConcerns: what changes concerns which recipes. That Git tells what is taken for told here, TestGitTells shows.
func TestConcerns(t *testing.T) {
	odd := "boards/Grüße \"a b\""
	type why = map[string]string
	rows := []struct {
		name   string
		change func(r repository)
		want   why
		before func(r repository) // what is there before
	}{
		{"nothing", func(r repository) {}, why{}, nil},
		{"what no recipe uses", func(r repository) { r.write("README.md", "new") }, why{}, nil},
		{"a recipe", func(r repository) { r.recipe("tide", "", "../boards/tide/*.gbr", "../boards/one.gbr") },
			why{"tide": "recipes/tide.panel.hcl has changed since before"}, nil},
		{"a new recipe", func(r repository) { r.recipe("another", "", "../boards/one.gbr") },
			why{"another": "recipes/another.panel.hcl is new since before"}, nil},
		{"a recipe is gone", func(r repository) { r.remove("recipes/tide.panel.hcl") }, why{}, nil},
		{"a recipe gets another name", func(r repository) { r.rename("recipes/tide.panel.hcl", "recipes/tidal.panel.hcl") },
			why{"tidal": "recipes/tidal.panel.hcl is new since before"}, nil},
		{"a standard of a standard", func(r repository) { r.write("recipes/standards/shop.standard.hcl", "# limits\n") },
			why{"gauge": "recipes/standards/shop.standard.hcl has changed since before"}, nil},
		{"a file of a folder", func(r repository) { r.write("boards/gauge/top.gbr", "changed") },
			why{"gauge": "boards/gauge/top.gbr has changed since before"}, nil},
		{"deep in a folder", func(r repository) { r.write("boards/gauge/in/new/drill.xnc", "new") },
			why{"gauge": "boards/gauge/in/new/drill.xnc is new since before"}, nil},
		{"gone from a folder", func(r repository) { r.remove("boards/gauge/in/drill.xnc") },
			why{"gauge": "boards/gauge/in/drill.xnc is gone since before"}, nil},
		{"a folder is gone", func(r repository) { r.remove("boards/gauge") },
			why{"gauge": "cannot be loaded"}, nil},
		{"what a folder passes over", func(r repository) { r.write("boards/gauge/.notes", "changed"); r.write("boards/gauge/.x/y", "new") }, why{}, nil},
		{"names that begin alike", func(r repository) { r.write("boards/gauge-2/top.gbr", "new"); r.write("boards/pack.zip2", "new") }, why{}, nil},
		{"moved from a glob to a folder", func(r repository) { r.rename("boards/tide/top.gbr", "boards/gauge/tide.gbr") },
			why{"tide": "boards/tide/top.gbr is gone since before", "gauge": "boards/gauge/tide.gbr is new since before"}, nil},
		{"beside a glob", func(r repository) {
			r.write("boards/tide/top.txt", "changed")
			r.write("boards/tide/sub/top.gbr", "changed")
		}, why{}, nil},
		{"new for a glob", func(r repository) { r.write("boards/tide/bottom.gbr", "new") },
			why{"tide": "boards/tide/bottom.gbr is new since before"}, nil},
		{"hidden from a glob", func(r repository) { r.write("boards/tide/.bottom.gbr", "new") }, why{}, nil},
		{"all that a glob means is gone", func(r repository) { r.remove("boards/deep") },
			why{"deep": "boards/deep/a/b/top.gbr is gone since before"}, nil},
		{"new for a deep glob", func(r repository) { r.write("boards/deep/c/d/e.gbr", "new"); r.write("boards/deep/c/d/e.txt", "new") },
			why{"deep": "boards/deep/c/d/e.gbr is new since before"}, nil},
		{"a zip", func(r repository) { r.write("boards/pack.zip", "changed") },
			why{"zip": "boards/pack.zip has changed since before"}, nil},
		{"a file becomes a folder", func(r repository) { r.remove("boards/one.gbr"); r.write("boards/one.gbr/top.gbr", "new") },
			why{"deep": "boards/one.gbr is gone since before"}, nil},
		{"where a link leads", func(r repository) { r.write("boards/real/rev-c/top.gbr", "changed") },
			why{"linked": "boards/real/rev-c/top.gbr has changed since before"}, nil},
		{"a link leads elsewhere", func(r repository) { r.remove("boards/linked"); r.link("boards/linked", "real/loose") },
			why{"linked": "boards/linked has changed since before"}, nil},
		{"a link is gone", func(r repository) { r.remove("boards/linked") },
			why{"linked": "cannot be loaded"}, nil},
		{"where a link in a folder leads", func(r repository) { r.write("boards/real/loose/top.gbr", "changed") },
			why{"heap": "boards/real/loose/top.gbr has changed since before"}, nil},
		{"a link out of the repository", func(r repository) {}, why{"tide": filepath.ToSlash(filepath.Join("DIR", "elsewhere.gbr")) +
			" lies outside the repository, where Git does not tell what has changed"}, func(r repository) {
			r.write("../elsewhere.gbr", "x")
			r.link("boards/tide/out.gbr", "../../../elsewhere.gbr")
		}},
		{"odd names", func(r repository) { r.write(odd+"/ü\n\"'\\ .gbr", "new") },
			why{"odd": `"boards/Grüße \"a b\"/ü\n\"'\\ .gbr" is new since before`}, nil},
		{"a name in no UTF-8", func(r repository) { r.write("boards/tide/\xff\xfe.gbr", "new") },
			why{"tide": `"boards/tide/\xff\xfe.gbr" is new since before`}, nil},
		{"ignored beside what is used", func(r repository) { r.write("boards/tide/top.bak", "x"); r.write("boards/made/x", "x") }, why{}, nil},
		{"ignored among what is used", func(r repository) { r.write("boards/gauge/in/top.bak", "x") },
			why{"gauge": "boards/gauge/in/top.bak is ignored by Git, which does not tell whether it has changed"}, nil},
		{"a repository within a folder", func(r repository) { r.write("boards/gauge/own/.git", "gitdir: elsewhere") },
			why{"gauge": "boards/gauge/own is new since before"}, nil},
		{"an input that is ignored", func(r repository) {}, why{"made": "boards/made is ignored by Git, which does not tell whether it has changed"},
			func(r repository) { r.recipe("made", "", "../boards/made") }},
		{"an input outside", func(r repository) {}, why{"outer": filepath.ToSlash(filepath.Join("DIR", "outer")) +
			" lies outside the repository, where Git does not tell what has changed"}, func(r repository) {
			r.write("../outer/top.gbr", "x")
			r.recipe("outer", "", "../../outer")
		}},
		{"a path that is none", func(r repository) {}, why{"bad": "../boards/[a.gbr is not a well-formed glob"},
			func(r repository) { r.recipe("bad", "", "../boards/[a.gbr") }},
		{"what stages settle", func(r repository) {}, why{"late": "which inputs it has hangs on what its stages settle"}, func(r repository) {
			r.write("recipes/late.panel.hcl", "panel \"late\" {\n  revision = \"A\"\n}\nstage \"board\" {\n  name  = \"gauge\"\n  files = [\"../boards/one.gbr\"]\n}\n"+
				"stage \"rules\" {}\nstage \"write_list\" {\n  also = [\"../${boards.gauge.revision}.csv\"]\n}\n")
		}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r := shop(t)
			if row.before != nil {
				row.before(r)
			}
			before := r.files()
			row.change(r)
			want := why{}
			for k, v := range row.want {
				want[k] = strings.Replace(v, "DIR", filepath.ToSlash(filepath.Dir(r.dir)), 1)
			}
			assert.Equal(t, want, reasons(t, r, setOf(r, before, r.files())))
		})
	}
}

// TestGitTells: what Git tells of changes that are saved, staged and committed is what has changed.
func TestGitTells(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	r := newRepository(t, dir)
	r.write(".gitignore", "/made/\n*.bak\n")
	for _, name := range []string{"same", "date", "written", "gone", "renamed", "was/file", "stays/a", "made/kept"} {
		r.write(name, name)
	}
	r.link("link", "same")
	r.git("add", "-f", "made/kept")
	r.commit("before")
	odd := "ü \"a\"\n\\.gbr"
	require.NoError(t, os.Chtimes(r.path("date"), r.old(), r.old()))
	r.write("written", "other")
	r.write(odd, "new")
	r.write("\xff\xfe.gbr", "new")
	r.remove("gone")
	r.rename("renamed", "deep/in/name")
	r.remove("was/file")
	r.write("was/file/now", "a folder")
	r.remove("link")
	r.link("link", "written")
	r.write("made/new", "new")
	r.write("stays/a.bak", "new")
	want := names{
		{"deep/in/name", "deep/in/name", 'A', false}, {"gone", "gone", 'D', false}, {"link", "link", 'M', true}, {"renamed", "renamed", 'D', false},
		{"was/file", "was/file", 'D', false}, {"was/file/now", "was/file/now", 'A', false}, {"written", "written", 'M', false},
		{odd, odd, 'A', false}, {"\xff\xfe.gbr", "\xff\xfe.gbr", 'A', false},
	}
	ignored := names{{"made/new", "made/new", '!', false}, {"stays/a.bak", "stays/a.bak", '!', false}}
	for _, step := range []struct {
		name string
		git  []string
		how  byte // of what is new
	}{{"saved", nil, '?'}, {"staged", []string{"add", "-A"}, 'A'}, {"committed", []string{"commit", "-q", "-m", "after"}, 'A'}} {
		if step.git != nil {
			r.git(step.git...)
		}
		set, err := Since(t.Context(), r.path("deep/in"), "main")
		if step.name == "committed" {
			set, err = Since(t.Context(), r.path("deep/in"), "HEAD~1")
		}
		require.NoError(t, err)
		now := slices.Clone(want)
		for i, e := range now {
			if e.how == 'A' {
				now[i].how = step.how
			}
		}
		now.sort()
		assert.Equal(t, now, set.changed, step.name)
		assert.Equal(t, ignored, set.ignored, step.name)
	}
	own := newRepository(t, r.path("own"))
	own.write("x", "y")
	set, err := Since(t.Context(), r.dir, "HEAD")
	require.NoError(t, err)
	assert.Equal(t, names{{"own", "own", '?', true}}, set.changed)
}

// TestSubmodules: what changes in a submodule concerns all that lies in it; a recipe within it asks the submodule alone.
func TestSubmodules(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	sub := newRepository(t, filepath.Join(dir, "supplier"))
	sub.write("board/top.gbr", "top")
	sub.recipe("own", "", "../board")
	sub.commit("board")
	r := newRepository(t, filepath.Join(dir, "shop"))
	r.git("submodule", "--quiet", "add", sub.dir, "boards/supplier")
	r.recipe("supplier", "", "../boards/supplier/board")
	r.recipe("glob", "", "../boards/**/*.gbr")
	r.recipe("beside", "", "../boards/*.gbr")
	r.commit("all of it")
	assert.Empty(t, concerned(t, r, "HEAD"))

	r.git("config", "diff.ignoreSubmodules", "all") // hides nothing
	inside := repository{t, r.path("boards/supplier")}
	want := map[string]string{"supplier": "boards/supplier has changed since main", "glob": "boards/supplier has changed since main"}
	inside.write("board/top.gbr", "changed")
	assert.Equal(t, want, concerned(t, r, "main"), "saved")
	inside.commit("changed")
	assert.Equal(t, want, concerned(t, r, "main"), "committed in the submodule")
	assert.Equal(t, map[string]string{"own": "board/top.gbr has changed since HEAD~1"}, concerned(t, inside, "HEAD~1"))
}

// TestRevisionsTrees: a revision's own tree counts; what a branch has done since it left, its merge base tells.
func TestRevisionsTrees(t *testing.T) {
	r := newRepository(t, t.TempDir())
	r.write("boards/a.gbr", "a")
	r.write("boards/b.gbr", "b")
	r.recipe("a", "", "../boards/a.gbr")
	r.recipe("b", "", "../boards/b.gbr")
	r.commit("both")
	r.git("checkout", "-q", "-b", "work")
	r.write("boards/a.gbr", "a2")
	r.commit("a")
	r.git("checkout", "-q", "main")
	r.write("boards/b.gbr", "b2")
	r.commit("b")
	r.git("checkout", "-q", "work")
	assert.Equal(t, map[string]string{"a": "boards/a.gbr has changed since main", "b": "boards/b.gbr has changed since main"}, concerned(t, r, "main"))
	base := r.git("merge-base", "main", "HEAD")
	assert.Equal(t, map[string]string{"a": "boards/a.gbr has changed since " + base}, concerned(t, r, base))
	r.write("boards/a.gbr", "a")
	assert.Empty(t, concerned(t, r, base), "put back, though not committed")
}

// TestSettingsHideNothing: what people have set in Git changes no answer.
func TestSettingsHideNothing(t *testing.T) {
	r := newRepository(t, t.TempDir())
	r.write("boards/a.gbr", "a")
	r.recipe("a", "", "../boards/a.gbr")
	r.commit("all")
	for _, set := range []string{"diff.autoRefreshIndex=false", "diff.relative=true", "diff.noprefix=true", "color.ui=always", "status.showUntrackedFiles=no",
		"status.relativePaths=true", "diff.renames=copies", "core.quotePath=true", "diff.external=false", "status.branch=true", "status.short=true"} {
		name, value, _ := strings.Cut(set, "=")
		r.git("config", name, value)
	}
	require.NoError(t, os.Chtimes(r.path("boards/a.gbr"), r.old(), r.old()))
	assert.Empty(t, concerned(t, r, "main"))
	r.rename("boards/a.gbr", "boards/c.gbr")
	r.recipe("c", "", "../boards/c.gbr")
	r.recipe("a", "", "../boards/*.gbr")
	assert.Equal(t, map[string]string{"a": "recipes/a.panel.hcl has changed since main", "c": "recipes/c.panel.hcl is new since main"}, concerned(t, r, "main"))
}
