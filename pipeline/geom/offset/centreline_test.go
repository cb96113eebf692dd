package offset_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
	"panelwright/pipeline/geom/offset"
)

// arcBand is the part of a ring between two radii from 0° to an angle, with straight ends.
func arcBand(in, out, degrees float64) geom.Region {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	a, b := geom.Pt(mm(in), 0), geom.Pt(mm(out), 0)
	c, d := geom.Pt(mm(out*cos), mm(out*sin)), geom.Pt(mm(in*cos), mm(in*sin))
	o := geom.Pt(0, 0)
	return geom.Region{{Outer: geom.Path{geom.Line(a, b), geom.Arc(b, c, o, geom.CounterClockwise), geom.Line(c, d), geom.Arc(d, a, o, geom.Clockwise)}}}
}

// grid gives the region that is left between boards of w × h mm with gaps between them and to the frame.
func grid(nx, ny int, w, h, gap float64) geom.Region {
	r := geom.Region{{Outer: rect(-gap, -gap, float64(nx)*(w+gap), float64(ny)*(h+gap))}}
	for i := range nx {
		for k := range ny {
			x, y := float64(i)*(w+gap), float64(k)*(h+gap)
			r[0].CutOuts = append(r[0].CutOuts, rect(x, y, x+w, y+h).Reverse())
		}
	}
	return r
}

// Where the middle runs is known by construction: lengths are sums of the sizes they are drawn with.
func TestCentreLinesOfChannelsWhoseMiddleIsKnown(t *testing.T) {
	for _, c := range []struct {
		name   string
		r      geom.Region
		widest float64
		paths  int
		length float64   // of all together, mm
		pass   []float64 // places on a line, x and y in mm
	}{
		{"slot with square ends", geom.Region{{Outer: rect(0, 0, 20, 2)}}, 3, 1, 18, []float64{1, 1, 10, 1, 19, 1}},
		{"slot with round ends", geom.Region{{Outer: geom.RoundedRectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(mm(20), mm(2))), mm(1))}}, 3, 1, 18, []float64{1, 1, 10, 1, 19, 1}},
		{"slot exactly as wide as widest", geom.Region{{Outer: rect(0, 0, 20, 2)}}, 2, 1, 18, []float64{1, 1, 19, 1}},
		{"slot wider than widest", geom.Region{{Outer: rect(0, 0, 20, 2)}}, 1.99, 0, 0, nil},
		{"L", geom.Region{{Outer: closed(0, 0, 12, 0, 12, 2, 2, 2, 2, 8, 0, 8)}}, 2, 1, 16, []float64{1, 7, 1, 1, 11, 1}},
		{"U", geom.Region{{Outer: closed(0, 0, 12, 0, 12, 8, 10, 8, 10, 2, 2, 2, 2, 8, 0, 8)}}, 2, 1, 22, []float64{1, 7, 1, 1, 11, 1, 11, 7}},
		{"T", geom.Region{{Outer: closed(0, 0, 20, 0, 20, 2, 11, 2, 11, 10, 9, 10, 9, 2, 0, 2)}}, 2, 3, 9 + 9 + 8, []float64{1, 1, 10, 1, 19, 1, 10, 9}},
		{"plus", geom.Region{{Outer: closed(-1, -10, 1, -10, 1, -1, 10, -1, 10, 1, 1, 1, 1, 10, -1, 10, -1, 1, -10, 1, -10, -1, -1, -1)}}, 2, 4, 36, []float64{0, 0, 9, 0, 0, -9}},
		{"ring", geom.Region{{Outer: ring(11), CutOuts: []geom.Path{ring(9).Reverse()}}}, 2, 1, 20 * math.Pi, []float64{10, 0, -10, 0, 0, 10}},
		{"square ring", geom.Region{{Outer: rect(0, 0, 20, 20), CutOuts: []geom.Path{rect(2, 2, 18, 18).Reverse()}}}, 2, 1, 72, []float64{1, 1, 19, 1, 19, 19, 1, 19, 1, 10}},
		{"ring of straight parts and arcs", geom.Region{{
			Outer:   geom.RoundedRectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(mm(20), mm(20))), mm(5)),
			CutOuts: []geom.Path{geom.RoundedRectangle(geom.BoxOf(geom.Pt(mm(2), mm(2)), geom.Pt(mm(18), mm(18))), mm(3)).Reverse()},
		}}, 2, 1, 40 + 8*math.Pi, []float64{1, 10, 10, 1, 5 - 4*math.Sqrt2/2, 5 - 4*math.Sqrt2/2}},
		// The discs in the ends touch an end and both arcs: 1 mm to the side of it, 10 mm from the centre.
		{"bent round an arc", arcBand(9, 11, 90), 2, 1, 10 * (math.Pi/2 - 2*math.Asin(0.1)), []float64{10 * math.Sqrt2 / 2, 10 * math.Sqrt2 / 2}},
		{"bent round an arc of more than half a turn", arcBand(9, 11, 300), 2, 1, 10 * (math.Pi*5/3 - 2*math.Asin(0.1)), []float64{-10, 0, 0, 10}},
		// A disc about x fits with (2 − x/40)·cos α, and the ends stand that far from it; tan α = 1/40.
		{"tapered", geom.Region{{Outer: closed(0, -2, 40, -1, 40, 1, 0, 2)}}, 4, 1,
			40 - 2/(math.Sqrt(1+1.0/1600)+1.0/40) - 1/(math.Sqrt(1+1.0/1600)-1.0/40), []float64{20, 0}},
		{"dumb-bell", dumbBell(0), 2, 1, 20, []float64{10, 5, 20, 5, 30, 5}},
		{"boards in a frame", grid(4, 3, 30, 20, 2), 2, 31 - 4, 5*66 + 4*128, []float64{-1, -1, 31, 21, 95, 43, 127, 65, 63, 50}},
		{"many small boards in a frame", grid(40, 2, 3, 3, 1), 1, 41*2 + 40*3 - 4, 41*8 + 3*160, []float64{-0.5, -0.5, 3.5, 3.5, 79.5, 3.5, 159.5, 7.5}},
	} {
		for _, a := range bentAngles {
			what := fmt.Sprintf("%s, turned by %v°", c.name, a)
			shift := geom.Pt(mm(3), mm(-8))
			got, err := offset.CentreLines(t.Context(), turned(c.r, a, shift), mm(c.widest))
			require.NoError(t, err, what)
			assert.Len(t, got, c.paths, what)
			assert.InDelta(t, c.length*1e6, total(got), 50+c.length*1e6*1e-5, what)
			for i := 0; i < len(c.pass); i += 2 {
				q := turned(geom.Region{{Outer: rect(c.pass[i], c.pass[i+1], 500, 500)}}, a, shift)[0].Outer[0].From
				d, _ := beside(got, q)
				assert.Less(t, d, 20.0, "%s: through %v, %v", what, c.pass[i], c.pass[i+1])
			}
			for _, p := range got {
				for k := 1; k < len(p); k++ {
					assert.Equal(t, p[k-1].To, p[k].From, what)
				}
			}
		}
	}
}

