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
	"panelwright/pipeline/geom/overlay"
)

// seeds is how many seeds to try: a fifth of them in a short run.
func seeds(n uint64) uint64 {
	if testing.Short() {
		return n / 5
	}
	return n
}

func mm(v float64) geom.Length { return geom.FromMM(v) }

func rect(x0, y0, x1, y1 float64) geom.Path {
	return geom.Rectangle(geom.BoxOf(geom.Pt(mm(x0), mm(y0)), geom.Pt(mm(x1), mm(y1))))
}

// closed is the polygon over corners given as x, y in mm.
func closed(xy ...float64) geom.Path {
	var p geom.Path
	n := len(xy)
	for i := 0; i < n; i += 2 {
		p = append(p, geom.Line(geom.Pt(mm(xy[i]), mm(xy[i+1])), geom.Pt(mm(xy[(i+2)%n]), mm(xy[(i+3)%n]))))
	}
	return p
}

func ring(r float64) geom.Path {
	q := geom.Pt(mm(r), 0)
	return geom.Path{geom.Arc(q, q, geom.Pt(0, 0), geom.CounterClockwise)}
}

func turned(r geom.Region, degrees float64, shift geom.Point) geom.Region {
	tr := geom.Transform{Turn: geom.Angle(math.Round(degrees * 1e6)), Shift: shift}
	var out geom.Region
	for _, o := range r {
		n := geom.Outline{Outer: tr.Path(o.Outer)}
		for _, c := range o.CutOuts {
			n.CutOuts = append(n.CutOuts, tr.Path(c))
		}
		out = append(out, n)
	}
	return out
}

func minus(t testing.TB, from, less geom.Region) geom.Region {
	t.Helper()
	r, err := overlay.Difference(t.Context(), overlay.Options{ChordError: 10}, overlay.Of(from...), overlay.Of(less...))
	require.NoError(t, err)
	return r
}

// beside is how far q is from the nearest edge of any of the paths, by trying all of them.
func beside(paths []geom.Path, q geom.Point) (float64, geom.Point) {
	best, at := math.Inf(1), q
	for _, p := range paths {
		for _, e := range p {
			if d, n := geom.PointEdgeDistance(q, e); d < best {
				best, at = d, n
			}
		}
	}
	return best, at
}

// inside is how far q lies inside a region; negative outside.
func inside(r geom.Region, q geom.Point) float64 {
	d, _ := beside(r.Paths(), q)
	if r.Locate(q) == geom.Outside {
		return -d
	}
	return d
}

func total(paths []geom.Path) float64 {
	s := 0.0
	for _, p := range paths {
		s += p.Length()
	}
	return s
}

var bentAngles = []float64{0, 0.000001, 1, 12.345678, 30, 45, 67.891, 90, 123.456789}

// A square opened by a disc keeps its sides and gets the disc's round corners: four squares of the
// radius less four quarters of the disc are lost.
func TestOpeningASquareLosesItsCorners(t *testing.T) {
	for _, side := range []float64{10, 3.3, 2.1} {
		for _, radius := range []float64{1, 0.5, 0.123456} {
			for _, a := range bentAngles {
				square := turned(geom.Region{{Outer: rect(0, 0, side, side)}}, a, geom.Pt(mm(7), mm(-3)))
				got, err := offset.Opening(t.Context(), square, mm(radius), offset.Options{})
				require.NoError(t, err)
				lost := square.Area() - got.Region.Area()
				want := (4 - math.Pi) * radius * radius * 1e12
				assert.InDelta(t, want, lost, 4*side*1e6*3, "side %v, radius %v, turned by %v°", side, radius, a)
				assert.Empty(t, got.Lines)
			}
		}
	}
}

// dumbBell is two rooms of 10 × 10 mm whose facing walls stand 20 mm apart, with a channel between
// them, d wider than 2 mm.
func dumbBell(d geom.Length) geom.Region {
	hi := mm(6) + d
	pt := func(x float64, y geom.Length) geom.Point { return geom.Pt(mm(x), y) }
	c := []geom.Point{
		pt(0, 0), pt(10, 0), pt(10, mm(4)), pt(30, mm(4)), pt(30, 0), pt(40, 0),
		pt(40, mm(10)), pt(30, mm(10)), pt(30, hi), pt(10, hi), pt(10, mm(10)), pt(0, mm(10)),
	}
	var p geom.Path
	for i := range c {
		p = append(p, geom.Line(c[i], c[(i+1)%len(c)]))
	}
	return geom.Region{{Outer: p}}
}

