package density_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/overlay"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
	"panelwright/pipeline/panel/density"
)

const mm = geom.MM

func inOrder(n int, work func(int) error) error {
	for i := range n {
		if err := work(i); err != nil {
			return err
		}
	}
	return nil
}

var top = panel.Function{Kind: panel.Copper, Side: panel.Top, Index: 1}

// scene is a layer of a board of 40 x 30 mm at (100, -7): pads of every shape, tracks straight and bent, pours with
// holes, and things cleared out of them.
func scene(r *rand.Rand) *artwork.Image {
	at := func() geom.Point {
		return geom.Pt(100*mm+geom.Length(r.Int64N(int64(40*mm))), -7*mm+geom.Length(r.Int64N(int64(30*mm))))
	}
	m := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{
		{Shape: artwork.Circle, Width: 150 * geom.UM}, {Shape: artwork.Circle, Width: 1_700_001}, {Shape: artwork.Circle, Width: 3 * mm, Hole: 1 * mm},
		{Shape: artwork.Rectangle, Width: 2 * mm, Height: 700 * geom.UM}, {Shape: artwork.Obround, Width: 1 * mm, Height: 3 * mm},
		{Shape: artwork.Polygon, Width: 4 * mm, Vertices: 5, Turn: 10 * geom.Degree},
		{Shape: artwork.Macro, Primitives: []artwork.Primitive{{Kind: artwork.PrimThermal, Size: [5]geom.Length{5 * mm, 3 * mm, 500 * geom.UM}, Points: []geom.Point{{}}}}},
	}}
	for i := range 120 {
		o := artwork.Object{Clear: i > 60 && r.IntN(5) == 0, Region: -1, Aperture: int32(r.IntN(len(m.Apertures)))}
		switch p := at(); {
		case i%10 == 0: // a pour with a hole in it, run the other way, and a corner that is an arc
			q := geom.Pt(4*mm, 3*mm)
			o = artwork.Object{Kind: artwork.Fill, Aperture: -1, Region: int32(len(m.Regions)), Clear: o.Clear}
			a, b, c, d := p.Sub(q), p.Add(geom.Pt(q.X, -q.Y)), p.Add(q), p.Add(geom.Pt(-q.X, q.Y))
			e, f := p.Add(geom.Pt(mm, 0)), p.Add(geom.Pt(-mm, 0))
			m.Regions = append(m.Regions, artwork.Region{Contours: []geom.Path{{
				geom.Line(a, b), geom.Arc(b, b.Add(geom.Pt(mm, mm)), b.Add(geom.Pt(0, mm)), geom.CounterClockwise), geom.Line(b.Add(geom.Pt(mm, mm)), c), geom.Line(c, d), geom.Line(d, a),
				geom.Line(a, e), geom.Arc(e, f, p, geom.Clockwise), geom.Arc(f, e, p, geom.Clockwise), geom.Line(e, a),
			}}})
		case i%3 == 0:
			o.Kind, o.Aperture = artwork.Stroke, int32(r.IntN(2))
			q := p.Add(geom.Pt(geom.Length(r.Int64N(int64(8*mm))), geom.Length(r.Int64N(int64(8*mm)))-4*mm))
			o.Edge = geom.Line(p, q)
			if i%2 == 0 {
				o.Edge = geom.Arc(p, p.Add(geom.Pt(2*mm, 2*mm)), p.Add(geom.Pt(0, 2*mm)), geom.CounterClockwise)
			}
			if r.IntN(6) == 0 {
				o.Edge = geom.Line(p, p)
			}
		default:
			o.Kind, o.Edge = artwork.Flash, geom.Line(p, p)
		}
		m.Objects = append(m.Objects, o)
	}
	return m
}

// near gives the paths that have to do with a box.
func near(all []geom.Path, box geom.Box) (out []geom.Path) {
	for _, p := range all {
		if p.Box().Overlaps(box) {
			out = append(out, p)
		}
	}
	return out
}

