package panel_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
)

// A body of 4 × 2 mm, its centre 1 mm to the right of the part's place; positions by hand.
func TestBodies(t *testing.T) {
	body := panel.Body{By: panel.ByTable, Length: 4 * geom.MM, Width: 2 * geom.MM, Offset: geom.Pt(geom.MM, 0)}
	b := &panel.Board{Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)}),
		CutOuts: []geom.Path{geom.Rectangle(geom.Box{Min: geom.Pt(8*geom.MM, 4*geom.MM), Max: geom.Pt(9*geom.MM, 5*geom.MM)})}}}
	for _, c := range []struct {
		name string
		x, y float64
		turn geom.Angle
		side panel.Side
		box  string
		over float64 // mm
	}{
		{"within", 10, 5, 0, panel.Top, "(9, 4) (13, 6)", 0},
		{"touching", 17, 5, 0, panel.Top, "(16, 4) (20, 6)", 0},
		{"to the right", 18.5, 5, 0, panel.Top, "(17.5, 4) (21.5, 6)", 1.5},
		{"turned by 90°, upwards", 10, 8, geom.Quarter, panel.Top, "(9, 7) (11, 11)", 1},
		{"turned by 180°", 2, 5, geom.Half, panel.Top, "(-1, 4) (3, 6)", 1},
		{"on the bottom: mirrored", 2, 5, 0, panel.Bottom, "(-1, 4) (3, 6)", 1},
		{"on the bottom, turned by 90°: downwards", 10, 2, geom.Quarter, panel.Bottom, "(9, -1) (11, 3)", 1},
		{"all of it outside", 25, 5, 0, panel.Top, "(24, 4) (28, 6)", 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := panel.Part{At: geom.Pt(geom.FromMM(c.x), geom.FromMM(c.y)), Turn: c.turn, Side: c.side, Body: body}
			outline, ok := p.BodyOutline()
			require.True(t, ok)
			box := outline.Box()
			assert.Equal(t, c.box, box.Min.String()+" "+box.Max.String())
			assert.Equal(t, geom.FromMM(c.over), b.OverEdge(p))
		})
	}
	// At 45° the corner farthest out stands at (1 + 2)·cos 45° + 1·sin 45° = 4/√2 from the place.
	p := panel.Part{At: geom.Pt(18*geom.MM, 5*geom.MM), Turn: 45 * geom.Degree, Side: panel.Top, Body: body}
	assert.InDelta(t, 4/1.4142135623730951-2, b.OverEdge(p).MM(), 1e-6)
	p.Body = panel.Body{By: panel.ByTable, Height: geom.MM}
	_, ok := p.BodyOutline()
	assert.False(t, ok)
	assert.Zero(t, b.OverEdge(p))
}

// The panel's data name the table, what stands out and what is fragile; without a table nothing of it
// is there. Both are read back.
func TestDataOfBodies(t *testing.T) {
	board := func(table bool) *panel.Board {
		b := &panel.Board{Name: "gauge", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(20*geom.MM, 10*geom.MM)})}, CopperCount: 2, Thickness: geom.MM}
		b.Parts = []panel.Part{{Refdes: "R1", At: geom.Pt(5*geom.MM, 5*geom.MM)},
			{Refdes: "J1", At: geom.Pt(19*geom.MM, 5*geom.MM), Body: panel.Body{By: panel.ByPads, Length: 4 * geom.MM, Width: geom.MM, Fragile: true}}}
		if table {
			b.Packages = &panel.SourceFile{Name: "bodies.csv", SHA256: "ab", Bytes: 7, Use: "bodies of parts"}
			b.Parts[1].Body.By = panel.ByTable
		}
		return b
	}
	for _, table := range []bool{false, true} {
		b := board(table)
		p, err := panel.Panel{}.Edit().AddBoard(b).Build()
		require.NoError(t, err)
		text, err := p.Data("gauges", "A")
		require.NoError(t, err)
		said := `"packages":{"name":"bodies.csv","sha256":"ab","bytes":7,"use":"bodies of parts"},"parts_over_edge":[{"part":"J1","by_mm":1}],"fragile_parts":["J1"]`
		if table {
			assert.Contains(t, string(text), said)
		} else {
			assert.NotContains(t, string(text), "packages")
			assert.NotContains(t, string(text), "fragile")
		}
		_, _, _, err = panel.ReadData(text, []*panel.Board{b})
		require.NoError(t, err)
		_, _, _, err = panel.ReadData(text, []*panel.Board{board(!table)})
		require.Error(t, err)
	}
}
