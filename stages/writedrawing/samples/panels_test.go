// Package samples tests the pieces of drawings on many panels: those of the demo's recipes, of the open boards, and ones
// that are made here for what neither has.
package samples

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
	"panelwright/stages/breakofftabs"
	"panelwright/stages/scorelines"
)

// sample is a panel by name.
type sample struct {
	name  string
	panel panel.Panel
}

func built(t testing.TB, path, supplier string) panel.Panel {
	t.Helper()
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), Supplier: supplier})
	require.NoError(t, err, path)
	out, err := run.Build(t.Context(), plan, run.Options{CheckOnly: true, Rules: rule.All()})
	require.NoError(t, err, path)
	return out.Panel
}

// Panels are the same for all tests here, and made once.
var demo, made, all struct {
	sync.Once
	panels []sample
}

// demoPanels gives the panels of the recipes that come with the program.
func demoPanels(t testing.TB) []sample {
	t.Helper()
	demo.Do(func() {
		root, err := filepath.Abs("../../..")
		require.NoError(t, err)
		dir := t.TempDir()
		require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes"), os.DirFS(filepath.Join(root, "recipes"))))
		cmd := exec.Command("go", "run", "./testdata/demoboards", "-o", filepath.Join(dir, "testdata", "boards"))
		cmd.Dir = root
		said, err := cmd.CombinedOutput()
		require.NoError(t, err, string(said))
		list, err := filepath.Glob(filepath.Join(dir, "recipes", "*.panel.hcl"))
		require.NoError(t, err)
		require.NotEmpty(t, list)
		for _, path := range list {
			name := strings.TrimSuffix(filepath.Base(path), ".panel.hcl")
			if name == "gauge-suppliers" {
				for _, s := range []string{"headwater", "millrace"} {
					demo.panels = append(demo.panels, sample{name + "-" + s, built(t, path, s)})
				}
				continue
			}
			demo.panels = append(demo.panels, sample{name, built(t, path, "")})
		}
	})
	return demo.panels
}

// openBoards are open boards whose files say all that is needed, and what each brings.
var openBoards = []struct{ folder, why string }{
	{"half-2l-manyslots", "a concave outline; 145 slots"},
	{"node-4l-x2", "routed slots"},
	{"plate-cutouts", "cut-outs, no holes"},
	{"watch-2l-loops", "round"},
	{"module-6l-slots", "six layers"},
}

// openPanels gives panels of open boards, each parted by tabs, and some by score lines that jump; none where the boards
// are not here.
func openPanels(t testing.TB) (out []sample) {
	t.Helper()
	root := os.Getenv("PANELWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "..", "..", "shared")
	}
	if _, err := os.Stat(filepath.Join(root, "boards")); err != nil {
		if os.Getenv("PANELWRIGHT_REQUIRE_OUTSIDE") == "1" {
			t.Fatal(err)
		}
		t.Log("the open boards are not here: set PANELWRIGHT_SHARED to the folder that holds them")
		return nil
	}
	dir := t.TempDir()
	for i, b := range openBoards {
		require.NoError(t, os.CopyFS(filepath.Join(dir, b.folder), os.DirFS(filepath.Join(root, "boards", b.folder))))
		gap, parting := "2 mm", "stage \"breakoff_tabs\" {}\n"
		if i == 2 {
			gap, parting = "0 mm", "stage \"score_lines\" {\n  jump = true\n}\n"
		}
		text := "panel \"trial\" {\n  revision = \"A\"\n}\nstage \"board\" {\n  name  = \"gauge\"\n  files = \"" + b.folder + "\"\n" + extra[b.folder] + "}\n" +
			fmt.Sprintf("stage \"array\" {\n  board   = \"gauge\"\n  columns = 2\n  rows    = 2\n  gap     = %q\n}\n", gap) +
			fmt.Sprintf("stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  gap = %q\n}\n", gap) + "stage \"tooling_holes\" {}\nstage \"fiducials\" {}\n" + parting
		path := filepath.Join(dir, b.folder+".panel.hcl")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		out = append(out, sample{b.folder, built(t, path, "")})
	}
	return out
}

