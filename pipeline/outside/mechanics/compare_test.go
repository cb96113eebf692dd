package mechanics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/panel"
)

// within is how near both must come.
const within = 0.05

// panels are those that are compared: the demo's gauges with tabs between all neighbours, its modems between score lines, and
// two copies of an open board with a concave outline in a frame.
var panels = []struct {
	name  string
	panel func(t testing.TB) panel.Panel
}{
	{"gauge-12up", func(t testing.TB) panel.Panel { return demoPanel(t, "gauge") }},
	{"modem-24up", func(t testing.TB) panel.Panel { return demoPanel(t, "modem") }},
	{"half-2l-manyslots", func(t testing.TB) panel.Panel { return openPanel(t, "half-2l-manyslots", 2, 1) }},
}

// solidOf is a panel as the outside program gets it.
func solidOf(t testing.TB, p panel.Panel) (*job, []rowCut) {
	if len(p.Tabs()) > 0 {
		return tabbed(t, p, solidSizes)
	}
	return scored(t, p), nil
}

// TestPanels holds what is reckoned of real panels against the outside program: how far they sag under their own weight,
// how they swing, and the moment through every row of perforations. Rows that bear next to nothing may differ by more:
// there it is a part of a tenth of the greatest moment that counts. It tells how long both took on one core, everything
// that each was asked included.
func TestPanels(t *testing.T) {
	version := program(t)
	for _, c := range panels {
		t.Run(c.name, func(t *testing.T) {
			p := c.panel(t)
			var ours *mechanics.Answers
			var err error
			wall, spent := clocked(t, func() { ours, err = mechanics.Of(t.Context(), p, 1) })
			require.NoError(t, err)
			require.Empty(t, ours.Problems)

			j, rows := solidOf(t, p)
			theirs := j.run(t)

			t.Logf("%s: %s, %d tabs, %d holes, %d score lines", c.name, p.SizeText(), len(p.Tabs()), len(p.Perforations()), len(p.Scores()))
			sag, at := j.furthest(theirs)
			nearly(t, "sag, mm", sag, ours.States[0].Sag, within)
			assert.Equal(t, mechanics.Cold, ours.States[0].Kind)
			where := place(ours.States[0].SagAt)
			assert.InDelta(t, 0, math.Hypot(at[0]-where[0], at[1]-where[1]), 10, "the furthest sag is elsewhere: %v and %v mm", at, where)
			nearly(t, "lowest frequency, Hz", theirs.hertz[0], ours.Hertz[0], within)
			j.compareRows(t, rows, theirs, ours)
			t.Logf("%s %.2f s, of it processor %.2f s (%d unknowns); ours %.2f s, processor %.2f s (%d unknowns): %.0f times as long, processor %.0f times",
				version, theirs.wall.Seconds(), theirs.spent.Seconds(), j.unknowns(), wall.Seconds(), spent.Seconds(), ours.Unknowns,
				theirs.wall.Seconds()/wall.Seconds(), theirs.spent.Seconds()/spent.Seconds())
			if !t.Failed() {
				shared.Ran(t, "mechanics: sag, frequency and moments of "+c.name+", "+version)
			}
		})
	}
}

// compareRows compares the moments through the rows.
func (j *job) compareRows(t *testing.T, rows []rowCut, theirs *answer, ours *mechanics.Answers) {
	t.Helper()
	type row struct {
		tab string
		row int
	}
	found := map[row]float64{}
	for _, x := range ours.Tabs {
		found[row{x.Tab, x.Row}] = math.Abs(x.Loads[0].Moment)
	}
	require.Len(t, found, len(rows))
	known := make([]float64, len(rows))
	most := 0.0
	for i, r := range rows {
		s := j.through(theirs, j.cuts[i], r.middle)
		known[i] = math.Abs(s.moment[0]*r.along[0] + s.moment[1]*r.along[1])
		most = max(most, known[i])
	}
	worst, of := 0.0, ""
	for i, r := range rows {
		k, f := known[i], found[row{r.tab, r.row}]
		off := math.Abs(f-k) / max(k, most/10)
		if off >= worst {
			worst, of = off, r.tab
		}
		assert.LessOrEqual(t, off, within, "moment through row %d of %s: known %.4g, found %.4g N·mm", r.row, r.tab, k, f)
	}
	if len(rows) > 0 {
		t.Logf("moments through %d rows, up to %.3g N·mm: at most %.2f %% off (%s)", len(rows), most, 100*worst, of)
	}
}

// unknowns counts what the outside program solves for.
func (j *job) unknowns() int {
	n := 3*len(j.nodes) - len(j.held)
	for i := range j.nodes {
		if j.middle(i) {
			n -= 2
		}
	}
	return n
}
