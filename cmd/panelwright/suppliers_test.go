package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
)

// suppliersTable is what the demo's three suppliers differ in, as their standards state it with its source. 0 means
// that the supplier says nothing, and what the shop's own standard or the rule says holds: otherwise, set in file.
// No supplier's range moves the assembly line's, panel-size and the rules beside it.
var suppliersTable = []struct {
	rule                         string
	headwater, millrace, estuary float64 // mm
	otherwise                    float64 // mm
	file                         string  // "" for the recipe, whose stage "rules" stands for the rule's default
}{
	{"copper-to-edge", 0.25, 0.254, 0.2, 0, ""},
	{"inner-copper-to-edge", 0.4, 0.381, 0.2, 0, ""},
	{"rail-width", 5, 6.35, 10, 0, ""},
	{"copper-to-score", 0.45, 0.381, 0.5, 0, ""},
	{"inner-copper-to-score", 0.45, 0.508, 0.5, 0, ""},
	{"score-thickness", 0, 0.5, 0.8, 0.8, ""},
	{"scored-panel-side", 100, 75, 0, 100, ""},
	{"hole-spacing", 0, 0.254, 0.3, 0.25, ""},
	{"fabricator-panel-size", 426, 457, 500, 0, ""},
	{"fabricator-panel-breadth", 326, 406, 460, 0, ""},
	{"fabricator-panel-long-side", 46, 76, 50, 0, ""},
	{"fabricator-panel-short-side", 36, 76, 50, 0, ""},
	{"fabricator-thickness-least", 0.5, 0, 0.3, 0.3, ""},
	{"fabricator-thickness-most", 3.2, 0, 4, 4, ""},
	{"copper-to-perforation", 0, 0, 0, 0.25, "standards/hand-break.standard.hcl"},
	{"hole-to-hole", 0, 0, 0, 0.25, ""},
	{"panel-size", 0, 0, 0, 410, ""},
	{"panel-breadth", 0, 0, 0, 310, ""},
	{"panel-long-side", 0, 0, 0, 50, ""},
	{"panel-short-side", 0, 0, 0, 50, ""},
	{"panel-thickness-least", 0, 0, 0, 0.3, ""},
	{"panel-thickness-most", 0, 0, 0, 4, ""},
}

// slotWidths are how wide the suppliers rout, and so how far apart boards stand.
var slotWidths = map[string]string{"headwater": "2 mm", "millrace": "2.54 mm", "estuary": "2.4 mm"}

func wanted(supplier string, row int) float64 {
	x := suppliersTable[row]
	return map[string]float64{"headwater": x.headwater, "millrace": x.millrace, "estuary": x.estuary}[supplier]
}

// found reads a build's findings.json.
func foundIn(t *testing.T, dir string) (out struct {
	Supplier string
	Released bool
	Judged   []pipeline.Judged
	Findings []run.FindingRow
}) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "report", "findings.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &out))
	return out
}

// The same recipe against three standards gives three builds, whose limits differ as the table says; each names
// the line of the supplier's standard that set it.
func TestOneRecipeForThreeSuppliers(t *testing.T) {
	dir := checkout(t, "suppliers")
	out := filepath.Join(dir, "build")
	code, log := build("build", "-o", out, filepath.Join(dir, "recipes", "gauge-suppliers.panel.hcl"))
	require.Equal(t, 0, code, log)
	var names []string
	for _, b := range builds(t, out) {
		supplier := filepath.Base(b.dir)
		names = append(names, supplier)
		got := foundIn(t, b.dir)
		assert.Equal(t, supplier, got.Supplier)
		for i, row := range suppliersTable {
			k := slices.IndexFunc(got.Judged, func(j pipeline.Judged) bool { return j.Rule == row.rule })
			require.GreaterOrEqual(t, k, 0, row.rule)
			j := got.Judged[k]
			file := "standards/suppliers/" + supplier + ".standard.hcl"
			want := wanted(supplier, i)
			if want == 0 {
				want, file = row.otherwise, cmp.Or(row.file, "gauge-suppliers.panel.hcl")
			}
			assert.InDelta(t, want, *j.Limit, 1e-9, "%s for %s", row.rule, supplier)
			assert.Equal(t, file, j.Set.File, "%s for %s", row.rule, supplier)
			text, err := os.ReadFile(filepath.Join(dir, "recipes", filepath.FromSlash(file)))
			require.NoError(t, err)
			line := strings.Split(string(text), "\n")[j.Set.Line-1]
			assert.Regexp(t, `^    (at_least|at_most) +=|^stage "rules"`, line, "%s for %s", row.rule, supplier)
		}
		var m run.Manifest
		data, err := os.ReadFile(filepath.Join(b.dir, "manifest.json"))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(data, &m))
		assert.Equal(t, supplier, m.Supplier)
		gaps := map[string]string{}
		for _, s := range m.Values {
			for _, v := range s.Values {
				gaps[s.Stage+" "+v.Option] = strings.Trim(v.Value, `"`)
			}
		}
		for _, option := range []string{"array gap", "rails gap", "breakoff_tabs slot_width"} {
			assert.Equal(t, slotWidths[supplier], gaps[option], option)
		}
		notes, err := os.ReadFile(filepath.Join(b.dir, "fab", "gauge-6up-notes.txt"))
		require.NoError(t, err)
		assert.Contains(t, string(notes), "Built for supplier "+supplier)
	}
	assert.ElementsMatch(t, []string{"headwater", "millrace", "estuary"}, names)
}