// A channel as wide as the disc comes back as a line, one wider as region, one narrower by more than
// Fit not at all. Whatever of it is reached meets the rooms at its ends without a gap.
func TestOpeningAChannelAboutAsWideAsTheDisc(t *testing.T) {
	ctx := t.Context()
	room, err := offset.Opening(ctx, geom.Region{{Outer: rect(0, 0, 10, 10)}}, mm(1), offset.Options{})
	require.NoError(t, err)
	for _, d := range []geom.Length{-10_000, -5000, -2100, -1900, -1000, -100, -10, -2, -1, 0, 1, 2, 5, 10, 100, 1000, 2000, 5000, 10_000} {
		for _, a := range bentAngles {
			what := fmt.Sprintf("2 mm wide and %d nm, turned by %v°", d, a)
			r := turned(dumbBell(d), a, geom.Pt(mm(-3), mm(11)))
			got, err := offset.Opening(ctx, r, mm(1), offset.Options{})
			require.NoError(t, err, what)
			all, err := got.Covered(ctx, offset.Options{})
			require.NoError(t, err, what)
			if d < -offset.Fit {
				require.Len(t, all, 2, what)
				assert.Less(t, total(got.Lines), 0.2e6, what) // in the mouths only
				// At each mouth the disc dips in between its corners: a segment of it.
				half := math.Asin(float64(mm(2)+d) / 2e6)
				assert.InDelta(t, 2*room.Region.Area()+2e12*(half-math.Sin(half)*math.Cos(half)), all.Area(), 1e12*0.2, what)
				continue
			}
			assert.Len(t, all, 1, what)
			// All of the channel, and round it at its two mouths only what the walls' corners allow.
			assert.InDelta(t, 2*room.Region.Area()+20e6*2e6, all.Area(), 1e12*0.25, what)
			for _, f := range []float64{0, 1e-4, 1e-3, 0.01, 0.3, 0.5, 0.9, 0.99, 1} { // the middle line
				p := turned(geom.Region{{Outer: rect(9+22*f, 5, 50, 50)}}, a, geom.Pt(mm(-3), mm(11)))[0].Outer[0].From
				assert.Greater(t, inside(all, p), 0.99e6, "%s: at %v of the channel", what, f)
			}
			if d > offset.Fit+100 || d < offset.Fit-100 {
				assert.Equal(t, d < offset.Fit, len(got.Lines) > 0, what)
			}
			if d < offset.Fit-100 {
				require.Len(t, got.Lines, 1, what)
				assert.InDelta(t, 20e6, got.Lines[0].Length(), 0.3e6, what)
			}
			for _, p := range got.Lines {
				for _, e := range p {
					for _, f := range []float64{0, 0.5, 1} {
						assert.Greater(t, inside(r, e.At(f)), 1e6-float64(offset.Fit)/2-10, "%s: the disc leaves the channel", what)
					}
				}
			}
		}
	}
}

// boardsInFrame are 4 × 3 boards of 30 × 20 mm, 2 mm from each other and from the frame round them:
// the region is the gaps.
func boardsInFrame() geom.Region {
	r := geom.Region{{Outer: rect(-2, -2, 128, 66)}}
	for i := range 4 {
		for k := range 3 {
			x, y := 32*float64(i), 22*float64(k)
			r[0].CutOuts = append(r[0].CutOuts, rect(x, y, x+30, y+20).Reverse())
		}
	}
	return r
}

