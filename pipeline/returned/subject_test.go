package returned_test

import (
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/format/xnc"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/returned"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

const mm = geom.MM

// The panel that all tests share: four staff boards of four layers, scored between the rows, with tabs between the columns.
const staffPanel = `
panel "staff-4up" { revision = "A" }
stage "board" {
  name      = "staff"
  files     = "../board"
  thickness = "1.6 mm"
}
stage "array" {
  board   = "staff"
  columns = 2
  rows    = 2
  gap_x   = 2
  gap_y   = 0
}
stage "rails" {
  sides = ["upper", "lower", "left", "right"]
  width = 8
  gap_x = 2
  gap_y = 0
}
stage "tooling_holes" {}
stage "fiducials" { inward_x = "15 mm" }
stage "score_lines" { between = ["rows", "upper_and_lower_rails"] }
stage "breakoff_tabs" {
  between = ["columns", "left_and_right_rails"]
  placing     = "even"
  from_corner = "3 mm"
}
stage "rules" {}
stage "write_fab" {}
`

// layerText writes a layer of the board: flashes and strokes by aperture in mm, regions as corners.
func layerText(function string, draw ...string) string {
	return "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction," + function + "*%\n%ADD10C,0.2*%\n%ADD11C,1.6*%\n%ADD12R,1.2X0.8*%\n%ADD13C,0.6*%\n%ADD14C,1.1*%\n%ADD15O,2.4X1.2*%\nG01*\n" + strings.Join(draw, "") + "M02*\n"
}

func at(x, y float64) string {
	return fmt.Sprintf("X%dY%d", geom.FromMM(x), geom.FromMM(y))
}

func flash(aperture int, places ...float64) string {
	s := fmt.Sprintf("D%d*\n", aperture)
	for i := 0; i < len(places); i += 2 {
		s += at(places[i], places[i+1]) + "D03*\n"
	}
	return s
}

func line(aperture int, places ...float64) string {
	s := fmt.Sprintf("D%d*\n", aperture) + at(places[0], places[1]) + "D02*\n"
	for i := 2; i < len(places); i += 2 {
		s += at(places[i], places[i+1]) + "D01*\n"
	}
	return s
}

func region(places ...float64) string {
	return "G36*\n" + strings.Split(line(10, places...), "D10*\n")[1] + "G37*\n"
}

func drillText(function string, tools ...string) string {
	s := "M48\n; #@! TF.FileFunction," + function + "\nMETRIC\n"
	for i, t := range tools {
		s += fmt.Sprintf("T%dC%s\n", i+1, strings.SplitN(t, " ", 2)[0])
	}
	s += "%\nG05\n"
	for i, t := range tools {
		s += fmt.Sprintf("T%d\n", i+1) + strings.Join(strings.Fields(t)[1:], "\n") + "\n"
	}
	return s + "M30\n"
}

// staffBoard is 20 × 14 mm: three vias, a pin row, parts on top, a plane with clearances, slots plated and not.
func staffBoard() map[string]string {
	vias := []float64{3, 3, 6.5, 9.5, 16, 5}
	pins := []float64{5, 12, 7.54, 12, 10.08, 12}
	parts := []float64{3, 6, 5, 6, 11, 4, 13, 4, 12, 9, 14, 9}
	clear := "%LPC*%\n" + flash(14, vias[0], vias[1]) + flash(11, 10.08, 12) + "%LPD*%\n"
	return map[string]string{
		"staff-copper-1-top.gbr": layerText("Copper,L1,Top", flash(13, vias...), flash(11, pins...), flash(12, parts...), flash(15, 17, 11),
			line(10, 3, 3, 3, 6), line(10, 5, 6, 6.5, 9.5), line(10, 11, 4, 7.54, 12), line(10, 13, 4, 16, 5)),
		"staff-copper-2-inner.gbr":  layerText("Copper,L2,Inr", region(1, 1, 19, 1, 19, 13, 1, 13, 1, 1), clear, flash(13, vias[0], vias[1])),
		"staff-copper-3-inner.gbr":  layerText("Copper,L3,Inr", flash(13, vias...), flash(11, pins...), line(10, 6.5, 9.5, 16, 9.5, 16, 5), region(2, 1, 9, 1, 9, 2.4, 2, 2.4, 2, 1)),
		"staff-copper-4-bottom.gbr": layerText("Copper,L4,Bot", flash(13, vias...), flash(11, pins...), flash(15, 17, 11), line(10, 3, 3, 5, 12), region(8, 2, 14, 2, 14, 8, 11, 8, 8, 5, 8, 2)),
		"staff-mask-top.gbr":        layerText("Soldermask,Top", flash(11, pins...), flash(12, parts...), flash(15, 17, 11)),
		"staff-mask-bottom.gbr":     layerText("Soldermask,Bot", flash(11, pins...), flash(15, 17, 11)),
		"staff-paste-top.gbr":       layerText("Paste,Top", flash(12, parts...)),
		"staff-legend-top.gbr":      layerText("Legend,Top", line(10, 2, 5, 6, 5, 6, 7, 2, 7, 2, 5), line(10, 10, 3, 14, 3), line(10, 9, 10.2, 15, 10.2), line(10, 12, 7, 12, 9.2)),
		"staff-profile.gbr":         layerText("Profile,NP", line(10, 0, 0, 20, 0, 20, 14, 0, 14, 0, 0)),
		"staff-plated.drl":          drillText("Plated,1,4,PTH", "0.300 X3.0Y3.0 X6.5Y9.5 X16.0Y5.0", "1.000 X5.0Y12.0 X7.54Y12.0 X10.08Y12.0", "0.700 X16.4Y11.0G85X17.6Y11.0"),
		"staff-nonplated.drl":       drillText("NonPlated,1,4,NPTH", "2.200 X2.0Y10.5", "1.000 X18.0Y2.5G85X18.0Y4.5"),
	}
}

// built is the panel's build folder, made once.
var built = sync.OnceValues(func() (*run.AsBuilt, error) {
	dir, err := os.MkdirTemp("", "returned")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	for _, d := range []string{"board", "recipes"} {
		if err := os.Mkdir(filepath.Join(dir, d), 0o755); err != nil {
			return nil, err
		}
	}
	for name, text := range staffBoard() {
		if err := os.WriteFile(filepath.Join(dir, "board", name), []byte(text), 0o644); err != nil {
			return nil, err
		}
	}
	file := filepath.Join(dir, "recipes", "staff.panel.hcl")
	if err := os.WriteFile(file, []byte(staffPanel), 0o644); err != nil {
		return nil, err
	}
	program := pipeline.Program{Name: "panelwright", Version: "0.1.0"}
	plan, err := recipe.Load(file, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: program.Version})
	if err != nil {
		return nil, err
	}
	out, err := run.Build(context(), plan, run.Options{OutDir: filepath.Join(dir, "build"), Program: program, Rules: rule.All(), Prove: proof.Prove, PanelData: panel.Panel.Data})
	if err != nil {
		return nil, err
	}
	return run.ReadAsBuilt(context(), out.Dir)
})