// Between lines the middle is straight, between arcs about one centre it is one arc.
func TestCentreLinesAreLinesAndTrueArcs(t *testing.T) {
	for _, a := range bentAngles {
		got, err := offset.CentreLines(t.Context(), turned(arcBand(9, 11, 130), a, geom.Pt(mm(1), mm(2))), mm(2))
		require.NoError(t, err)
		require.Len(t, got, 1, "turned by %v°", a)
		require.Len(t, got[0], 1, "turned by %v°", a)
		assert.NotEqual(t, geom.Straight, got[0][0].Sense)
		got, err = offset.CentreLines(t.Context(), turned(geom.Region{{Outer: rect(0, 0, 20, 2)}}, a, geom.Pt(mm(1), mm(2))), mm(2))
		require.NoError(t, err)
		require.Len(t, got, 1, "turned by %v°", a)
		assert.Len(t, got[0], 1, "turned by %v°", a)
	}
	got, err := offset.CentreLines(t.Context(), geom.Region{{Outer: ring(11), CutOuts: []geom.Path{ring(9).Reverse()}}}, mm(2))
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.True(t, got[0].Closed())
}

// A ring between two chains of chords, or a circle and a chain: one way round, closed.
func TestCentreLinesBetweenChainsOfChords(t *testing.T) {
	chain := func(r float64, n int) geom.Path {
		var xy []float64
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.3) / float64(n))
			xy = append(xy, r*cos, r*sin)
		}
		return closed(xy...)
	}
	for _, n := range []int{60, 200, 500} {
		for name, outer := range map[string]geom.Path{"chain": chain(11, n), "circle": ring(11)} {
			for _, in := range []int{n, n - 7} {
				what := fmt.Sprintf("%s round chain, %d and %d chords", name, n, in)
				r := geom.Region{{Outer: outer, CutOuts: []geom.Path{chain(9, in).Reverse()}}}
				got, err := offset.CentreLines(t.Context(), r, mm(2.1))
				require.NoError(t, err)
				if !assert.Len(t, got, 1, what) {
					continue
				}
				assert.True(t, got[0].Closed(), what)
				assert.InDelta(t, 20e6*math.Pi, got[0].Length(), 0.2e6, what)
				for _, e := range got[0] {
					assert.InDelta(t, 10e6, e.At(0.5).Distance(geom.Pt(0, 0)), 0.03e6, what)
				}
			}
		}
	}
}