// Gaps exactly as wide as the cutter between boards in a frame: there are 5·3 upright ones beside boards
// and 4·4 level ones.
func TestOpeningTheGapsBetweenBoards(t *testing.T) {
	ctx := t.Context()
	for _, a := range bentAngles {
		shift := geom.Pt(mm(5), mm(17))
		r := turned(boardsInFrame(), a, shift)
		got, err := offset.Opening(ctx, r, mm(1), offset.Options{})
		require.NoError(t, err)
		// Where gaps meet there is room aside, between the boards' corners: ways are as long as boards.
		assert.Len(t, got.Lines, 5*3+4*4, "turned by %v°", a)
		assert.InDelta(t, 5*3*20e6+4*4*30e6, total(got.Lines), 0.1e6*31, "turned by %v°", a)
		all, err := got.Covered(ctx, offset.Options{})
		require.NoError(t, err)
		require.Len(t, all, 1, "turned by %v°", a)
		assert.Len(t, all[0].CutOuts, 12, "turned by %v°", a)
		lost := 4 * (1 - math.Pi/4) // the frame's corners; board corners are passed at a distance of the radius
		assert.InDelta(t, r.Area()/1e12-lost, all.Area()/1e12, 0.05, "turned by %v°", a)
		for i := range 5 {
			for k := range 4 {
				q := turned(geom.Region{{Outer: rect(-1+32*float64(i), -1+22*float64(k), 500, 500)}}, a, shift)[0].Outer[0].From
				assert.Greater(t, inside(all, q), 1e6-3000, "turned by %v°: crossing %d, %d", a, i, k)
			}
		}
	}
}

// A ring exactly as wide as the disc is one closed way, a circle.
func TestOpeningARing(t *testing.T) {
	r := geom.Region{{Outer: ring(11), CutOuts: []geom.Path{ring(9).Reverse()}}}
	got, err := offset.Opening(t.Context(), r, mm(1), offset.Options{})
	require.NoError(t, err)
	require.Len(t, got.Lines, 1)
	assert.True(t, got.Lines[0].Closed())
	assert.InDelta(t, 2*math.Pi*10e6, got.Lines[0].Length(), 2000)
	all, err := got.Covered(t.Context(), offset.Options{})
	require.NoError(t, err)
	assert.InDelta(t, r.Area(), all.Area(), r.Area()*0.001)
}

// A disc in a hole of its own size stays in one place.
func TestOpeningADisc(t *testing.T) {
	for _, d := range []geom.Length{-900, 0} {
		q := geom.Pt(mm(1)+d, 0)
		r := geom.Region{{Outer: geom.Path{geom.Arc(q, q, geom.Pt(0, 0), geom.CounterClockwise)}}}
		got, err := offset.Opening(t.Context(), r, mm(1), offset.Options{})
		require.NoError(t, err)
		all, err := got.Covered(t.Context(), offset.Options{})
		require.NoError(t, err)
		assert.InDelta(t, math.Pi*1e12, all.Area(), 0.01*1e12)
	}
}

func TestOpeningAndClosingByAnImpossibleDisc(t *testing.T) {
	r := dumbBell(0)
	for _, radius := range []geom.Length{-1, geom.Limit + 1, math.MinInt64} {
		_, err := offset.Opening(t.Context(), r, radius, offset.Options{})
		assert.ErrorContains(t, err, "must lie between", "%d", radius)
		_, err = offset.Closing(t.Context(), r, radius, offset.Options{})
		assert.ErrorContains(t, err, "must lie between", "%d", radius)
	}
	got, err := offset.Opening(t.Context(), r, 0, offset.Options{})
	require.NoError(t, err)
	assert.Equal(t, r, got.Region, "a point reaches everything")
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = offset.Opening(stopped, r, mm(1), offset.Options{})
	assert.ErrorIs(t, err, context.Canceled)
}

// blots are regions with necks, corners and holes of all sizes about that of the disc.
func blots(t testing.TB, rnd *rand.Rand) geom.Region {
	var add, less geom.Region
	shape := func(size float64) geom.Outline {
		x, y := rnd.Float64()*12, rnd.Float64()*12
		tr := geom.Transform{Turn: geom.Angle(rnd.Int64N(360_000_000)), Shift: geom.Pt(mm(x), mm(y))}
		w, h := size*(0.2+rnd.Float64()), size*(0.2+rnd.Float64())
		switch rnd.IntN(3) {
		case 0:
			return geom.Outline{Outer: tr.Path(ring(w))}
		case 1:
			return geom.Outline{Outer: tr.Path(rect(-w, -h, w, h))}
		}
		b := geom.BoxOf(geom.Pt(mm(-w), mm(-h)), geom.Pt(mm(w), mm(h)))
		return geom.Outline{Outer: tr.Path(geom.RoundedRectangle(b, geom.Round(float64(mm(min(w, h)))*rnd.Float64())))}
	}
	for range 2 + rnd.IntN(4) {
		add = append(add, shape(3))
	}
	for range rnd.IntN(4) {
		less = append(less, shape(1))
	}
	return minus(t, add, less)
}

