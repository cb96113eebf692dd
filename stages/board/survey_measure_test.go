package board_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/run"
	"panelwright/stages/board"
	"panelwright/stages/board/intake"
)

// surveyOf surveys files as data.
func surveyOf(t testing.TB, files folder) intake.Summary {
	t.Helper()
	dir := files.write(t)
	var data bytes.Buffer
	_, err := board.Survey(context.Background(), run.NewFiles(context.Background(), dir, ""), []pipeline.InPath{{Text: "data", Dir: dir}}, &data, true, nil)
	require.NoError(t, err)
	var s intake.Summary
	require.NoError(t, json.Unmarshal(data.Bytes(), &s))
	return s
}

// copperLayer makes a copper layer with the pens D10 0.15 mm and D11 0.3 mm, and D12, a pad of 0.6 mm.
func copperLayer(function, body string) string {
	return "%TF.FileFunction," + function + "*%\n%FSLAX44Y44*%\n%MOMM*%\n%ADD10C,0.15*%\n%ADD11C,0.3*%\n%ADD12C,0.6*%\n%ADD13C,0.1*%\n%LPD*%\nG01*\n" + body + "M02*\n"
}

func filled(x1, y1, x2, y2 int) string {
	return fmt.Sprintf("G36*\nX%dY%dD02*\nX%dD01*\nY%dD01*\nX%dD01*\nY%dD01*\nG37*\n", x1, y1, x2, y2, x1, y1)
}

// TestMeasures: figures planted in a board of 40 × 30 mm with a cut-out of 4 × 2 mm come out, at their places.
func TestMeasures(t *testing.T) {
	files := folder{
		"p.gbr": layer("FileFunction,Profile,NP", "X0Y0D02*\nX400000D01*\nY300000D01*\nX0D01*\nY0D01*\nX180000Y140000D02*\nX220000D01*\nY160000D01*\nX180000D01*\nY140000D01*\n"),
		"d.drl": "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.5\nT2C0.8\n%\nT1\nX5.0Y5.0\nX8.0Y5.0\nT2\nX6.0Y8.0\nX10.0Y8.0G85X12.0Y8.0\nM30\n",
		"t.gbr": copperLayer("Copper,L1,Top",
			// A track of 0.15 mm, its middle at (5, 3).
			"D10*\nX40000Y30000D02*\nX60000D01*\n"+
				// A pad whose rim lies 0.3 mm from the right edge, at (39.7, 20).
				"D12*\nX394000Y200000D03*\n"+
				// Two pieces 0.2 mm apart, the gap's middle at (10.1, 26.5) if it is taken at its lower end.
				filled(90000, 265000, 100000, 275000)+filled(102000, 255000, 112000, 265000)+
				// A thinner stroke within a plane is no track, and one far from every edge does not count.
				filled(200000, 20000, 260000, 40000)+"D13*\nX210000Y30000D02*\nX220000D01*\nX120000Y100000D02*\nX125000D01*\n"+
				// Nor does one beyond the edge.
				"X-20000Y50000D02*\nX-15000D01*\n"+
				// Pieces 2 µm apart are one, as far as files can tell.
				filled(340000, 270000, 345000, 275000)+filled(345020, 270000, 350000, 275000)+
				// Two halves of one piece with a gap of 0.1 mm between them: joined elsewhere, no spacing.
				filled(300000, 20000, 310000, 40000)+filled(311000, 20000, 320000, 40000)+filled(300000, 40000, 320000, 45000)),
		// A plane up to the edge, and clear polarity that takes 0.4 mm of it away all round, but 0.25 mm at the cut-out's left;
		// and a piece beyond the edge, which is not the board's.
		"b.gbr": copperLayer("Copper,L2,Bot", filled(-10000, -10000, 410000, 310000)+"%LPC*%\n"+filled(-10000, -10000, 410000, 4000)+filled(-10000, 296000, 410000, 310000)+
			filled(-10000, -10000, 4000, 310000)+filled(396000, -10000, 410000, 310000)+filled(177500, 136000, 224000, 164000)+
			"%LPD*%\n"+filled(-2000, 100000, -1000, 120000)),
	}
	s := surveyOf(t, files)
	assert.Empty(t, s.Problems)
	assert.Equal(t, "1192", s.Outline.Area, "40 · 30 − 4 · 2")
	assert.Equal(t, 1, s.Outline.CutOuts)
	assert.Equal(t, "0.1", s.Outline.Pen)
	assert.Empty(t, s.EdgeClasses)
	require.Len(t, s.Measures, 2)
	top, bottom := s.Measures[0], s.Measures[1]
	assert.Equal(t, "copper-1-top", top.Layer)
	assert.Equal(t, &intake.FigureSummary{Size: "0.3", X: "39.7", Y: "20"}, top.ToEdge)
	assert.Equal(t, &intake.FigureSummary{Size: "0.15", X: "5", Y: "3"}, top.Track)
	assert.Equal(t, &intake.FigureSummary{Size: "0.2", X: "10.1", Y: "26.5"}, top.Spacing)
	require.NotNil(t, bottom.ToEdge)
	assert.Equal(t, "0.25", bottom.ToEdge.Size)
	assert.Equal(t, "17.75", bottom.ToEdge.X)
	assert.Nil(t, bottom.Track)
	assert.Nil(t, bottom.Spacing)
	require.Len(t, s.Drills, 1)
	assert.Equal(t, []intake.ToolSummary{{Diameter: "0.5", Holes: 2}, {Diameter: "0.8", Holes: 1, Slots: 1}}, s.Drills[0].Tools)
	assert.Equal(t, []any{true, 1, 2}, []any{s.Drills[0].Plated, s.Drills[0].From, s.Drills[0].To})

	// Copper that the edge cuts is at no distance from it, also where a plane covers the edge all round.
	s = surveyOf(t, files.with(folder{"b.gbr": copperLayer("Copper,L2,Bot", filled(-10000, -10000, 410000, 310000))}))
	assert.Equal(t, "0", s.Measures[1].ToEdge.Size)
	// Plated holes on the edge make castellations; their copper is not too near to it.
	s = surveyOf(t, files.with(folder{
		"d.drl": "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.5\n%\nT1\nX0Y5.0\nX0Y7.0\nM30\n",
		"b.gbr": copperLayer("Copper,L2,Bot", "D12*\nX0Y50000D03*\nY70000D03*\nX100000Y8000D03*\n"),
	}))
	require.Len(t, s.EdgeClasses, 1)
	assert.Equal(t, []any{"castellated", 2}, []any{s.EdgeClasses[0].Class, s.EdgeClasses[0].Count})
	assert.Equal(t, &intake.FigureSummary{Size: "0.5", X: "10", Y: "0.5"}, s.Measures[1].ToEdge)
}

