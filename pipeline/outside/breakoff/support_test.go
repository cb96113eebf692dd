package breakoff

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/internal/boardset"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/rule"
	"panelwright/pipeline/run"
)

// every tries all open boards, which takes a minute: for the table in DEVELOPERS.md.
var every = flag.Bool("every", false, "place tabs by support on every open board")

// TestOpenBoardsBySupport: four copies of each open board in a frame, with the tabs that spans ask for and with those that the
// panel holds with. These are no more where spans keep the limits, they keep them when all is reckoned anew, and every board is
// held but for its spans as well as spans hold it.
func TestOpenBoardsBySupport(t *testing.T) {
	dir := shared.Dir(t, "boards")
	fewer := 0
	for _, b := range boardset.All() {
		if !*every && !slices.Contains([]string{"pilot-2l-mil", "node-4l-x2", "tiny-4l-blind"}, b.Folder) {
			continue
		}
		t.Run(b.Folder, func(t *testing.T) {
			options := b.Tabs[len(b.Tabs)-1].Options
			spans, wanting := carriedOf(t, dir, b, options)
			out, found := carriedOf(t, dir, b, options+"\nplacing = \"by_support\"")
			if len(spans.Tabs()) == 0 { // nothing holds the board: nothing can be reckoned
				assert.Empty(t, out.Tabs())
				return
			}
			was, now := judged(t, spans), judged(t, out)
			t.Logf("| %s | %d | %s | %d | %s |", b.Folder, len(spans.Tabs()), figures(was), len(out.Tabs()), figures(now))
			const sag, reserve, hertz = 0.75, 2, 20
			limits := mechanics.Limits{MostSag: sag, LeastReserve: reserve, LeastFrequency: hertz}
			if was.Share(limits) <= 1 {
				assert.LessOrEqual(t, now.Share(limits), 1.0)
				assert.LessOrEqual(t, len(out.Tabs()), len(spans.Tabs()))
			}
			if len(out.Tabs()) < len(spans.Tabs()) {
				fewer++
			}
			assert.Subset(t, kinds(wanting), kinds(found))
		})
	}
	assert.Positive(t, fewer)
}

// kinds tells what boards lack, but for spans.
func kinds(found []pipeline.Finding) []string {
	out := []string{}
	for _, f := range found {
		if f.Rule == "board-not-held" && f.Limit == nil {
			out = append(out, f.Feature)
		}
	}
	return out
}

func judged(t *testing.T, p panel.Panel) mechanics.Verdict {
	t.Helper()
	a, err := mechanics.Of(t.Context(), p, 2)
	require.NoError(t, err)
	if len(a.Problems) > 0 {
		return mechanics.Verdict{Falls: true}
	}
	v := mechanics.Verdict{Hertz: a.Hertz[0], Reserve: math.Inf(1)}
	for _, s := range a.States {
		if s.Kind != mechanics.Pressed {
			v.Sag = math.Max(v.Sag, s.Percent)
		}
	}
	for _, x := range a.Tabs {
		v.Reserve = math.Min(v.Reserve, x.Least)
	}
	return v
}

func figures(v mechanics.Verdict) string {
	return fmt.Sprintf("%s %%, %s, %s Hz", mechanics.Figure(v.Sag), mechanics.Figure(v.Reserve), mechanics.Figure(v.Hertz))
}

// carriedOf runs all stages but those that write on four copies of an open board in a frame, carried above and below.
func carriedOf(t *testing.T, dir string, b boardset.Board, options string) (panel.Panel, []pipeline.Finding) {
	t.Helper()
	plan, _ := planOf(t, dir, b, fmt.Sprintf("stage \"array\" {\n  board = %q\n  columns = 2\n  rows = 2\n  gap = 2\n}\n", b.Name())+
		"stage \"rails\" {\n  sides = [\"upper\", \"lower\", \"left\", \"right\"]\n  gap = \"2 mm\"\n}\nstage \"support\" {}\n"+
		"stage \"breakoff_tabs\" {\n  slot_width = \"2 mm\"\n"+options+"\n}\n")
	out, err := run.Build(t.Context(), plan, run.Options{CheckOnly: true, Workers: 2, Rules: rule.All()})
	require.NoError(t, err)
	for _, f := range out.Findings {
		if f.Rule == "tabs-by-support" {
			t.Log(f.Message)
		}
	}
	return out.Panel, out.Findings
}
