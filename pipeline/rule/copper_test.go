package rule

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// lowerSlot is a slot along the lower edge of a row of boards.
func lowerSlot(b *panel.Board) *panel.Builder {
	return row(b, 2, 2*geom.MM).AddSlot(along("slot/1", geom.Line(geom.Pt(0, -geom.MM), geom.Pt(90*geom.MM, -geom.MM)), 2*geom.MM))
}

func ofSlot(all []pipeline.Finding) (out []pipeline.Finding) {
	for _, f := range all {
		if f.Feature == "slot/1" {
			out = append(out, f)
		}
	}
	return out
}

// A pad 0.1 mm from the slot, of which clear polarity takes the lower half away: what is left keeps 0.6 mm.
// Drawn over again, it comes near again. Distances by geometry.
func TestCopperCountsAsItIsDrawn(t *testing.T) {
	at := geom.Pt(20*geom.MM, 600*geom.UM)
	low := geom.Pt(20*geom.MM, 100*geom.UM)
	pad := artwork.Object{Kind: artwork.Flash, Region: -1, Edge: geom.Line(at, at)}
	erase := artwork.Object{Kind: artwork.Flash, Aperture: 1, Region: -1, Edge: geom.Line(low, low), Clear: true}
	board := func(objects ...artwork.Object) *panel.Board {
		b := weir(geom.MM)
		m := b.Layers[0].Image
		m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Rectangle, Width: 4 * geom.MM, Height: geom.MM})
		m.Objects = objects
		return b
	}
	f := ofSlot(judge(t, "copper-to-edge", lowerSlot(board(pad)), 0.25))
	require.Len(t, f, 1)
	assert.InDelta(t, 0.1, *f[0].Measured, 1e-5)
	assert.Empty(t, ofSlot(judge(t, "copper-to-edge", lowerSlot(board(pad, erase)), 0.25)))
	f = ofSlot(judge(t, "copper-to-edge", lowerSlot(board(pad, erase)), 0.7))
	require.Len(t, f, 1)
	assert.InDelta(t, 0.6, *f[0].Measured, 1e-5)
	assert.InDelta(t, 0, f[0].At.Y.MM(), 1e-5, "the place is on the cut")
	f = ofSlot(judge(t, "copper-to-edge", lowerSlot(board(pad, erase, pad)), 0.25))
	require.Len(t, f, 1)
	assert.InDelta(t, 0.1, *f[0].Measured, 1e-5)
	assert.Equal(t, []string{"A1", "B1"}, f[0].Copies, "copies that are the same are judged once")
}

func TestInnerCopperHasItsOwnLimit(t *testing.T) {
	b := weir(300 * geom.UM)
	inner := b.Layers[0]
	inner.Function = panel.Function{Kind: panel.Copper, Side: panel.Inner, Index: 2}
	outerOnly := lowerSlot(b)
	assert.Empty(t, ofSlot(judge(t, "copper-to-edge", outerOnly, 0.25)))
	assert.Empty(t, ofSlot(judge(t, "inner-copper-to-edge", lowerSlot(b), 0.4)))
	b.Layers = []panel.Layer{inner}
	assert.Empty(t, ofSlot(judge(t, "copper-to-edge", lowerSlot(b), 0.4)))
	f := ofSlot(judge(t, "inner-copper-to-edge", lowerSlot(b), 0.4))
	require.Len(t, f, 1)
	assert.InDelta(t, 0.3, *f[0].Measured, 1e-5)
}

// The smallest distance is told even where it is enough.
func TestWorstCopperIsMeasured(t *testing.T) {
	p, err := lowerSlot(weir(1500 * geom.UM)).Build()
	require.NoError(t, err)
	for _, r := range All() {
		if r.Name == "copper-to-edge" {
			f, err := r.Measure(context.Background(), pipeline.Case{Panel: p, Limit: 0.25}, nil)
			require.NoError(t, err)
			require.NotNil(t, f.Worst)
			assert.InDelta(t, 1.5, *f.Worst.Measured, 1e-5)
		}
	}
}

// A row set into the board may reach as far into it, and no further.
func TestPerforationsMayReachInAsFarAsTheyAreSet(t *testing.T) {
	with := func(inset geom.Length) *panel.Builder {
		return row(weir(geom.MM), 1, 0).
			AddTab(panel.Tab{ID: "t", Copies: []string{"A1"}, Rows: []panel.Row{{Copies: []string{"A1"}, Inset: inset}}}).
			AddPerforation(panel.Perforation{ID: "t/hole/1", Tab: "t", Copy: "A1", At: geom.Pt(20*geom.MM, 0), Diameter: 500 * geom.UM})
	}
	assert.Empty(t, judge(t, "perforation-in-board", with(250*geom.UM), 0))
	f := judge(t, "perforation-in-board", with(200*geom.UM), 0)
	require.Len(t, f, 1)
	assert.InDelta(t, 0.05, *f[0].Measured, 1e-6)
}

