package geom

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestIntersections(t *testing.T) {
	circle := Arc(Pt(5000, 0), Pt(5000, 0), Pt(0, 0), CounterClockwise)
	upper := Arc(Pt(5000, 0), Pt(-5000, 0), Pt(0, 0), CounterClockwise)
	for _, c := range []struct {
		name string
		e, f Edge
		want []Point
	}{
		{"crossing lines", Line(Pt(0, 0), Pt(100, 100)), Line(Pt(0, 100), Pt(100, 0)), []Point{{50, 50}}},
		// x = y meets y = 50 − x/2 at 33⅓.
		{"rounded to the nearest", Line(Pt(0, 0), Pt(100, 100)), Line(Pt(0, 50), Pt(100, 0)), []Point{{33, 33}}},
		{"a metre long, exact", Line(Pt(-Limit, -Limit), Pt(Limit, Limit)), Line(Pt(-Limit, Limit), Pt(Limit, -Limit)), []Point{{0, 0}}},
		{"missing by a hair", Line(Pt(0, 0), Pt(100, 100)), Line(Pt(51, 50), Pt(100, 0)), nil},
		{"end on a line", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(30, 0), Pt(30, 50)), []Point{{30, 0}}},
		{"end on end", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(100, 0), Pt(30, 50)), []Point{{100, 0}}},
		{"common run", Line(Pt(0, 0), Pt(100, 50)), Line(Pt(140, 70), Pt(40, 20)), []Point{{40, 20}, {100, 50}}},
		{"one after the other", Line(Pt(0, 0), Pt(100, 50)), Line(Pt(100, 50), Pt(140, 70)), []Point{{100, 50}}},
		{"on one line, apart", Line(Pt(0, 0), Pt(100, 50)), Line(Pt(120, 60), Pt(140, 70)), nil},
		{"parallel", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(0, 1), Pt(100, 1)), nil},
		{"the same", Line(Pt(0, 0), Pt(100, 0)), Line(Pt(100, 0), Pt(0, 0)), []Point{{0, 0}, {100, 0}}},
		// 3000-4000-5000
		{"line through a circle", Line(Pt(-9000, 4000), Pt(9000, 4000)), circle, []Point{{-3000, 4000}, {3000, 4000}}},
		{"line ending in a circle", Line(Pt(0, 4000), Pt(9000, 4000)), circle, []Point{{3000, 4000}}},
		{"line touching a circle", Line(Pt(-9000, 5000), Pt(9000, 5000)), circle, []Point{{0, 5000}}},
		{"line passing a circle at 2 nm", Line(Pt(-9000, 5002), Pt(9000, 5002)), circle, nil},
		{"line through the missing half", Line(Pt(-9000, -4000), Pt(9000, -4000)), upper, nil},
		{"line from the end of an arc, in its direction", Line(Pt(5000, 0), Pt(5000, -9000)), upper, []Point{{5000, 0}}},
		// x² + y² = 5000², (x − 6000)² + y² = 5000²: x = 3000
		{"two circles", circle, Arc(Pt(11000, 0), Pt(11000, 0), Pt(6000, 0), Clockwise), []Point{{3000, -4000}, {3000, 4000}}},
		{"circle and half", upper, Arc(Pt(11000, 0), Pt(11000, 0), Pt(6000, 0), Clockwise), []Point{{3000, 4000}}},
		{"circles touching from outside", circle, Arc(Pt(11000, 0), Pt(11000, 0), Pt(8000, 0), Clockwise), []Point{{5000, 0}}},
		{"circles touching from inside", circle, Arc(Pt(1000, 0), Pt(1000, 0), Pt(3000, 0), Clockwise), []Point{{5000, 0}}},
		{"circle in a circle", circle, Arc(Pt(1000, 0), Pt(1000, 0), Pt(2900, 0), Clockwise), nil},
		{"about one centre", circle, Arc(Pt(1000, 0), Pt(1000, 0), Pt(0, 0), Clockwise), nil},
		{"common run of a circle", upper, Arc(Pt(0, 5000), Pt(0, -5000), Pt(0, 0), CounterClockwise), []Point{{-5000, 0}, {0, 5000}}},
	} {
		for _, e := range []Edge{c.e, c.e.Reverse()} {
			for _, f := range []Edge{c.f, c.f.Reverse()} {
				assert.Equal(t, c.want, e.Intersections(f), c.name)
				assert.Equal(t, c.want, f.Intersections(e), c.name+", exchanged")
			}
		}
	}
}

// A meeting point lies on both edges; edges that have one are not apart; edges without one are.
func TestIntersectionsAgainstDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	met := 0
	for range 5000 {
		e, f := randomEdge(r, 1_000_000), randomEdge(r, 1_000_000)
		ps := e.Intersections(f)
		for _, p := range ps {
			d1, _ := PointEdgeDistance(p, e)
			d2, _ := PointEdgeDistance(p, f)
			require.LessOrEqual(t, max(d1, d2), 1.6, "%v %v", e, f)
		}
		d, _, _ := EdgeDistance(e, f)
		if len(ps) > 0 {
			met++
			require.LessOrEqual(t, d, 1.6, "%v %v", e, f)
		} else {
			require.Positive(t, d, "%v %v", e, f)
		}
		require.Equal(t, len(ps), len(f.Intersections(e)), "%v %v", e, f)
	}
	assert.Greater(t, met, 1000)
}
