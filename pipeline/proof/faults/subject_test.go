package faults

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

// subject is a finished build, read from its folder.
type subject struct {
	name    string
	dir     string // its folder
	sources string // the recipe's folder
	in      pipeline.Written
	files   map[string][]byte // as written
	profile *profile
}

// recipes are those of the subjects; gauge-12up is the demo's own.
var recipes = map[string]string{
	"relay-scored": scored,
	"relay-6up":    array("relay", "relay", 3, 2),
	"probe-9up":    array("probe", "probe", 3, 3),
	"plate-4up":    array("plate", "plate", 2, 2),
}

func array(board, files string, columns, rows int) string {
	return strings.NewReplacer("BOARD", board, "FILES", files, "COLUMNS", string(rune('0'+columns)), "ROWS", string(rune('0'+rows)),
		"NAME", board+"-"+string(rune('0'+columns*rows))+"up").Replace(`
panel "NAME" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
}
stage "board" {
  name  = "BOARD"
  files = "../testdata/boards/FILES"
}
stage "array" {
  board   = "BOARD"
  columns = COLUMNS
  rows    = ROWS
  gap     = 2
}
stage "rails" {}
stage "tooling_holes" {}
stage "fiducials" {}
stage "breakoff_tabs" {}
stage "rules" {}
stage "write_fab" {}
`)
}

// build carries out every subject's recipe with the real stages, and reads the builds back.
func build(t *testing.T) []*subject {
	t.Helper()
	root, err := filepath.Abs("../../..")
	require.NoError(t, err)
	dir := t.TempDir()
	home := filepath.Join(dir, "recipes")
	require.NoError(t, os.CopyFS(home, os.DirFS(filepath.Join(root, "recipes"))))
	cmd := exec.Command("go", "run", "./testdata/demoboards", "-o", filepath.Join(dir, "testdata", "boards"))
	cmd.Dir = root
	said, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", said)
	plate(t, filepath.Join(dir, "testdata", "boards", "plate"))
	paths := []string{filepath.Join(home, "gauge.panel.hcl")}
	for name, text := range recipes {
		path := filepath.Join(home, name+".panel.hcl")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		paths = append(paths, path)
	}
	slices.Sort(paths)
	var out []*subject
	for _, path := range paths {
		plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0.1.0"})
		require.NoError(t, err)
		built, err := run.Build(t.Context(), plan, run.Options{OutDir: filepath.Join(dir, "build"), Program: pipeline.Program{Name: "panelwright", Version: "0.1.0"},
			Rules: rule.All(), Prove: proof.Prove, PanelData: panel.Panel.Data})
		require.NoError(t, err)
		s := &subject{name: plan.Name, dir: built.Dir, sources: home, files: map[string][]byte{}}
		require.Empty(t, s.readback(t), "%s is to be without a fault", plan.Name)
		for _, name := range s.in.Outputs {
			s.files[name], err = s.in.Read(name)
			require.NoError(t, err)
		}
		s.profile, err = takeApart(s.files[s.file("profile.gbr")])
		require.NoError(t, err)
		out = append(out, s)
	}
	return out
}

// readback proves the build folder as the program's command does, and keeps what the proof was given: the
// panel as panel.json has it, the boards as read again.
func (s *subject) readback(t *testing.T) []pipeline.Finding {
	t.Helper()
	out, err := run.Readback(t.Context(), s.dir, run.ReadbackOptions{Sources: s.sources, Kinds: stages.All(), Rules: rule.All(), ReadPanelData: panel.ReadData,
		Prove: func(ctx context.Context, in pipeline.Written) ([]pipeline.Finding, error) {
			s.in = in
			return proof.Prove(ctx, in)
		}})
	require.NoError(t, err)
	return out.Findings
}

// readbackOf proves the build folder with some of its files replaced on the disk.
func (s *subject) readbackOf(t *testing.T, edited map[string][]byte) []pipeline.Finding {
	t.Helper()
	write := func(name string, data []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(s.dir, filepath.FromSlash(name)), data, 0o644))
	}
	for name, data := range edited {
		write(name, data)
		defer write(name, s.files[name])
	}
	return s.readback(t)
}

// file names a fabrication file.
func (s *subject) file(rest string) string { return "fab/" + s.name + "-" + rest }

// drills names the drill files.
func (s *subject) drills() []string { return s.matching("-drill-", ".drl") }

// layers names the files that hold the copies' artwork.
func (s *subject) layers(kind string) []string {
	return slices.DeleteFunc(s.matching(kind, ".gbr"), func(name string) bool {
		return strings.Contains(name, "-profile") || strings.Contains(name, "-array-drawing")
	})
}

func (s *subject) matching(part, end string) (names []string) {
	for _, name := range s.in.Outputs {
		if strings.HasPrefix(name, "fab/") && strings.Contains(name, part) && strings.HasSuffix(name, end) {
			names = append(names, name)
		}
	}
	return names
}

// prove proves the build with some of its files replaced, and gives the rules that fire.
func (s *subject) prove(t *testing.T, edited map[string][]byte) (rules []string, found []pipeline.Finding) {
	t.Helper()
	in := s.in
	in.Read = func(name string) ([]byte, error) {
		if data, ok := edited[name]; ok {
			return data, nil
		}
		return s.files[name], nil
	}
	found, err := proof.Prove(t.Context(), in)
	require.NoError(t, err)
	for _, f := range found {
		if !slices.Contains(rules, f.Rule) {
			rules = append(rules, f.Rule)
		}
	}
	return rules, found
}

// plate writes a board with cut-outs: a round one, a rounded square one, a slot at an angle.
func plate(t *testing.T, dir string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o755))
	head := "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,FUNCTION*%\n%ADD10C,1.000000*%\nG75*\nD10*\n"
	layer := func(name, function, body string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(strings.Replace(head, "FUNCTION", function, 1)+body+"M02*\n"), 0o644))
	}
	layer("plate-profile.gbr", "Profile,NP", `G01*
X0Y0D02*
X42000000Y0D01*
X42000000Y33000000D01*
X0Y33000000D01*
X0Y0D01*
X16000000Y10000000D02*
G03*
X16000000Y10000000I-5000000J0D01*
G01*
X24000000Y8000000D02*
X32000000Y8000000D01*
G03*
X34000000Y10000000I0J2000000D01*
G01*
X34000000Y14000000D01*
G03*
X32000000Y16000000I-2000000J0D01*
G01*
X24000000Y16000000D01*
G03*
X22000000Y14000000I0J-2000000D01*
G01*
X22000000Y10000000D01*
G03*
X24000000Y8000000I2000000J0D01*
G01*
X13000000Y22000000D02*
X17000000Y25000000D01*
G03*
X15800000Y26600000I-600000J800000D01*
G01*
X11800000Y23600000D01*
G03*
X13000000Y22000000I600000J-800000D01*
`)
	layer("plate-copper-top.gbr", "Copper,L1,Top", "X30000000Y25000000D03*\nX36000000Y27000000D03*\n")
	layer("plate-copper-bottom.gbr", "Copper,L2,Bot", "X30000000Y25000000D03*\nX30000000Y25000000D02*\nG01*\nX36000000Y27000000D01*\n")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "plate-plated.drl"),
		[]byte("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.600\n%\nG05\nT1\nX30.000Y25.000\nX36.000Y27.000\nM30\n"), 0o644))
}
