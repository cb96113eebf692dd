package geom

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/internal/shared"
)

// outsideAreas asks GEOS through shapely (see outsideAnswers) about areas with holes and in pieces.
const outsideAreas = `
import json, sys
from shapely.geometry import Point, LineString, Polygon, MultiPolygon
from shapely.ops import nearest_points
def shape(s):
    if s["kind"] == "point":
        return Point(s["rings"][0][0][0])
    if s["kind"] == "line":
        return LineString(s["rings"][0][0])
    polys = [Polygon(p[0], p[1:]) for p in s["rings"]]
    return polys[0] if len(polys) == 1 else MultiPolygon(polys)
out = []
for c in json.load(sys.stdin):
    a, b = shape(c["a"]), shape(c["b"])
    p, q = nearest_points(a, b)
    out.append({"valid": a.is_valid and b.is_valid, "distance": a.distance(b), "meet": a.intersects(b),
        "p": [p.x, p.y], "q": [q.x, q.y],
        "area": a.area, "length": a.length, "centroid": [a.centroid.x, a.centroid.y]})
json.dump(out, sys.stdout)
`

type outsideShape struct {
	Kind  string           `json:"kind"`
	Rings [][][][2]float64 `json:"rings"` // of each polygon the outer ring, then the holes
}

// dense is a path's chords, 400 to an arc.
func dense(p Path) [][2]float64 {
	out := [][2]float64{}
	for _, e := range p {
		n := 1
		if e.Sense != Straight {
			n = 400
		}
		c := curveOf(e)
		start, sweep := 0.0, 0.0
		if c.shape != shapeLine {
			start, sweep = c.turn()
		}
		out = append(out, [2]float64{float64(e.From.X), float64(e.From.Y)})
		for k := 1; k < n; k++ {
			sin, cos := math.Sincos(start + sweep*float64(k)/float64(n))
			out = append(out, [2]float64{float64(e.From.X) + c.cx + c.r*cos, float64(e.From.Y) + c.cy + c.r*sin})
		}
	}
	last := p[len(p)-1].To
	return append(out, [2]float64{float64(last.X), float64(last.Y)})
}

func outsideOf(s Shape) outsideShape {
	rings := func(o Outline) [][][2]float64 {
		var out [][][2]float64
		for _, p := range o.loops() {
			out = append(out, dense(p))
		}
		return out
	}
	switch s := s.(type) {
	case Point:
		return outsideShape{"point", [][][][2]float64{{{{float64(s.X), float64(s.Y)}}}}}
	case Edge:
		return outsideShape{"line", [][][][2]float64{{dense(Path{s})}}}
	case Path:
		return outsideShape{"line", [][][][2]float64{{dense(s)}}}
	case Outline:
		return outsideShape{"area", [][][][2]float64{rings(s)}}
	}
	out := outsideShape{Kind: "area"}
	for _, o := range s.(Region) {
		out.Rings = append(out.Rings, rings(o))
	}
	return out
}

// randomShape gives any kind of shape about c. Its arcs' radii stay below 10 mm.
func randomShape(r *rand.Rand, c Point, arcs bool) Shape {
	size := math.Pow(10, 5+2*r.Float64())
	off := func() Point { return c.Add(Pt(Round(size*(2*r.Float64()-1)), Round(size*(2*r.Float64()-1)))) }
	area := func(c Point) Outline {
		o := Outline{Outer: star(r, c, size, 6+r.IntN(8))}
		if arcs {
			w := Length(size)
			o.Outer = RoundedRectangle(BoxOf(c.Sub(Pt(w, w)), c.Add(Pt(w, w))), Length(size*(0.1+0.8*r.Float64())))
		}
		if r.IntN(2) == 0 {
			w := Length(size * 0.15)
			hole := box4(c.X-w, c.Y-w, c.X+w, c.Y+w)
			if arcs {
				hole = discAt(c, w)
			}
			o.CutOuts = []Path{hole.Reverse()}
		}
		return o
	}
	switch r.IntN(6) {
	case 0:
		return off()
	case 1:
		if arcs {
			a := discAt(c, Length(size))[0]
			a.To = a.Center.Add(Pt(Length(size*0.6), Length(size*0.8)))
			return a
		}
		return Line(off(), off())
	case 2:
		q := off()
		return Path{Line(off(), q), Line(q, off())}
	case 3:
		return Region{area(c), area(c.Add(Pt(Round(2.5*size), 0)))}
	}
	return area(c)
}

