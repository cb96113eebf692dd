package mesh

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panelwright/pipeline/format/gerber"
	"panelwright/pipeline/geom"
	"panelwright/pipeline/internal/outlines"
	"panelwright/pipeline/internal/shared"
	"panelwright/pipeline/panel/artwork"
)

// good makes a mesh and requires all that holds for every one.
func good(t testing.TB, d Domain) *Mesh {
	t.Helper()
	m, err := Make(t.Context(), d)
	require.NoError(t, err)
	sound(t, d, m)
	follows(t, d, m)
	sized(t, d, m)
	require.Empty(t, thin(t, d, m))
	return m
}

func square(side float64) geom.Region { return geom.Region{{Outer: rect(0, 0, side, side)}} }

// A square has the nodes that its sizes ask for: n² / (√3/2) in its area and half of its border's, about.
func TestNoMoreNodesThanNeeded(t *testing.T) {
	m := good(t, Domain{Region: square(46), Open: geom.MM})
	assert.InDelta(t, 46*46/0.866+92, float64(len(m.Nodes)), 250)
	assert.Less(t, len(m.Border), 4*46*5/4, "sides are divided evenly; halved again and again they would have 4 · 64")
	assert.Equal(t, 1, m.Pieces)
	_, small, edge := measure(m)
	assert.Zero(t, small)
	assert.InDelta(t, 1, edge/1e6, 0.06)
}

// No triangle is obtuse opposite the border where that has no sharp corner: whatever lies that near to it parts it.
func TestNothingCrowdsTheBorder(t *testing.T) {
	for _, d := range []Domain{panelOf(t, 120, 90, 1, 1), {Region: region(t, rect(0, 0, 40, 30), disc(20, 15, 6), slot(4, 4, 30, 4, 1)), Open: 5 * geom.MM}} {
		m := good(t, d)
		border := map[[2]int32]bool{}
		for _, b := range m.Border {
			border[b] = true
		}
		for _, q := range m.Triangles {
			for k := range 3 {
				a, b, c := q[k], q[(k+1)%3], q[(k+2)%3]
				if border[[2]int32{a, b}] && obtuse(m.Nodes[a], m.Nodes[b], m.Nodes[c]) {
					excused := false
					for _, w := range wedges(t, d) {
						excused = excused || w.excuses([3]geom.Point{m.Nodes[a], m.Nodes[b], m.Nodes[c]})
					}
					assert.True(t, excused, "%v %v %v", m.Nodes[a], m.Nodes[b], m.Nodes[c])
				}
			}
		}
	}
}

// Between two lines at half a degree triangles cannot have good angles; they get no smaller towards the corner than the sizes ask
// for, and only a little at the end of the shorter line.
func TestSharpCornersCostLittle(t *testing.T) {
	without := good(t, Domain{Region: square(100), Open: 5 * geom.MM, Lines: []Line{{mm(10, 10), mm(90, 10)}}})
	with := good(t, Domain{Region: square(100), Open: 5 * geom.MM, Lines: []Line{{mm(10, 10), mm(90, 10)}, {mm(10, 10), mm(83.3, 10.64)}}})
	t.Log(len(without.Nodes), len(with.Nodes))
	assert.Less(t, len(with.Nodes), len(without.Nodes)+250)
}

// A circle that was drawn in a thousand short strokes takes less than twice the nodes of an arc, but what a line runs along stays.
func TestShortStrokes(t *testing.T) {
	var xy []float64
	for i := range 1000 {
		s, c := geom.SinCos(2 * math.Pi * float64(i) / 1000)
		xy = append(xy, 15*c, 15*s)
	}
	strokes := Domain{Region: geom.Region{{Outer: polygon(xy...)}}, Open: 5 * geom.MM}
	arc := Domain{Region: geom.Region{{Outer: disc(0, 0, 15)}}, Open: 5 * geom.MM}
	assert.Less(t, len(good(t, strokes).Nodes), 2*len(good(t, arc).Nodes))
	for k := 7; k < 1000; k += 90 {
		e := strokes.Region[0].Outer[k]
		strokes.Lines = []Line{{e.At(0.1), e.At(0.9)}}
		m := good(t, strokes)
		require.Len(t, m.Lines[0], 2)
		assert.Contains(t, m.Border, [2]int32{m.Lines[0][0], m.Lines[0][1]})
	}
}