// A tab across a channel stands in the way of the line, however short it is beside the channel.
func TestCentreLinesStopAtWhatStandsInTheChannel(t *testing.T) {
	for _, wide := range []float64{0.1, 1, 3} {
		for _, at := range []float64{20.3, 77.7, 150, 250.123} {
			for _, a := range bentAngles {
				x := at + wide
				r := turned(geom.Region{{Outer: closed(0, 0, at, 0, at, 1.5, x, 1.5, x, 0, 300, 0, 300, 2, 0, 2)}}, a, geom.Pt(0, 0))
				got, err := offset.CentreLines(t.Context(), r, mm(2))
				require.NoError(t, err)
				assertFree(t, r, got, 2, fmt.Sprintf("a tab of %v mm at %v, turned by %v°", wide, at, a))
				q := turned(geom.Region{{Outer: rect(at/2, 1, 500, 500)}}, a, geom.Pt(0, 0))[0].Outer[0].From
				d, _ := beside(got, q)
				assert.Less(t, d, 20.0)
			}
		}
	}
}

// A short board beside a long side has its channel, too, wherever along it lies.
func TestCentreLinesBesideALongSide(t *testing.T) {
	for _, at := range []float64{13.3, 56.1, 200, 311.9} {
		for _, a := range bentAngles {
			r := geom.Region{{Outer: rect(0, 0, 400, 40), CutOuts: []geom.Path{rect(at, 2, at+4, 10).Reverse()}}}
			got, err := offset.CentreLines(t.Context(), turned(r, a, geom.Pt(0, 0)), mm(2))
			require.NoError(t, err)
			require.Len(t, got, 1, "at %v, turned by %v°", at, a)
			assert.InDelta(t, 4e6, got[0].Length(), 50, "at %v, turned by %v°", at, a)
		}
	}
}

// assertFree checks that lines stay in the region.
func assertFree(t *testing.T, r geom.Region, lines []geom.Path, widest float64, what string) {
	t.Helper()
	for _, p := range lines {
		for _, e := range p {
			n := int(e.Length()/0.05e6) + 1
			for i := range n + 1 {
				q := e.At(float64(i) / float64(n))
				if !assert.Greater(t, inside(r, q), -5.0, "%s: %v, on the line from %v to %v, is outside", what, q, e.From, e.To) {
					return
				}
			}
		}
	}
}

// Every other two sides: what the line is like is found by trying. It must lie as far from one side as
// from the other, to a fiftieth of the width. Arcs of 7 to 24 to 25: their
// ends are exact.
func TestCentreLinesBetweenAnySides(t *testing.T) {
	arc := func(x, y, u, v, cx, cy float64, s geom.Sense) geom.Edge {
		return geom.Arc(geom.Pt(mm(x), mm(y)), geom.Pt(mm(u), mm(v)), geom.Pt(mm(cx), mm(cy)), s)
	}
	line := func(x, y, u, v float64) geom.Edge { return geom.Line(geom.Pt(mm(x), mm(y)), geom.Pt(mm(u), mm(v))) }
	for name, c := range map[string]struct {
		lower, upper geom.Path
	}{
		"a line below an arc":   {geom.Path{line(-7, 0, 7, 0)}, geom.Path{arc(7, 3, -7, 3, 0, 27, geom.Clockwise)}},
		"an arc below an arc":   {geom.Path{arc(-7, 0, 7, 0, 0, -24, geom.Clockwise)}, geom.Path{arc(7, 4, -7, 4, 0, -20.5, geom.CounterClockwise)}},
		"arcs that bulge to it": {geom.Path{arc(-7, -1, 7, -1, 0, -25, geom.Clockwise)}, geom.Path{arc(7, 5, -7, 5, 0, 29, geom.Clockwise)}},
		"an arc beside a slope": {geom.Path{line(-7, 0, 7, -1)}, geom.Path{arc(7, 3, -7, 3, 0, 27, geom.Clockwise)}},
	} {
		outer := append(append(geom.Path{}, c.lower...), line(7, c.lower[0].To.Y.MM(), 7, c.upper[0].From.Y.MM()))
		outer = append(append(outer, c.upper...), line(-7, c.upper[0].To.Y.MM(), -7, c.lower[0].From.Y.MM()))
		for _, a := range bentAngles {
			what := fmt.Sprintf("%s, turned by %v°", name, a)
			r := turned(geom.Region{{Outer: outer}}, a, geom.Pt(0, 0))
			got, err := offset.CentreLines(t.Context(), r, mm(7))
			require.NoError(t, err)
			require.NotEmpty(t, got, what)
			lower, upper := r[0].Outer[:1], r[0].Outer[2:3]
			assert.Greater(t, total(got), 5e6, what)
			for _, p := range got {
				for _, e := range p {
					for _, f := range []float64{0, 0.25, 0.5, 0.75, 1} {
						q := e.At(f)
						d1, _ := beside([]geom.Path{lower}, q)
						d2, _ := beside([]geom.Path{upper}, q)
						assert.InDelta(t, d1, d2, (d1+d2)/50+10, "%s: at %v", what, q)
					}
				}
			}
		}
	}
}

