package rule

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/panel"
	"panelwright/pipeline/panel/artwork"
)

// marked is a bare panel of a size with fiducials, the first at the first place.
func marked(t *testing.T, width, height geom.Length, sides []panel.Side, at ...geom.Point) panel.Panel {
	t.Helper()
	board := &panel.Board{Name: "weir", Outline: geom.Outline{Outer: geom.Rectangle(geom.Box{Max: geom.Pt(width, height)})}}
	b := panel.Panel{}.Edit().AddBoard(board).AddCopy(panel.Copy{ID: "A1", Board: board}).FitOutline()
	for i, p := range at {
		b.AddMark(panel.Mark{ID: "fiducial/" + string(rune('1'+i)), Kind: panel.Fiducial, At: p, Diameter: geom.MM, Mask: 2 * geom.MM, Clear: 3 * geom.MM, Sides: sides})
	}
	p, err := b.Build()
	require.NoError(t, err)
	return p
}

// The least displacement is that of the best of all pairings, tried one by one.
func TestDisplacementIsThatOfTheBestPairing(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	for range 200 {
		place := func(n int) (out []panel.Mark) {
			for range n {
				out = append(out, panel.Mark{At: geom.Pt(geom.Length(r.IntN(40)), geom.Length(r.IntN(40)))})
			}
			return out
		}
		wanted := place(1 + r.IntN(5))
		shown := place(r.IntN(7))
		moved := func(p geom.Point) geom.Point { return geom.Pt(40-p.X, 40-p.Y) }
		best := math.Inf(1)
		var try func(i int, used int, worst float64)
		try = func(i, used int, worst float64) {
			if i == len(wanted) {
				best = min(best, worst)
				return
			}
			for k := range shown {
				if used>>k&1 == 0 {
					try(i+1, used|1<<k, max(worst, wanted[i].At.Distance(moved(shown[k].At))))
				}
			}
		}
		try(0, 0, 0)
		got, at := displacement(wanted, shown, moved)
		assert.Equal(t, best, got)
		if !math.IsInf(got, 1) {
			near := math.Inf(1)
			for _, s := range shown {
				near = min(near, math.Abs(wanted[at].At.Distance(moved(s.At))-got))
			}
			assert.Zero(t, near, "the mark named is that far off")
		}
	}
}

func TestWrongWays(t *testing.T) {
	mm := func(x, y geom.Length) geom.Point { return geom.Pt(x*geom.MM, y*geom.MM) }
	both, top := []panel.Side{panel.Top, panel.Bottom}, []panel.Side{panel.Top}
	for name, c := range map[string]struct {
		width, height geom.Length
		sides         []panel.Side
		at            []geom.Point
		want          []string // parts of the messages
		measured      float64
	}{
		"three in an L":         {100, 60, both, []geom.Point{mm(5, 5), mm(95, 5), mm(5, 55)}, nil, 0},
		"two in a row":          {100, 60, top, []geom.Point{mm(5, 5), mm(95, 5)}, nil, 0},
		"two in a row, both":    {100, 60, both, []geom.Point{mm(5, 5), mm(95, 5)}, []string{"either side look alike with the panel turned over about its upright middle:"}, 0},
		"two across":            {100, 60, top, []geom.Point{mm(5, 5), mm(95, 55)}, []string{"top look alike with the panel turned by 180 deg:"}, 0},
		"L on a square, by 270": {80, 80, top, []geom.Point{mm(5, 5), mm(75, 5), mm(5, 75), mm(75, 75)}, []string{"turned by 180 deg, turned by 90 deg or turned by 270 deg:"}, 0},
		// Turned by half, (95, 5) is seen at (5, 55), 4 from (9, 55); (9, 55) at (91, 5), 4 from (95, 5).
		"off by 4":  {100, 60, top, []geom.Point{mm(95, 5), mm(9, 55)}, []string{"each has one within 4 mm of its place"}, 4},
		"off by 5":  {100, 60, top, []geom.Point{mm(95, 5), mm(10, 55)}, nil, 0},
		"one alone": {100, 60, both, []geom.Point{mm(50, 30)}, nil, 0},
	} {
		t.Run(name, func(t *testing.T) {
			p := marked(t, c.width*geom.MM, c.height*geom.MM, c.sides, c.at...)
			found, err := fiducialSymmetry(t.Context(), pipeline.Case{Panel: p, Limit: 5})
			require.NoError(t, err)
			require.Len(t, found, len(c.want))
			for i, w := range c.want {
				assert.Contains(t, found[i].Message, w)
				assert.InDelta(t, c.measured, *found[i].Measured, 1e-9)
			}
		})
	}
}