// Areas in every square are those that the kernel works out exactly: to a fiftieth of a square each (edges that run along
// whole rows of samples are half a step off), and to a
// five-hundredth of the copper for a whole layer. Boards lie at all quarter turns and at 30°.
func TestSharesAgainstTheKernel(t *testing.T) {
	worst, worstAll := 0.0, 0.0
	for seed := range uint64(3) {
		r := rand.New(rand.NewPCG(seed, 7))
		image := scene(r)
		edge := geom.Box{Min: geom.Pt(100*mm, -7*mm), Max: geom.Pt(140*mm, 23*mm)}
		hole := geom.Box{Min: geom.Pt(110*mm, mm), Max: geom.Pt(116*mm, 5*mm)}
		b := &panel.Board{Name: "weir", CopperCount: 1, Outline: geom.Outline{Outer: geom.Rectangle(edge), CutOuts: []geom.Path{geom.Rectangle(hole).Reverse()}},
			Layers: []panel.Layer{{Function: top, Image: image}}}
		e := panel.Panel{}.Edit().AddBoard(b)
		for i, turn := range []geom.Angle{0, geom.Quarter, geom.Half, 3 * geom.Quarter, 30 * geom.Degree} {
			e.AddCopy(panel.Copy{ID: fmt.Sprint("A", i), Board: b, Place: panel.Settle(b, turn, geom.Pt(geom.Length(i)*60*mm+geom.Length(seed)*33_333, 3*mm))})
		}
		p, err := e.FitOutline().AddMark(panel.Mark{ID: "fiducial/1", Kind: panel.Fiducial, At: geom.Pt(48*mm, 40*mm), Diameter: 3 * mm, Mask: 3 * mm, Clear: 3 * mm, Sides: []panel.Side{panel.Top}}).
			AddSlot(panel.Slot{ID: "slot/1", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Min: geom.Pt(42*mm, 2*mm), Max: geom.Pt(57*mm, 33*mm)})}}).
			AddPrint(panel.Print{ID: "thieving/1", Use: panel.Thieving, Layers: []panel.Function{top}, Area: geom.Box{Min: geom.Pt(41*mm, 34*mm), Max: geom.Pt(46*mm, 42*mm)},
				Dots: []panel.Dot{{At: geom.Pt(43*mm, 36*mm), Diameter: 2 * mm}}, Lines: []panel.PenLine{{Path: geom.Path{geom.Line(geom.Pt(42*mm, 36*mm), geom.Pt(45*mm, 40*mm))}, Width: mm}}}).
			Build()
		require.NoError(t, err)
		g, err := density.Of(t.Context(), p, []panel.Function{top}, density.Square, inOrder)
		require.NoError(t, err)

		dark, err := image.Dark(t.Context())
		require.NoError(t, err)
		own, err := overlay.Intersection(t.Context(), overlay.Options{}, overlay.Of(dark...), overlay.Of(b.Outline))
		require.NoError(t, err)
		var all []geom.Path
		for _, c := range p.Copies() {
			for _, o := range own {
				x := c.Place.Outline(o)
				all = append(append(all, x.Outer), x.CutOuts...)
			}
		}
		all = append(all, geom.Path{geom.Arc(geom.Pt(49_500_000, 40*mm), geom.Pt(49_500_000, 40*mm), geom.Pt(48*mm, 40*mm), geom.CounterClockwise)})
		print, err := p.Prints()[0].Image(nil).Dark(t.Context())
		require.NoError(t, err)
		for _, o := range print {
			all = append(append(all, o.Outer), o.CutOuts...)
		}
		material, err := p.Material(t.Context(), 1)
		require.NoError(t, err)
		exact := 0.0
		for k, got := range g.Layers[0].Copper {
			low := g.Origin.Add(geom.Pt(geom.Length(k%g.Columns)*g.Square, geom.Length(k/g.Columns)*g.Square))
			square := geom.Rectangle(geom.Box{Min: low, Max: low.Add(geom.Pt(g.Square, g.Square))})
			one := float64(g.Square) * float64(g.Square)
			in, err := overlay.Intersection(t.Context(), overlay.Options{}, overlay.Operand{Paths: near(all, square.Box()), Rule: overlay.NonZero}, overlay.Of(geom.Outline{Outer: square}))
			require.NoError(t, err)
			exact += in.Area()
			off := math.Abs(got-in.Area()) / one
			worst = max(worst, off)
			assert.Less(t, off, 0.02, "seed %d, square %d: %.4f of it is copper, exactly %.4f", seed, k, got/one, in.Area()/one)
			left, err := overlay.Intersection(t.Context(), overlay.Options{}, overlay.Operand{Paths: near(material.Paths(), square.Box()), Rule: overlay.NonZero}, overlay.Of(geom.Outline{Outer: square}))
			require.NoError(t, err)
			// Straight edges of laminate may run along whole rows of samples: half a step along two sides.
			assert.InDelta(t, left.Area()/one, g.Laminate[k]/one, 0.05, "seed %d, square %d", seed, k)
			share, ok := g.Share(0, k)
			assert.True(t, share >= 0 && share <= 1)
			assert.Equal(t, g.Laminate[k] >= one/20, ok)
		}
		off := math.Abs(g.Total(0)-exact) / exact
		worstAll = max(worstAll, off)
		assert.Less(t, off, 1.0/500, "seed %d", seed)
	}
	t.Logf("worst square %.5f of its area, worst layer %.6f of its copper", worst, worstAll)
}

// By hand: a board of 10 x 10 mm, its left half copper, in two copies, the second turned by half a turn: of the four
// columns of squares the first and the last are copper.
func TestSharesByHand(t *testing.T) {
	half := &artwork.Image{Sets: []artwork.Attributes{nil}, Regions: []artwork.Region{{Contours: []geom.Path{geom.Rectangle(geom.Box{Max: geom.Pt(5*mm, 20*mm)})}}},
		Objects: []artwork.Object{{Kind: artwork.Fill, Aperture: -1}}}
	b := &panel.Board{Name: "weir", CopperCount: 2, Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(10*mm, 10*mm)})},
		Layers: []panel.Layer{{Function: top, Image: half}}}
	p, err := panel.Panel{}.Edit().AddBoard(b).AddCopy(panel.Copy{ID: "A1", Board: b}).AddCopy(panel.Copy{ID: "B1", Board: b, Place: panel.Settle(b, geom.Half, geom.Pt(10*mm, 0))}).FitOutline().Build()
	require.NoError(t, err)
	bottom := panel.Function{Kind: panel.Copper, Side: panel.Bottom, Index: 2}
	g, err := density.Of(t.Context(), p, []panel.Function{top, bottom}, 5*mm, inOrder)
	require.NoError(t, err)
	assert.Equal(t, []int{4, 2}, []int{g.Columns, g.Rows})
	for k, want := range []float64{1, 0, 0, 1, 1, 0, 0, 1} {
		share, ok := g.Share(0, k)
		assert.True(t, ok)
		assert.Equal(t, want, share, k)
		share, ok = g.Share(1, k)
		assert.True(t, ok)
		assert.Zero(t, share, "the board has no such layer")
	}
	assert.Equal(t, []panel.Function{top}, density.Outer(p))
}