// suppliersBoard is a board, 30 x 20 mm, whose copper keeps off the edge by the given distance in mm.
func suppliersBoard(t *testing.T, dir string, distance float64) {
	t.Helper()
	nm := func(mm float64) int { return int(mm*1e6 + 0.5) }
	head := "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,"
	for name, text := range map[string]string{
		"profile.gbr": head + "Profile,NP*%\n%ADD10C,0.100000*%\nD10*\nX0Y0D02*\nG01*\nX30000000Y0D01*\nX30000000Y20000000D01*\nX0Y20000000D01*\nX0Y0D01*\nM02*\n",
		// A pad of 2 mm whose edge is distance from the upper edge, away from where tabs may stand.
		"copper-top.gbr":    head + fmt.Sprintf("Copper,L1,Top*%%\n%%ADD10C,2.000000*%%\nD10*\nX2500000Y%dD03*\nX25000000Y10000000D03*\nM02*\n", nm(20-distance-1)),
		"copper-bottom.gbr": head + "Copper,L2,Bot*%\n%ADD10C,2.000000*%\nD10*\nX5000000Y5000000D03*\nM02*\n",
	} {
		require.NoError(t, os.MkdirAll(dir, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "staff-"+name), []byte(text), 0o644))
	}
}

// Whom a panel can be built for follows from the limits: just inside and just outside of each supplier's.
func TestSuppliersJudgeByTheirLimits(t *testing.T) {
	const head = `panel "staff" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
}
supplier "headwater" { built_to = ["standards/suppliers/headwater.standard.hcl"] }
supplier "millrace" { built_to = ["standards/suppliers/millrace.standard.hcl"] }
supplier "estuary" { built_to = ["standards/suppliers/estuary.standard.hcl"] }
given "columns" { value = 2 }
given "rows" { value = 2 }
given "rail" { value = mm(10) }
given "thickness" { value = mm(1.6) }
given "between_holes" { value = mm(0.35) }
stage "board" {
  name        = "staff"
  files       = "../board"
  part_number = "RG-1001"
  revision    = "A"
  thickness   = given.thickness
}
`
	const routed = `stage "array" {
  board   = "staff"
  columns = given.columns
  rows    = given.rows
}
stage "rails" { width = given.rail }
stage "breakoff_tabs" { between_holes = given.between_holes }
stage "rules" {}
`
	const scored = `stage "array" {
  board   = "staff"
  columns = given.columns
  rows    = given.rows
  gap     = 0
}
stage "rails" {
  width = given.rail
  gap   = 0
}
stage "score_lines" {}
stage "rules" {}
`
	rules := map[string]pipeline.Rule{}
	for _, r := range rule.All() {
		rules[r.Name] = r
	}
	all := []string{"headwater", "millrace", "estuary"}
	for _, c := range []struct {
		distance float64
		given    []string
		scored   bool // parted along score lines, not by tabs
		rule     string
		refused  []string // whom the rule finds something for, by the table
	}{
		{distance: 0.255, rule: "copper-to-edge"},
		{distance: 0.253, rule: "copper-to-edge", refused: []string{"millrace"}},
		{distance: 0.249, rule: "copper-to-edge", refused: []string{"headwater", "millrace"}},
		{distance: 0.201, rule: "copper-to-edge", refused: []string{"headwater", "millrace"}},
		{distance: 0.199, rule: "copper-to-edge", refused: []string{"headwater", "millrace", "estuary"}},
		{distance: 1, given: []string{"rail=10"}, rule: "rail-width"},
		{distance: 1, given: []string{"rail=9.999"}, rule: "rail-width", refused: []string{"estuary"}},
		{distance: 1, given: []string{"rail=6.35"}, rule: "rail-width", refused: []string{"estuary"}},
		{distance: 1, given: []string{"rail=6.349"}, rule: "rail-width", refused: []string{"millrace", "estuary"}},
		{distance: 1, given: []string{"rail=4.999"}, rule: "rail-width", refused: []string{"headwater", "millrace", "estuary"}},
		// 13 boards of 30 mm and 12 slots: 414 mm for headwater, 420.48 and 418.8 mm for the others; 14: 446, 453.02
		// and 451.2 mm.
		{distance: 1, given: []string{"columns=13", "rows=1"}, rule: "fabricator-panel-size"},
		{distance: 1, given: []string{"columns=14", "rows=1"}, rule: "fabricator-panel-size", refused: []string{"headwater"}},
		// 15: 478, 485.56 and 483.6 mm; 16: 510, 518.1 and 516 mm.
		{distance: 1, given: []string{"columns=15", "rows=1"}, rule: "fabricator-panel-size", refused: []string{"headwater", "millrace"}},
		{distance: 1, given: []string{"columns=16", "rows=1"}, rule: "fabricator-panel-size", refused: all},
		// The line takes 410 mm, whoever makes the panel: 12 boards are 382, 387.94 and 386.4 mm.
		{distance: 1, given: []string{"columns=12", "rows=1"}, rule: "panel-size"},
		{distance: 1, given: []string{"columns=13", "rows=1"}, rule: "panel-size", refused: all},
		// Abutted boards of 30 mm between rails above and below, 20 mm and the rails high.
		{distance: 1, scored: true, given: []string{"columns=3", "rows=1", "rail=28"}, rule: "fabricator-panel-short-side"},
		{distance: 1, scored: true, given: []string{"columns=3", "rows=1", "rail=27.999"}, rule: "fabricator-panel-short-side", refused: []string{"millrace"}},
		{distance: 1, scored: true, given: []string{"columns=3", "rows=1", "rail=14.999"}, rule: "fabricator-panel-short-side", refused: []string{"millrace", "estuary"}},
		{distance: 1, scored: true, given: []string{"columns=3", "rows=1", "rail=7.999"}, rule: "fabricator-panel-short-side", refused: all},
		{distance: 1, scored: true, given: []string{"columns=1", "rows=1", "rail=27.999"}, rule: "fabricator-panel-long-side", refused: []string{"millrace"}},
		{distance: 1, scored: true, given: []string{"columns=1", "rows=1", "rail=14.999"}, rule: "fabricator-panel-long-side", refused: []string{"millrace", "estuary"}},
		{distance: 1, scored: true, given: []string{"columns=1", "rows=1", "rail=13"}, rule: "fabricator-panel-long-side", refused: []string{"millrace", "estuary"}},
		{distance: 1, scored: true, given: []string{"columns=1", "rows=1", "rail=12.999"}, rule: "fabricator-panel-long-side", refused: all},
		{distance: 1, scored: true, given: []string{"columns=4", "rows=1", "rail=40"}, rule: "scored-panel-side"},
		{distance: 1, scored: true, given: []string{"columns=4", "rows=1", "rail=39.999"}, rule: "scored-panel-side", refused: []string{"headwater", "estuary"}},
		{distance: 1, scored: true, given: []string{"columns=4", "rows=1", "rail=27.499"}, rule: "scored-panel-side", refused: all},
		{distance: 1, given: []string{"thickness=0.5"}, rule: "fabricator-thickness-least"},
		{distance: 1, given: []string{"thickness=0.499"}, rule: "fabricator-thickness-least", refused: []string{"headwater"}},
		{distance: 1, given: []string{"thickness=0.299"}, rule: "fabricator-thickness-least", refused: all},
		{distance: 1, given: []string{"thickness=3.2"}, rule: "fabricator-thickness-most"},
		{distance: 1, given: []string{"thickness=3.201"}, rule: "fabricator-thickness-most", refused: []string{"headwater"}},
		{distance: 1, given: []string{"thickness=4.001"}, rule: "fabricator-thickness-most", refused: all},
		{distance: 1, given: []string{"between_holes=0.301"}, rule: "hole-spacing"},
		{distance: 1, given: []string{"between_holes=0.299"}, rule: "hole-spacing", refused: []string{"estuary"}},
		{distance: 1, given: []string{"between_holes=0.253"}, rule: "hole-spacing", refused: []string{"millrace", "estuary"}},
		{distance: 1, given: []string{"between_holes=0.249"}, rule: "hole-spacing", refused: all},
		// The blade, with half of its groove 0.174 mm and 0.15 mm for its place, asks for less than any of them.
		{distance: 0.501, scored: true, rule: "copper-to-score"},
		{distance: 0.499, scored: true, rule: "copper-to-score", refused: []string{"estuary"}},
		{distance: 0.449, scored: true, rule: "copper-to-score", refused: []string{"headwater", "estuary"}},
		{distance: 0.380, scored: true, rule: "copper-to-score", refused: all},
		{distance: 1, scored: true, given: []string{"thickness=0.8"}, rule: "score-thickness"},
		{distance: 1, scored: true, given: []string{"thickness=0.799"}, rule: "score-thickness", refused: []string{"headwater", "estuary"}},
		{distance: 1, scored: true, given: []string{"thickness=0.499"}, rule: "score-thickness", refused: all},
	} {
		t.Run(fmt.Sprint(c.rule, " ", c.distance, c.given, c.scored), func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes", "standards"), os.DirFS(filepath.Join(root(t), "recipes", "standards"))))
			suppliersBoard(t, filepath.Join(dir, "board"), c.distance)
			at := filepath.Join(dir, "recipes", "staff.panel.hcl")
			require.NoError(t, os.WriteFile(at, []byte(head+map[bool]string{false: routed, true: scored}[c.scored]), 0o644))
			args := []string{"check", "--json", at}
			for _, g := range c.given {
				args = append(args, "--given", g)
			}
			code, printed := build(args...)
			require.LessOrEqual(t, code, 1, printed)
			var told struct {
				Builds []struct {
					Supplier string
					Released bool
					Findings []run.FindingRow
				}
			}
			require.NoError(t, json.NewDecoder(strings.NewReader(printed)).Decode(&told), printed)
			require.Len(t, told.Builds, 3)
			var refused []string
			for _, b := range told.Builds {
				if slices.ContainsFunc(b.Findings, func(f run.FindingRow) bool { return f.Rule == c.rule }) {
					refused = append(refused, b.Supplier)
					if rules[c.rule].Severity == pipeline.Error {
						assert.False(t, b.Released)
					}
				}
			}
			assert.Equal(t, c.refused, refused)
		})
	}
}