// What the panel prints of its own may not lie in a clear area either; an opening in the mask all round it may.
func TestPrintsInAClearArea(t *testing.T) {
	at := geom.Pt(20*geom.MM, 20*geom.MM)
	ring := func(r geom.Length) geom.Path {
		return geom.Rectangle(geom.BoxOf(at).Grow(r))
	}
	dot := func(x geom.Length) []panel.Dot {
		return []panel.Dot{{At: geom.Pt(x, 20*geom.MM), Diameter: geom.MM}}
	}
	on := func(k panel.FunctionKind, s panel.Side) []panel.Function {
		f := panel.Function{Kind: k, Side: s}
		if k == panel.Copper {
			f.Index = 1
		}
		return []panel.Function{f}
	}
	whole := geom.Box{Max: geom.Pt(40*geom.MM, 40*geom.MM)}
	for name, c := range map[string]struct {
		print panel.Print
		want  float64 // -1: nothing
	}{
		"copper dot":        {panel.Print{Layers: on(panel.Copper, panel.Top), Dots: dot(21_999 * geom.UM)}, 1.499},
		"copper dot beside": {panel.Print{Layers: on(panel.Copper, panel.Top), Dots: dot(22 * geom.MM)}, -1},
		"legend":            {panel.Print{Layers: on(panel.Legend, panel.Top), Dots: dot(21_999 * geom.UM)}, 1.499},
		"the other side":    {panel.Print{Layers: on(panel.Legend, panel.Bottom), Dots: dot(20 * geom.MM)}, -1},
		"mask all round":    {panel.Print{Layers: on(panel.Soldermask, panel.Top), Areas: []geom.Path{ring(1_500 * geom.UM)}}, -1},
		"mask edge":         {panel.Print{Layers: on(panel.Soldermask, panel.Top), Areas: []geom.Path{ring(1_499 * geom.UM)}}, 1.499},
		"copper all round":  {panel.Print{Layers: on(panel.Copper, panel.Top), Areas: []geom.Path{ring(3 * geom.MM)}}, 0},
		"label":             {panel.Print{Use: panel.LabelArea, Layers: on(panel.Legend, panel.Top), Area: geom.Box{Min: geom.Pt(21_499*geom.UM, 0), Max: whole.Max}}, 1.499},
	} {
		t.Run(name, func(t *testing.T) {
			c.print.ID = "print/1"
			if c.print.Area == (geom.Box{}) {
				c.print.Area = whole
			}
			p, err := marked(t, 40*geom.MM, 40*geom.MM, []panel.Side{panel.Top}, at).Edit().AddPrint(c.print).Build()
			require.NoError(t, err)
			found, err := fiducialClearArea(t.Context(), pipeline.Case{Panel: p})
			require.NoError(t, err)
			if c.want < 0 {
				assert.Empty(t, found)
				return
			}
			require.Len(t, found, 1)
			assert.InDelta(t, c.want, *found[0].Measured, 1e-9)
			assert.Contains(t, found[0].Message, "print/1")
		})
	}
}

