package rout

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
	"panelwright/pipeline/geom/overlay"
)

const mm = geom.MM

func rounded(x0, y0, x1, y1, r float64) geom.Path {
	return geom.RoundedRectangle(geom.Box{Min: geom.Pt(geom.FromMM(x0), geom.FromMM(y0)), Max: geom.Pt(geom.FromMM(x1), geom.FromMM(y1))}, geom.FromMM(r))
}

func circle(x, y, r float64) geom.Path {
	c := geom.Pt(geom.FromMM(x), geom.FromMM(y))
	from := geom.Pt(c.X+geom.FromMM(r), c.Y)
	return geom.Path{geom.Arc(from, from, c, geom.CounterClockwise)}
}

// band is what lies round a shape within d, less a tab.
func band(t *testing.T, shape geom.Path, d geom.Length, tab geom.Path) geom.Region {
	t.Helper()
	ctx := context.Background()
	grown, err := offset.By(ctx, geom.Region{{Outer: shape}}, d, offset.Options{})
	require.NoError(t, err)
	r, err := overlay.Difference(ctx, overlay.Options{}, overlay.Of(grown...), overlay.Operand{Paths: []geom.Path{shape}}, overlay.Operand{Paths: []geom.Path{tab}})
	require.NoError(t, err)
	return r
}

func shapes(t *testing.T) map[string]geom.Region {
	angle := geom.Path{}
	points := []geom.Point{{X: 0, Y: 0}, {X: 30 * mm, Y: 0}, {X: 30 * mm, Y: 8 * mm}, {X: 9 * mm, Y: 8 * mm}, {X: 9 * mm, Y: 25 * mm}, {X: 0, Y: 25 * mm}}
	for i, p := range points {
		angle = append(angle, geom.Line(p, points[(i+1)%len(points)]))
	}
	return map[string]geom.Region{
		"slot as wide as the cutter": {{Outer: rounded(0, 0, 20, 2, 1)}},
		"slot with odd nanometres":   {{Outer: rounded(0.000001, 0, 20, 2.000001, 1)}},
		"wide opening":               {{Outer: rounded(0, 0, 30, 14.3, 3)}},
		"round opening":              {{Outer: circle(5, 5, 6.1)}},
		"band round a disc":          band(t, circle(0, 0, 15), 2*mm, rounded(12, -2, 20, 2, 0)),
		"wider band":                 band(t, rounded(0, 0, 30, 20, 2), 3500*geom.UM, rounded(10, -6, 14, 2, 0)),
		"inner corner":               {{Outer: angle}},
		"two alike":                  {{Outer: rounded(0, 0, 20, 2, 1)}, {Outer: rounded(40, 7, 60, 9, 1)}},
	}
}

// What the passes' strokes cover is what the cutters reach, to within a micrometre along the border, and
// they leave no opening.
func TestStrokesCoverWhatCuttersReach(t *testing.T) {
	ctx := context.Background()
	for name, openings := range shapes(t) {
		for _, cutters := range [][]geom.Length{{2 * mm}, {2 * mm, mm}, {1600 * geom.UM}, {2400 * geom.UM, 1600 * geom.UM, 800 * geom.UM}} {
			t.Run(fmt.Sprint(name, cutters), func(t *testing.T) {
				p, err := Plan(ctx, Job{Openings: openings, Cutters: cutters, Direction: Climb})
				require.NoError(t, err)
				var covered geom.Region
				for i, x := range p.Passes {
					require.NotEmpty(t, x.Path)
					for k := 1; k < len(x.Path); k++ {
						require.Equal(t, x.Path[k-1].To, x.Path[k].From, "pass %d", i)
					}
					s, err := offset.Stroke(ctx, []geom.Path{x.Path}, cutters[x.Cutter], offset.Options{})
					require.NoError(t, err)
					covered = append(covered, s...)
				}
				all, err := overlay.Union(ctx, overlay.Options{}, overlay.Of(covered...))
				require.NoError(t, err)
				over, err := overlay.Difference(ctx, overlay.Options{}, overlay.Of(all...), overlay.Of(openings...))
				require.NoError(t, err)
				bound := openings.Perimeter() * float64(geom.UM)
				assert.LessOrEqual(t, over.Area(), bound, "outside of the opening")
				for _, o := range over {
					d, _, _ := geom.Distance(geom.Outline{Outer: o.Outer}, openings)
					assert.LessOrEqual(t, d, 3000.0)
				}
				thinnest := cutters[len(cutters)-1]
				reach, err := offset.Opening(ctx, openings, thinnest/2, offset.Options{})
				require.NoError(t, err)
				want, err := reach.Covered(ctx, offset.Options{})
				require.NoError(t, err)
				missed, err := overlay.Difference(ctx, overlay.Options{}, overlay.Of(want...), overlay.Of(all...))
				require.NoError(t, err)
				assert.LessOrEqual(t, missed.Area(), bound, "not cut: %v", missed)
			})
		}
	}
}

