package changed

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/run"
)

// TestWhatPeopleMeet: what can be wrong with revision or repository is said in our words, with what to do.
func TestWhatPeopleMeet(t *testing.T) {
	dir := t.TempDir()
	r := newRepository(t, filepath.Join(dir, "shop"))
	r.write("a", "1")
	r.commit("one")
	first := r.git("rev-parse", "HEAD")
	r.write("a", "2")
	r.commit("two")
	r.git("tag", "v1.2")
	r.git("update-ref", "refs/remotes/origin/release", first)
	program, err := exec.LookPath("git")
	require.NoError(t, err)
	refused := func(where, rev, want string) {
		t.Helper()
		_, err := Since(t.Context(), where, rev)
		assert.EqualError(t, err, want)
	}
	unknown := func(rev, want string) {
		t.Helper()
		_, err := (&git{program, r.dir, time.Minute}).commit(t.Context(), rev)
		assert.EqualError(t, err, want)
	}
	unknown("", "the revision is empty: name a commit, a branch or a tag, such as main")
	unknown("--output=x", `"--output=x" is no revision: none begins with a hyphen`)
	unknown("a\x00b", `"a\x00b" is no revision`)
	unknown("mian", `there is no commit "mian" in the repository; nearest: main`)
	unknown("^main", `there is no commit "^main" in the repository; nearest: main`)
	unknown("v1.3", `there is no commit "v1.3" in the repository; nearest: v1.2`)
	unknown("release", `there is no commit "release" in the repository; there is origin/release`)
	unknown("0123456789012345678901234567890123456789",
		`there is no commit "0123456789012345678901234567890123456789" in the repository; name a commit, a branch or a tag, and git fetch what is not here yet`)
	unknown("HEAD:a", `there is no commit "HEAD:a" in the repository; name a commit, a branch or a tag, and git fetch what is not here yet`)
	refused(r.dir, "main...HEAD", `there is no commit "main...HEAD" in the repository: name one revision; where HEAD branched off: $(git merge-base main HEAD)`)
	unknown("v1.2..", `there is no commit "v1.2.." in the repository: name one revision, v1.2; what is there now is what it is held against`)

	newRepository(t, filepath.Join(dir, "clone")).git("fetch", "-q", "--depth=1", "file://"+filepath.ToSlash(r.dir), "main:fetched")
	refused(filepath.Join(dir, "clone"), first, `there is no commit "`+first+
		`" in the repository: it was fetched without its whole history; have the build server fetch all of it (fetch-depth: 0), or git fetch --unshallow`)

	bare := repository{t, filepath.Join(dir, "bare")}
	require.NoError(t, os.Mkdir(bare.dir, 0o755))
	bare.git("init", "-q", "--bare", ".")
	refused(bare.dir, "main", filepath.ToSlash(bare.dir)+" lies in a Git repository without a working tree")

	t.Setenv("GIT_CEILING_DIRECTORIES", dir)
	none := filepath.Join(dir, "none")
	require.NoError(t, os.Mkdir(none, 0o755))
	refused(none, "main", filepath.ToSlash(none)+" lies in no Git repository, so nobody can tell what has changed")

	t.Setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1") // Git's own switch for its tests
	refused(r.dir, "main", "Git does not trust the repository that "+filepath.ToSlash(r.dir)+
		" lies in, for it belongs to somebody else; if you trust it: git config --global --add safe.directory "+filepath.ToSlash(r.dir))

	t.Setenv("PATH", none)
	refused(r.dir, "main", "the program git, which tells what has changed, is not there: install it, or put its folder into PATH")
	_, err = Since(t.Context(), r.dir, "main")
	assert.ErrorAs(t, err, new(*run.MachineError))
}