// Two squares that meet in a corner are two pieces, each with a node of its own there; with a corner cut off the other way they
// hang together.
func TestCornerContactIsNoConnection(t *testing.T) {
	d := Domain{Region: geom.Region{{Outer: rect(0, 0, 10, 10)}, {Outer: rect(10, 10, 20, 20)}}, Open: 3 * geom.MM,
		Lines: []Line{{mm(1, 1), mm(19, 19)}}, Points: []geom.Point{mm(10, 10)}}
	m := good(t, d)
	assert.Equal(t, 2, m.Pieces)
	at := 0
	for _, p := range m.Nodes {
		if p == mm(10, 10) {
			at++
		}
	}
	assert.Equal(t, 2, at)
	assert.Equal(t, mm(10, 10), m.Nodes[m.Points[0]])
	i := slices.IndexFunc(m.Lines[0], func(n int32) bool { return m.Nodes[n] == mm(10, 10) })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, mm(10, 10), m.Nodes[m.Lines[0][i+1]], "the line goes on with the other piece's node")
	// A piece that touches itself: a ring that is closed by a corner.
	ring := region(t, rect(0, 0, 30, 30), rect(10, 10, 20, 20), rect(20, 20, 31, 22))
	m = good(t, Domain{Region: ring, Open: 4 * geom.MM})
	at = 0
	for _, p := range m.Nodes {
		if p == mm(20, 20) {
			at++
		}
	}
	assert.Equal(t, 2, at)
}

func TestGapsBelowTidyCloseOthersStay(t *testing.T) {
	for gap, want := range map[float64]int{0.000001: 1, 0.008: 1, 0.03: 2, 0.1: 2} {
		d := Domain{Region: region(t, rect(0, 0, 30, 10), rect(15, -1, 15+gap, 11)), Open: 3 * geom.MM}
		m := good(t, d)
		assert.Equal(t, want, m.Pieces, "gap %g mm", gap)
	}
}

// Lines on the border, nearly on it, on one another and outside.
func TestLines(t *testing.T) {
	d := Domain{Region: region(t, rect(0, 0, 40, 20), rect(10, 5, 12, 15)), Open: 3 * geom.MM, Lines: []Line{
		{mm(5, 0), mm(25, 0)},
		{mm(5, 0.000001), mm(25, -0.000001)},
		{mm(5, 0.0099), mm(25, 0.0099)},
		{mm(-5, 10), mm(45, 10)},
		{mm(30, 10), mm(20, 10)},
		{mm(20, 10), mm(20, 10)},
		{mm(-5, -5), mm(45, -5)},
		{mm(10, 5), mm(10, 15)},
		{mm(11, 6), mm(11, 14)},
	}}
	m := good(t, d)
	assert.Equal(t, m.Lines[0], m.Lines[1])
	assert.Equal(t, m.Lines[0], m.Lines[2])
	assert.Equal(t, mm(5, 0), m.Nodes[m.Lines[0][0]])
	assert.Equal(t, geom.Pt(25*geom.MM, -1), m.Nodes[m.Lines[0][len(m.Lines[0])-1]], "of ends that lie together the first by x and y stays")
	assert.Greater(t, len(m.Lines[0]), 6)
	through := m.Lines[3]
	assert.Equal(t, mm(0, 10), m.Nodes[through[0]])
	assert.Equal(t, mm(40, 10), m.Nodes[through[len(through)-1]])
	back := slices.Clone(m.Lines[4])
	slices.Reverse(back)
	i := slices.Index(through, back[0])
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, back, through[i:i+len(back)])
	assert.Equal(t, []int32{m.Lines[4][len(m.Lines[4])-1]}, m.Lines[5], "a line without length is a place")
	assert.Empty(t, m.Lines[6])
	assert.Greater(t, len(m.Lines[7]), 2)
	assert.Empty(t, m.Lines[8])
	border := map[[2]int32]bool{}
	for _, b := range m.Border {
		border[b] = true
	}
	for k := 1; k < len(m.Lines[0]); k++ {
		assert.True(t, border[[2]int32{m.Lines[0][k-1], m.Lines[0][k]}], "the line on the border has the material to its left")
	}
}

