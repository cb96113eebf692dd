package overlay

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// planted are bugs such as one makes in a kernel like this: the test that must find it, a piece of a file,
// which must stand there just once, and what is put in its stead. Of the tests that find a bug one of the
// quickest is named.
var planted = []struct{ name, by, file, right, wrong string }{
	{"a closed pixel", "TestPixelAllOfASmallSquare", "place.go",
		"return -t < 2*c && 2*c < t\n", "return -t <= 2*c && 2*c <= t\n"},
	{"a dropped winding delta", "TestPatchesTellWhichOperandsCover", "arrangement.go",
		"for _, k := range g.order[e.first : e.first+e.count] {\n\t\t\t\tc := g.seg(k)", "for _, k := range g.order[e.first : e.first+1] {\n\t\t\t\tc := g.seg(k)"},
	{"a swapped turn", "TestTwoSquares", "trace.go",
		"f := around[(i+len(around)-1)%len(around)]", "f := around[(i+1)%len(around)]"},
	{"a float orientation test", "TestTurnAgainstIntegersOfAnySize", "place.go",
		"return int64(b.x()-a.x())*int64(c.y()-a.y()) - int64(b.y()-a.y())*int64(c.x()-a.x())",
		"return int64(float64(b.x()-a.x())*float64(c.y()-a.y()) - float64(b.y()-a.y())*float64(c.x()-a.x()))"},
	{"a missed ring split", "TestTouchingRings", "trace.go",
		"if begin == 0 {", "if begin != 1 {"},
	{"a crossing cut off instead of rounded", "TestCrossingAgainstFractions", "place.go",
		"if 2*r >= uint64(den) {\n\t\t\tq++\n\t\t}\n\t\treturn int32(q)", "return int32(q)"},
	{"one pass only", "TestBundlesAgainstTheirDefinition", "node.go",
		"if len(hits) == 0 {", "if len(hits) == 0 || f.moved != nil {"},
	{"a node not noticed", "TestMergedPiecesAreTheSame", "find.go",
		"default:\n\t\tl.meet(o, which)\n", "default:\n"},
	{"a cut-out in the wrong piece", "TestUntouchedCutOutsGoToTheirOutline", "trace.go",
		"over := t.faceOf[under[f]]", "over := int32(0)"},
	{"a falling edge's pixel without its lower left corner", "TestPixelAgainstFractions", "place.go",
		"return -t < 2*c && 2*c <= t\n", "return -t < 2*c && 2*c < t\n"},
	{"halves of negative ways rounded away from zero", "TestCrossingAgainstFractions", "place.go",
		"if 2*r > uint64(den) {", "if 2*r >= uint64(den) {"},
	{"bent pieces taken for unmoved", "TestMergedPiecesAreTheSame", "node.go",
		"moved = append(moved, off || o)", "moved = append(moved, off && o)"},
	{"extents a nanometre short", "TestMergedPiecesAreTheSame", "find.go",
		"list[i] = extent{u, v + margin, int32(i)}", "list[i] = extent{u, v - margin, int32(i)}"},
	{"cells listed without their neighbours' margin", "TestGridListsEveryCellThatASegmentMeets", "grid.go",
		"int64(yb+1)>>g.ky", "int64(yb-2)>>g.ky"},
	{"straightened edges unchecked", "TestStraightenedBundlesBoundTheirArea", "straighten.go",
		"kept := r.apart(f.segs, of)", "kept := false"},
	{"a node of a bundle not noticed", "TestMergedPiecesAreTheSame", "merge.go",
		"if ends[c.lo] > 2 {", "if ends[c.lo] > 4 {"},
	{"coinciding pieces of a bundle taken for unmoved", "TestMergedPiecesAreTheSame", "merge.go",
		"f.moved[k] = f.moved[k] && moved", "f.moved[k] = false"},
	{"pieces of a bundle counted once", "TestRules", "graph.go",
		"k < len(g.chains) && g.copies(k); k++", "k < len(g.chains) && false; k++"},
	{"a steep edge by a tip not noticed", "TestUntouchedSteepEdges", "bandsweep.go",
		"beside(v, d.up, d.over)", "beside(v, d.up, 0)"},
	{"a corner and a segment that ends above it not noticed", "TestUntouchedWithinANanometre", "bandsweep.go",
		"if last != none && last.x() == v.x()", "if last != none && last.x() < 0"},
	{"what begins beside an arc not noticed", "TestUntouchedBesideAnArc", "bandsweep.go",
		"if a != 0 && (a == -b", "if a > 0 && (a == -b"},
	{"arcs bounded on their inner side", "TestUntouchedBesideAnArc", "bandarc.go",
		"k := lift / l * float64(e.Sense)", "k := -lift / l * float64(e.Sense)"},
	{"a cut-out in no outline", "TestUntouchedCutOutsGoToTheirOutline", "untouched.go",
		"owner[k+1] = owner[w.outside]", "owner[k+1] = 0"},
}

