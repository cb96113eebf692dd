package changed

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/recipe"
)

// shop makes a repository with many recipes, all committed and tagged "before", beside a folder of no repository.
func shop(t *testing.T) repository {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	r := newRepository(t, filepath.Join(dir, "shop"))
	r.write(".gitignore", "/boards/made/\n*.bak\n/boards/ignored.gbr\n")
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
	r.commit("all of it")
	r.git("tag", "before")
	return r
}

// concerned gives why each recipe is concerned by what has changed since rev.
func concerned(t *testing.T, r repository, rev string) map[string]string {
	t.Helper()
	set, err := Since(t.Context(), r.path("recipes"), rev)
	require.NoError(t, err)
	assert.Equal(t, r.dir, set.Top())
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

// TestConcerns: what changes concerns which recipes. Each row is tried as it is saved, some as it is staged and committed too.
func TestConcerns(t *testing.T) {
	odd := "boards/Grüße \"a b\""
	type why = map[string]string
	rows := []struct {
		name   string
		change func(r repository)
		want   why
		stages bool // tried staged and committed, too
	}{
		{"nothing", func(r repository) {}, why{}, false},
		{"a date", func(r repository) { require.NoError(r.t, os.Chtimes(r.path("boards/one.gbr"), r.old(), r.old())) }, why{}, false},
		{"what no recipe uses", func(r repository) { r.write("README.md", "new") }, why{}, false},
		{"a recipe", func(r repository) { r.recipe("tide", "", "../boards/tide/*.gbr", "../boards/one.gbr") },
			why{"tide": "recipes/tide.panel.hcl has changed since before"}, true},
		{"a new recipe", func(r repository) { r.recipe("another", "", "../boards/one.gbr") },
			why{"another": "recipes/another.panel.hcl is new since before"}, false},
		{"a recipe is gone", func(r repository) { r.remove("recipes/tide.panel.hcl") }, why{}, false},
		{"a recipe gets another name", func(r repository) { r.rename("recipes/tide.panel.hcl", "recipes/tidal.panel.hcl") },
			why{"tidal": "recipes/tidal.panel.hcl is new since before"}, true},
		{"a standard of a standard", func(r repository) { r.write("recipes/standards/shop.standard.hcl", "# limits\n") },
			why{"gauge": "recipes/standards/shop.standard.hcl has changed since before"}, false},
		{"a file of a folder", func(r repository) { r.write("boards/gauge/top.gbr", "changed") },
			why{"gauge": "boards/gauge/top.gbr has changed since before"}, false},
		{"deep in a folder", func(r repository) { r.write("boards/gauge/in/new/drill.xnc", "new") },
			why{"gauge": "boards/gauge/in/new/drill.xnc is new since before"}, false},
		{"gone from a folder", func(r repository) { r.remove("boards/gauge/in/drill.xnc") },
			why{"gauge": "boards/gauge/in/drill.xnc is gone since before"}, false},
		{"a folder is gone", func(r repository) { r.remove("boards/gauge") },
			why{"gauge": "cannot be loaded"}, true},
		{"what a folder passes over", func(r repository) { r.write("boards/gauge/.notes", "changed"); r.write("boards/gauge/.x/y", "new") }, why{}, false},
		{"names that begin alike", func(r repository) { r.write("boards/gauge-2/top.gbr", "new"); r.write("boards/pack.zip2", "new") }, why{}, false},
		{"moved from a glob to a folder", func(r repository) { r.rename("boards/tide/top.gbr", "boards/gauge/tide.gbr") },
			why{"tide": "boards/tide/top.gbr is gone since before", "gauge": "boards/gauge/tide.gbr is new since before"}, true},
		{"beside a glob", func(r repository) {
			r.write("boards/tide/top.txt", "changed")
			r.write("boards/tide/sub/top.gbr", "changed")
		}, why{}, false},
		{"new for a glob", func(r repository) { r.write("boards/tide/bottom.gbr", "new") },
			why{"tide": "boards/tide/bottom.gbr is new since before"}, false},
		{"hidden from a glob", func(r repository) { r.write("boards/tide/.bottom.gbr", "new") }, why{}, false},
		{"all that a glob means is gone", func(r repository) { r.remove("boards/deep") },
			why{"deep": "boards/deep/a/b/top.gbr is gone since before"}, false},
		{"new for a deep glob", func(r repository) { r.write("boards/deep/c/d/e.gbr", "new"); r.write("boards/deep/c/d/e.txt", "new") },
			why{"deep": "boards/deep/c/d/e.gbr is new since before"}, false},
		{"a zip", func(r repository) { r.write("boards/pack.zip", "changed") },
			why{"zip": "boards/pack.zip has changed since before"}, false},
		{"a file becomes a folder", func(r repository) { r.remove("boards/one.gbr"); r.write("boards/one.gbr/top.gbr", "new") },
			why{"deep": "boards/one.gbr is gone since before"}, true},
		{"where a link leads", func(r repository) { r.write("boards/real/rev-c/top.gbr", "changed") },
			why{"linked": "boards/real/rev-c/top.gbr has changed since before"}, false},
		{"a link leads elsewhere", func(r repository) { r.remove("boards/linked"); r.link("boards/linked", "real/loose") },
			why{"linked": "boards/linked has changed since before"}, true},
		{"a link is gone", func(r repository) { r.remove("boards/linked") },
			why{"linked": "cannot be loaded"}, false},
		{"where a link in a folder leads", func(r repository) { r.write("boards/real/loose/top.gbr", "changed") },
			why{"heap": "boards/real/loose/top.gbr has changed since before"}, false},
		{"a folder's new link out of the repository", func(r repository) {
			r.write("../elsewhere.gbr", "x")
			r.link("boards/tide/out.gbr", "../../../elsewhere.gbr")
			r.commit("link")
			r.git("tag", "-f", "before")
		}, why{"tide": filepath.ToSlash(filepath.Join("DIR", "elsewhere.gbr")) + " lies outside the repository, where Git does not tell what has changed"}, false},
		{"odd names", func(r repository) { r.write(odd+"/ü\n\"'\\ .gbr", "new") },
			why{"odd": `"boards/Grüße \"a b\"/ü\n\"'\\ .gbr" is new since before`}, true},
		{"a name in no UTF-8", func(r repository) { r.write("boards/tide/\xff\xfe.gbr", "new") },
			why{"tide": `"boards/tide/\xff\xfe.gbr" is new since before`}, true},
		{"ignored beside what is used", func(r repository) { r.write("boards/tide/top.bak", "x"); r.write("boards/ignored.gbr", "x") }, why{}, false},
		{"ignored among what is used", func(r repository) { r.write("boards/gauge/in/top.bak", "x") },
			why{"gauge": "boards/gauge/in/top.bak is ignored by Git, which does not tell whether it has changed"}, false},
		{"a repository within a folder", func(r repository) { newRepository(r.t, r.path("boards/gauge/own")).write("x", "y") },
			why{"gauge": "boards/gauge/own is new since before"}, false},
		{"an input that is ignored", func(r repository) {
			r.recipe("made", "", "../boards/made")
			r.commit("made")
			r.git("tag", "-f", "before")
		},
			why{"made": "boards/made is ignored by Git, which does not tell whether it has changed"}, false},
		{"an input outside", func(r repository) {
			r.write("../outer/top.gbr", "x")
			r.recipe("outer", "", "../../outer")
			r.commit("outer")
			r.git("tag", "-f", "before")
		}, why{"outer": filepath.ToSlash(filepath.Join("DIR", "outer")) + " lies outside the repository, where Git does not tell what has changed"}, false},
		{"a path that is none", func(r repository) {
			r.recipe("bad", "", "../boards/[a.gbr")
			r.commit("bad")
			r.git("tag", "-f", "before")
		},
			why{"bad": "../boards/[a.gbr is not a well-formed glob"}, false},
		{"what stages settle", func(r repository) {
			r.write("recipes/late.panel.hcl", "panel \"late\" {\n  revision = \"A\"\n}\nstage \"board\" {\n  name  = \"gauge\"\n  files = [\"../boards/one.gbr\"]\n}\n"+
				"stage \"rules\" {}\nstage \"write_list\" {\n  also = [\"../${boards.gauge.revision}.csv\"]\n}\n")
			r.commit("late")
			r.git("tag", "-f", "before")
		}, why{"late": "which inputs it has hangs on what its stages settle"}, false},
	}
	original := shop(t)
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			root := t.TempDir()
			root, err := filepath.EvalSymlinks(root)
			require.NoError(t, err)
			r := original.copy(t, filepath.Join(root, "shop"))
			row.change(r)
			want := why{}
			for k, v := range row.want {
				want[k] = strings.Replace(v, "DIR", filepath.ToSlash(root), 1)
			}
			assert.Equal(t, want, concerned(t, r, "before"), "saved")
			if !row.stages {
				return
			}
			r.git("add", "-A")
			assert.Equal(t, want, concerned(t, r, "before"), "staged")
			r.git("commit", "-q", "-m", "changed")
			assert.Equal(t, want, concerned(t, r, "before"), "committed")
			for name, reason := range want {
				if reason != "cannot be loaded" {
					delete(want, name)
				}
			}
			assert.Equal(t, want, concerned(t, r, "HEAD"), "since the commit")
		})
	}
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