func TestPoints(t *testing.T) {
	d := Domain{Region: square(20), Open: 5 * geom.MM, Points: []geom.Point{
		mm(0, 0), mm(10, 0), mm(7, 7), mm(7, 7), mm(7.01, 7), mm(-1, 5), mm(20.005, 13), mm(0.000001, 0)}}
	m := good(t, d)
	at := func(i int) geom.Point { return m.Nodes[m.Points[i]] }
	assert.Equal(t, mm(0, 0), at(0))
	assert.Equal(t, mm(10, 0), at(1))
	assert.Equal(t, mm(7, 7), at(2))
	assert.Equal(t, m.Points[2], m.Points[3])
	assert.Equal(t, m.Points[2], m.Points[4])
	assert.EqualValues(t, -1, m.Points[5])
	assert.Equal(t, mm(20.005, 13), at(6), "within what is tidied up of the border")
	assert.Equal(t, m.Points[0], m.Points[7])
}

func TestNothing(t *testing.T) {
	m := good(t, Domain{Open: geom.MM, Lines: []Line{{mm(0, 0), mm(1, 1)}}, Points: []geom.Point{mm(0, 0)}})
	assert.Empty(t, m.Triangles)
	assert.Equal(t, []int32{-1}, m.Points)
	m = good(t, Domain{Region: geom.Region{{Outer: rect(0, 0, 0.005, 0.005)}}, Open: geom.MM})
	assert.Empty(t, m.Triangles, "too small to be seen")
	m = good(t, Domain{Region: geom.Region{{Outer: rect(0, 0, 0.005, 30)}}, Open: geom.MM})
	assert.Empty(t, m.Triangles, "too thin to be seen")
}

// Whatever comes in must not hang or panic; where the border is no region, what its paths wind round counts.
func TestStrange(t *testing.T) {
	m, err := Make(t.Context(), Domain{Region: square(10), Open: geom.MM, Near: []Near{{geom.Line(mm(5, 5), mm(5, 5)), 1}}})
	require.NoError(t, err)
	assert.Less(t, len(m.Nodes), 1000, "sizes below what is tidied up are not followed")
	bow := polygon(0, 0, 10, 10, 10, 0, 0, 10)
	m, err = Make(t.Context(), Domain{Region: geom.Region{{Outer: bow}, {Outer: bow}, {Outer: rect(5, 0, 15, 10)}}, Open: geom.MM})
	require.NoError(t, err)
	assert.NotEmpty(t, m.Triangles)
	whole := geom.Rectangle(geom.Box{Min: geom.Pt(-geom.Limit, -geom.Limit), Max: geom.Pt(geom.Limit, geom.Limit)})
	m, err = Make(t.Context(), Domain{Region: geom.Region{{Outer: whole}}, Open: 100 * geom.MM, Points: []geom.Point{mm(0, 0), mm(0.02, 0)}})
	require.NoError(t, err)
	assert.Greater(t, len(m.Nodes), 400)
	// Spokes at tiny angles, a thousand of them.
	var lines []Line
	for i := range 300 {
		lines = append(lines, Line{mm(0, 0), mm(100, float64(i)*0.17)})
	}
	d := Domain{Region: square(100), Open: 20 * geom.MM, Lines: lines}
	m, err = Make(t.Context(), d)
	require.NoError(t, err)
	sound(t, d, m)
	// A strip of 30 µm along a panel would take ten thousand nodes and more if it had to have good angles.
	d = Domain{Region: square(300), Open: 10 * geom.MM, Lines: []Line{{mm(1, 100), mm(299, 100)}, {mm(1, 100.03), mm(299, 100.0312)}}}
	m, err = Make(t.Context(), d)
	require.NoError(t, err)
	sound(t, d, m)
	follows(t, d, m)
	t.Log(len(m.Nodes))
	assert.Less(t, len(m.Nodes), 10_000)
}

