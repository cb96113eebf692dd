package scorelines_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/proof"
	"panelwright/pipeline/recipe"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
	"panelwright/stages"
)

var (
	seed  = flag.Uint64("seed", 1, "of the random panels")
	count = flag.Int("panels", 24, "random panels")
)

// sample is a random board: a rectangle with corners that are sharp, round or cut off, and notches.
func sample(r *rand.Rand) geom.Path {
	w, h := geom.Length(20+r.IntN(30))*geom.MM, geom.Length(20+r.IntN(30))*geom.MM
	var p geom.Path
	at := geom.Point{}
	begun := false
	to := func(q geom.Point) {
		if begun && q != at {
			p = append(p, geom.Line(at, q))
		}
		at, begun = q, true
	}
	// Counter-clockwise, side by side, each with the corner that it begins with.
	corners := [4]geom.Point{{}, geom.Pt(w, 0), geom.Pt(w, h), geom.Pt(0, h)}
	var first geom.Point
	for i, c := range corners {
		along := corners[(i+1)%4].Sub(c)
		back := corners[(i+3)%4].Sub(c)
		step := func(d geom.Point, by geom.Length) geom.Point { // by along a direction of the axes
			return geom.Pt(c.X+sign(d.X)*by, c.Y+sign(d.Y)*by)
		}
		size := geom.Length(1+r.IntN(4)) * geom.MM
		switch r.IntN(3) {
		case 0:
			to(c)
		case 1:
			to(step(back, size))
			end := step(along, size)
			center := geom.Pt(c.X+sign(back.X)*size+sign(along.X)*size, c.Y+sign(back.Y)*size+sign(along.Y)*size)
			p = append(p, geom.Arc(at, end, center, geom.CounterClockwise))
			at = end
		default:
			to(step(back, size))
			to(step(along, size))
		}
		if i == 0 && len(p) > 0 {
			first = p[0].From
		} else if i == 0 {
			first = at
		}
		if r.IntN(4) == 0 { // a notch half-way along the side
			length := along.X.Abs() + along.Y.Abs()
			from, wide, deep := length/2-2*geom.MM, geom.Length(3+r.IntN(3))*geom.MM, geom.Length(2+r.IntN(4))*geom.MM
			inward := func(q geom.Point) geom.Point { return geom.Pt(q.X-sign(along.Y)*deep, q.Y+sign(along.X)*deep) }
			to(step(along, from))
			to(inward(step(along, from)))
			to(inward(step(along, from+wide)))
			to(step(along, from+wide))
		}
	}
	to(first)
	return p
}

