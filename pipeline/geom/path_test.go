package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEdgeMeasures(t *testing.T) {
	quarter := Arc(Pt(1000, 0), Pt(0, 1000), Pt(0, 0), CounterClockwise)
	assert.InDelta(t, 500*math.Pi, quarter.Length(), 1e-9)
	assert.Equal(t, Pt(707, 707), quarter.At(0.5)) // 1000/√2 = 707.1
	assert.Equal(t, Pt(707, 707), quarter.Reverse().At(0.5))
	assert.Equal(t, Box{Pt(0, 0), Pt(1000, 1000)}, quarter.Box())
	assert.Equal(t, Box{Pt(-1000, -1000), Pt(1000, 1000)}, Arc(Pt(0, 1000), Pt(1000, 0), Pt(0, 0), CounterClockwise).Box())
	assert.Equal(t, Box{Pt(-5, -5), Pt(5, 5)}, Arc(Pt(3, 4), Pt(3, 4), Pt(0, 0), Clockwise).Box())
	assert.Equal(t, Pt(4, 3), Line(Pt(0, 0), Pt(8, 6)).At(0.5))
}

func TestArea(t *testing.T) {
	assert.Equal(t, 200.0, Rectangle(Box{Pt(0, 0), Pt(10, 20)}).Area())
	assert.Equal(t, -200.0, Rectangle(Box{Pt(0, 0), Pt(10, 20)}).Reverse().Area())
	disc := Path{Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), Clockwise)}
	assert.InDelta(t, -1e6*math.Pi, disc.Area(), 1e-3)
	// A square of 100 with corners of radius 10 lacks (4 − π)·10².
	assert.InDelta(t, 10_000-(4-math.Pi)*100, RoundedRectangle(Box{Pt(0, 0), Pt(100, 100)}, 10).Area(), 1e-9)
	assert.Zero(t, Path(nil).Area())
}

// An arc whose ends lie at radii 3 nm apart still begins and ends where it says and has no step.
func TestArcThroughBothEnds(t *testing.T) {
	e := Arc(Pt(1_000_000, 0), Pt(0, 1_000_003), Pt(0, 0), CounterClockwise)
	for _, e := range []Edge{e, e.Reverse()} {
		for _, f := range []float64{0, 1e-9, 0.3, 1 - 1e-9, 1} {
			d, _ := PointEdgeDistance(e.At(f), e)
			assert.LessOrEqual(t, d, 0.75)
		}
		assert.LessOrEqual(t, e.At(1-1e-9).Distance(e.To), 1.5)
		assert.LessOrEqual(t, e.At(1e-9).Distance(e.From), 1.5)
	}
	// Ends that disagree beyond sense stand as a line.
	odd := Arc(Pt(1000, 0), Pt(2000, 10), Pt(0, 0), CounterClockwise)
	assert.InDelta(t, math.Hypot(1000, 10), odd.Length(), 1e-9)
}

// A box holds every point of its edge and is touched on all sides.
func TestBoxAgainstSamples(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		e := randomEdge(r, 1000)
		seen := EmptyBox()
		for i := range 5001 {
			seen = seen.Extend(e.At(float64(i) / 5000))
		}
		b := e.Box()
		require.True(t, b.Grow(1).Holds(seen), "%v", e)
		require.True(t, seen.Grow(2).Holds(b), "%v: %v, %v", e, b, seen)
	}
}

func TestHeading(t *testing.T) {
	a := Arc(Pt(10, 0), Pt(0, 10), Pt(0, 0), CounterClockwise)
	assert.Equal(t, Pt(0, 10), a.Heading(a.From))
	assert.Equal(t, Pt(-10, 0), a.Heading(a.To))
	b := a.Reverse()
	assert.Equal(t, Pt(10, 0), b.Heading(b.From))
	assert.Equal(t, Pt(0, -10), b.Heading(b.To))
	assert.Equal(t, Pt(3, -4), Line(Pt(1, 1), Pt(4, -3)).Heading(Pt(4, -3)))
}

func TestRecentred(t *testing.T) {
	a, ok := Arc(Pt(1_000_000, 0), Pt(-1_000_000, 0), Pt(2_540, -1_270), CounterClockwise).Recentred()
	assert.True(t, ok)
	assert.Equal(t, Pt(0, -1_270), a.Center)
	for _, e := range []Edge{
		Line(Pt(0, 0), Pt(5, 5)),
		Arc(Pt(10, 0), Pt(10, 0), Pt(0, 0), Clockwise),            // a full circle
		Arc(Pt(1000, 0), Pt(1002, 0), Pt(0, 0), CounterClockwise), // all but a step
		Arc(Pt(1000, 0), Pt(0, 400), Pt(0, 0), CounterClockwise),  // no circle is meant
	} {
		same, ok := e.Recentred()
		assert.False(t, ok, "%v", e)
		assert.Equal(t, e, same)
	}
}
