package overlay

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/geom"
)

func square(x, y, size geom.Length) geom.Outline {
	return geom.Outline{Outer: geom.Rectangle(geom.BoxOf(geom.Pt(x, y), geom.Pt(x+size, y+size)))}
}

func loop(xy ...geom.Length) geom.Path {
	var p []geom.Point
	for i := 0; i < len(xy); i += 2 {
		p = append(p, geom.Pt(xy[i], xy[i+1]))
	}
	return polygon(p)
}

func discOf(x, y, r geom.Length) geom.Path {
	from := geom.Pt(x-r, y)
	return geom.Path{geom.Arc(from, from, geom.Pt(x, y), geom.CounterClockwise)}
}

func shape(paths ...geom.Path) Operand { return Operand{Paths: paths} }

// corners lists a region's corners, a row for each path: outer paths, and cut-outs in a row of their own.
func corners(r geom.Region) [][]geom.Length {
	var out [][]geom.Length
	for _, p := range r.Paths() {
		var row []geom.Length
		for _, e := range p {
			row = append(row, e.From.X, e.From.Y)
		}
		out = append(out, row)
	}
	return out
}

func TestTwoSquares(t *testing.T) {
	ctx := t.Context()
	a, b := Of(square(0, 0, 10)), Of(square(5, 5, 10))
	for _, c := range []struct {
		name string
		do   func(context.Context, Options, ...Operand) (geom.Region, error)
		want [][]geom.Length
	}{
		{"union", Union, [][]geom.Length{{0, 0, 10, 0, 10, 5, 15, 5, 15, 15, 5, 15, 5, 10, 0, 10}}},
		{"intersection", Intersection, [][]geom.Length{{5, 5, 10, 5, 10, 10, 5, 10}}},
		{"symmetric difference", SymmetricDifference, [][]geom.Length{{0, 0, 10, 0, 10, 5, 5, 5, 5, 10, 0, 10}, {5, 10, 10, 10, 10, 5, 15, 5, 15, 15, 5, 15}}},
		{"difference", func(ctx context.Context, o Options, ops ...Operand) (geom.Region, error) {
			return Difference(ctx, o, ops[0], ops[1:]...)
		}, [][]geom.Length{{0, 0, 10, 0, 10, 5, 5, 5, 5, 10, 0, 10}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := c.do(ctx, Options{}, a, b)
			require.NoError(t, err)
			assert.Equal(t, c.want, corners(r))
		})
	}
}

func TestRules(t *testing.T) {
	// A five-pointed star in one stroke: its middle is run round twice.
	star := loop(0, 100, 59, -81, -95, 31, 95, 31, -59, -81)
	inner := loop(30, 30, 30, 60, 60, 60, 60, 30) // clockwise
	for _, c := range []struct {
		name          string
		op            Operand
		pieces, holes int
	}{
		{"star, non-zero", Operand{Paths: []geom.Path{star}}, 1, 0},
		{"star, even-odd", Operand{Paths: []geom.Path{star}, Rule: EvenOdd}, 5, 0},
		{"star clockwise, positive", Operand{Paths: []geom.Path{star}, Rule: Positive}, 0, 0},
		{"star counter-clockwise, positive", Operand{Paths: []geom.Path{star.Reverse()}, Rule: Positive}, 1, 0},
		{"cut-out", Operand{Paths: []geom.Path{loop(0, 0, 100, 0, 100, 100, 0, 100), inner}}, 1, 1},
		{"cut-out run round the same way", Operand{Paths: []geom.Path{loop(0, 0, 100, 0, 100, 100, 0, 100), inner.Reverse()}}, 1, 0},
		{"the same, even-odd", Operand{Paths: []geom.Path{loop(0, 0, 100, 0, 100, 100, 0, 100), inner.Reverse()}, Rule: EvenOdd}, 1, 1},
		{"a path there and back", Operand{Paths: []geom.Path{loop(0, 0, 50, 50, 100, 0, 50, 50)}}, 0, 0},
		{"nothing", Operand{}, 0, 0},
		{"empty paths", Operand{Paths: []geom.Path{nil, {}}}, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Union(t.Context(), Options{}, c.op)
			require.NoError(t, err)
			holes := 0
			for _, o := range r {
				holes += len(o.CutOuts)
			}
			assert.Equal(t, [2]int{c.pieces, c.holes}, [2]int{len(r), holes})
		})
	}
}