// extra is what some of them need all the same.
var extra = map[string]string{"module-6l-slots": "  placement \"*-pos.csv\" {\n    unit = \"mm\"\n  }\n"}

// plate is a plain board of an outline.
func plate(name string, outer geom.Path) *panel.Board {
	return &panel.Board{Name: name, CopperCount: 2, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: outer}}
}

// disc is a round outline.
func disc(radius geom.Length) geom.Path {
	at := geom.Pt(radius, radius)
	right, left := geom.Pt(2*radius, radius), geom.Pt(0, radius)
	return geom.Path{geom.Arc(right, left, at, geom.CounterClockwise), geom.Arc(left, right, at, geom.CounterClockwise)}
}

// laid places copies of a board on a grid between rails, all turned alike.
func laid(t testing.TB, b *panel.Board, turn geom.Angle, columns, rows int, gap geom.Length, sides ...panel.RailSide) panel.Panel {
	t.Helper()
	size := panel.Settle(b, turn, geom.Point{}).Path(b.Outline.Outer).Box()
	e := panel.Panel{}.Edit().AddBoard(b)
	for r := range rows {
		for c := range columns {
			at := geom.Pt(geom.Length(c)*(size.Width()+gap), geom.Length(r)*(size.Height()+gap))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+c, r+1), Board: b, Column: c, Row: r, Place: panel.Settle(b, turn, at)})
		}
	}
	p, err := e.FitOutline().LayRails(sides, 12*geom.MM, gap, 2*geom.MM, false).Build()
	require.NoError(t, err)
	for _, k := range stages.All() {
		if !slices.Contains(sides, panel.Upper) {
			break // marks stand on the rails above and below
		}
		if k.Name == "tooling_holes" || k.Name == "fiducials" {
			p = after(t, p, k.New())
		}
	}
	return p
}

// after gives the panel after a stage.
func after(t testing.TB, p panel.Panel, s pipeline.Stage) panel.Panel {
	t.Helper()
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Panel: "trial"}, func(pipeline.Finding) {}, nil)
	out, err := s.Run(t.Context(), env, p)
	require.NoError(t, err)
	return out.Panel
}

// madePanels gives panels with what is rare: slanting and round edges, rows elsewhere than at the edge, shared rows, tabs
// without holes, upright slots only, lines that leave laminate, thick and thin boards, many copies.
func madePanels(t testing.TB) []sample {
	t.Helper()
	made.Do(func() { made.panels = makePanels(t) })
	return made.panels
}