// set is what a fabricator has: the panel's layers and holes, in the panel's coordinates.
type set struct {
	plan   *panel.Plan
	layers map[string]*artwork.Image // by the build's names of them: "copper-1-top", "profile", "score"
	drills map[string]*artwork.Drilling
}

// original is the panel as it was built.
func original(t *testing.T) *set {
	t.Helper()
	b, err := built()
	require.NoError(t, err)
	s := &set{layers: map[string]*artwork.Image{}, drills: map[string]*artwork.Drilling{}}
	s.plan, err = panel.ReadPlan(b.Files["panel.json"])
	require.NoError(t, err)
	for name, data := range b.Files {
		key, ok := strings.CutPrefix(strings.TrimSuffix(name, path.Ext(name)), "fab/staff-4up-")
		switch {
		case !ok || key == "array-drawing":
		case path.Ext(name) == ".gbr":
			s.layers[key], _, err = gerber.Read(name, data, gerber.Options{})
			require.NoError(t, err)
		case path.Ext(name) == ".drl":
			s.drills[strings.TrimPrefix(key, "drill-")], _, err = xnc.Read(name, data, xnc.Options{})
			require.NoError(t, err)
		}
	}
	require.Len(t, s.layers, 10)
	require.ElementsMatch(t, []string{"breakoff", "nonplated-1-4", "plated-1-4"}, slices.Collect(maps.Keys(s.drills)))
	return s
}

// hold writes the set as style says, and holds it against the build.
func (s *set) hold(t *testing.T, w style) *returned.Result {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "back"), 0o755))
	for name, text := range s.write(t, w) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "back", name), []byte(text), 0o644))
	}
	got, err := stages.Returned(t.Context(), run.NewFiles(t.Context(), dir, ""), []pipeline.InPath{{Text: "back", Dir: dir}})
	require.NoError(t, err)
	b, err := built()
	require.NoError(t, err)
	out, err := returned.Hold(t.Context(), returned.Input{Panel: b.Manifest.Panel, Built: b.Files, Got: got, Shift: w.say, Workers: 2})
	require.NoError(t, err)
	return out
}

// texts gives findings as lines, those of a severity only where one is given.
func texts(out *returned.Result, of ...pipeline.Severity) (lines []string) {
	for _, f := range out.Findings {
		if len(of) == 0 || slices.Contains(of, f.Severity) {
			lines = append(lines, fmt.Sprintf("%s %s: %s", f.Severity, f.Rule, f.Message))
		}
	}
	return lines
}