// Sampled placements of the disc against the opening, both ways. Where the disc fits, all that it covers
// is in the opening; and for places in the opening a disc that covers them and fits is shown, its fit
// told by trying every edge.
func TestOpeningIsWhatPlacedDiscsCover(t *testing.T) {
	const tol = 3000 // Fit, and the chord error
	fits, witnesses := 0, 0
	n := seeds(150)
	for seed := range n {
		rnd := rand.New(rand.NewPCG(seed, 77))
		r := blots(t, rnd)
		if len(r) == 0 {
			continue
		}
		radius := mm(0.2 + rnd.Float64())
		ctx := t.Context()
		got, err := offset.Opening(ctx, r, radius, offset.Options{})
		require.NoError(t, err)
		all, err := got.Covered(ctx, offset.Options{})
		require.NoError(t, err)
		room, err := offset.By(ctx, r, -radius, offset.Options{})
		require.NoError(t, err)
		ways := append(room.Paths(), got.Lines...)
		box := r.Box()
		for range 150 {
			q := geom.Pt(box.Min.X+geom.Length(rnd.Int64N(int64(box.Width()))), box.Min.Y+geom.Length(rnd.Int64N(int64(box.Height()))))
			if inside(r, q) >= float64(radius)+1 {
				fits++
				sin, cos := math.Sincos(rnd.Float64() * 2 * math.Pi)
				f := float64(radius) * math.Sqrt(rnd.Float64())
				p := q.Add(geom.Pt(geom.Round(f*cos), geom.Round(f*sin)))
				require.Greater(t, inside(all, p), -float64(tol), "seed %d: a disc at %v fits, %v is missing", seed, q, p)
			}
			if inside(all, q) > tol {
				witnesses++
				d, c := beside(ways, q)
				if room.Locate(q) != geom.Outside {
					d, c = 0, q
				}
				require.LessOrEqual(t, d, float64(radius)+tol, "seed %d: nothing that covers %v", seed, q)
				require.Greater(t, inside(r, c), float64(radius)-tol, "seed %d: the disc at %v that covers %v does not fit", seed, c, q)
			}
		}
	}
	assert.Greater(t, fits, int(n)*3)
	assert.Greater(t, witnesses, int(n)*13)
}

// within tells whether all of a lies in b or no further than tol from it.
func within(t testing.TB, a, b geom.Region, tol geom.Length) bool {
	t.Helper()
	grown, err := offset.By(t.Context(), b, tol, offset.Options{})
	require.NoError(t, err)
	return len(minus(t, a, grown)) == 0
}

// Opening ⊆ region ⊆ closing, and both change nothing done again; J. Serra, "Image Analysis and
// Mathematical Morphology" (1982), chapter II: openings and closings are idempotent and increasing.
func TestOpeningAndClosingAreIdempotent(t *testing.T) {
	const tol = 3000
	for seed := range seeds(60) {
		rnd := rand.New(rand.NewPCG(seed, 78))
		r := blots(t, rnd)
		if len(r) == 0 {
			continue
		}
		radius := mm(0.1 + rnd.Float64())
		ctx := t.Context()
		opened, err := offset.Opening(ctx, r, radius, offset.Options{})
		require.NoError(t, err)
		closing, err := offset.Closing(ctx, r, radius, offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, opened.Region, r, tol), "seed %d: opened by %v leaves the region", seed, radius)
		assert.True(t, within(t, r, closing, tol), "seed %d: closed by %v leaves something out", seed, radius)

		again, err := offset.Opening(ctx, opened.Region, radius-2, offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, opened.Region, again.Region, tol), "seed %d: opened again by %v", seed, radius)
		closedAgain, err := offset.Closing(ctx, closing, radius-2, offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, closedAgain, closing, tol), "seed %d: closed again by %v", seed, radius)

		smaller, err := offset.Opening(ctx, r, radius/2, offset.Options{})
		require.NoError(t, err)
		assert.True(t, within(t, opened.Region, smaller.Region, tol), "seed %d: a smaller disc reaches less", seed)
	}
}

