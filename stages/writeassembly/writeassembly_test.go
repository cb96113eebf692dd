package writeassembly_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/stagetest"
	"panelwright/stages/writeassembly"
)

func table(t *testing.T, data []byte) (remarks []string, rows [][]string) {
	t.Helper()
	require.NotEmpty(t, data)
	var plain []string
	for _, l := range strings.Split(string(data), "\n") {
		if strings.HasPrefix(l, "#") {
			remarks = append(remarks, l)
		} else {
			plain = append(plain, l)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(strings.Join(plain, "\n"))).ReadAll()
	require.NoError(t, err)
	return remarks, rows
}

func sample(t *testing.T, elsewhere bool) panel.Panel {
	t.Helper()
	b := &panel.Board{Name: "weir", PartNumber: "RG-7", Revision: "B", PartsElsewhere: elsewhere,
		Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(100*geom.MM, 0), Max: geom.Pt(140*geom.MM, 30*geom.MM)})},
		Parts: []panel.Part{
			{Refdes: "R1", Value: "10k, 1 %", Package: "0603", PartNumber: "RES-1", Side: panel.Top, At: geom.Pt(110*geom.MM, 5*geom.MM), Turn: geom.Quarter},
			{Refdes: "R2", Value: "10k, 1 %", Package: "0603", PartNumber: "RES-1", Side: panel.Bottom, At: geom.Pt(120*geom.MM, 20*geom.MM), Turn: 300 * geom.Degree},
		}}
	e := panel.Panel{}.Edit().AddBoard(b).
		AddCopy(panel.Copy{ID: "A1", Board: b, Place: panel.Settle(b, 0, geom.Point{})}).
		AddCopy(panel.Copy{ID: "B1", Board: b, Place: panel.Settle(b, geom.Quarter, geom.Pt(50*geom.MM, 0))}).FitOutline().
		AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(1500*geom.UM, 2*geom.MM), Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: []panel.Side{panel.Top, panel.Bottom}})
	p, err := e.Build()
	require.NoError(t, err)
	return p
}

func TestPlacementOnThePanel(t *testing.T) {
	got := stagetest.Run(t, writeassembly.Kind(), "", sample(t, false), nil)
	remarks, rows := table(t, got.Outputs["assembly/stage-test-placement.csv"])
	all := strings.Join(remarks, "\n")
	for _, want := range []string{"unit: mm", "origin: lower left corner of the panel outline", "rotation: degrees counter-clockwise, seen from the top, on both sides"} {
		assert.Contains(t, all, want)
	}
	// By hand: A1 shifts by (-100, 0). B1 turns by 90° first: (110, 5) becomes (-5, 110), the board's box
	// begins at (-30, 100), so that the shift is (80, -100).
	assert.Equal(t, [][]string{
		{"copy", "refdes", "side", "x_mm", "y_mm", "rotation_deg", "package", "value", "part_number"},
		{"A1", "R1", "top", "10", "5", "90", "0603", "10k, 1 %", "RES-1"},
		{"A1", "R2", "bottom", "20", "20", "300", "0603", "10k, 1 %", "RES-1"},
		{"B1", "R1", "top", "75", "10", "180", "0603", "10k, 1 %", "RES-1"},
		{"B1", "R2", "bottom", "60", "20", "30", "0603", "10k, 1 %", "RES-1"},
	}, rows)
	_, rows = table(t, got.Outputs["assembly/stage-test-parts.csv"])
	assert.Equal(t, [][]string{{"part_number", "value", "package", "per_panel", "top_per_panel", "bottom_per_panel", "per_weir"}, {"RES-1", "10k, 1 %", "0603", "4", "2", "2", "2"}}, rows)
	_, rows = table(t, got.Outputs["assembly/stage-test-fiducials.csv"])
	assert.Equal(t, []string{"fiducial/1", "", "bottom", "1.5", "2", "1", "2", "3"}, rows[2])
	_, rows = table(t, got.Outputs["assembly/stage-test-copies.csv"])
	assert.Equal(t, []string{"B1", "weir", "RG-7", "B", "80", "-100", "90", "50", "0", "30", "40"}, rows[2])
}

// A wrong place is worse than none.
func TestPlacementInOtherCoordinatesIsLeftOut(t *testing.T) {
	got := stagetest.Run(t, writeassembly.Kind(), "", sample(t, true), nil)
	assert.NotContains(t, got.Outputs, "assembly/stage-test-placement.csv")
	assert.Contains(t, got.Outputs, "assembly/stage-test-copies.csv")
	assert.Contains(t, got.Log, "not in the board's coordinates")
}

// Nothing to place is told of; a placement that is written is not.
func TestNoPlacement(t *testing.T) {
	assert.Empty(t, stagetest.Run(t, writeassembly.Kind(), "", sample(t, false), nil).Findings)
	got := stagetest.Run(t, writeassembly.Kind(), "", sample(t, true), nil)
	require.Len(t, got.Findings, 1)
	assert.Equal(t, "no-placement", got.Findings[0].Rule)
	assert.Equal(t, pipeline.Note, got.Findings[0].Severity)
}