// Rings are split where they touch themselves, and cut-outs go to the piece in which they lie.
func TestTouchingRings(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(context.Context) (geom.Region, error)
		want [][]geom.Length // outer paths and cut-outs
		n    []int           // cut-outs of each piece
	}{
		{"two squares in a corner", func(ctx context.Context) (geom.Region, error) {
			return Union(ctx, Options{}, Of(square(0, 0, 10), square(10, 10, 10)))
		}, [][]geom.Length{{0, 0, 10, 0, 10, 10, 0, 10}, {10, 10, 20, 10, 20, 20, 10, 20}}, []int{0, 0}},
		{"a cut-out that touches the outer path", func(ctx context.Context) (geom.Region, error) {
			return Difference(ctx, Options{}, Of(square(0, 0, 20)), shape(loop(10, 0, 15, 5, 10, 10, 5, 5)))
		}, [][]geom.Length{{0, 0, 10, 0, 20, 0, 20, 20, 0, 20}, {5, 5, 10, 10, 15, 5, 10, 0}}, []int{1}},
		{"one that touches it twice", func(ctx context.Context) (geom.Region, error) {
			return Difference(ctx, Options{}, Of(square(0, 0, 20)), shape(loop(10, 0, 15, 10, 10, 20, 5, 10)))
		}, [][]geom.Length{{0, 0, 10, 0, 5, 10, 10, 20, 0, 20}, {10, 0, 20, 0, 20, 20, 10, 20, 15, 10}}, []int{0, 0}},
		{"two cut-outs in a corner", func(ctx context.Context) (geom.Region, error) {
			return Difference(ctx, Options{}, Of(square(0, 0, 30)), Of(square(5, 5, 10), square(15, 15, 10)))
		}, [][]geom.Length{{0, 0, 30, 0, 30, 30, 0, 30}, {5, 5, 5, 15, 15, 15, 15, 5}, {15, 15, 15, 25, 25, 25, 25, 15}}, []int{2}},
		{"islands in cut-outs", func(ctx context.Context) (geom.Region, error) {
			return SymmetricDifference(ctx, Options{}, Of(square(0, 0, 90)), Of(square(10, 10, 70)), Of(square(20, 20, 50)), Of(square(30, 30, 30)))
		}, [][]geom.Length{{0, 0, 90, 0, 90, 90, 0, 90}, {10, 10, 10, 80, 80, 80, 80, 10}, {20, 20, 70, 20, 70, 70, 20, 70}, {30, 30, 30, 60, 60, 60, 60, 30}}, []int{1, 1}},
		{"a ring of squares that touch", func(ctx context.Context) (geom.Region, error) {
			return Union(ctx, Options{}, Of(square(0, 10, 10), square(10, 0, 10), square(10, 20, 10), square(20, 10, 10)))
		}, [][]geom.Length{{0, 10, 10, 10, 10, 20, 0, 20}, {10, 0, 20, 0, 20, 10, 10, 10}, {10, 20, 20, 20, 20, 30, 10, 30}, {20, 10, 30, 10, 30, 20, 20, 20}}, []int{0, 0, 0, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := c.do(t.Context())
			require.NoError(t, err)
			assert.Equal(t, c.want, corners(r))
			var n []int
			for _, o := range r {
				n = append(n, len(o.CutOuts))
			}
			assert.Equal(t, c.n, n)
		})
	}
}

func TestPatchesTellWhichOperandsCover(t *testing.T) {
	a, err := Arrange(t.Context(), Options{}, Of(square(0, 0, 10)), Of(square(5, 0, 10)), Of(square(8, 0, 2)), Of(square(100, 0, 1)))
	require.NoError(t, err)
	patches, err := a.Patches(t.Context())
	require.NoError(t, err)
	var got [][]int
	var areas []float64
	for _, p := range patches {
		got = append(got, p.Operands)
		areas = append(areas, p.Region.Area())
	}
	assert.Equal(t, [][]int{{0}, {0, 1}, {0, 1, 2}, {1}, {3}}, got)
	assert.Equal(t, []float64{50, 46, 4, 50, 1}, areas)
	twice, err := a.Region(t.Context(), func(c Cover) bool { return c.Len() >= 2 })
	require.NoError(t, err)
	assert.Equal(t, 50.0, twice.Area())
	assert.Equal(t, [][]geom.Length{{5, 0, 10, 0, 10, 10, 5, 10}}, corners(twice))
}