// TestGitThatHangs: a git that does not end is ended, with what it has started.
func TestGitThatHangs(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("the stand-in for git is a shell script")
	}
	stuck := filepath.Join(t.TempDir(), "git")
	require.NoError(t, os.WriteFile(stuck, []byte("#!/bin/sh\nexec sleep 100\n"), 0o755))
	g := &git{stuck, "", 20 * time.Millisecond}
	_, err := g.top(t.Context())
	require.ErrorAs(t, err, new(*run.MachineError))
	assert.EqualError(t, err, "git rev-parse did not end within 20ms; run it by hand to see why")

	require.NoError(t, os.WriteFile(stuck, []byte("#!/bin/sh\necho \"$LC_ALL $GIT_TERMINAL_PROMPT\" >&2\nexit 1\n"), 0o755))
	_, err = (&git{stuck, "", time.Minute}).top(t.Context())
	assert.EqualError(t, err, "git rev-parse: C 0", "it speaks the language that we read, and asks people nothing")

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	g.wait = time.Hour
	_, err = g.top(ctx)
	assert.ErrorIs(t, err, run.ErrInterrupted)
}

// TestGarbledAnswers: what is not as Git writes it is an error, not a guess.
func TestGarbledAnswers(t *testing.T) {
	for _, text := range []string{"x", ":100644 100644 a b M", ":100644 100644 a b M\x00", ":100644 a b M\x00name\x00", ":1 2 3 4 5\x00\x00"} {
		assert.ErrorContains(t, new(Set).readDiff(text), "git diff told what nobody understands", "%q", text)
	}
	for _, text := range []string{"?? name", "??name\x00", "?? \x00", "\x00"} {
		assert.ErrorContains(t, new(Set).readStatus(text), "git status told what nobody understands", "%q", text)
	}
}

// TestInAHook: where the environment names the repository, that one is asked, from where the program was started.
func TestInAHook(t *testing.T) {
	r := newRepository(t, t.TempDir())
	r.write("boards/a.gbr", "a")
	r.recipe("a", "", "../boards/a.gbr")
	r.commit("all")
	t.Chdir(r.dir)
	t.Setenv("GIT_DIR", ".git")
	t.Setenv("GIT_INDEX_FILE", ".git/index")
	assert.Empty(t, concerned(t, r, "main"))
	r.write("boards/a.gbr", "b")
	assert.Equal(t, map[string]string{"a": "boards/a.gbr has changed since main"}, concerned(t, r, "main"))
}

// TestNames: what stands together in order is found, also beside names that sort between a folder and what lies in it.
func TestNames(t *testing.T) {
	var n names
	for _, k := range []string{"a", "a-b", "a.b/c", "a/b", "a/b/c", "a/bc", "a0", "b", "\xff/x"} {
		n = append(n, entry{key: k, path: k})
	}
	n.sort()
	below := func(folder string) (all []string) {
		for _, e := range n.below(folder) {
			all = append(all, e.under(folder))
		}
		return all
	}
	assert.Equal(t, []string{"b", "b/c", "bc"}, below("a"))
	assert.Equal(t, []string{"c"}, below("a/b"))
	assert.Equal(t, []string{"x"}, below("\xff"))
	assert.Len(t, below("."), len(n))
	assert.Empty(t, below("c"))
	for key, want := range map[string]string{"a/b/c/d": "a", "b": "b", "b/x": "b", "c": "", "a.b": "", "a.b/c/d": "a.b/c", ".": ""} {
		e, ok := n.at(key)
		assert.Equal(t, want, e.key, key)
		assert.Equal(t, want != "", ok, key)
	}
}

// TestNamesWithoutCase: where the file system knows no case, names that differ in it alone are the same.
func TestNamesWithoutCase(t *testing.T) {
	s := &Set{top: filepath.Join(t.TempDir(), "Shop"), fold: true}
	assert.Equal(t, s.key("Gr\u00fc\u00dfe/TOP.GBR"), s.key("gru\u0308\u00dfe/top.gbr"))
	name, ok := s.inRepository(filepath.Join(filepath.Dir(s.top), "SHOP", "boards", "A.gbr"))
	assert.True(t, ok)
	assert.Equal(t, "boards/a.gbr", strings.ToLower(name))
	s.fold = false
	_, ok = s.inRepository(filepath.Join(filepath.Dir(s.top), "SHOP", "boards"))
	assert.False(t, ok)
	assert.NotEqual(t, s.key("A"), s.key("a"))
}
