package main

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/cli"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/rule"
	"panelwright/stages"
)

var update = flag.Bool("update", false, "write the goldens anew")

// made tells whether the demo's boards were generated.
var made atomic.Bool

// root is the repository.
func root(t testing.TB) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	require.NoError(t, err)
	return dir
}

// demoBoards generates the demo's boards once for all tests here.
var demoBoards = sync.OnceValues(func() (string, error) {
	made.Store(true)
	dir, err := os.MkdirTemp("", "demoboards")
	if err != nil {
		return "", err
	}
	cmd := exec.Command("go", "run", "./testdata/demoboards", "-o", dir)
	cmd.Dir, _ = filepath.Abs("../..")
	if out, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return dir, nil
})

func TestMain(m *testing.M) {
	commands := map[string]func(){"panelwright": main}
	maps.Copy(commands, moreCommands)
	testscript.Main(cleaned{m}, commands)
}

// moreCommands are programs that tests run by name, and afterTests what is done when all tests have run.
var (
	moreCommands = map[string]func(){}
	afterTests   []func()
)

// cleaned removes the demo's boards after the tests, which have a cache folder of their own.
type cleaned struct{ *testing.M }

func (m cleaned) Run() int {
	cache, err := os.MkdirTemp("", "panelwright-cache-")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(cache)
	// Go's own cache lies in the same folder unless said otherwise: without it each test run compiles the standard library.
	if own, err := exec.Command("go", "env", "GOCACHE").Output(); err == nil {
		os.Setenv("GOCACHE", strings.TrimSpace(string(own)))
	}
	os.Setenv("XDG_CACHE_HOME", cache)
	code := m.M.Run()
	if made.Load() {
		if dir, err := demoBoards(); err == nil {
			os.RemoveAll(dir)
		}
	}
	for _, f := range afterTests {
		f()
	}
	return code
}

// checkout lays recipes and demo boards in a folder of the given name, as a clone after make demo
// has them, and gives it.
func checkout(t testing.TB, name string) string {
	t.Helper()
	boards, err := demoBoards()
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.MkdirAll(dir, 0o755))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root(t), "recipes"))))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "testdata", "boards"), os.DirFS(boards)))
	return dir
}

// demoBuilds gives the folder with the builds of all recipes of the demo, made once, with one worker. It is only to be read.
func demoBuilds(t testing.TB) string {
	t.Helper()
	demoBuilt.Do(func() {
		dir, err := os.MkdirTemp("", "panelwright-demo-")
		require.NoError(t, err)
		afterTests = append(afterTests, func() { os.RemoveAll(dir) })
		from := checkout(t, "one")
		for _, r := range demoRecipes(t) {
			code, log := build("build", "-o", dir, "--workers", "1", filepath.Join(from, "recipes", r))
			require.Equal(t, 0, code, log)
		}
		demoOut = dir
	})
	require.NotEmpty(t, demoOut, "the demo was not built")
	return demoOut
}

var (
	demoBuilt sync.Once
	demoOut   string
)

// build runs the program in this process and gives its exit code and what it printed.
func build(args ...string) (code int, printed string) {
	var out, log bytes.Buffer
	code = cli.Main(cli.Program{
		Name: "panelwright", Version: version, Stages: stages.All(), Rules: rule.All(), Prove: proof.Prove, PanelData: panel.Panel.Data,
	}, args, strings.NewReader(""), &out, &log)
	return code, out.String() + log.String()
}

// files reads a folder: names with slashes to contents.
func files(t testing.TB, dir string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	require.NoError(t, fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		out[name] = data
		return err
	}))
	return out
}

// aBuild is a build folder.
type aBuild struct {
	dir, panel string
	name       string // the panel's, and the supplier's behind it where there is one
}

// builds lists the build folders in an output folder: those of panels, and those of suppliers within them.
func builds(t testing.TB, out string) (all []aBuild) {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(out, "*", "manifest.json"))
	require.NoError(t, err)
	within, err := filepath.Glob(filepath.Join(out, "*", "*", "manifest.json"))
	require.NoError(t, err)
	for _, f := range append(found, within...) {
		rel, err := filepath.Rel(out, filepath.Dir(f))
		require.NoError(t, err)
		panel, supplier, _ := strings.Cut(filepath.ToSlash(rel), "/")
		name := panel
		if supplier != "" {
			name += "." + supplier
		}
		all = append(all, aBuild{filepath.Dir(f), panel, name})
	}
	require.NotEmpty(t, all)
	return all
}