// What nothing touches comes back as it was, arcs and all, to the nanometre.
func TestUntouchedComesBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 200 {
		turn := geom.Transform{Turn: geom.FromDegrees(360 * r.Float64()), Shift: geom.Pt(geom.Length(r.Int64N(1e8)), geom.Length(r.Int64N(1e8)))}
		o := turn.Outline(geom.Outline{
			Outer:   geom.RoundedRectangle(geom.BoxOf(geom.Pt(0, 0), geom.Pt(40*geom.MM, 30*geom.MM)), geom.Length(1+r.Int64N(15e6))),
			CutOuts: []geom.Path{discOf(20*geom.MM, 15*geom.MM, geom.Length(1e5+r.Int64N(5e6))).Reverse()},
		})
		// Something else crosses it and is not part of the result, or lies beside it.
		other := shape(loop(0, 0, 300e6, 1, 0, 300e6+geom.Length(i)))
		a, err := Arrange(t.Context(), Options{Chords: Chords(i % 4)}, Of(o), other)
		require.NoError(t, err)
		back, err := a.Region(t.Context(), func(c Cover) bool { return c.Has(0) })
		require.NoError(t, err)
		require.Len(t, back, 1)
		require.ElementsMatch(t, o.Edges(), back[0].Edges())
		again, err := Union(t.Context(), Options{}, Of(back...))
		require.NoError(t, err)
		require.Equal(t, back, again)
	}
}

// Two discs of radius r whose centres lie r apart: closed forms for the lens, r²(2π/3 − √3/2), and for
// where the circles cross. (Plane geometry; no source needed.)
func TestDiscs(t *testing.T) {
	const r = 10 * geom.MM
	rf := float64(r)
	a, b := shape(discOf(0, 0, r)), shape(discOf(r, 0, r))
	lens := rf * rf * (2*math.Pi/3 - math.Sqrt(3)/2)
	for _, chords := range []Chords{Inscribed, Circumscribed, Shrinking, Growing} {
		o := Options{Chords: chords}
		i, err := Intersection(t.Context(), o, a, b)
		require.NoError(t, err)
		require.Len(t, i, 1)
		assert.Len(t, i[0].Outer, 3) // one of the two begins within
		assert.InDelta(t, lens, i.Area(), rf*10)
		u, err := Union(t.Context(), o, a, b)
		require.NoError(t, err)
		assert.InDelta(t, 2*math.Pi*rf*rf-lens, u.Area(), rf*10)
		for _, e := range u[0].Outer {
			assert.NotEqual(t, geom.Straight, e.Sense)
			assert.InDelta(t, rf, e.From.Distance(e.Center), 1)
			assert.InDelta(t, rf, e.To.Distance(e.Center), 1)
		}
	}
}

// Chords lie on the side that was asked for, no farther than the error.
func TestChordsKeepToTheirSide(t *testing.T) {
	disc := discOf(0, 0, 7*geom.MM)
	holed := Operand{Paths: []geom.Path{discOf(0, 0, 20*geom.MM), disc.Reverse()}}
	for _, err := range []geom.Length{100, 1000, 50_000} {
		for _, c := range []struct {
			chords       Chords
			outer, inner int // whether the chords lie outside (1) or inside (−1) their circle
		}{{Inscribed, -1, -1}, {Circumscribed, 1, 1}, {Shrinking, -1, 1}, {Growing, 1, -1}} {
			r, e := Union(t.Context(), Options{KeepChords: true, ChordError: err, Chords: c.chords}, holed)
			require.NoError(t, e)
			require.Len(t, r, 1)
			require.Len(t, r[0].CutOuts, 1)
			check := func(p geom.Path, radius float64, side int) {
				for _, e := range p {
					require.Equal(t, geom.Straight, e.Sense)
					for _, q := range []geom.Point{e.From, e.At(0.5)} {
						stray := (q.Distance(geom.Point{}) - radius) * float64(side)
						require.GreaterOrEqual(t, stray, -2.0, "%v %v", c.chords, err)
						require.LessOrEqual(t, stray, float64(err)+2)
					}
				}
			}
			check(r[0].Outer, 20e6, c.outer)
			check(r[0].CutOuts[0], 7e6, c.inner)
		}
	}
}

