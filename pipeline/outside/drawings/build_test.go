package drawings

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// demo is the demo's recipes built by the program.
type demo struct {
	dir     string   // holds all that was made
	folders []string // of builds, within dir/out
}

// builtDemo builds the demo once for all tests.
var builtDemo = sync.OnceValues(func() (d demo, err error) {
	root, err := filepath.Abs("../../..")
	if err != nil {
		return d, err
	}
	if d.dir, err = os.MkdirTemp("", "drawings"); err != nil {
		return d, err
	}
	program := filepath.Join(d.dir, "panelwright")
	run := func(dir string, args ...string) error {
		cmd := exec.Command(args[0], args[1:]...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		var failed *exec.ExitError
		if errors.As(err, &failed) && failed.ExitCode() == 1 && args[0] == program {
			err = nil // findings at error level are no failure here
		}
		if err != nil {
			return fmt.Errorf("%s: %w: %s", strings.Join(args, " "), err, out)
		}
		return nil
	}
	if err = run(root, "go", "build", "-buildvcs=false", "-o", program, "./cmd/panelwright"); err != nil {
		return d, err
	}
	if err = run(root, "go", "run", "./testdata/demoboards", "-o", filepath.Join(d.dir, "testdata", "boards")); err != nil {
		return d, err
	}
	if err = os.CopyFS(filepath.Join(d.dir, "recipes"), os.DirFS(filepath.Join(root, "recipes"))); err != nil {
		return d, err
	}
	if err = withDrawing(filepath.Join(d.dir, "recipes")); err != nil {
		return d, err
	}
	if err = run(d.dir, program, "build", "-o", "out", "--supplier", "all", "recipes"); err != nil {
		return d, err
	}
	err = fs.WalkDir(os.DirFS(filepath.Join(d.dir, "out")), ".", func(path string, e fs.DirEntry, err error) error {
		if err == nil && e.Name() == "panel.json" {
			d.folders = append(d.folders, filepath.Dir(path))
		}
		return err
	})
	return d, err
})

// variants are drawings of the demo's panels that the demo does not have: a recipe, the panel's other name, and what
// stands in the stages that draw and judge.
var variants = []struct{ recipe, panel, draws, judges string }{
	{"gauge", "gauge-both", `units = "both"`, ""},
	{"gauge-scored", "gauge-scored-inch", `units = "inch"`, ""},
	{"probe", "probe-small", "sheet = \"A4\"\n  scale = \"1:5\"", ""},
	{"relay", "relay-kept", "sheet = \"A2\"\n  units = \"both\"", `limit "panel-size" { at_most = "60 mm" }`}, // the gate is closed
	{"station", "station-inch", "units = \"inch\"\n  notes = [\"Größe < 5 µm & 3× Ø0.5 \\\\P {a} %%d ^J\"]", ""},
}

var (
	drawsStage  = regexp.MustCompile(`(?m)^stage "write_drawing" \{(?:.*\}$|(?s:.*?)^\})`)
	judgesStage = regexp.MustCompile(`(?m)^stage "rules" \{(?:\}$|$)`)
	panelLine   = regexp.MustCompile(`(?m)^panel "[^"]*"`)
)

// withDrawing gives each recipe that draws nothing a stage that does, and adds the variants.
func withDrawing(dir string) error {
	found, err := filepath.Glob(filepath.Join(dir, "*.panel.hcl"))
	if err != nil {
		return err
	}
	for _, f := range found {
		data, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		if !drawsStage.Match(data) {
			if err := os.WriteFile(f, append(data, "\nstage \"write_drawing\" {}\n"...), 0o644); err != nil {
				return err
			}
		}
	}
	for _, v := range variants {
		data, err := os.ReadFile(filepath.Join(dir, v.recipe+".panel.hcl"))
		if err != nil {
			return err
		}
		s := drawsStage.ReplaceAllString(string(data), "") + "\nstage \"write_drawing\" {\n  " + v.draws + "\n}\n"
		s = panelLine.ReplaceAllString(s, fmt.Sprintf("panel %q", v.panel))
		if v.judges != "" {
			open := judgesStage.FindString(s)
			if open == "" {
				return fmt.Errorf("%s has no rules stage", v.recipe)
			}
			s = strings.Replace(s, open, "stage \"rules\" {\n  "+v.judges+"\n"+open[len(`stage "rules" {`):], 1)
		}
		if err := os.WriteFile(filepath.Join(dir, v.panel+".panel.hcl"), []byte(s), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// ofDemo tells whether a build is one of the demo's own.
func ofDemo(folder string) bool {
	for _, v := range variants {
		if v.panel == filepath.ToSlash(folder) {
			return false
		}
	}
	return true
}

// builtOnce tells whether there is something to be removed.
var builtOnce bool

func demoOf(t *testing.T) demo {
	t.Helper()
	builtOnce = true
	d, err := builtDemo()
	require.NoError(t, err)
	require.Greater(t, len(d.folders), 5+len(variants))
	return d
}

func TestMain(m *testing.M) {
	code := m.Run()
	if builtOnce {
		if d, _ := builtDemo(); d.dir != "" {
			os.RemoveAll(d.dir)
		}
	}
	os.Exit(code)
}

// TestDemoDrawings: what each drawing of the demo states, in PDF and DXF, is what panel.json has, each thing once; no
// word lies over another or leaves its sheet; the DXF is sound, and its outline is the panel's.
func TestDemoDrawings(t *testing.T) {
	d := demoOf(t)
	for _, name := range d.folders {
		folder := filepath.Join(d.dir, "out", name)
		t.Run(filepath.ToSlash(name), func(t *testing.T) {
			paper := filepath.Join(folder, "drawing", "panel.pdf")
			cad := filepath.Join(folder, "drawing", "panel.dxf")
			words := wordsOf(t, paper)
			assert.Empty(t, words.clashes())
			c := readCAD(t, cad)
			assert.Empty(t, c.faults())
			p := readPanel(t, filepath.Join(folder, "panel.json"))
			assert.Empty(t, disagreements(p, c, words))
			assert.NotEmpty(t, c.Dimensions)
			var missing []string
			for _, s := range c.Texts { // the stamp too, letter by letter the same
				if words.said(s) == 0 {
					missing = append(missing, s)
				}
			}
			assert.Empty(t, missing, "the DXF says what the PDF does not")
			assert.Empty(t, otherContours(outlineOf(t, cad), profileOf(t, folder)))
			assert.Equal(t, name == "relay-kept", words.said("NOT FOR RELEASE") == len(words.pages), "the stamp is on every sheet, or on none")
			t.Logf("%d pages, %d words, %d dimensions, %d notes", len(words.pages), len(words.words), len(c.Dimensions), len(c.Notes))
			if !t.Failed() {
				shared.Ran(t, "drawing: words, facts, structure and outline of "+name)
			}
		})
	}
}
