package outside

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
)

const gap = 2_000_000 // nm, between boards and between boards and rails

// functions says what the files of the open boards are for, by patterns of their names, as a person
// reads it from names and headers: it stands here beforehand, so that a reader that takes one layer for another
// cannot pass by being consistent. The inner layers of square-10l-inch have names that tell no order;
// of them only that they are inner copper is held.
var functions = map[string]map[string]string{
	"control-2l-regions": {
		"*copperTop.gtl": "copper-1-top", "*copperBottom.gbl": "copper-2-bottom",
		"*maskTop.gts": "mask-top", "*maskBottom.gbs": "mask-bottom",
		"*silkTop.gto": "legend-top", "*silkBottom.gbo": "legend-bottom",
		"*drill.txt": "drill nonplated-1-2, drill plated-1-2",
	},
	"daughter-2l-arcs74": {
		"*-F_Cu.gtl": "copper-1-top", "*-B_Cu.gbl": "copper-2-bottom",
		"*-F_Mask.gts": "mask-top", "*-B_Mask.gbs": "mask-bottom",
		"*-F_SilkS.gto": "legend-top", "*-B_SilkS.gbo": "legend-bottom",
		"*.txt": "drill plated-1-2",
	},
	"half-2l-manyslots": {
		"*-F.Cu.gtl": "copper-1-top", "*-B.Cu.gbl": "copper-2-bottom",
		"*-F.Mask.gts": "mask-top", "*-B.Mask.gbs": "mask-bottom",
		"*-F.SilkS.gto": "legend-top", "*-B.SilkS.gbo": "legend-bottom",
		"*-F.Paste.gtp": "paste-top", "*-B.Paste.gbp": "paste-bottom",
		"*-PTH.drl": "drill plated-1-2", "*-NPTH.drl": "drill nonplated-1-2",
	},
	"module-6l-slots": {
		"*-CuTop.gbr": "copper-1-top", "*-inner1.gbr": "copper-2-inner", "*-inner2.gbr": "copper-3-inner",
		"*-inner3.gbr": "copper-4-inner", "*-inner4.gbr": "copper-5-inner", "*-CuBottom.gbr": "copper-6-bottom",
		"*-MaskTop.gbr": "mask-top", "*-MaskBottom.gbr": "mask-bottom",
		"*-SilkTop.gbr": "legend-top", "*-SilkBottom.gbr": "legend-bottom",
		"*-PasteTop.gbr": "paste-top", "*-PasteBottom.gbr": "paste-bottom",
		"*-PTH.drl": "drill plated-1-6", "*-NPTH.drl": "drill nonplated-1-6",
	},
	"node-4l-x2": {
		"*-F_Cu.gbr": "copper-1-top", "*-In1_Cu.gbr": "copper-2-inner",
		"*-In2_Cu.gbr": "copper-3-inner", "*-B_Cu.gbr": "copper-4-bottom",
		"*-F_Mask.gbr": "mask-top", "*-B_Mask.gbr": "mask-bottom",
		"*-F_Silkscreen.gbr": "legend-top", "*-B_Silkscreen.gbr": "legend-bottom",
		"*-F_Paste.gbr": "paste-top", "*-B_Paste.gbr": "paste-bottom",
		"*-PTH.drl": "drill plated-1-4", "*-NPTH.drl": "drill nonplated-1-4",
	},
	"notched-2l-large": {
		"*-Front.gtl": "copper-1-top", "*-Back.gbl": "copper-2-bottom",
		"*-F.Mask.gts": "mask-top", "*-B.Mask.gbs": "mask-bottom",
		"*-F.SilkS.gto": "legend-top", "*-B.SilkS.gbo": "legend-bottom",
		"*.drl": "drill plated-1-2",
	},
	"pilot-2l-mil": {
		"*.GTL": "copper-1-top", "*.GBL": "copper-2-bottom", "*.GTS": "mask-top", "*.GBS": "mask-bottom",
		"*.GTO": "legend-top", "*.GBO": "legend-bottom", "*.GTP": "paste-top", "*.GBP": "paste-bottom",
		"*.ncdril": "drill plated-1-2",
	},
	"plate-cutouts": {
		"*-CuTop.gbr": "copper-1-top", "*-CuBottom.gbr": "copper-2-bottom",
		"*-MaskTop.gbr": "mask-top", "*-MaskBottom.gbr": "mask-bottom",
		"*-SilkTop.gbr": "legend-top", "*-SilkBottom.gbr": "legend-bottom",
		"*-PasteTop.gbr": "paste-top", "*-PasteBottom.gbr": "paste-bottom",
		"*-PTH.drl": "drill plated-1-2", "*-NPTH.drl": "drill nonplated-1-2",
	},
	"square-10l-inch": {
		"*-TOP.gtl": "copper-1-top", "*-BOTTOM.gbl": "copper-10-bottom",
		"*-GND1.gbr": "copper-?-inner", "*-GND3.gbr": "copper-?-inner", "*-PWR.gbr": "copper-?-inner",
		"*-SIGNAL1-X.gbr": "copper-?-inner", "*-SIGNAL2-Y.gbr": "copper-?-inner",
		"*-SIGNAL3-X.gbr": "copper-?-inner", "*-SIGNAL4-Y.gbr": "copper-?-inner",
		"*-F_Mask.gts": "mask-top", "*-B_Mask.gbs": "mask-bottom", "*-F_SilkS.gto": "legend-top",
		"*B.drl": "drill plated-1-10", "*-NPTH.drl": "drill nonplated-1-10",
	},
	"tiny-4l-blind": {
		"*-F.Cu.gtl": "copper-1-top", "*-In1.Cu.g2": "copper-2-inner", "*-In2.Cu.g3": "copper-3-inner", "*-B.Cu.gbl": "copper-4-bottom",
		"*-F.Mask.gts": "mask-top", "*-B.Mask.gbs": "mask-bottom",
		"*-F.Paste.gtp": "paste-top", "*-B.Paste.gbp": "paste-bottom",
		"*-front-in1.drl": "drill plated-1-2", "*-in1-in2.drl": "drill plated-2-3", "*-in2-back.drl": "drill plated-3-4",
		"*-NPTH.drl": "drill nonplated-1-4",
	},
	"watch-2l-loops": {
		"copper_top.gbr": "copper-1-top", "copper_bottom.gbr": "copper-2-bottom", "soldermask_top.gbr": "mask-top", "soldermask_bottom.gbr": "mask-bottom",
		"silkscreen_top.gbr": "legend-top", "silkscreen_bottom.gbr": "legend-bottom", "solderpaste_top.gbr": "paste-top", "solderpaste_bottom.gbr": "paste-bottom",
		"drill_1_16.xln": "drill plated-1-2",
	},
}