// In any region lines lie in it, join, and come out the same when called for again.
func TestCentreLinesInAnyRegion(t *testing.T) {
	seen := 0
	n := seeds(200)
	for seed := range n {
		rnd := rand.New(rand.NewPCG(seed, 80))
		r := blots(t, rnd)
		if len(r) == 0 {
			continue
		}
		checkLines(t, r, mm(0.3+rnd.Float64()*2), &seen, fmt.Sprintf("seed %d", seed))
	}
	assert.Greater(t, seen, int(n)/2)
}

func checkLines(t *testing.T, r geom.Region, widest geom.Length, seen *int, what string) {
	t.Helper()
	got, err := offset.CentreLines(t.Context(), r, widest)
	require.NoError(t, err)
	for _, p := range got {
		require.NotEmpty(t, p, what)
		*seen++
		for k, e := range p {
			if k > 0 {
				require.Equal(t, p[k-1].To, e.From, what)
			}
		}
	}
	assertFree(t, r, got, widest.MM(), what)
	again, err := offset.CentreLines(t.Context(), r, widest)
	require.NoError(t, err)
	assert.Equal(t, got, again, what)
}

func TestCentreLinesOfImpossibleWidths(t *testing.T) {
	for _, w := range []geom.Length{0, -1, math.MinInt64} {
		_, err := offset.CentreLines(t.Context(), dumbBell(0), w)
		assert.ErrorContains(t, err, "must be positive")
	}
	got, err := offset.CentreLines(t.Context(), geom.Region{{Outer: rect(0, 0, 20, 2)}}, math.MaxInt64)
	require.NoError(t, err)
	assert.Len(t, got, 1, "no limit")
	got, err = offset.CentreLines(t.Context(), nil, 1)
	require.NoError(t, err)
	assert.Empty(t, got)
}

func FuzzCentreLines(f *testing.F) {
	f.Add(uint64(1), int64(1_000_000))
	f.Add(uint64(7), int64(300))
	f.Fuzz(func(t *testing.T, seed uint64, widest int64) {
		rnd := rand.New(rand.NewPCG(seed, 81))
		r := blots(t, rnd)
		if widest <= 0 {
			widest = 1 - widest%1_000_000
		}
		n := 0
		checkLines(t, r, geom.Length(widest), &n, "fuzz")
	})
}

func FuzzOpening(f *testing.F) {
	f.Add(uint64(1), int64(500_000))
	f.Add(uint64(9), int64(1001))
	f.Fuzz(func(t *testing.T, seed uint64, radius int64) {
		rnd := rand.New(rand.NewPCG(seed, 82))
		r := blots(t, rnd)
		size := geom.Length(uint64(radius) % 3_000_000)
		got, err := offset.Opening(t.Context(), r, size, offset.Options{})
		require.NoError(t, err)
		all, err := got.Covered(t.Context(), offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, all, r, 4000), "the disc of %v leaves the region", size)
		closing, err := offset.Closing(t.Context(), r, size, offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, r, closing, 4000), "closed by %v leaves something out", size)
	})
}

func ExampleCentreLines() {
	// Two boards of 10 × 6 mm side by side in a frame: gaps of 2 mm between and round them.
	gaps := grid(2, 1, 10, 6, 2)
	lines, err := offset.CentreLines(context.Background(), gaps, mm(2))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range lines {
		fmt.Print(p[0].From.X.MM(), ",", p[0].From.Y.MM())
		for _, e := range p {
			fmt.Print(" to ", e.To.X.MM(), ",", e.To.Y.MM())
		}
		fmt.Println()
	}
	// Output:
	// 11,-1 to -1,-1 to -1,7 to 11,7
	// 11,-1 to 11,7
	// 11,-1 to 23,-1 to 23,7 to 11,7
}