// Arcs of one circle that overlap get the same chords: nothing is left between them.
func TestArcsOfOneCircleFitTogether(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		c := geom.Pt(geom.Length(r.Int64N(1e7)), geom.Length(r.Int64N(1e7)))
		rad := 1e5 + 2e7*r.Float64()
		on := func(a float64) geom.Point {
			s, co := math.Sincos(a)
			return geom.Pt(c.X+geom.Round(rad*co), c.Y+geom.Round(rad*s))
		}
		sector := func(from, to float64) Operand {
			return shape(geom.Path{geom.Arc(on(from), on(to), c, geom.CounterClockwise), geom.Line(on(to), c), geom.Line(c, on(from))})
		}
		a := 6 * r.Float64()
		x, y := sector(a, a+2), sector(a+1, a+3)
		u, err := Union(t.Context(), Options{}, x, y)
		require.NoError(t, err)
		require.Len(t, u, 1)
		require.Empty(t, u[0].CutOuts)
		require.InDelta(t, 1.5*rad*rad, u.Area(), 10*rad)
		i, err := Intersection(t.Context(), Options{}, x, y)
		require.NoError(t, err)
		require.Len(t, i, 1)
		require.InDelta(t, 0.5*rad*rad, i.Area(), 10*rad)
		d, err := Difference(t.Context(), Options{}, shape(discOf(c.X, c.Y, geom.Round(rad))), x, y, sector(a+3, a+2*math.Pi))
		require.NoError(t, err)
		require.LessOrEqual(t, d.Area(), 10*rad)
	}
}

func TestErrors(t *testing.T) {
	ctx := t.Context()
	open := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(5, 0)), geom.Line(geom.Pt(5, 0), geom.Pt(5, 5))}
	gap := geom.Path{geom.Line(geom.Pt(0, 0), geom.Pt(5, 0)), geom.Line(geom.Pt(6, 0), geom.Pt(5, 5)), geom.Line(geom.Pt(5, 5), geom.Pt(0, 0))}
	for _, c := range []struct {
		name string
		op   Operand
		o    Options
		want string
	}{
		{"open", shape(open), Options{}, "overlay: operand 1, path 0, edge 1, at (0.000005, 0.000005): the path is not closed: it began at (0, 0)"},
		{"gap", shape(discOf(0, 0, 5), gap), Options{}, "overlay: operand 1, path 1, edge 1, at (0.000006, 0): the edge does not begin where the one before it ends, at (0.000005, 0)"},
		{"too far", shape(loop(0, 0, geom.Limit+1, 0, 0, 5)), Options{}, "overlay: operand 1, path 0, edge 1, at (1000.000001, 0): outside the limits of ±1000 mm"},
		{"an arc too far", shape(discOf(geom.Limit-5, 0, 10)), Options{}, "overlay: operand 1, path 0, edge 0, at (999.999985, 0): the arc leaves the limits of ±1000 mm"},
		{"rule", Operand{Rule: 7}, Options{}, "overlay: operand 1 has an unknown winding rule, 7"},
		{"chord error", Operand{}, Options{ChordError: -1}, "overlay: a chord error of -0.000001 mm; it must lie between 0 and 1 mm"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Union(ctx, c.o, Of(square(0, 0, 5)), c.op)
			require.EqualError(t, err, c.want)
		})
	}
	var pe *PathError
	_, err := Union(ctx, Options{}, shape(open))
	require.ErrorAs(t, err, &pe)
	assert.Equal(t, geom.Pt(5, 5), pe.At)
}

// The whole range is there, to the last nanometre.
func TestWholeRange(t *testing.T) {
	const l = geom.Limit
	r, err := SymmetricDifference(t.Context(), Options{}, shape(loop(-l, -l, l, -l, l, l, -l, l)), shape(loop(-l, -l, l, -l+1, l-1, l)))
	require.NoError(t, err)
	assert.InDelta(t, 4e18-2e18, r.Area(), 4e10)
	u, err := Union(t.Context(), Options{}, Of(r...), shape(loop(-l, -l, l, -l, l, l, -l, l)))
	require.NoError(t, err)
	assert.Equal(t, 4e18, u.Area())
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Union(ctx, Options{}, Of(square(0, 0, 5), square(2, 2, 5)))
	require.ErrorIs(t, err, context.Canceled)
	a, err := Arrange(t.Context(), Options{}, Of(square(0, 0, 5), square(2, 2, 5)))
	require.NoError(t, err)
	_, err = a.Region(ctx, func(Cover) bool { return true })
	require.True(t, errors.Is(err, context.Canceled))
}