// empty are the files that draw nothing: the boards have nothing there. All others must draw something.
var empty = map[string][]string{
	"plate-cutouts": {"*-Cu*.gbr", "*-Mask*.gbr", "*-Silk*.gbr", "*-Paste*.gbr", "*TH.drl"},
	"tiny-4l-blind": {"*-F.Paste.gtp", "*-NPTH.drl"},
}

// isEmpty tells whether the table has a file among those that draw nothing.
func isEmpty(file string) bool {
	return slices.ContainsFunc(empty[filepath.Base(filepath.Dir(file))], func(pattern string) bool {
		ok, err := filepath.Match(pattern, filepath.Base(file))
		return ok && err == nil
	})
}

// outlineOf gives the box of a board's outline as measured on the files by other means than this
// project's, to 0.01 mm: it stands in the SOURCE.md beside them.
func outlineOf(t *testing.T, folder string) boxNM {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, "SOURCE.md"))
	require.NoError(t, err)
	m := regexp.MustCompile(`size ([\d.]+) x ([\d.]+) mm at \((-?[\d.]+),(-?[\d.]+)\)`).FindSubmatch(text)
	require.NotNil(t, m, "SOURCE.md tells no outline")
	var v [4]int64
	for i := range v {
		f, err := strconv.ParseFloat(string(m[i+1]), 64)
		require.NoError(t, err)
		v[i] = int64(f*1000+10_000_000.5)*1000 - 10_000_000_000
	}
	return boxNM{v[2], v[3], v[2] + v[0], v[3] + v[1]}
}

// panelRecipe is the recipe that every open board is put through: 3 × 2 copies between rails, with
// tabs wherever they may stand: whether those hold the boards is held in breakoff.
func panelRecipe(b boardset.Board, files, slots string) string {
	var s strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&s, format+"\n", args...) }
	say("panel %q {\n  revision = \"A\"\n}", b.Folder)
	s.WriteString(b.Stage(files))
	say("stage \"array\" {\n  board   = %q\n  columns = 3\n  rows    = 2\n  gap     = \"2 mm\"\n}", b.Name())
	say("stage \"rails\" {\n  sides = [\"upper\", \"lower\"]\n  gap   = \"2 mm\"\n}")
	say("stage \"tooling_holes\" {}\nstage \"fiducials\" {}")
	say("stage \"breakoff_tabs\" {}")
	say("stage \"rules\" {}\nstage \"write_fab\" {\n  slots = %q\n}", slots)
	return s.String()
}

// slotDialect gives the dialect in which the board's own slots stand, so that the viewer, which
// draws one and leaves the other out, does the same on both sides.
func slotDialect(t *testing.T, folder string) string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(folder, "*"))
	require.NoError(t, err)
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		if bytes.Contains(text[:min(len(text), 400)], []byte("M48")) && bytes.Contains(text, []byte("G85")) {
			return "g85"
		}
	}
	return "rout"
}

