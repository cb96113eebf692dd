package offset

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"panelwright/pipeline/geom"
)

// winding is how often the raw paths of a region's border, moved by d, run round a place.
func winding(b *builder, q geom.Point) int {
	w := 0
	for _, p := range b.raw {
		w += p.Winding(q)
	}
	return w
}

func rawOf(r geom.Region, d geom.Length, o Options) *builder {
	b := &builder{o: o}
	for _, p := range r.Paths() {
		b.ring(p, d)
	}
	return b
}

// depth tells how deep in a region a place lies, or, negative, how far outside, in nm: by trying all
// edges.
func depth(r geom.Region, q geom.Point) float64 {
	d := math.Inf(1)
	for _, p := range r.Paths() {
		for _, e := range p {
			v, _ := geom.PointEdgeDistance(q, e)
			d = min(d, v)
		}
	}
	if r.Locate(q) == geom.Inside {
		return d
	}
	return -d
}

// probes are places that try an offset by d: some anywhere, most where its border may run, up to a few nm
// beside it.
func probes(rnd *rand.Rand, r geom.Region, d geom.Length, n int) []geom.Point {
	box := r.Box().Grow(2 * d.Abs())
	var edges []geom.Edge
	for _, p := range r.Paths() {
		edges = append(edges, p...)
	}
	out := make([]geom.Point, n)
	for i := range out {
		if i%4 == 0 {
			out[i] = geom.Pt(box.Min.X+geom.Length(rnd.Int64N(int64(box.Width())+1)), box.Min.Y+geom.Length(rnd.Int64N(int64(box.Height())+1)))
			continue
		}
		e := edges[rnd.IntN(len(edges))]
		at := e.At([]float64{0, 1, rnd.Float64(), rnd.Float64()}[rnd.IntN(4)])
		a := rnd.Float64() * 2 * math.Pi
		if i%4 == 1 { // square to the edge
			v := e.Beside(0.5, 1e6).Sub(e.At(0.5))
			a = math.Atan2(-float64(v.Y), -float64(v.X))
		}
		sin, cos := math.Sincos(a)
		by := float64(d) + (rnd.Float64()*2-1)*[]float64{4, 20, 1000, float64(d)}[rnd.IntN(4)]
		out[i] = at.Add(pt(by*cos, by*sin))
	}
	return out
}

// tooNear is how near in nm to the border of an offset a raw path may be wrong.
const tooNear = 2.0

// The winding number of raw paths tells what lies within the distance, to within 2 nm. The reference is
// the distance to every edge.
func TestRawPathsRunRoundWhatLiesWithinTheDistance(t *testing.T) {
	probed := map[bool]int{}
	n := uint64(300)
	if testing.Short() {
		n = 60
	}
	for seed := range n {
		rnd := rand.New(rand.NewPCG(seed, 1))
		size := math.Pow(10, 3.5+4.5*rnd.Float64())
		r := random(t, rnd, size)
		if len(r) == 0 {
			continue
		}
		d := geom.Round(size*math.Pow(10, -2.5*rnd.Float64())) + 1
		if seed%2 == 1 {
			d = -d / 2
		}
		if d == 0 {
			continue
		}
		b := rawOf(r, d, Options{})
		for _, q := range probes(rnd, r, d, 300) {
			deep := depth(r, q) + float64(d)
			if math.Abs(deep) <= tooNear {
				continue
			}
			probed[deep > 0]++
			if !assert.Equal(t, deep > 0, winding(b, q) > 0, fmt.Sprintf("seed %d by %d: at %d,%d, %.1f nm inside, winding number %d", seed, d, q.X, q.Y, deep, winding(b, q))) {
				break
			}
		}
	}
	assert.Greater(t, min(probed[true], probed[false]), int(n)*66)
}