// TestMeasuresThatWouldTakeTooLong: they are left out, and that is said.
func TestMeasuresThatWouldTakeTooLong(t *testing.T) {
	var body bytes.Buffer
	body.WriteString("D10*\n")
	for i := range 1500 {
		fmt.Fprintf(&body, "%%LP%c*%%\nX%dY%dD02*\nX%dD01*\n", "DC"[i%2], 10000+i*100, 20000+i*100, 30000+i*100)
	}
	s := surveyOf(t, gauge().with(folder{"gauge-top.gbr": copperLayer("Copper,L1,Top", body.String())}))
	require.Len(t, s.Measures, 2)
	assert.Contains(t, s.Measures[0].LeftOut, "not measured: it is drawn with too much detail")
	assert.Nil(t, s.Measures[0].ToEdge)
	assert.Empty(t, s.Measures[1].LeftOut)
}

// TestRevisionMarks: whoever names a project or revision is listed, in attributes, job file and names.
func TestRevisionMarks(t *testing.T) {
	s := surveyOf(t, gauge().with(folder{"gauge.drl": "", "gauge_Rev_C.drl": drill, "gauge v0.3.7.txt": drill, "prevent.txt": "nothing\n"}))
	assert.Equal(t, []intake.MarkSummary{
		{Revision: "v0.3.7", By: "the name of gauge v0.3.7.txt"},
		{Revision: "Rev_C", By: "the name of gauge_Rev_C.drl"},
		{Project: "gauge", Revision: "C", By: "the attribute .ProjectId of gauge-bottom.gbr, gauge-profile.gbr and gauge-top.gbr"},
	}, s.Marks)
}
