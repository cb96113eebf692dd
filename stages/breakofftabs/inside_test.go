package breakofftabs

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func circleAt(r geom.Length) geom.Path {
	from := geom.Pt(r, 0)
	return geom.Path{geom.Arc(from, from, geom.Point{}, geom.CounterClockwise)}
}

func polygon(points ...geom.Point) geom.Path {
	var p geom.Path
	for i, a := range points {
		p = append(p, geom.Line(a, points[(i+1)%len(points)]))
	}
	return p
}

func pt(x, y float64) geom.Point { return geom.Pt(geom.FromMM(x), geom.FromMM(y)) }

// A place along a track, its point, and back; quarter circles by geometry.
func TestTrack(t *testing.T) {
	c := newTrack(circleAt(10 * geom.MM))
	quarter := math.Pi * 10e6 / 2
	for i, want := range []geom.Point{pt(10, 0), pt(0, 10), pt(-10, 0), pt(0, -10)} {
		p, v := c.at(float64(quarter * float64(i)))
		assert.InDelta(t, 0, p.Distance(want), 2)
		radial := unit(want)
		assert.InDelta(t, 1, v.right().dot(radial), 1e-9, "outwards is to the right of a counter-clockwise tangent")
		assert.InDelta(t, 0, c.wrap(c.project(want)-float64(quarter*float64(i))+1)-1, 2)
	}
	half := c.stretch(float64(3*quarter), float64(5*quarter)) // across where the track begins
	assert.InDelta(t, 2*quarter, half.Length(), 3)
	assert.Equal(t, half[len(half)-1].To, c.stretch(quarter, 2*quarter)[0].From)
}

// What counts as a corner: sharp vertices, small arcs and chains of short edges that stand for one; not the
// edge of a round board, however it is drawn.
func TestCorners(t *testing.T) {
	square := polygon(pt(0, 0), pt(40, 0), pt(40, 30), pt(0, 30))
	angle := polygon(pt(0, 0), pt(60, 0), pt(60, 25), pt(30, 25), pt(30, 45), pt(0, 45))
	var chords []geom.Point
	for i := range 90 {
		sin, cos := geom.SinCos(2 * math.Pi * float64(i) / 90)
		chords = append(chords, pt(15*cos, 15*sin))
	}
	for name, c := range map[string]struct {
		path           geom.Path
		convex, reflex int
	}{
		"square":           {square, 4, 0},
		"rounded by 3 mm":  {geom.RoundedRectangle(geom.Box{Max: pt(40, 30)}, 3*geom.MM), 4, 0},
		"rounded by 10 mm": {geom.RoundedRectangle(geom.Box{Max: pt(60, 50)}, 10*geom.MM), 0, 0},
		"L":                {angle, 5, 1},
		"round":            {circleAt(15 * geom.MM), 0, 0},
		"round, 90 chords": {polygon(chords...), 0, 0},
		"bevels of a mm":   {polygon(pt(1, 0), pt(39, 0), pt(40, 1), pt(40, 29), pt(39, 30), pt(1, 30), pt(0, 29), pt(0, 1)), 4, 0},
	} {
		t.Run(name, func(t *testing.T) {
			convex, reflex := 0, 0
			for _, z := range corners(newTrack(c.path)) {
				if z.convex() {
					convex++
				} else if z.turn <= -turned {
					reflex++
				}
			}
			assert.Equal(t, c.convex, convex, "convex")
			assert.Equal(t, c.reflex, reflex, "reflex")
		})
	}
}

func TestFree(t *testing.T) {
	got, all := free(100, nil)
	assert.True(t, all)
	assert.Empty(t, got)
	got, _ = free(100, []barred{{from: 10, to: 20, margin: 5}, {from: 95, to: 105, margin: 1}})
	assert.Equal(t, []stretch{{25, 94}}, got, "the second wraps round and leaves nothing before the first")
	got, _ = free(100, []barred{{from: 40, to: 60, margin: 0}})
	require.Len(t, got, 1, "it goes on past where the outline begins")
	assert.Equal(t, stretch{60, 140}, got[0])
	_, all = free(100, []barred{{from: 0, to: 90, margin: 10}})
	assert.False(t, all)
}

// Places lie symmetrically about the middle, which is one of them.
func TestPlaces(t *testing.T) {
	got := places(stretch{0, 10e6}, 3e6)
	require.Len(t, got, 5)
	for i, x := range got {
		assert.InDelta(t, 10e6, x+got[len(got)-1-i], 1)
	}
	assert.Equal(t, []float64{7}, places(stretch{7, 7}, 1e6))
}