// Source of the expected values: GEOS (see outsideAreas), 1,200 pairs of shapes of every kind, with holes,
// with arcs (as 400 chords each) and without, apart, crossing and one in the other.
func TestShapesAgainstShapely(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import shapely.geometry").Run(); err != nil {
		shared.Missing(t, "shapely is not here: install the Debian package python3-shapely")
	}
	r := rand.New(rand.NewPCG(31, 32))
	type pair struct {
		A outsideShape `json:"a"`
		B outsideShape `json:"b"`
	}
	const plain, curved = 1000, 200
	var shapes [][2]Shape
	var ask []pair
	for i := range plain + curved {
		arcs := i >= plain
		a := randomShape(r, Point{}, arcs)
		far := []float64{0, 1e6, 8e6, 3e8}[i%4]
		b := randomShape(r, Pt(Round(far*(2*r.Float64()-1)), Round(far*(2*r.Float64()-1))), arcs)
		shapes = append(shapes, [2]Shape{a, b})
		ask = append(ask, pair{outsideOf(a), outsideOf(b)})
	}
	in, err := json.Marshal(ask)
	require.NoError(t, err)
	cmd := exec.Command(python, "-c", outsideAreas)
	cmd.Stdin = strings.NewReader(string(in))
	raw, err := cmd.Output()
	require.NoError(t, err)
	var answers []struct {
		Valid, Meet            bool
		Distance, Area, Length float64
		P, Q, Centroid         [2]float64
	}
	require.NoError(t, json.Unmarshal(raw, &answers))
	require.Len(t, answers, len(shapes))

	apart, meeting, areas, worst := 0, 0, 0, 0.0
	for i, s := range shapes {
		want := answers[i]
		require.True(t, want.Valid, "case %d", i)
		// A chord of a circle of 10 mm by 1/400 turn leaves it by 10 mm · (π/400)²/2 = 308 nm.
		tol := 1e-3
		if i >= plain {
			tol = 620
		}
		d, p, q := Distance(s[0], s[1])
		require.InDelta(t, want.Distance, d, tol, "case %d: %v and %v", i, s[0], s[1])
		if i < plain {
			require.Equal(t, want.Meet, d == 0, "case %d", i)
			worst = max(worst, math.Abs(want.Distance-d))
		}
		if d == 0 {
			meeting++
			require.Equal(t, p, q)
		} else {
			apart++
			require.InDelta(t, d, p.Distance(q), 1.5, "case %d", i)
			// GEOS's points are as near; where they are not the same there are several as near.
			require.InDelta(t, math.Hypot(want.P[0]-want.Q[0], want.P[1]-want.Q[1]), p.Distance(q), tol+1.5)
		}
		var m Moments
		var length float64
		switch a := s[0].(type) {
		case Outline:
			m, length = a.Moments(), a.Perimeter()
		case Region:
			m, length = a.Moments(), a.Perimeter()
		default:
			continue
		}
		areas++
		rel := 1e-12
		if i >= plain {
			rel = 1e-4 // a circle of 400 chords has 4e-5 less area
		}
		require.InEpsilon(t, want.Area, m.Area, rel, "case %d", i)
		require.InEpsilon(t, want.Length, length, rel, "case %d", i)
		require.InDelta(t, want.Centroid[0], m.CX, tol, "case %d", i)
		require.InDelta(t, want.Centroid[1], m.CY, tol, "case %d", i)
	}
	assert.Greater(t, apart, 400)
	assert.Greater(t, meeting, 200)
	assert.Greater(t, areas, 400)
	t.Logf("%d apart, %d meeting, %d areas, largest difference of straight shapes %.3g nm", apart, meeting, areas, worst)
	shared.Ran(t, "geometry library: areas, centroids and distances of shapes")
}