// An arrangement may be asked by several goroutines at once.
func TestArrangementIsShared(t *testing.T) {
	var ops []Operand
	for i := range geom.Length(20) {
		ops = append(ops, shape(discOf(i*3_000_000, i%3*2_000_000, 4_000_000)))
	}
	a, err := Arrange(t.Context(), Options{}, ops...)
	require.NoError(t, err)
	want, err := a.Region(t.Context(), func(c Cover) bool { return c.Len() == 2 })
	require.NoError(t, err)
	done := make(chan geom.Region)
	for range 8 {
		go func() {
			r, _ := a.Region(context.Background(), func(c Cover) bool { return c.Len() == 2 })
			done <- r
		}()
	}
	for range 8 {
		require.Equal(t, want, <-done)
	}
}

// The number of goroutines does not show.
func TestWorkersDoNotShow(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	var op Operand
	for range 500 {
		op.Paths = append(op.Paths, discOf(geom.Length(r.Int64N(3e7)), geom.Length(r.Int64N(3e7)), geom.Length(1e5+r.Int64N(2e6))))
	}
	want, err := Union(t.Context(), Options{Workers: 1}, op)
	require.NoError(t, err)
	for _, n := range []int{2, 3, 8} {
		slices.Reverse(op.Paths)
		got, err := Union(t.Context(), Options{Workers: n}, op)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}

// A result overlaid with itself comes back byte for byte, also where everything lies within a few
// nanometres: bent edges that are given back straight may not fall on each other.
func TestAgainIsTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	rounds := 3000
	if testing.Short() {
		rounds = 600
	}
	for i := range rounds {
		size := []int64{3, 5, 10, 30, 1000}[i%5]
		var ops []Operand
		for range 2 + r.IntN(3) {
			var p []geom.Point
			for range 3 + r.IntN(9) {
				p = append(p, geom.Pt(geom.Length(r.Int64N(2*size+1)-size), geom.Length(r.Int64N(2*size+1)-size)))
			}
			ops = append(ops, Operand{Paths: []geom.Path{polygon(p)}, Rule: Rule(r.IntN(3))})
		}
		once, err := SymmetricDifference(t.Context(), Options{}, ops...)
		require.NoError(t, err)
		for _, p := range once.Paths() {
			require.Greater(t, len(p), 2)
		}
		again, err := Union(t.Context(), Options{}, Of(once...))
		require.NoError(t, err)
		require.Equal(t, once, again, "case %d", i)
	}
}

// Centres rounded to a coarse grid leave ends that disagree about the radius. Such an arc comes back as
// it was, and a part of it lies on the circle through both of its ends.
func TestArcsWhoseEndsDisagree(t *testing.T) {
	a := geom.Arc(geom.Pt(1_000_000, 0), geom.Pt(-1_000_000, 0), geom.Pt(2_540, -1_270), geom.CounterClockwise)
	half := geom.Path{a, geom.Line(a.To, a.From)}
	r, err := Union(t.Context(), Options{}, Operand{Paths: []geom.Path{half}})
	require.NoError(t, err)
	require.Equal(t, geom.Region{{Outer: geom.Path{geom.Line(a.To, a.From), a}}}, r)
	right := geom.Rectangle(geom.BoxOf(geom.Pt(0, -2_000_000), geom.Pt(2_000_000, 2_000_000)))
	r, err = Intersection(t.Context(), Options{}, Operand{Paths: []geom.Path{half}}, Operand{Paths: []geom.Path{right}})
	require.NoError(t, err)
	// The circle's centre is (0, −1270).
	top := geom.Pt(0, geom.Round(math.Hypot(1e6, 1270))-1270)
	require.Equal(t, geom.Region{{Outer: geom.Path{
		geom.Line(geom.Pt(0, 0), a.From), geom.Arc(a.From, top, geom.Pt(0, -1270), geom.CounterClockwise), geom.Line(top, geom.Pt(0, 0)),
	}}}, r)
}
