package place

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func box(x1, y1, x2, y2 geom.Length) geom.Box {
	return geom.Box{Min: geom.Pt(x1*geom.MM, y1*geom.MM), Max: geom.Pt(x2*geom.MM, y2*geom.MM)}
}

func TestCrowd(t *testing.T) {
	var c Crowd
	c.Take(box(0, 0, 10, 10))
	c.Draw(geom.Path{geom.Line(geom.Pt(20*geom.MM, 0), geom.Pt(40*geom.MM, 20*geom.MM))}, geom.MM)
	ring := geom.Arc(geom.Pt(60*geom.MM, 0), geom.Pt(60*geom.MM, 0), geom.Pt(50*geom.MM, 0), geom.CounterClockwise)
	c.Draw(geom.Path{ring}, 0)
	for _, x := range []struct {
		b    geom.Box
		free bool
		why  string
	}{
		{box(9, 9, 12, 12), false, "over a box"},
		{box(10, 0, 12, 5), true, "beside a box"},
		{box(29, 9, 31, 11), false, "over a line"},
		{box(22, 10, 28, 14), true, "beside a slanting line, in its bounding box"},
		{box(45, -2, 55, 2), true, "within a ring"},
		{box(58, -2, 62, 2), false, "over a ring"},
		{box(42, 8, 43, 9), true, "outside a ring, in its bounding box"},
	} {
		assert.Equal(t, x.free, c.Free(x.b), x.why)
	}
	assert.Equal(t, 1, c.First([]geom.Box{box(1, 1, 2, 2), box(12, 0, 14, 2), box(14, 0, 16, 2)}))
	assert.Equal(t, -1, c.First([]geom.Box{box(12, 0, 14, 2)}), "what was taken is taken")
}

// TestWithin: boxes put one after another in an area never overlap, and are put until it is nearly full.
func TestWithin(t *testing.T) {
	var c Crowd
	var all []geom.Box
	area := box(0, 0, 40, 30)
	for {
		b, ok := c.Within(area, 4*geom.MM, 3*geom.MM, geom.Pt(20*geom.MM, 15*geom.MM), geom.MM)
		if !ok {
			break
		}
		require.True(t, area.Holds(b))
		for _, o := range all {
			require.False(t, inner(o, b))
		}
		all = append(all, b)
	}
	assert.Greater(t, len(all), 60, "of 100 that would fit at best")
}

// TestSpread holds labels' places against what is promised, and small cases against trying every way.
func TestSpread(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 300 {
		n := 1 + r.Intn(12)
		at := make([]geom.Length, n)
		x := geom.Length(0)
		for i := range at {
			x += geom.Length(r.Intn(5_000_000))
			at[i] = x
		}
		var blocked []Span
		for range r.Intn(4) {
			b := geom.Length(r.Intn(40_000_000))
			blocked = append(blocked, Span{b, b + geom.Length(r.Intn(2_000_000))})
		}
		got, ok := Spread(at, 3*geom.MM, blocked, -20*geom.MM, 80*geom.MM)
		require.True(t, ok)
		for i, p := range got {
			if i > 0 {
				require.GreaterOrEqual(t, p-got[i-1], 3*geom.MM)
			}
			require.True(t, p >= -20*geom.MM+1500*geom.UM && p <= 80*geom.MM-1500*geom.UM)
			for _, b := range blocked {
				require.True(t, p+1500*geom.UM <= b.Low || p-1500*geom.UM >= b.High)
			}
		}
	}
	_, ok := Spread(make([]geom.Length, 5), 3*geom.MM, nil, 0, 14*geom.MM)
	assert.False(t, ok, "five labels of 3 mm do not fit in 14 mm")
	_, ok = Spread(make([]geom.Length, 5), 3*geom.MM, nil, 0, 15*geom.MM)
	assert.True(t, ok, "but just fit in 15 mm")

	at := []geom.Length{5 * geom.MM, 5500 * geom.UM, 9 * geom.MM}
	got, ok := Spread(at, 2*geom.MM, []Span{{8 * geom.MM, 9 * geom.MM}}, 0, 14*geom.MM)
	require.True(t, ok)
	cost := func(p []geom.Length) (s float64) {
		for i := range p {
			d := float64(p[i]-at[i]) / 1e6
			s += d * d
		}
		return s
	}
	least := math.Inf(1)
	free := func(p geom.Length) bool { return p+geom.MM <= 8*geom.MM || p-geom.MM >= 9*geom.MM }
	for a := geom.MM; a <= 13*geom.MM; a += 250 * geom.UM {
		for b := a + 2*geom.MM; b <= 13*geom.MM; b += 250 * geom.UM {
			for c := b + 2*geom.MM; c <= 13*geom.MM; c += 250 * geom.UM {
				if free(a) && free(b) && free(c) {
					least = min(least, cost([]geom.Length{a, b, c}))
				}
			}
		}
	}
	assert.InDelta(t, least, cost(got), 1e-9)
}
