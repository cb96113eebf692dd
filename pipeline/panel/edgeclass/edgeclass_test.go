package edgeclass

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

const tenth = geom.MM / 10

func at(x, y geom.Length) geom.Point { return geom.Pt(x*tenth, y*tenth) }

// plain is a board of 40 × 20 mm with empty outer copper layers and a paste layer.
func plain() *panel.Board {
	image := func() *artwork.Image { return &artwork.Image{Sets: []artwork.Attributes{nil}} }
	return &panel.Board{
		CopperCount: 2,
		Outline:     geom.Outline{Outer: geom.Rectangle(geom.Box{Max: at(400, 200)}), CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: at(100, 100), Max: at(150, 150)}).Reverse()}},
		Layers: []panel.Layer{
			{Function: panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}, Image: image()},
			{Function: panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}, Image: image()},
			{Function: panel.Function{Kind: panel.Paste, Side: panel.Top}, Image: image()},
		},
		Drills: []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{Tools: []artwork.Tool{{Diameter: 10 * tenth}}}}},
	}
}

func pads(m *artwork.Image, w, h geom.Length, places ...geom.Point) {
	m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Rectangle, Width: w * tenth, Height: h * tenth})
	for _, p := range places {
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Aperture: int32(len(m.Apertures) - 1), Region: -1, Edge: geom.Line(p, p)})
	}
}

func row(x, y, dx, dy geom.Length, n int) (out []geom.Point) {
	for range n {
		out = append(out, at(x, y))
		x, y = x+dx, y+dy
	}
	return out
}

func TestFind(t *testing.T) {
	top := func(b *panel.Board) *artwork.Image { return b.Layers[0].Image }
	holes := func(b *panel.Board, places ...geom.Point) {
		for _, p := range places {
			b.Drills[0].Drilling.Holes = append(b.Drills[0].Drilling.Holes, artwork.Hole{At: p})
		}
	}
	plane := func(m *artwork.Image, box geom.Box, clear bool) {
		m.Regions = append(m.Regions, artwork.Region{Contours: []geom.Path{geom.Rectangle(box)}})
		m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Fill, Clear: clear, Aperture: -1, Region: int32(len(m.Regions) - 1)})
	}
	for _, c := range []struct {
		name string
		make func(b *panel.Board)
		want []string
	}{
		{"plain", func(*panel.Board) {}, nil},
		{"castellated", func(b *panel.Board) { holes(b, row(50, 0, 20, 0, 5)...) }, []string{"castellated 5 loop 0 (4.5, 0) to (13.5, 0)"}},
		{"castellated round a corner", func(b *panel.Board) { holes(b, at(390, 0), at(400, 15)) }, []string{"castellated 2 loop 0 (38.5, 0) to (40, 2)"}},
		{"castellated round the beginning", func(b *panel.Board) { holes(b, at(10, 0), at(0, 15)) }, []string{"castellated 2 loop 0 (0, 2) to (1.5, 0)"}},
		{"castellated cut-out", func(b *panel.Board) { holes(b, at(120, 100)) }, []string{"castellated 1 loop 1 (12.5, 10) to (11.5, 10)"}},
		{"a hole drawn in the outline too", func(b *panel.Board) {
			b.Outline.CutOuts = []geom.Path{{geom.Arc(at(125, 100), at(125, 100), at(120, 100), geom.Clockwise)}}
			holes(b, at(120, 100))
			b.Drills[0].Drilling.Tools[0].Diameter = 102 * tenth / 10
		}, nil},
		{"holes near the edge", func(b *panel.Board) { holes(b, row(50, 5, 20, 0, 5)...) }, nil},
		{"holes that are not plated", func(b *panel.Board) { holes(b, at(50, 0)); b.Drills[0].Plating = artwork.NonPlated }, nil},
		{"fingers", func(b *panel.Board) { pads(top(b), 5, 30, row(100, 20, 10, 0, 6)...) }, []string{"fingers 6 loop 0 (9.75, 0) to (15.25, 0)"}},
		{"fingers with a key", func(b *panel.Board) {
			pads(top(b), 5, 30, append(row(100, 20, 10, 0, 4), row(160, 20, 10, 0, 4)...)...)
		},
			[]string{"fingers 8 loop 0 (9.75, 0) to (19.25, 0)"}},
		{"fingers on a side", func(b *panel.Board) { pads(top(b), 30, 5, row(380, 50, 0, 10, 5)...) }, []string{"fingers 5 loop 0 (40, 4.75) to (40, 9.25)"}},
		{"fingers with paste are pads", func(b *panel.Board) {
			pads(top(b), 5, 30, row(100, 20, 10, 0, 6)...)
			pads(b.Layers[2].Image, 5, 30, row(100, 20, 10, 0, 6)...)
		}, nil},
		{"without paste a few are not enough", func(b *panel.Board) { pads(top(b), 5, 30, row(100, 20, 10, 0, 6)...); b.Layers = b.Layers[:2] }, nil},
		{"without paste many are", func(b *panel.Board) { pads(top(b), 5, 30, row(100, 20, 10, 0, 9)...); b.Layers = b.Layers[:2] },
			[]string{"fingers 9 loop 0 (9.75, 0) to (18.25, 0)"}},
		{"fingers that end far from the edge", func(b *panel.Board) { pads(top(b), 5, 30, row(100, 40, 10, 0, 6)...) }, nil},
		{"fingers with holes", func(b *panel.Board) {
			pads(top(b), 5, 30, row(100, 20, 10, 0, 6)...)
			holes(b, row(100, 20, 10, 0, 6)...)
		}, nil},
		{"square pads", func(b *panel.Board) { pads(top(b), 15, 15, row(100, 15, 30, 0, 6)...) }, nil},
		{"plated", func(b *panel.Board) {
			b.EdgePlated = true
			for _, l := range b.Layers[:2] {
				plane(l.Image, geom.Box{Min: at(100, -5), Max: at(300, 20)}, false)
			}
			plane(top(b), geom.Box{Min: at(250, -10), Max: at(300, 30)}, true)
		}, []string{"plated 0 loop 0 (10, 0) to (25, 0)"}},
		{"copper over the edge, and nothing says that it is plated", func(b *panel.Board) {
			for _, l := range b.Layers[:2] {
				plane(l.Image, geom.Box{Min: at(100, -5), Max: at(300, 20)}, false)
			}
		}, nil},
		{"copper over the edge on one side", func(b *panel.Board) {
			b.EdgePlated = true
			plane(top(b), geom.Box{Min: at(100, -5), Max: at(300, 20)}, false)
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := plain()
			c.make(b)
			list, err := Find(context.Background(), b)
			require.NoError(t, err)
			var got []string
			for _, s := range list {
				got = append(got, fmt.Sprintf("%s %d loop %d %s to %s", s.Class, s.Count, s.Loop, s.Start, s.End))
				require.NotEmpty(t, s.By)
				l := NewLocator(b, []Stretch{s})
				require.True(t, l.Holds(s.Start) && l.Holds(s.End))
				require.True(t, l.Holds(newEdge(pathOf(b, s)).at(s.To+float64(Beside)*0.9)))
				require.False(t, l.Holds(newEdge(pathOf(b, s)).at(s.To+float64(Beside)*1.1)))
				require.False(t, l.Holds(at(400, 200)))
			}
			require.Equal(t, c.want, got)
		})
	}
}

func pathOf(b *panel.Board, s Stretch) geom.Path {
	if s.Loop > 0 {
		return b.Outline.CutOuts[s.Loop-1]
	}
	return b.Outline.Outer
}