// TestOpenBoards: every open board becomes a panel of 3 × 2 copies, on which every layer of every
// copy looks as in its source, and every hole and slot is where it belongs.
func TestOpenBoards(t *testing.T) {
	boards := shared.Dir(t, "boards")
	v := newViewer(t)
	all := boardset.All()
	require.Len(t, all, len(functions))
	for _, b := range all {
		t.Run(b.Folder, func(t *testing.T) {
			t.Parallel()
			folder := filepath.Join(boards, b.Folder)
			outline := outlineOf(t, folder)
			panel := build(t, b.Folder, folder, func(files string) string {
				return panelRecipe(b, files, slotDialect(t, folder))
			})
			x := board{outline, panel.copies(t, b.Name())}
			checkPitch(t, x)
			pairs := panel.pairs(t, b.Name(), folder)
			checkFunctions(t, b.Folder, panel.uses(t, b.Name()))
			for _, p := range pairs {
				require.True(t, len(p.panel) > 0 || allEmpty(p), "the panel has no file for %s", p.name)
			}
			drawnPairs := slices.DeleteFunc(slices.Clone(pairs), func(p pair) bool { return len(p.panel) == 0 })
			found, seen, err := v.compare(x, drawnPairs)
			require.NoError(t, err)
			for _, m := range found {
				t.Error(m)
			}
			var all tally
			for _, p := range drawnPairs {
				s := seen[p.name]
				require.Equal(t, allEmpty(p), s.inks == 0, "%s: %d pixels drawn in its source", p.name, s.inks)
				require.Zero(t, s.pictures%6)
				all.pictures, all.pixels, all.inks = all.pictures+s.pictures, all.pixels+s.pixels, all.inks+s.inks
				if !t.Failed() {
					shared.Ran(t, "viewer: "+b.Folder+" "+p.name)
				}
			}
			if isRewritten(b.Folder) {
				holdRewritten(t, panel)
			}
			checkDrills(t, b.Folder, x, pairs)
			t.Logf("%d functions, %d pictures of copies, %d million pixels compared", len(drawnPairs), all.pictures, all.pixels/1e6)
		})
	}
}

func allEmpty(p pair) bool {
	return !slices.ContainsFunc(p.source, func(s string) bool { return !isEmpty(s) })
}

// checkFunctions holds what the program took each file for against the table.
func checkFunctions(t *testing.T, folder string, uses map[string][]string) {
	t.Helper()
	want := map[string]string{}
	for pattern, function := range functions[folder] {
		var found []string
		for name := range uses {
			if ok, err := filepath.Match(pattern, name); ok && err == nil {
				found = append(found, name)
			}
		}
		require.Len(t, found, 1, "files that %s means", pattern)
		want[found[0]] = function
	}
	require.NotEmpty(t, want)
	inner := map[string]bool{}
	for name, used := range uses {
		got := slices.DeleteFunc(slices.Clone(used), func(u string) bool { return !isCompared(u) })
		slices.Sort(got)
		say := strings.Join(got, ", ")
		if want[name] == "copper-?-inner" {
			require.Regexp(t, `^copper-[2-9]-inner$`, say, name)
			require.False(t, inner[say], "two files for %s", say)
			inner[say] = true
			continue
		}
		require.Equal(t, want[name], say, "what %s was taken for", name)
	}
}

// checkPitch: the copies stand apart by the outline's size and the gap, the outline as others measured it.
func checkPitch(t *testing.T, b board) {
	t.Helper()
	require.Equal(t, []string{"A1", "A2", "B1", "B2", "C1", "C2"}, sorted(b.copies))
	c := b.copies
	dx, dy := c["B1"].x-c["A1"].x, c["A2"].y-c["A1"].y
	for i, column := range []string{"A", "B", "C"} {
		for j, row := range []string{"1", "2"} {
			require.Equal(t, place{c["A1"].x + int64(i)*dx, c["A1"].y + int64(j)*dy, 0}, c[column+row], column+row)
		}
	}
	const rounding = 10_500 // nm: the measures are given to 0.01 mm
	require.InDelta(t, b.outline.x1-b.outline.x0+gap, dx, rounding, "from column to column")
	require.InDelta(t, b.outline.y1-b.outline.y0+gap, dy, rounding, "from row to row")
	require.InDelta(t, -b.outline.x0, c["A1"].x, rounding, "the left copies' outline begins at the panel's left edge")
}

// checkDrills holds holes and slots against the second reader.
func checkDrills(t *testing.T, folder string, b board, pairs []pair) {
	t.Helper()
	for _, p := range pairs {
		if !p.drills() {
			continue
		}
		source, panel := secondReader(t, p.source...), []drillRead(nil)
		if len(p.panel) > 0 {
			panel = secondReader(t, p.panel...)
		}
		problems, slots, holes := drillDifferences(b, source, panel)
		for _, s := range problems[:min(len(problems), 10)] {
			t.Errorf("%s: %s", p.name, s)
		}
		require.Equal(t, allEmpty(p), holes == 0, "%s: %d holes in all", p.name, holes)
		if len(problems) == 0 {
			shared.Ran(t, "second drill reader: "+folder+" "+p.name)
		}
		t.Logf("%s: %d holes and %d slots of the copies are where they belong", p.name, holes, slots)
	}
}