// TestPlantedBugsAreFound plants each bug in a copy of its file, which the compiler takes in the file's
// stead, and runs the test named beside the bug, which must fail; it passes without the bugs. With
// PANELWRIGHT_PLANTED=all it runs all of this package's tests until one fails. It takes a minute or more, so
// it runs only when PANELWRIGHT_PLANTED is set, as "make planted" and "make planted-all" do.
func TestPlantedBugsAreFound(t *testing.T) {
	if os.Getenv("PANELWRIGHT_PLANTED") == "" {
		t.Skip("run by make planted")
	}
	dir, err := os.Getwd()
	require.NoError(t, err)
	all := os.Getenv("PANELWRIGHT_PLANTED") == "all"
	run := func(t *testing.T, replaced map[string]string, tests ...string) (string, error) {
		list, err := json.Marshal(map[string]map[string]string{"Replace": replaced})
		require.NoError(t, err)
		name := filepath.Join(t.TempDir(), "overlay.json")
		require.NoError(t, os.WriteFile(name, list, 0o644))
		only := "^(" + strings.Join(tests, "|") + ")$"
		if all {
			only = "."
		}
		ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
		defer cancel()
		cmd := exec.CommandContext(ctx, "go", "test", "-vet=off", "-overlay", name, "-short", "-failfast", "-run", only, "-skip", "^TestSameBytesOnEveryProcessor$", "-timeout", "4m", ".")
		for _, v := range os.Environ() {
			if !strings.HasPrefix(v, "PANELWRIGHT_") {
				cmd.Env = append(cmd.Env, v)
			}
		}
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	var tests []string
	for _, bug := range planted {
		tests = append(tests, bug.by)
	}
	out, err := run(t, nil, tests...)
	require.NoError(t, err, "without any bug:\n%s", out)
	for _, bug := range planted {
		t.Run(bug.name, func(t *testing.T) {
			t.Parallel() // this package's tests keep one processor busy
			source, err := os.ReadFile(bug.file)
			require.NoError(t, err)
			require.Equal(t, 1, strings.Count(string(source), bug.right), "%s: the piece to replace stands there", bug.file)
			name := filepath.Join(t.TempDir(), bug.file)
			require.NoError(t, os.WriteFile(name, []byte(strings.Replace(string(source), bug.right, bug.wrong, 1)), 0o644))
			out, err := run(t, map[string]string{filepath.Join(dir, bug.file): name}, bug.by)
			require.Error(t, err, "%s has not noticed", bug.by)
			assert.NotContains(t, out, "[build failed]", out)
			assert.NotContains(t, out, "setup failed", out)
			if !all {
				assert.Contains(t, out, "--- FAIL: "+bug.by, out)
			}
			for _, line := range strings.Split(out, "\n") {
				if strings.HasPrefix(line, "--- FAIL: ") || strings.HasPrefix(line, "panic: ") {
					t.Log(line)
				}
			}
		})
	}
}