// The standard for panels that a router parts gives tabs without perforation that are as wide as it says, and a
// panel that is released.
func TestMachineRoutStandard(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "recipes", "standards"), os.DirFS(filepath.Join(root(t), "recipes", "standards"))))
	suppliersBoard(t, filepath.Join(dir, "board"), 1)
	at := filepath.Join(dir, "recipes", "staff.panel.hcl")
	require.NoError(t, os.WriteFile(at, []byte(`panel "staff" {
  revision = "A"
  built_to = ["standards/machine-rout.standard.hcl"]
}
stage "board" {
  name        = "staff"
  files       = "../board"
  part_number = "RG-1001"
  revision    = "A"
  thickness   = mm(1.6)
}
stage "array" {
  board   = "staff"
  columns = 3
  rows    = 2
}
stage "rails" {}
stage "tooling_holes" {}
stage "breakoff_tabs" {}
stage "rules" {}
stage "write_fab" {}
`), 0o644))
	out := filepath.Join(dir, "build")
	code, log := build("build", "-o", out, at)
	require.Equal(t, 0, code, log)
	var plan struct {
		Tabs []struct {
			ID    string
			Width float64 `json:"width_mm"`
		}
		Perforations []any
	}
	data, err := os.ReadFile(filepath.Join(out, "staff", "panel.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &plan))
	assert.GreaterOrEqual(t, len(plan.Tabs), 6)
	for _, tab := range plan.Tabs {
		assert.InDelta(t, 1, tab.Width, 0.01, tab.ID)
	}
	assert.Empty(t, plan.Perforations)
	assert.NoFileExists(t, filepath.Join(out, "staff", "fab", "staff-drill-breakoff.drl"))
	for _, f := range foundIn(t, filepath.Join(out, "staff")).Judged {
		if f.Rule == "inner-copper-to-edge" {
			assert.InDelta(t, 0.4, *f.Limit, 1e-9)
			assert.Equal(t, "standards/machine-rout.standard.hcl", f.Set.File)
		}
	}
}