// The duality of the two: what closing adds is what opening takes from the outside, shown in a frame
// far away.
func TestClosingIsOpeningOfTheOutside(t *testing.T) {
	const tol = 3000
	for seed := range seeds(40) {
		rnd := rand.New(rand.NewPCG(seed, 79))
		r := blots(t, rnd)
		if len(r) == 0 {
			continue
		}
		radius := mm(0.1 + rnd.Float64())
		ctx := t.Context()
		frame := geom.Region{{Outer: geom.Rectangle(r.Box().Grow(mm(20)))}}
		closing, err := offset.Closing(ctx, r, radius, offset.Options{})
		require.NoError(t, err)
		opened, err := offset.Opening(ctx, minus(t, frame, r), radius, offset.Options{})
		require.NoError(t, err)
		near := geom.Region{{Outer: geom.Rectangle(r.Box().Grow(mm(10)))}}
		all, err := opened.Covered(ctx, offset.Options{})
		require.NoError(t, err)
		// Channels that the disc just fits may be filled or not: rounding decides.
		assert.True(t, within(t, closing, minus(t, near, opened.Region), tol), "seed %d, closed by %v: too much filled", seed, radius)
		assert.True(t, within(t, minus(t, near, all), closing, tol), "seed %d, closed by %v: too little filled", seed, radius)
	}
}

// Closing fills a notch as wide as the disc's diameter less a little, and leaves one that is wider but
// for its round corners.
func TestClosingANotch(t *testing.T) {
	for _, c := range []struct {
		wide, lost float64
	}{{1.9, 0}, {2.1, 5*2.1 - 2*(1-math.Pi/4)}} {
		r := geom.Region{{Outer: closed(0, 0, 10, 0, 10, 10, 4+c.wide, 10, 4+c.wide, 5, 4, 5, 4, 10, 0, 10)}}
		got, err := offset.Closing(t.Context(), r, mm(1), offset.Options{})
		require.NoError(t, err)
		missing := 100 - got.Area()/1e12
		if c.lost == 0 {
			// The disc dips into the mouth by its sagitta.
			s := 1 - math.Sqrt(1-c.wide*c.wide/4)
			half := math.Asin(c.wide / 2)
			c.lost = half - c.wide/2*(1-s)
		}
		assert.InDelta(t, c.lost, missing, 0.001, "%v mm wide", c.wide)
	}
}

// What a disc misses: four corners of a square; of channels, those too narrow from where it dips into
// the mouth.
func TestWhatADiscMisses(t *testing.T) {
	for _, a := range bentAngles {
		missed := func(r geom.Region) geom.Region {
			r = turned(r, a, geom.Pt(mm(2), mm(3)))
			got, err := offset.Opening(t.Context(), r, mm(1), offset.Options{})
			require.NoError(t, err)
			left, err := got.Missed(t.Context(), r, offset.Options{})
			require.NoError(t, err)
			return left
		}
		got := missed(geom.Region{{Outer: rect(0, 0, 10, 6)}})
		assert.Len(t, got, 4, "turned by %v°", a)
		// An arc that a nanometre of rounding lets cross the edge that it touches stays in chords: two
		// thirds of the chord error times its length are 0.001 mm² a corner.
		assert.InDelta(t, 4-math.Pi, got.Area()/1e12, 0.0045, "turned by %v°", a)

		for _, d := range []geom.Length{-1500, 0, 1500, 100_000} {
			assert.Len(t, missed(dumbBell(d)), 8, "%d nm wider, turned by %v°: only the rooms' corners", d, a)
		}
		narrow := missed(dumbBell(-mm(0.2)))
		half := math.Asin(0.9)
		assert.Len(t, narrow, 9, "turned by %v°", a)
		want := 8*(1-math.Pi/4) + 20*1.8 - 2*(half-math.Sin(half)*math.Cos(half))
		assert.InDelta(t, want, narrow.Area()/1e12, 0.01, "turned by %v°", a)
	}
}