func TestErrors(t *testing.T) {
	ok := Domain{Region: square(10), Open: geom.MM}
	for want, change := range map[string]func(d *Domain){
		"mesh: edges in the open must be longer than 0":                func(d *Domain) { d.Open = 0 },
		"mesh: a grading of 2 is not within 0.1 and 1":                 func(d *Domain) { d.Grading = 2 },
		"mesh: edges near (1, 1) must be longer than 0":                func(d *Domain) { d.Near = []Near{{Edge: geom.Line(mm(1, 1), mm(2, 2))}} },
		"mesh: the region's border at (0, 0) is not closed":            func(d *Domain) { d.Region[0].Outer = d.Region[0].Outer[:3] },
		"mesh: (2000, 0) lies beyond ±1 m":                             func(d *Domain) { d.Points = []geom.Point{mm(2000, 0)} },
		"mesh: to tidy up below 2 mm is not within 0.0001 mm and 1 mm": func(d *Domain) { d.Tidy = 2 * geom.MM },
		"would take far more than 400000 nodes, most of them near":     func(d *Domain) { d.Region, d.Open = square(20), 5*geom.UM },
		"mesh: the region's border breaks off at (10, 10)":             func(d *Domain) { d.Region[0].Outer = slices.Delete(d.Region[0].Outer, 1, 2) },
	} {
		d := ok
		d.Region = square(10)
		change(&d)
		_, err := Make(t.Context(), d)
		require.ErrorContains(t, err, want)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err := Make(ctx, ok)
	require.ErrorIs(t, err, context.Canceled)
}

// The order of outlines, cut-outs, lines and points, where paths begin, and the way lines run change nothing but the order of
// the answers.
func TestOrderDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for kind := range sceneKinds {
		d := scene(t, kind, 77)
		want, err := Make(t.Context(), d)
		require.NoError(t, err)
		e := d
		e.Region = slices.Clone(d.Region)
		r.Shuffle(len(e.Region), func(i, j int) { e.Region[i], e.Region[j] = e.Region[j], e.Region[i] })
		for i, o := range e.Region {
			k := r.IntN(len(o.Outer))
			o.Outer = append(slices.Clone(o.Outer[k:]), o.Outer[:k]...)
			o.CutOuts = slices.Clone(o.CutOuts)
			slices.Reverse(o.CutOuts)
			e.Region[i] = o
		}
		lines, points := r.Perm(len(d.Lines)), r.Perm(len(d.Points))
		e.Lines, e.Points, e.Near = nil, nil, slices.Clone(d.Near)
		for _, k := range lines {
			e.Lines = append(e.Lines, Line{d.Lines[k].To, d.Lines[k].From})
		}
		for _, k := range points {
			e.Points = append(e.Points, d.Points[k])
		}
		slices.Reverse(e.Near)
		got, err := Make(t.Context(), e)
		require.NoError(t, err)
		for i, k := range lines {
			back := slices.Clone(got.Lines[i])
			slices.Reverse(back)
			require.Equal(t, want.Lines[k], back, "%s", sceneKinds[kind])
		}
		for i, k := range points {
			require.Equal(t, want.Points[k], got.Points[i])
		}
		got.Lines, got.Points = want.Lines, want.Points
		require.Equal(t, want, got, "%s", sceneKinds[kind])
	}
}

func TestOutlines(t *testing.T) {
	for _, o := range outlines.All() {
		t.Run(o.Name, func(t *testing.T) {
			d := Domain{Region: geom.Region{o.Outline}, Open: 4 * geom.MM}
			m := good(t, d)
			draw(t, o.Name, d, m)
			assert.Equal(t, 1, m.Pieces)
		})
	}
}

// The outlines of real boards.
func TestBoards(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(shared.Dir(t, "boards"), "*", "*"))
	require.NoError(t, err)
	n := 0
	for _, name := range names {
		match := false
		for _, p := range []string{"*contour.gm1", "*Edge_Cuts.gko", "*Edge.Cuts.gm1", "*EdgeCuts.gbr", "*Edge_Cuts.gbr", "*boardoutline.gbr", "profile.gbr"} {
			if ok, _ := filepath.Match(p, filepath.Base(name)); ok {
				match = true
			}
		}
		if !match {
			continue
		}
		n++
		t.Run(filepath.Base(filepath.Dir(name)), func(t *testing.T) {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			img, _, err := gerber.Read(name, data, gerber.Options{})
			require.NoError(t, err)
			var edges []geom.Edge
			for _, o := range img.Objects {
				if o.Kind == artwork.Stroke {
					edges = append(edges, o.Edge)
				}
			}
			o, _, err := geom.Assemble(edges, geom.JoinTolerance)
			require.NoError(t, err)
			d := Domain{Region: geom.Region{o}, Open: 5 * geom.MM}
			m := good(t, d)
			t.Log(len(m.Nodes))
			draw(t, filepath.Base(filepath.Dir(name)), d, m)
			assert.Equal(t, 1, m.Pieces)
		})
	}
	require.Equal(t, 11, n)
}