// Two copies share a slot; beside the first, a second wall of it comes nearer still. The second copy is told all
// the same: what is worst for one copy hides nothing from another.
func TestWorstOfOneCopyHidesNoOther(t *testing.T) {
	corner := geom.Pt(600*geom.UM, 15*geom.MM)
	b := weir(200 * geom.UM)
	m := b.Layers[0].Image
	m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Region: -1, Edge: geom.Line(corner, corner)})
	// Down the left edge of the first copy alone, and along the lower edges of both.
	at := func(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }
	corners := []geom.Point{at(-2, -2), at(90, -2), at(90, 0), at(0, 0), at(0, 30), at(-2, 30)}
	var path geom.Path
	for i, p := range corners {
		path = append(path, geom.Line(p, corners[(i+1)%len(corners)]))
	}
	f := ofSlot(judge(t, "copper-to-edge", row(b, 2, 5*geom.MM).AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: path}}), 0.25))
	require.Len(t, f, 2)
	got := map[string]float64{}
	for _, x := range f {
		require.Len(t, x.Copies, 1)
		got[x.Copies[0]] = *x.Measured
		assert.Contains(t, []geom.Point{at(0, 15), at(65, 0)}, *x.At, "the place is beside the copy that is named")
	}
	assert.InDeltaMapValues(t, map[string]float64{"A1": 0.1, "B1": 0.2}, got, 1e-5)
}

// The place on the cut is where the copper comes nearest, not where the middle of the pad or the macro does.
func TestPlaceIsWhereCopperIsNearest(t *testing.T) {
	b := weir(geom.MM)
	m := b.Layers[0].Image
	// The body's middle lies at x = 20 mm, the foot that comes nearest at x = 27 mm.
	m.Apertures = []artwork.Aperture{{Shape: artwork.Macro, Primitives: []artwork.Primitive{
		{Kind: artwork.PrimCircle, Size: [5]geom.Length{2 * geom.MM}, Points: []geom.Point{{}}},
		{Kind: artwork.PrimCircle, Size: [5]geom.Length{geom.MM}, Points: []geom.Point{{X: 7 * geom.MM, Y: -2 * geom.MM}}}}}}
	at := geom.Pt(20*geom.MM, 2600*geom.UM)
	m.Objects = []artwork.Object{{Kind: artwork.Flash, Region: -1, Edge: geom.Line(at, at)}}
	f := ofSlot(judge(t, "copper-to-edge", lowerSlot(b), 0.25))
	require.Len(t, f, 1)
	assert.InDelta(t, 0.1, *f[0].Measured, 1e-5)
	assert.Equal(t, geom.Pt(27*geom.MM, 0), *f[0].At)
}

// Copper reaches the edge where it is castellated: that is no fault, and neither are the pads beside. The
// same pad 4 mm further along is one.
func TestCopperBelongsToCastellatedEdges(t *testing.T) {
	hole, far := geom.Pt(20*geom.MM, 0), geom.Pt(24*geom.MM, 0)
	board := func(places ...geom.Point) *panel.Board {
		b := weir(geom.MM)
		m := b.Layers[0].Image
		m.Apertures = append(m.Apertures, artwork.Aperture{Shape: artwork.Circle, Width: 1600 * geom.UM})
		m.Objects = nil
		for _, p := range places {
			m.Objects = append(m.Objects, artwork.Object{Kind: artwork.Flash, Aperture: int32(len(m.Apertures) - 1), Region: -1, Edge: geom.Line(p, p)})
		}
		b.Drills = []panel.DrillFile{{Plating: artwork.Plated, From: 1, To: 2, Drilling: &artwork.Drilling{
			Tools: []artwork.Tool{{Diameter: geom.MM}}, Holes: []artwork.Hole{{At: hole}}}}}
		return b
	}
	assert.Empty(t, ofSlot(judge(t, "copper-to-edge", lowerSlot(board(hole)), 0.25)))
	f := ofSlot(judge(t, "copper-to-edge", lowerSlot(board(hole, far)), 0.25))
	require.Len(t, f, 1)
	assert.Zero(t, *f[0].Measured)
	assert.InDelta(t, 24, f[0].At.X.MM(), 0.9)
}