func demoRecipes(t testing.TB) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(root(t), "recipes", "*.panel.hcl"))
	require.NoError(t, err)
	require.NotEmpty(t, found)
	for i, f := range found {
		found[i] = filepath.Base(f)
	}
	return found
}

// Two builds of every demo recipe in different folders, with different clocks and numbers of
// workers, are the same byte for byte.
func TestDemoBuildsAreTheSameAnywhereAnytime(t *testing.T) {
	outA := demoBuilds(t)
	b := checkout(t, filepath.Join("quite", "another place"))
	outB := filepath.Join(b, "out", "of", "the", "way")
	for _, r := range demoRecipes(t) {
		// Another clock: a time zone half a day away, and files that are a year old.
		old := time.Now().AddDate(-1, 0, 0)
		require.NoError(t, filepath.WalkDir(b, func(p string, _ fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			return os.Chtimes(p, old, old)
		}))
		t.Setenv("TZ", "Pacific/Auckland")
		code, log := build("build", "-o", outB, "--workers", "7", filepath.Join(b, "recipes", r))
		require.Equal(t, 0, code, log)
	}
	same(t, files(t, outA), files(t, outB))
}

// With a date given, builds are the same too, and state it: in the drawing among others.
func TestDatedBuildsAreTheSame(t *testing.T) {
	a, b := checkout(t, "one"), checkout(t, "two")
	t.Setenv("SOURCE_DATE_EPOCH", "1788220800") // 2026-09-01
	for i, dir := range []string{a, b} {
		t.Setenv("TZ", []string{"UTC", "Pacific/Auckland"}[i])
		code, log := build("build", "-o", filepath.Join(dir, "build"), "--workers", []string{"1", "5"}[i], filepath.Join(dir, "recipes", "relay.panel.hcl"))
		require.Equal(t, 0, code, log)
	}
	dated := files(t, filepath.Join(a, "build"))
	same(t, dated, files(t, filepath.Join(b, "build")))
	assert.Contains(t, string(dated["relay-4up/drawing/panel.pdf"]), "D:20260901", "the PDF's date")
	assert.Contains(t, string(dated["relay-4up/drawing/panel.dxf"]), "2026-09-01", "the title block's date")
}

func same(t *testing.T, a, b map[string][]byte) {
	t.Helper()
	assert.Equal(t, slices.Sorted(maps.Keys(a)), slices.Sorted(maps.Keys(b)))
	for name := range a {
		assert.True(t, bytes.Equal(a[name], b[name]), "%s differs", name)
	}
}

// The demo is released: no finding, a zip that holds just the fabrication files. Its panels hold, see holds.
func TestDemoIsReleased(t *testing.T) {
	out := demoBuilds(t)
	n := map[string]bool{}
	for _, p := range builds(t, out) {
		n[p.panel] = true
		fab := filepath.Join(p.dir, "fab")
		archive := p.panel + "-fab.zip"
		z, err := zip.OpenReader(filepath.Join(fab, archive))
		require.NoError(t, err)
		var inside []string
		for _, f := range z.File {
			inside = append(inside, filepath.Base(f.Name))
		}
		z.Close()
		var beside []string
		entries, err := os.ReadDir(fab)
		require.NoError(t, err)
		for _, e := range entries {
			if e.Name() != archive {
				beside = append(beside, e.Name())
			}
		}
		assert.ElementsMatch(t, beside, inside)
		holds(t, p)
	}
	assert.Len(t, n, len(demoRecipes(t)))
}

// The goldens: panel.json whole, and the SHA-256 of every other file. Zip and PDF are left out: their bytes
// may change with the compressor of a newer Go. The zip's content stands in the other lines, the PDF's in the SVG.
func TestGoldens(t *testing.T) {
	for _, p := range builds(t, demoBuilds(t)) {
		t.Run(p.name, func(t *testing.T) {
			got := files(t, p.dir)
			var sums strings.Builder
			for _, name := range slices.Sorted(maps.Keys(got)) {
				// The manifest holds the hashes of both.
				if strings.HasSuffix(name, ".zip") || strings.HasSuffix(name, ".pdf") || name == "manifest.json" || name == "panel.json" {
					continue
				}
				h := sha256.Sum256(got[name])
				fmt.Fprintf(&sums, "%s  %s\n", hex.EncodeToString(h[:]), name)
			}
			golden(t, p.name+".panel.json", got["panel.json"])
			golden(t, p.name+".sha256", []byte(sums.String()))
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join(root(t), "testdata", "golden", name)
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(got), "see make golden")
}