func sign(v geom.Length) geom.Length {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

func layer(function string, p geom.Path) string {
	var b strings.Builder
	b.WriteString("%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction," + function + "*%\nG75*\n%ADD10C,0.1*%\nD10*\n")
	for i, e := range p {
		if i == 0 {
			fmt.Fprintf(&b, "X%dY%dD02*\n", e.From.X, e.From.Y)
		}
		if e.Sense == geom.Straight {
			fmt.Fprintf(&b, "G01*\nX%dY%dD01*\n", e.To.X, e.To.Y)
			continue
		}
		d := e.Center.Sub(e.From)
		fmt.Fprintf(&b, "G03*\nX%dY%dI%dJ%dD01*\n", e.To.X, e.To.Y, d.X, d.Y)
	}
	b.WriteString("M02*\n")
	return b.String()
}

// stagesOf gives random stages that part boards along score lines: abutted, with blank laminate, two lines,
// with tabs the other way, jumping.
func stagesOf(r *rand.Rand) (text, what string) {
	columns, rows := 1+r.IntN(3), 1+r.IntN(3)
	turn := []string{"0", "90", "180", "270"}[r.IntN(4)]
	array := func(x, y string) string {
		return fmt.Sprintf("stage \"array\" {\n  board = \"weir\"\n  columns = %d\n  rows = %d\n  gap_x = %s\n  gap_y = %s\n  turn = \"%s deg\"\n}\n", columns, rows, x, y, turn)
	}
	rails := func(sides, x, y string, width int) string {
		return fmt.Sprintf("stage \"rails\" {\n  sides = [%s]\n  gap_x = %s\n  gap_y = %s\n  width = %d\n}\n", sides, x, y, width)
	}
	all, two := `"upper", "lower", "left", "right"`, `"upper", "lower"`
	cutter := []string{"0.8", "1", "1.6"}[r.IntN(3)]
	const held = "  longest_free_span = 500\n  longest_overhang = 500\n"
	switch r.IntN(8) {
	case 0:
		return array("0", "0") + rails(all, "0", "0", 12) + "stage \"score_lines\" {\n  cutters = [" + cutter + "]\n}\n", "abutted in a frame"
	case 1:
		return array("0", "0") + rails(two, "0", "0", 12) + "stage \"score_lines\" {\n  cutters = [" + cutter + "]\n}\n", "abutted between two rails"
	case 2:
		relieve := []string{"", "  relieve = \"corners_and_notches\"\n", "  relieve = \"nothing\"\n"}[r.IntN(3)]
		return array("1.778", "1.778") + rails(all, "1.778", "0.889", 12) + "stage \"score_lines\" {\n  leave = \"35 mil\"\n" + relieve + "}\n", "blank laminate " + relieve
	case 3:
		return array("7", "2") + rails(all, "1", "3", 12) + "stage \"score_lines\" {\n  leave = 1\n}\n", "two lines between columns"
	case 4:
		return array("2.4", "0") + rails(all, "2.4", "0", 12) +
			"stage \"score_lines\" {\n  between = [\"rows\", \"upper_and_lower_rails\"]\n  cutters = [" + cutter + "]\n}\n" +
			"stage \"breakoff_tabs\" {\n  between = [\"columns\", \"left_and_right_rails\"]\n  cutters = [1]\n  longest_free_span = 500\n  longest_overhang = 500\n  placing = \"" + []string{"planned", "even"}[r.IntN(2)] + "\"\n}\n", "tabs between columns"
	}
	switch r.IntN(3) {
	case 0:
		return array("2", "2") + rails(all, "2", "1", 12) +
			"stage \"score_lines\" {\n  between = [\"rows\", \"upper_and_lower_rails\"]\n  leave = 1\n}\n" +
			"stage \"breakoff_tabs\" {\n  between = [\"columns\", \"left_and_right_rails\"]\n" + held + "}\n", "blank laminate between rows, tabs between columns"
	case 1:
		return array("2", "7") + rails(all, "2", "1", 12) +
			"stage \"score_lines\" {\n  between = [\"rows\", \"upper_and_lower_rails\"]\n  leave = 1\n}\n" +
			"stage \"breakoff_tabs\" {\n  between = [\"columns\", \"left_and_right_rails\"]\n" + held + "}\n", "two lines between rows, tabs between columns"
	}
	return array("0", "0") + rails(all, "0", "0", 30) + "stage \"score_lines\" {\n  jump = true\n  cutters = [" + cutter + "]\n}\n", "jumping"
}

// forbidden are the rules that say that a panel does not come apart as it should; limits of lengths are others'.
var forbidden = []string{"board-not-free", "board-damaged", "loose-piece", "written-profile", "written-score", "written-layer", "written-holes", "written-file", "open-contour",
	"tab-missing", "slot-in-board", "copies-overlap", "score-through-board", "board-not-held"}

// Random boards, scored in every way: each comes off whole, with the laminate that is meant to stay, by the proof of what
// was written.
func TestRandomPanelsComeApart(t *testing.T) {
	ways := map[string]int{}
	for n := range *count {
		r := rand.New(rand.NewPCG(*seed, uint64(n)))
		dir := t.TempDir()
		board := sample(r)
		stageText, what := stagesOf(r)
		ways[what]++
		out, text := carryOut(t, dir, board, stageText)
		require.NotNil(t, out, "panel %d (-seed %d): %s\n%v\n%s", n, *seed, what, board, text)
		for _, f := range out.Findings {
			if slices.Contains(forbidden, f.Rule) {
				assert.Fail(t, f.Rule+": "+f.Message, "panel %d (-seed %d): %s\n%v\n%s", n, *seed, what, board, text)
			}
		}
		// The same by adding areas up: boards, their blank laminate and what stays of them by the cutter's doing, slots and
		// waste make up the panel, with nothing twice.
		p := out.Panel
		var laminate float64
		for _, b := range p.Blanks() {
			laminate += b.Outline.Area()
			assert.Positive(t, b.Outline.Area())
		}
		material, err := p.Material(t.Context(), 1)
		require.NoError(t, err)
		box := p.Outline().Box()
		slots := 0.0
		for _, s := range p.Slots() {
			slots += s.Outline.Area()
		}
		whole := float64(box.Width()) * float64(box.Height())
		assert.InDelta(t, whole, material.Area()+slots, whole*1e-9+1e6*float64(len(p.Slots())), "slots do not overlap: panel %d, %s", n, what)
	}
	t.Log(ways)
}

// carryOut builds a panel of one board and random stages, through the proof.
func carryOut(t *testing.T, dir string, board geom.Path, stageText string) (*run.Outcome, string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "weir"), 0o755))
	pad := geom.Path{geom.Line(geom.Pt(10*geom.MM, 10*geom.MM), geom.Pt(11*geom.MM, 10*geom.MM))}
	for name, text := range map[string]string{"profile.gbr": layer("Profile,NP", board), "copper-1.gbr": layer("Copper,L1,Top", pad), "copper-2.gbr": layer("Copper,L2,Bot", pad)} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "weir", name), []byte(text), 0o644))
	}
	text := "panel \"weirs\" {\n  revision = \"A\"\n}\nstage \"board\" {\n  name = \"weir\"\n  files = \"weir\"\n  thickness = 1.6\n}\n" + stageText + "stage \"rules\" {}\nstage \"write_fab\" {}\n"
	path := filepath.Join(dir, "weirs.panel.hcl")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	plan, err := recipe.Load(path, recipe.Settings{Kinds: stages.All(), Rules: rule.All(), ProgramVersion: "0.1.0"})
	require.NoError(t, err, text)
	out, err := run.Build(t.Context(), plan, run.Options{OutDir: filepath.Join(dir, "build"), Program: pipeline.Program{Name: "panelwright", Version: "0.1.0"},
		Rules: rule.All(), Prove: proof.Prove, PanelData: panel.Panel.Data})
	require.NoError(t, err, "%v\n%s", board, text)
	return out, text
}

// Lines join the boards to one another, and tabs join them to the rails: two rows of three, each board beside a rail
// gets a tab there.
func TestBoardsThatLinesJoinHangOnTabs(t *testing.T) {
	out, _ := carryOut(t, t.TempDir(), geom.Rectangle(geom.Box{Max: geom.Pt(30*geom.MM, 20*geom.MM)}),
		"stage \"array\" {\n  board = \"weir\"\n  columns = 3\n  rows = 2\n}\nstage \"rails\" {\n  gap = 2\n}\n"+
			"stage \"score_lines\" {\n  between = [\"rows\", \"columns\"]\n}\nstage \"breakoff_tabs\" {\n  between = [\"rails\"]\n}\n")
	for _, f := range out.Findings {
		assert.NotContains(t, forbidden, f.Rule, f.Message)
	}
	var at []string
	for _, x := range out.Panel.Tabs() {
		at = append(at, x.ID)
	}
	assert.Equal(t, []string{"A1/tab/lower/1", "B1/tab/lower/1", "C1/tab/lower/1", "A2/tab/upper/1", "B2/tab/upper/1", "C2/tab/upper/1"}, at)
}