// Whatever is counted lies within the sheet, the panels apart: rows and columns are laid out one by one.
func TestSheetsHoldWhatIsCounted(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	for range 2000 {
		m := pipeline.ProductionPanel{Name: "sheet", Width: geom.Length(1 + r.IntN(90)), Height: geom.Length(1 + r.IntN(90)), Border: geom.Length(r.IntN(9)), Between: geom.Length(r.IntN(5))}
		w, h := geom.Length(1+r.IntN(30)), geom.Length(1+r.IntN(30))
		s := sheetOf(w, h, m)
		usable := geom.Pt(max(0, m.Width-2*m.Border), max(0, m.Height-2*m.Border))
		// stack lays rows of panels of a size from a height on, and gives how many there are and where the next row may begin.
		rows := func(w, h, y geom.Length, most int) (n int, next geom.Length) {
			for row := 0; row < most && y+h <= usable.Y; row++ {
				for x := geom.Length(0); x+w <= usable.X; x += w + m.Between {
					n++
				}
				y += h + m.Between
			}
			return n, y
		}
		upright, _ := rows(w, h, 0, 1000)
		turned, _ := rows(h, w, 0, 1000)
		assert.Equal(t, []int{upright, turned}, []int{s.Upright, s.Turned})
		best := max(upright, turned)
		lay := func(w, h geom.Length) {
			for first := range 100 {
				n, y := rows(w, h, 0, first)
				k, _ := rows(h, w, y, 1000)
				best = max(best, n+k)
			}
		}
		lay(w, h)
		usable = geom.Pt(usable.Y, usable.X) // columns are rows of the sheet turned
		lay(h, w)
		assert.Equal(t, best, s.Mixed, "%v of %v x %v", m, w, h)
	}
}

// What drawnAtMost gives is never less than what the kernel says is drawn, and the same where nothing overlaps and
// no aperture is odd.
func TestDrawnAtMost(t *testing.T) {
	mm := geom.MM
	at := func(x, y geom.Length) geom.Edge { return geom.Line(geom.Pt(x*mm, y*mm), geom.Pt(x*mm, y*mm)) }
	m := &artwork.Image{Sets: []artwork.Attributes{nil}, Apertures: []artwork.Aperture{
		{Shape: artwork.Circle, Width: 2 * mm}, {Shape: artwork.Circle, Width: 2 * mm, Hole: mm}, {Shape: artwork.Rectangle, Width: 3 * mm, Height: mm},
		{Shape: artwork.Obround, Width: mm, Height: 4 * mm}, {Shape: artwork.Polygon, Width: 2 * mm, Vertices: 6},
		{Shape: artwork.Macro, Primitives: []artwork.Primitive{{Kind: artwork.PrimCenterLine, Size: [5]geom.Length{2 * mm, mm}, Points: []geom.Point{{}}}}},
	}}
	draw := func(o artwork.Object) float64 {
		one := *m
		one.Objects = []artwork.Object{o}
		return drawnAtMost(&one) / 1e12
	}
	for i, want := range []float64{
		math.Pi,         // r = 1
		math.Pi * 3 / 4, // less a hole of r = 1/2
		3,               // 3 x 1
		3 + math.Pi/4,   // 1 x 3 between two half discs
		math.Pi,         // the circle round the hexagon
		2,               // its box
	} {
		o := artwork.Object{Kind: artwork.Flash, Aperture: int32(i), Region: -1, Edge: at(5, 5)}
		assert.InDelta(t, want, draw(o), 1e-9, "aperture %d", i)
		area, err := m.Area(t.Context(), o)
		require.NoError(t, err)
		sum := 0.0
		for _, p := range area.Paths() {
			sum += p.Area() / 1e12
		}
		assert.GreaterOrEqual(t, want, sum-1e-6, "aperture %d", i)
		line := artwork.Object{Kind: artwork.Stroke, Aperture: int32(i), Region: -1, Edge: geom.Line(geom.Pt(0, 0), geom.Pt(3*mm, 4*mm))}
		if i == 0 {
			assert.InDelta(t, 5*2+math.Pi, draw(line), 1e-9)
		}
		if i == 0 || i == 2 { // others draw no lines
			area, err := m.Area(t.Context(), line)
			require.NoError(t, err)
			sum := 0.0
			for _, p := range area.Paths() {
				sum += p.Area() / 1e12
			}
			assert.GreaterOrEqual(t, draw(line), sum-1e-6, "stroke of aperture %d", i)
		}
	}
	clear := artwork.Object{Kind: artwork.Flash, Clear: true, Region: -1, Edge: at(5, 5)}
	assert.Zero(t, draw(clear))
}