// A slot as wide as the cutter is one pass along its middle.
func TestOnePassAlongTheMiddle(t *testing.T) {
	p, err := Plan(context.Background(), Job{Openings: geom.Region{{Outer: rounded(0, 0, 20, 2, 1)}}, Cutters: []geom.Length{2 * mm, mm}})
	require.NoError(t, err)
	require.Len(t, p.Passes, 1)
	assert.Equal(t, 0, p.Passes[0].Cutter)
	assert.InDelta(t, 18e6, p.Passes[0].Path.Length(), 1e4)
}

// For a spindle that turns clockwise seen from the top, climb has the wall on the cutter's right: inside
// an opening the wall pass runs counter-clockwise, round the panel clockwise.
func TestDirections(t *testing.T) {
	j := Job{Openings: geom.Region{{Outer: rounded(10, 10, 40, 30, 3)}}, Outline: rounded(0, 0, 60, 50, 0), Cutters: []geom.Length{2 * mm}}
	for _, c := range []struct {
		d      Direction
		inside float64
	}{{Climb, 1}, {Conventional, -1}} {
		j.Direction = c.d
		p, err := Plan(context.Background(), j)
		require.NoError(t, err)
		last := p.Passes[len(p.Passes)-1]
		assert.True(t, last.Last)
		assert.Equal(t, -c.inside, math.Copysign(1, last.Path.Area()))
		for _, x := range p.Passes[:len(p.Passes)-1] {
			assert.Equal(t, c.inside, math.Copysign(1, x.Path.Area()))
		}
	}
}

// A thinner cutter cuts only the corners that the larger leaves.
func TestThinnerCutterOnlyCutsTheRest(t *testing.T) {
	p, err := Plan(context.Background(), Job{Openings: geom.Region{{Outer: rounded(0, 0, 30, 20, 0.5)}}, Cutters: []geom.Length{3 * mm, mm}})
	require.NoError(t, err)
	thin := 0.0
	for _, x := range p.Passes {
		if x.Cutter == 1 {
			thin += x.Path.Length()
		}
	}
	assert.Greater(t, thin, 0.0)
	assert.Less(t, thin, 20e6, "four corners, not the whole wall")
	assert.Empty(t, p.Left)
}

func TestWhatNoCutterReachesIsLeft(t *testing.T) {
	p, err := Plan(context.Background(), Job{Openings: geom.Region{{Outer: rounded(0, 0, 30, 20, 0)}}, Cutters: []geom.Length{2 * mm}})
	require.NoError(t, err)
	require.Len(t, p.Left, 4)
	// (4 − π) r² in all: geometry.
	assert.InDelta(t, (4-math.Pi)*1e12, p.Left.Area(), 2e9)
}

// The order found is shorter than that of the openings as they come, and than nearest-first by itself
// never longer.
func TestShortTravel(t *testing.T) {
	var openings geom.Region
	for i := range 40 {
		x, y := float64((i*17)%40)*5, float64((i*29)%40)*4
		openings = append(openings, geom.Outline{Outer: rounded(x, y, x+4, y+2, 1)})
	}
	p, err := Plan(context.Background(), Job{Openings: openings, Cutters: []geom.Length{2 * mm}})
	require.NoError(t, err)
	require.Len(t, p.Passes, 40)
	at, simple := geom.Point{}, 0.0
	for _, o := range openings {
		box := o.Box()
		simple += at.Distance(geom.Pt(box.Min.X+mm, box.Min.Y+mm))
		at = geom.Pt(box.Max.X-mm, box.Min.Y+mm)
	}
	assert.Less(t, float64(p.Travel()), simple/2)
	again, err := Plan(context.Background(), Job{Openings: openings, Cutters: []geom.Length{2 * mm}})
	require.NoError(t, err)
	assert.Equal(t, p, again)
}

func TestFeedsAndTimes(t *testing.T) {
	m := Machine{Feeds: UsualFeeds, RapidPerMin: 6000}
	assert.InDelta(t, 1200, m.Feed(2*mm), 1e-9)
	assert.InDelta(t, 500, m.Feed(500*geom.UM), 1e-9)
	assert.InDelta(t, 1400, m.Feed(3*mm), 1e-9)
	p := Program{Passes: []Pass{{Path: geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(120*mm, 0))}}}}
	got := p.Totals([]geom.Length{2 * mm}, m)
	require.Len(t, got, 1)
	assert.InDelta(t, 6, got[0].Time.Seconds(), 1e-6)
	assert.Equal(t, 120*mm, got[0].Length)
}