// A channel bent round an arc, exactly as wide as the disc: one way, on one arc, to where the disc stops
// at the ends. With rooms at its ends the way goes from room to room.
func TestOpeningABentChannel(t *testing.T) {
	for _, a := range bentAngles {
		r := turned(arcBand(9, 11, 90), a, geom.Pt(mm(2), mm(3)))
		got, err := offset.Opening(t.Context(), r, mm(1), offset.Options{})
		require.NoError(t, err)
		require.Len(t, got.Lines, 1, "turned by %v°", a)
		arcs := 0
		for _, e := range got.Lines[0] {
			if e.Sense != geom.Straight {
				arcs++
				assert.InDelta(t, 10e6, e.Radius(), 5)
			}
		}
		assert.Equal(t, 1, arcs, "turned by %v°", a)
		assert.InDelta(t, 10e6*(math.Pi/2-2*math.Asin(0.1)), got.Lines[0].Length(), 30_000, "turned by %v°", a)
		left, err := got.Missed(t.Context(), r, offset.Options{})
		require.NoError(t, err)
		assert.Len(t, left, 4, "turned by %v°: the corners", a)

		joined, err := overlay.Union(t.Context(), overlay.Options{ChordError: 10}, overlay.Of(arcBand(9, 11, 90)...),
			overlay.Of(geom.Outline{Outer: rect(5, -6, 15, 0)}, geom.Outline{Outer: rect(-6, 5, 0, 15)}))
		require.NoError(t, err)
		got, err = offset.Opening(t.Context(), turned(joined, a, geom.Pt(mm(2), mm(3))), mm(1), offset.Options{})
		require.NoError(t, err)
		require.Len(t, got.Lines, 1, "turned by %v°", a)
		all, err := got.Covered(t.Context(), offset.Options{})
		require.NoError(t, err)
		assert.Len(t, all, 1, "turned by %v°: no gap", a)
	}
}

func BenchmarkOpening(b *testing.B) {
	for name, r := range map[string]geom.Region{"12 boards": boardsInFrame(), "400 boards": grid(20, 20, 30, 20, 2)} {
		b.Run(name, func(b *testing.B) {
			r := turned(r, 12.3, geom.Pt(0, 0))
			for b.Loop() {
				if _, err := offset.Opening(b.Context(), r, mm(1), offset.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCentreLines(b *testing.B) {
	disc := func(r float64, n int) geom.Path {
		var xy []float64
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			xy = append(xy, r*cos, r*sin)
		}
		return closed(xy...)
	}
	for name, r := range map[string]geom.Region{
		"400 boards":               grid(20, 20, 30, 20, 2),
		"ring of 2000 chords":      {{Outer: disc(51, 1000), CutOuts: []geom.Path{disc(49, 1000).Reverse()}}},
		"circle round 1000 chords": {{Outer: ring(51), CutOuts: []geom.Path{disc(49, 1000).Reverse()}}},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := offset.CentreLines(b.Context(), r, mm(2.01)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func ExampleOpening() {
	// A slot 2 mm wide that runs into a pocket of 6 × 6 mm, and a cutter of 2 mm that fits it just so.
	slot := geom.Region{{Outer: closed(0, 2, 10, 2, 10, 0, 16, 0, 16, 6, 10, 6, 10, 4, 0, 4)}}
	reach, err := offset.Opening(context.Background(), slot, mm(1), offset.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	box := reach.Region.Box()
	fmt.Printf("room to move aside from x = %.1f to %.1f\n", box.Min.X.MM(), box.Max.X.MM())
	for _, p := range reach.Lines {
		for _, e := range p {
			fmt.Printf("%.1f,%.1f to %.1f,%.1f\n", e.From.X.MM(), e.From.Y.MM(), e.To.X.MM(), e.To.Y.MM())
		}
	}
	// Output:
	// room to move aside from x = 9.0 to 16.0
	// 1.0,3.0 to 10.0,3.0
}

func ExampleClosing() {
	// Two boards with a gap of 1 mm between them, which a cutter of 2 mm does not enter.
	boards := geom.Region{{Outer: rect(0, 0, 10, 10)}, {Outer: rect(11, 0, 21, 10)}}
	filled, err := offset.Closing(context.Background(), boards, mm(1), offset.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(boards), "boards,", len(filled), "left")
	// Output: 2 boards, 1 left
}