func makePanels(t testing.TB) (out []sample) {
	mm := geom.FromMM
	tabs := func(f func(s *breakofftabs.BreakoffTabs)) pipeline.Stage {
		s := breakofftabs.Kind().New().(*breakofftabs.BreakoffTabs)
		f(s)
		return s
	}
	lines := func(f func(s *scorelines.ScoreLines)) pipeline.Stage {
		s := scorelines.Kind().New().(*scorelines.ScoreLines)
		f(s)
		return s
	}
	both := []panel.RailSide{panel.Upper, panel.Lower}
	frame := append([]panel.RailSide{panel.Left, panel.Right}, both...)
	box := geom.Rectangle(geom.Box{Max: geom.Pt(mm(50), mm(30))})
	add := func(name string, p panel.Panel, s pipeline.Stage) { out = append(out, sample{name, after(t, p, s)}) }

	add("reaching in", laid(t, plate("gauge", box), 0, 2, 2, mm(2), both...), tabs(func(s *breakofftabs.BreakoffTabs) { s.Inset = mm(0.1) }))
	add("clear of the edge", laid(t, plate("gauge", box), 0, 2, 2, mm(3), both...), tabs(func(s *breakofftabs.BreakoffTabs) { s.Inset = -mm(0.15) }))
	add("one side", laid(t, plate("gauge", box), 0, 2, 2, mm(2), both...), tabs(func(s *breakofftabs.BreakoffTabs) { s.Perforate = "one_side"; s.HolesPerTab = 3 }))
	add("by hand", laid(t, plate("gauge", box), 0, 2, 2, mm(2), both...), tabs(func(s *breakofftabs.BreakoffTabs) { s.Perforate = "none" }))
	add("shared row", laid(t, plate("gauge", box), 0, 2, 2, mm(1), both...), tabs(func(s *breakofftabs.BreakoffTabs) { s.HolesPerTab = 6 }))
	add("slanting", laid(t, plate("gauge", box), 30*geom.Degree, 2, 1, mm(2), frame...), tabs(func(s *breakofftabs.BreakoffTabs) {}))
	add("discs", laid(t, plate("probe", disc(mm(12))), 17*geom.Degree, 2, 2, mm(2), frame...), tabs(func(s *breakofftabs.BreakoffTabs) { s.LongestFreeSpan = mm(25) }))
	add("upright", laid(t, plate("gauge", box), 90*geom.Degree, 3, 1, mm(2.4), panel.Left, panel.Right), tabs(func(s *breakofftabs.BreakoffTabs) { s.Between = []string{"columns", "rails"} }))
	add("wide slots", laid(t, plate("gauge", box), 0, 2, 2, mm(6), both...), tabs(func(s *breakofftabs.BreakoffTabs) { w := mm(6); s.SlotWidth = &w; s.Cutters = []geom.Length{mm(2)} }))
	add("broad tabs", laid(t, plate("gauge", box), 0, 2, 2, mm(2), both...), tabs(func(s *breakofftabs.BreakoffTabs) { w := mm(12); s.TabWidth = &w; s.HoleDiameter = mm(1) }))

	add("lines", laid(t, plate("modem", box), 0, 3, 2, 0, both...), lines(func(s *scorelines.ScoreLines) {}))
	add("lines leave", laid(t, plate("modem", box), 0, 3, 2, mm(1), both...), lines(func(s *scorelines.ScoreLines) { l := mm(0.5); s.Leave = &l }))
	add("lines leave much", laid(t, plate("modem", box), 0, 2, 2, mm(20), both...), lines(func(s *scorelines.ScoreLines) { l := mm(6); s.Leave = &l }))
	add("jumps", laid(t, plate("modem", box), 0, 2, 2, 0, frame...), lines(func(s *scorelines.ScoreLines) { s.Jump, s.BladeDiameter, s.LeadIn = true, mm(30), mm(2) }))
	add("wide angle", laid(t, plate("modem", box), 0, 2, 2, 0, both...), lines(func(s *scorelines.ScoreLines) { s.IncludedAngle = 60 * geom.Degree }))
	thin := plate("relay", box)
	thin.Thickness = mm(0.6)
	add("thin", laid(t, thin, 0, 2, 2, 0, both...), lines(func(s *scorelines.ScoreLines) { w := mm(0.2); s.RemainingWeb = &w }))
	thick := plate("relay", box)
	thick.Thickness = mm(3.2)
	add("thick", laid(t, thick, 0, 2, 2, 0, both...), lines(func(s *scorelines.ScoreLines) {}))
	both2 := after(t, laid(t, plate("gauge", box), 0, 3, 3, 0, frame...), lines(func(s *scorelines.ScoreLines) { s.Between = []string{"rows"} }))
	out = append(out, sample{"rows only", both2})
	add("hundred", laid(t, plate("modem", geom.Rectangle(geom.Box{Max: geom.Pt(mm(34), mm(26))})), 0, 10, 10, mm(2), frame...), tabs(func(s *breakofftabs.BreakoffTabs) { s.Placing, s.LongestFreeSpan = "even", mm(20) }))
	out = append(out, sample{"bare", laid(t, plate("gauge", box), 0, 1, 1, 0)})
	return out
}

// allPanels gives every sample.
func allPanels(t testing.TB) []sample {
	t.Helper()
	all.Do(func() {
		all.panels = append(append(append(all.panels, demoPanels(t)...), madePanels(t)...), openPanels(t)...)
	})
	return all.panels
}
