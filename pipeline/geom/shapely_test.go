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

// outsideAnswers is the reference: the geometry library GEOS through its Python binding shapely, as
// the Debian package python3-shapely has it.
const outsideAnswers = `
import json, sys
from shapely.geometry import Point, LineString, Polygon
out = []
for c in json.load(sys.stdin):
    poly = Polygon(c["ring"])
    q, s = Point(c["q"]), LineString(c["s"])
    a = LineString(c["a"])
    out.append({
        "valid": poly.is_valid, "area": poly.area,
        "inside": poly.contains(q), "border": poly.exterior.distance(q),
        "point_line": q.distance(s), "line_line": a.distance(s), "meet": a.intersects(s),
        "line_ring": s.distance(poly.exterior),
    })
json.dump(out, sys.stdout)
`

type outsideCase struct {
	Ring [][2]Length  `json:"ring"`
	Q    [2]Length    `json:"q"`
	S    [2][2]Length `json:"s"`
	A    [2][2]Length `json:"a"`
}

type outsideAnswer struct {
	Valid, Inside, Meet bool
	Area, Border        float64
	PointLine           float64 `json:"point_line"`
	LineLine            float64 `json:"line_line"`
	LineRing            float64 `json:"line_ring"`
}

// Source of the expected values: GEOS (see outsideAnswers). 2,000 random cases of a polygon, a point
// and two lines: distances to within 2 nm, areas to a part in 10¹², and yes or no alike.
func TestAgainstShapely(t *testing.T) {
	const python = "/usr/bin/python3"
	if err := exec.Command(python, "-c", "import shapely.geometry").Run(); err != nil {
		shared.Missing(t, "shapely is not here: install the Debian package python3-shapely")
	}
	r := rand.New(rand.NewPCG(18, 19))
	pt := func(size int64) Point { return Pt(Length(r.Int64N(2*size)-size), Length(r.Int64N(2*size)-size)) }
	pair := func(p Point) [2]Length { return [2]Length{p.X, p.Y} }
	cases := make([]outsideCase, 2000)
	rings := make([]Path, len(cases))
	for i := range cases {
		c := &cases[i]
		size := []int64{1_000, 1_000_000, 200_000_000}[i%3]
		n := 3 + r.IntN(10)
		corners := make([]Point, n)
		for k := range corners {
			corners[k] = pt(size) // any which way: every second one or so crosses itself
			if i%2 == 0 {         // star-shaped: none does
				sin, cos := math.Sincos((float64(k) + 0.9*r.Float64()) / float64(n) * 2 * math.Pi)
				rad := float64(size) * (0.2 + 0.8*r.Float64())
				corners[k] = Pt(Round(rad*cos), Round(rad*sin))
			}
		}
		for k, p := range corners {
			c.Ring = append(c.Ring, pair(p))
			rings[i] = append(rings[i], Line(p, corners[(k+1)%n]))
		}
		c.Q, c.S, c.A = pair(pt(size)), [2][2]Length{pair(pt(size)), pair(pt(size))}, [2][2]Length{pair(pt(size)), pair(pt(size))}
	}
	in, err := json.Marshal(cases)
	require.NoError(t, err)
	cmd := exec.Command(python, "-c", outsideAnswers)
	cmd.Stdin = strings.NewReader(string(in))
	raw, err := cmd.Output()
	require.NoError(t, err)
	var answers []outsideAnswer
	require.NoError(t, json.Unmarshal(raw, &answers))
	require.Len(t, answers, len(cases))

	unpair := func(p [2]Length) Point { return Pt(p[0], p[1]) }
	simple, inside, worst := 0, 0, 0.0
	for i, c := range cases {
		want, ring, q := answers[i], rings[i], unpair(c.Q)
		s, a := Line(unpair(c.S[0]), unpair(c.S[1])), Line(unpair(c.A[0]), unpair(c.A[1]))
		near := func(name string, want, got float64) {
			worst = max(worst, math.Abs(want-got))
			require.InDelta(t, want, got, 2, "case %d: %s", i, name)
		}
		d, _ := PointEdgeDistance(q, s)
		near("point to line", want.PointLine, d)
		d, _, _ = EdgeDistance(a, s)
		near("line to line", want.LineLine, d)
		require.Equal(t, want.Meet, len(a.Intersections(s)) > 0, "case %d", i)
		near("point to border", want.Border, Outline{Outer: ring}.Distance(q))
		d, _, _ = PathDistance(Path{s}, ring)
		near("line to border", want.LineRing, d)
		require.Equal(t, want.Valid, ring.Check() == nil, "case %d: %v", i, c.Ring)
		if want.Valid {
			simple++
			require.InEpsilon(t, want.Area, math.Abs(ring.Area()), 1e-12, "case %d", i)
			if want.Border > 0 {
				require.Equal(t, want.Inside, ring.Locate(q) == Inside, "case %d", i)
			}
			if want.Inside {
				inside++
			}
		}
	}
	assert.Greater(t, simple, 900)
	assert.Greater(t, inside, 200)
	t.Logf("%d simple polygons, %d points inside, largest difference %.3g nm", simple, inside, worst)
	shared.Ran(t, "geometry library: distances, locations and crossings")
}
