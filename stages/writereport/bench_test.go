package writereport

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// hundred is a panel of a hundred copies of a board of the size of the demo's largest, with as many tabs and marks as
// such a panel has.
func hundred(b testing.TB) panel.Panel {
	b.Helper()
	image := func(flashes, strokes int) *artwork.Image {
		m := &artwork.Image{Sets: []artwork.Attributes{nil}}
		for i := range 12 {
			m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.ShapeKind(i % 3), Width: geom.Length(200+40*i) * geom.UM, Height: geom.Length(300+20*i) * geom.UM})
		}
		for i := range flashes + strokes {
			at := geom.Pt(geom.Length(i*7919%60_000)*geom.UM, geom.Length(i*104_729%40_000)*geom.UM)
			o := artwork.Object{Kind: artwork.Flash, Aperture: int32(i % 12), Region: -1, Edge: geom.Line(at, at)}
			if i >= flashes {
				o.Kind, o.Aperture, o.Edge = artwork.Stroke, int32(i%4*3), geom.Line(at, at.Add(geom.Pt(geom.MM, 2*geom.MM)))
			}
			m.Objects = append(m.Objects, o)
		}
		return m
	}
	board := &panel.Board{Name: "gauge", CopperCount: 4, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(62*geom.MM, 41*geom.MM)})}}
	for i, side := range []panel.Side{panel.Top, panel.Inner, panel.Inner, panel.Bottom} {
		board.Layers = append(board.Layers, panel.Layer{Function: panel.Function{Kind: panel.Copper, Side: side, Index: i + 1}, Image: image(1200, 2400)})
	}
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		for _, kind := range []panel.FunctionKind{panel.Soldermask, panel.Paste, panel.Legend} {
			board.Layers = append(board.Layers, panel.Layer{Function: panel.Function{Kind: kind, Side: side}, Image: image(700, 1500)})
		}
	}
	for i := range 230 {
		board.Parts = append(board.Parts, panel.Part{Refdes: fmt.Sprintf("R%d", i+1), Side: panel.Top, At: geom.Pt(geom.Length(i%20*3)*geom.MM, geom.Length(i/20*3)*geom.MM),
			Body: panel.Body{By: panel.ByPads, Length: 2 * geom.MM, Width: geom.MM}})
	}
	e := panel.Panel{}.Edit().AddBoard(board)
	for row := range 10 {
		for column := range 10 {
			id := fmt.Sprintf("%c%d", 'A'+column, row+1)
			at := geom.Pt(geom.Length(column)*64*geom.MM, geom.Length(row)*43*geom.MM)
			e.AddCopy(panel.Copy{ID: id, Board: board, Place: geom.Transform{Shift: at}})
			for k := range 3 {
				tab := fmt.Sprintf("%s/tab/upper/%d", id, k+1)
				y := at.Y + 41*geom.MM
				x := at.X + geom.Length(10+20*k)*geom.MM
				e.AddTab(panel.Tab{ID: tab, Copies: []string{id}, Width: 4 * geom.MM, Rows: []panel.Row{{Copies: []string{id}, Web: 300 * geom.UM, Line: geom.Path{geom.Line(geom.Pt(x, y), geom.Pt(x+4*geom.MM, y))}}}})
				for h := range 5 {
					e.AddPerforation(panel.Perforation{ID: fmt.Sprintf("%s/hole/%d", tab, h+1), Tab: tab, Copy: id, At: geom.Pt(x+geom.Length(800*h)*geom.UM, y), Diameter: 500 * geom.UM})
				}
			}
		}
	}
	p, err := e.FitOutline().Build()
	require.NoError(b, err)
	return p
}

// BenchmarkPage writes what stage write_report writes for a panel of a hundred copies: all papers together are to take
// no more than 1.5 s.
func BenchmarkPage(b *testing.B) {
	p := hundred(b)
	end := pipeline.End{}
	for i := range 200 {
		at := geom.Pt(geom.Length(i*3)*geom.MM, geom.Length(i*2)*geom.MM)
		end.Findings = append(end.Findings, pipeline.Finding{Rule: "copper-to-edge", Family: pipeline.CutsFamily, Severity: pipeline.Warning, Message: "near", At: &at})
	}
	field := pipeline.Field{ID: "share", Moment: pipeline.AsCut, Step: 2 * geom.MM, Columns: 320, Rows: 215}
	for i := range field.Columns * field.Rows {
		field.Values = append(field.Values, float64(i*7919%100))
	}
	end.Fields = append(end.Fields, field)
	size := 0
	for b.Loop() {
		data, err := writePage(cover{Panel: "gauge-100up"}, p, end)
		require.NoError(b, err)
		size = len(data)
		draw(p, "gauge-100up", true)
	}
	b.ReportMetric(float64(size)/1e6, "MB")
}
