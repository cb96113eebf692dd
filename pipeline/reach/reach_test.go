package reach

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
)

// TestEnters: which folders something may be meant in.
func TestEnters(t *testing.T) {
	for _, c := range []struct {
		pattern, folder string
		want            bool
	}{
		{"*.gbr", "a", false}, {"*/*.gbr", "a", true}, {"*/*.gbr", "a/b", false}, {"b*/*.gbr", "a", false}, {"**/*.gbr", "a/b/c", true},
		{"a/**", "a", true}, {"a/**", "b", false}, {"a/*/c/*.gbr", "a/x", true}, {"a/*/c/*.gbr", "a/x/d", false}, {"{a,b/c}/*.gbr", "b", true}, {"**", "a", true},
		{"", "a", true}, {"", "a/.b", false}, {"**/*.gbr", ".a", false}, {".a/*.gbr", ".a", true},
	} {
		assert.Equal(t, c.want, Reach{Pattern: c.pattern}.Enters(c.folder), "%s in %s", c.pattern, c.folder)
	}
}

// TestWants: which names are meant.
func TestWants(t *testing.T) {
	for _, c := range []struct {
		pattern, name string
		want          bool
	}{
		{"", "a", true}, {"", "a/b", true}, {"", ".a", false}, {"", "a/.b/c", false}, {"*.gbr", "a.gbr", true}, {"*.gbr", "a/b.gbr", false},
		{"**/*.gbr", "b.gbr", true}, {"**/*.gbr", "a/b/c.gbr", true}, {"**/*.gbr", ".a/c.gbr", false}, {".a/*", ".a/c", true}, {"*.gbr", "\xff.gbr", true},
	} {
		assert.Equal(t, c.want, Reach{Pattern: c.pattern}.Wants(c.name), "%q means %q", c.pattern, c.name)
	}
}

// TestOf: a path may mean what has just its name, and what it means as a glob.
func TestOf(t *testing.T) {
	base := t.TempDir()
	at := func(parts ...string) string { return filepath.Join(append([]string{base}, parts...)...) }
	for _, c := range []struct {
		text, dir string
		want      []Reach
		err       string
	}{
		{"boards/gauge", base, []Reach{{Base: at("boards", "gauge")}}, ""},
		{"../gauge", "sub", []Reach{{Base: at("gauge")}}, ""},
		{"boards/*/a.gbr", base, []Reach{{Base: at("boards", "*", "a.gbr")}, {at("boards"), "*/a.gbr"}}, ""},
		{"*.gbr", base, []Reach{{Base: at("*.gbr")}, {base, "*.gbr"}}, ""},
		{"boards/[a", base, []Reach{{Base: at("boards", "[a")}}, "boards/[a is not a well-formed glob"},
		{"/boards", base, nil, "/boards: an absolute path is on one machine only: write it relative to the file that holds it"},
	} {
		got, err := Of(base, pipeline.InPath{Text: c.text, Dir: c.dir})
		assert.Equal(t, c.want, got, c.text)
		if c.err == "" {
			assert.NoError(t, err)
		} else {
			assert.EqualError(t, err, c.err)
		}
	}
}

// TestTrail: links on the way and at the end, in what they lead to, dead and round.
func TestTrail(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	at := func(name string) string { return filepath.Join(dir, filepath.FromSlash(name)) }
	require.NoError(t, os.MkdirAll(at("real/deep"), 0o755))
	for name, target := range map[string]string{"one": "real", "real/two": "deep/../deep", "dead": "gone/x", "round": "round", "abs": at("one")} {
		if err := os.Symlink(filepath.FromSlash(target), at(name)); err != nil {
			t.Skipf("no symbolic links here: %v", err)
		}
	}
	for _, c := range []struct {
		path, real string
		links      []string
	}{
		{"real/deep/x", "real/deep/x", nil},
		{"one/two/x", "real/deep/x", []string{"one", "real/two"}},
		{"abs/two", "real/deep", []string{"abs", "one", "real/two"}},
		{"dead/y", "gone/x/y", []string{"dead"}},
	} {
		got := TrailOf(at(c.path))
		assert.Equal(t, at(c.real), got.Real, c.path)
		var links []string
		for _, l := range c.links {
			links = append(links, at(l))
		}
		assert.Equal(t, links, got.Links, c.path)
	}
	assert.Len(t, TrailOf(at("round/x")).Links, mostLinks)
}
