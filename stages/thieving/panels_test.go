package thieving_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/rs/zerolog"
	"github.com/stretchr/testify/require"
	"github.com/zclconf/go-cty/cty"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/stages/thieving"
)

const mm = geom.MM

func at(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

func rectangle(w, h float64) geom.Outline {
	return geom.Outline{Outer: geom.Rectangle(geom.Box{Max: at(w, h)})}
}

// square is a layer with one square of copper of that side round a place.
func square(f panel.Function, side geom.Length, middle geom.Point) panel.Layer {
	return panel.Layer{Function: f, Image: &artwork.Image{Sets: []artwork.Attributes{nil},
		Apertures: []artwork.Aperture{{Shape: artwork.Rectangle, Width: side, Height: side}},
		Objects:   []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(middle, middle)}}}}
}

// aBoard has four copper layers, each with a square, and a mask on both sides.
func aBoard(o geom.Outline) *panel.Board {
	b := &panel.Board{Name: "sluice", CopperCount: 4, Thickness: 1600 * geom.UM, Outline: o}
	c := o.Box().Center()
	for i, side := range []panel.Side{panel.Top, panel.Inner, panel.Inner, panel.Bottom} {
		b.Layers = append(b.Layers, square(panel.Function{Kind: panel.Copper, Side: side, Index: i + 1}, geom.Length(i+1)*mm, c))
	}
	for _, side := range []panel.Side{panel.Top, panel.Bottom} {
		b.Layers = append(b.Layers, square(panel.Function{Kind: panel.Soldermask, Side: side}, mm, c))
	}
	return b
}

// framed places copies in rows, each turned, and lays rails round them.
func framed(t testing.TB, b *panel.Board, columns, rows int, gap geom.Length, turn geom.Angle, corner geom.Length, sides ...panel.RailSide) panel.Panel {
	t.Helper()
	size := geom.Transform{Turn: turn}.Path(b.Outline.Outer).Box()
	e := panel.Panel{}.Edit().AddBoard(b)
	for row := range rows {
		for column := range columns {
			lower := geom.Pt(geom.Length(column)*(size.Width()+gap), geom.Length(row)*(size.Height()+gap))
			e.AddCopy(panel.Copy{ID: fmt.Sprintf("%c%d", 'A'+column, row+1), Board: b, Column: column, Row: row, Place: panel.Settle(b, turn, lower)})
		}
	}
	p, err := e.FitOutline().LayRails(sides, 10*mm, gap, corner, false).Build()
	require.NoError(t, err)
	return p
}

// shape runs a stage on a panel; findings are left alone.
func shape(t testing.TB, s pipeline.Stage, p panel.Panel) panel.Panel {
	t.Helper()
	out, err := tried(s, p)
	require.NoError(t, err)
	return out
}

func tried(s pipeline.Stage, p panel.Panel) (panel.Panel, error) {
	env := pipeline.NewEnv(pipeline.Env{Log: zerolog.Nop(), Workers: 2}, func(pipeline.Finding) {}, func() []pipeline.Finding { return nil })
	r, err := s.Run(context.Background(), env, p)
	return r.Panel, err
}

func stage(change ...func(*thieving.Thieving)) *thieving.Thieving {
	s := thieving.Kind().New().(*thieving.Thieving)
	for _, f := range change {
		f(s)
	}
	return s
}

func lines(s *thieving.Thieving) { s.Pattern = "crossed_lines" }
func open(s *thieving.Thieving)  { s.Mask = "open" }

// of gives the panel's prints of one use by their ids.
func of(p panel.Panel, use panel.PrintUse) map[string]panel.Print {
	out := map[string]panel.Print{}
	for _, x := range p.Prints() {
		if x.Use == use {
			out[x.ID] = x
		}
	}
	return out
}

func ctyText(s string) cty.Value { return cty.StringVal(s) }
