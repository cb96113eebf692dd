package mechanics_test

import (
	"fmt"
	"runtime"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/mechanics"
	"panelwright/pipeline/mechanics/laminate"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/breakofftabs"
)

// twelve is a panel of 300 x 400 mm: 12 boards of four copper layers, each held by six tabs, two on each long edge and one on
// each short edge (common practice, no published source), in a frame of waste.
func twelve(t testing.TB) panel.Panel {
	t.Helper()
	image := &artwork.Image{Sets: []artwork.Attributes{nil}}
	for i := range 12 {
		image.Apertures = append(image.Apertures, artwork.Aperture{Shape: artwork.ShapeKind(i % 3), Width: geom.Length(200+40*i) * geom.UM, Height: geom.Length(300+20*i) * geom.UM})
	}
	for i := range 3000 {
		at := geom.Pt(geom.Length(i*7919%76_000)*geom.UM, geom.Length(i*104_729%79_000)*geom.UM)
		o := artwork.Object{Kind: artwork.Flash, Aperture: int32(i % 12), Region: -1, Edge: geom.Line(at, at)}
		if i%2 == 0 {
			o.Kind, o.Aperture, o.Edge = artwork.Stroke, int32(i%4*3), geom.Line(at, at.Add(geom.Pt(geom.MM, 2*geom.MM)))
		}
		image.Objects = append(image.Objects, o)
	}
	board := &panel.Board{Name: "tide", CopperCount: 4, Thickness: 1600 * geom.UM, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(77*geom.MM, 80*geom.MM)})}}
	for i, side := range []panel.Side{panel.Top, panel.Inner, panel.Inner, panel.Bottom} {
		board.Layers = append(board.Layers, panel.Layer{Function: panel.Function{Kind: panel.Copper, Side: side, Index: i + 1}, Image: image})
	}
	for i := range 100 {
		board.Parts = append(board.Parts, panel.Part{Refdes: fmt.Sprintf("R%d", i+1), Side: panel.Top, At: geom.Pt(geom.Length(4+7*(i%10))*geom.MM, geom.Length(4+8*(i/10))*geom.MM),
			Body: panel.Body{By: panel.ByTable, Length: 2 * geom.MM, Width: geom.MM, Mass: 20_000}})
	}
	e := panel.Panel{}.Edit().AddBoard(board)
	gap := 12 * geom.MM
	for row := range 4 {
		for column := range 3 {
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+column, row+1), Board: board, Column: column, Row: row,
				Place: geom.Transform{Shift: geom.Pt(geom.Length(column)*(77*geom.MM+gap), geom.Length(row)*(80*geom.MM+gap))}})
		}
	}
	p, err := e.FitOutline().LayRailsApart([]panel.RailSide{panel.Upper, panel.Lower, panel.Left, panel.Right}, 10*geom.MM,
		func(s panel.RailSide) geom.Length {
			if s == panel.Left || s == panel.Right {
				return gap + 500*geom.UM
			}
			return gap
		}, 2*geom.MM, false).Build()
	require.NoError(t, err)
	s := breakofftabs.Kind().New().(*breakofftabs.BreakoffTabs)
	s.Placing = "even"
	for _, x := range []struct {
		edge string
		at   geom.Length
	}{{"left", 20}, {"left", 60}, {"right", 20}, {"right", 60}, {"upper", 38}, {"lower", 38}} {
		s.Pinned = append(s.Pinned, breakofftabs.Pin{Board: "tide", Edge: x.edge, Position: x.at * geom.MM})
	}
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 2}, func(pipeline.Finding) {}, nil)
	out, err := s.Run(t.Context(), env, p)
	require.NoError(t, err)
	return out.Panel
}

// carried states that a panel lies on two rails.
func carried(t testing.TB, p panel.Panel, change func(*panel.Support)) panel.Panel {
	t.Helper()
	s := panel.Support{Carried: panel.ByTwoRails, Sides: []panel.RailSide{panel.Upper, panel.Lower}, Grip: 5 * geom.MM,
		Force: panel.Constant{Value: 5, Unit: "N"}, Laminate: laminate.Default(), Open: 4 * geom.MM, Fine: 500 * geom.UM}
	if change != nil {
		change(&s)
	}
	out, err := p.Edit().SetSupport(s).Build()
	require.NoError(t, err)
	return out
}

func TestTwelve(t *testing.T) {
	p := twelve(t)
	require.Equal(t, "300 x 400 mm", p.SizeText())
	require.Len(t, p.Copies(), 12)
	require.Len(t, p.Tabs(), 72)
}

// BenchmarkOf reckons that panel on one core with triangles of four sizes, the usual ones among them, and tells what comes out of
// each.
func BenchmarkOf(b *testing.B) {
	p := twelve(b)
	for _, size := range []struct{ open, fine geom.Length }{{8000, 1000}, {5600, 700}, {4000, 500}, {2800, 350}} {
		b.Run(fmt.Sprintf("open=%v/fine=%v", (size.open*geom.UM).Decimal(), (size.fine*geom.UM).Decimal()), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // package testing sets it anew for each
			var a *mechanics.Answers
			var most uint64
			for b.Loop() {
				q := carried(b, p, func(s *panel.Support) { s.Open, s.Fine = size.open*geom.UM, size.fine*geom.UM })
				var err error
				a, err = mechanics.Of(b.Context(), q, 1)
				require.NoError(b, err)
				require.Empty(b, a.Problems)
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				most = max(most, m.HeapSys)
			}
			least := a.Tabs[0]
			for _, t := range a.Tabs {
				if t.Least < least.Least {
					least = t
				}
			}
			b.ReportMetric(float64(a.Nodes), "nodes")
			b.ReportMetric(a.States[0].Sag*1000, "um-cold")
			b.ReportMetric(a.States[1].Sag*1000, "um-hot")
			b.ReportMetric(a.Hertz[0], "Hz")
			b.ReportMetric(least.Least, "reserve")
			b.ReportMetric(float64(most)/1e6, "MB-heap")
		})
	}
}
