package geom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shuffled gives the edges in another order, some of them backwards.
func shuffled(edges []Edge, seed uint64) []Edge {
	r := rand.New(rand.NewPCG(seed, 9))
	out := append([]Edge(nil), edges...)
	r.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	for i := range out {
		if r.IntN(2) == 0 {
			out[i] = out[i].Reverse()
		}
	}
	return out
}

func rect(x0, y0, x1, y1 float64) Path { return Rectangle(Box{mm(x0, y0), mm(x1, y1)}) }

func TestJoin(t *testing.T) {
	square := rect(0, 0, 10, 10)
	for _, c := range []struct {
		name  string
		edges []Edge
		tol   Length
		loops []int // edges of each
		want  Joined
	}{
		{"a square", square, 0, []int{4}, Joined{}},
		{"a square and a bigger one, bigger first", append(rect(2, 2, 4, 4), square...), 0, []int{4, 4}, Joined{}},
		{"a side drawn twice, once backwards", append(square, square[2].Reverse()), 0, []int{4}, Joined{Duplicates: 1}},
		{"a point drawn", append(square, Line(mm(3, 3), mm(3, 3))), 0, []int{4}, Joined{ZeroLength: 1}},
		{"a side drawn twice, 3 µm off", append(square, Line(mm(0.003, 0), mm(10, 0.002))), 5 * UM, []int{4}, Joined{Duplicates: 1}},
		{"a circle", []Edge{Arc(mm(5, 0), mm(5, 0), mm(0, 0), Clockwise)}, 0, []int{1}, Joined{}},
		{"a circle drawn twice from two places", []Edge{Arc(mm(5, 0), mm(5, 0), mm(0, 0), Clockwise), Arc(mm(0, 5), mm(0, 5), mm(0, 0), CounterClockwise)}, 0, []int{1}, Joined{Duplicates: 1}},
		{"a circle that misses its beginning by 4 µm", []Edge{Arc(mm(5, 0), mm(5, -0.004), mm(0, 0), CounterClockwise)}, 5 * UM, []int{1}, Joined{LargestGap: 4 * UM, Moved: 1}},
		{"a half disc of a line and an arc", []Edge{Line(mm(-5, 0), mm(5, 0)), Arc(mm(5, 0), mm(-5, 0), mm(0, 0), CounterClockwise)}, 0, []int{2}, Joined{}},
		{"two squares that share a corner", append(rect(10, 10, 30, 20), square...), 0, []int{4, 4}, Joined{}},
		{"an open chain", square[:3], 0, nil, Joined{Open: []OpenChain{{mm(0, 0), mm(0, 10), 3}}}},
		{"a line left hanging from a corner", append(square, Line(mm(10, 10), mm(12, 10))), 0, []int{4}, Joined{Open: []OpenChain{{mm(10, 10), mm(12, 10), 1}}}},
		// The ends lie 3 and 4 µm apart along x and y: 5 µm.
		{"a gap of just the tolerance", append(rect(0, 0, 10, 10)[1:], Line(mm(0.003, 0.004), mm(10, 0))), 5 * UM, []int{4}, Joined{LargestGap: 5 * UM, Moved: 1}},
		{"a gap wider than the tolerance", append(rect(0, 0, 10, 10)[1:], Line(mm(0.003, 0.004), mm(10, 0))), 5*UM - 1, nil, Joined{Open: []OpenChain{{mm(0, 0), mm(0.003, 0.004), 4}}}},
		{"nothing", nil, 10 * UM, nil, Joined{}},
	} {
		for seed := range uint64(4) {
			got, err := Join(shuffled(c.edges, seed), c.tol)
			require.NoError(t, err, c.name)
			var n []int
			for _, p := range got.Loops {
				require.NoError(t, closedChain(p), c.name)
				assert.Positive(t, p.Area(), c.name)
				n = append(n, len(p))
			}
			assert.Equal(t, c.loops, n, c.name)
			got.Loops = nil
			if c.name == "a gap of just the tolerance" {
				// Two lines: both are lengthened to the corner where they cross.
				assert.LessOrEqual(t, got.Moved, 2, c.name)
				got.Moved = 1
			}
			assert.Equal(t, c.want, got, c.name)
		}
	}
}

// closedChain tells whether every edge begins exactly where the one before it ends.
func closedChain(p Path) error {
	for i, e := range p {
		if next := p[(i+1)%len(p)]; e.To != next.From {
			return fmt.Errorf("edge %d ends at %s, the next begins at %s", i, e.To, next.From)
		}
	}
	if !p.Closed() {
		return fmt.Errorf("not closed")
	}
	return nil
}

// Corners that miss by a little are squared up by lengthening the lines: sides stay level and upright.
func TestJoinKeepsLinesLevel(t *testing.T) {
	edges := []Edge{
		Line(mm(0.002, 0), mm(10.001, 0)), Line(mm(10, -0.003), mm(10, 10)),
		Line(mm(9.998, 10), mm(-0.001, 10)), Line(mm(0, 9.997), mm(0, 0.004)),
	}
	got, err := Join(edges, 10*UM)
	require.NoError(t, err)
	require.Len(t, got.Loops, 1)
	assert.Equal(t, rect(0, 0, 10, 10), got.Loops[0])
	assert.Equal(t, 7, got.Moved, "of eight ends only the right side's upper one is right already")
}

// A line is moved to an arc's end; an arc keeps its centre.
func TestJoinMovesTheLineNotTheArc(t *testing.T) {
	arc := Arc(mm(10, 0), mm(0, 10), mm(0, 0), CounterClockwise)
	got, err := Join([]Edge{arc, Line(mm(0, 9.995), mm(0, 0)), Line(mm(0, 0), mm(9.996, 0))}, 10*UM)
	require.NoError(t, err)
	require.Len(t, got.Loops, 1)
	assert.Contains(t, got.Loops[0], arc)
	assert.Equal(t, 2, got.Moved)
	assert.Equal(t, 5*UM, got.LargestGap)
}

// Two arcs: one end moves, by no more than the tolerance, and so do the radii disagree.
func TestJoinMovesAnArcsEnd(t *testing.T) {
	a := Arc(mm(10, 0), mm(0, 10.004), mm(0, 0), CounterClockwise)
	b := Arc(mm(0, 10), mm(10, 0), mm(0, 0), CounterClockwise)
	got, err := Join([]Edge{a, b}, 5*UM)
	require.NoError(t, err)
	require.Len(t, got.Loops, 1)
	for _, e := range got.Loops[0] {
		assert.Equal(t, Point{}, e.Center)
		assert.LessOrEqual(t, math.Abs(e.From.Distance(e.Center)-e.To.Distance(e.Center)), 5000.0)
	}
	require.NoError(t, got.Loops[0].Check())
}

// Where several ends could be joined, exact meetings stay and the nearest come first.
func TestJoinPrefersTheNearest(t *testing.T) {
	left := rect(0, 0, 10, 10)
	right := rect(10.004, 0, 20, 10) // 4 µm beside it: nothing to join
	got, err := Join(append(left, right...), 10*UM)
	require.NoError(t, err)
	assert.Len(t, got.Loops, 2)
	assert.Zero(t, got.Moved)

	// Three lines end near one corner; two of them are 1 µm apart, the third 6.
	edges := append(rect(0, 0, 10, 10)[:3], Line(mm(0, 10), mm(0, 0.001)), Line(mm(0, -0.006), mm(-5, -5)))
	got, err = Join(edges, 10*UM)
	require.NoError(t, err)
	assert.Len(t, got.Loops, 1)
	assert.Equal(t, []OpenChain{{mm(-5, -5), mm(0, -0.006), 1}}, got.Open)
}

// A short edge between two gaps is not folded up to close itself.
func TestJoinKeepsShortEdges(t *testing.T) {
	edges := []Edge{
		Line(mm(0, 0), mm(10, 0)), Line(mm(10, 0), mm(10, 10)), Line(mm(10, 10), mm(0, 10)), Line(mm(0, 10), mm(0, 0.006)),
		Line(mm(0.001, 0.002), mm(0.001, 0.004)),
	}
	got, err := Join(edges, 4*UM)
	require.NoError(t, err)
	require.Len(t, got.Loops, 1, "%+v", got)
	assert.Empty(t, got.Open)
}

func TestJoinRefuses(t *testing.T) {
	_, err := Join([]Edge{Line(mm(0, 0), mm(1001, 0))}, 0)
	assert.EqualError(t, err, "the edge from (0, 0) to (1001, 0) reaches outside ±1000 mm")
	_, err = Join(nil, -1)
	assert.EqualError(t, err, "joining tolerance of -0.000001 mm: it must lie between 0 and 1000 mm")
}

// Whatever the order and direction of the strokes, the same loops come out.
func TestJoinIgnoresOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 11))
	for range 20 {
		var edges []Edge
		for k := range 5 {
			tr := Transform{Shift: Pt(Length(k)*3_000_000, 0)}
			for _, e := range tr.Path(randomBlob(r, 12)) {
				e.To.X += Length(r.IntN(5000))
				edges = append(edges, e)
			}
		}
		want, err := Join(edges, 6*UM)
		require.NoError(t, err)
		for seed := range uint64(3) {
			got, err := Join(shuffled(edges, seed), 6*UM)
			require.NoError(t, err)
			require.Equal(t, want, got)
		}
		for _, p := range want.Loops {
			require.NoError(t, closedChain(p))
		}
	}
}

func TestAssemble(t *testing.T) {
	slot := RoundedRectangle(Box{mm(3, 3), mm(7, 5)}, MM)
	o, j, err := Assemble(shuffled(append(rect(0, 0, 10, 10), slot...), 1), JoinTolerance)
	require.NoError(t, err)
	assert.Len(t, j.Loops, 2)
	assert.Equal(t, rect(0, 0, 10, 10), o.Outer)
	require.Len(t, o.CutOuts, 1)
	assert.Negative(t, o.CutOuts[0].Area())
	assert.Equal(t, Outside, o.Locate(mm(5, 4)))
	assert.Equal(t, Inside, o.Locate(mm(5, 6)))
}

func TestAssembleRefuses(t *testing.T) {
	square := rect(0, 0, 10, 10)
	for _, c := range []struct {
		name  string
		edges []Edge
		kind  OutlineFault
		text  string
	}{
		{"nothing", nil, OutlineEmpty, "there is no closed outline"},
		{"a gap", append(rect(0, 0, 10, 10)[1:], Line(mm(0.3, 0.4), mm(10, 0))), OutlineOpen,
			"the outline is open: a gap of 0.5 mm between (0, 0) and (0.3, 0.4) (ends are joined up to 0.01 mm apart)"},
		{"two gaps", []Edge{square[0], square[1], square[2], Line(mm(0, 9), mm(0, 0.25))}, OutlineOpen,
			"the outline is open: a gap of 0.25 mm between (0, 0) and (0, 0.25); 2 chains of edges stay open (ends are joined up to 0.01 mm apart)"},
		{"a figure of eight", []Edge{Line(mm(0, 0), mm(10, 10)), Line(mm(10, 10), mm(10, 0)), Line(mm(10, 0), mm(0, 10)), Line(mm(0, 10), mm(0, 0))}, OutlineCrossing,
			"the outline crosses or touches itself at (5, 5)"},
		{"an arc that bulges through the far side", []Edge{
			Line(mm(0, 0), mm(3, 0)), Line(mm(3, 0), mm(3, 10)), Line(mm(3, 10), mm(0, 10)), Arc(mm(0, 10), mm(0, 0), mm(0, 5), Clockwise)}, OutlineCrossing,
			"the outline crosses or touches itself at (3, 1)"}, // 3-4-5 about (0, 5)
		{"loops that cross", append(rect(5, 5, 15, 6), square...), OutlineLoopsMeet, "two loops of the outline cross or touch at (10, 5)"},
		{"a cut-out that touches the edge", append([]Edge{Arc(mm(10, 5), mm(10, 5), mm(8, 5), Clockwise)}, square...), OutlineLoopsMeet, "two loops of the outline cross or touch at (10, 5)"},
		{"two boards", append(rect(12, 0, 20, 10), square...), OutlineTwoBoards,
			"there are two boards side by side: 10 × 10 mm from (0, 0) to (10, 10) and 8 × 10 mm from (12, 0) to (20, 10); one outline was expected"},
		{"an island", append(append(rect(2, 2, 8, 8), rect(4, 4, 5, 5)...), square...), OutlineIsland,
			"a loop lies within a cut-out and would fall out: 1 × 1 mm from (4, 4) to (5, 5) within the cut-out 6 × 6 mm from (2, 2) to (8, 8)"},
	} {
		for seed := range uint64(3) {
			_, _, err := Assemble(shuffled(c.edges, seed), JoinTolerance)
			var e *OutlineError
			require.ErrorAs(t, err, &e, c.name)
			assert.Equal(t, c.kind, e.Kind, c.name)
			if c.text != "" {
				assert.EqualError(t, err, c.text, c.name)
			}
		}
	}
}

func TestCheck(t *testing.T) {
	require.NoError(t, RoundedRectangle(Box{mm(0, 0), mm(10, 10)}, 3*MM).Check())
	require.NoError(t, Path{Arc(mm(1, 0), mm(1, 0), mm(0, 0), Clockwise)}.Check())
	require.EqualError(t, Path{}.Check(), "there is no closed outline")
	require.ErrorContains(t, rect(0, 0, 10, 10)[:3].Check(), "gap of 10 mm between (0, 10) and (0, 0)")
	require.ErrorContains(t, Path{Line(mm(0, 0), mm(1, 0)), Line(mm(1, 0), mm(0, 0))}.Check(), "crosses or touches itself at (0.5, 0)")
	spike := Path{Line(mm(0, 0), mm(10, 0)), Line(mm(10, 0), mm(5, 0)), Line(mm(5, 0), mm(0, 5)), Line(mm(0, 5), mm(0, 0))}
	require.ErrorContains(t, spike.Check(), "crosses or touches itself at (5, 0)")

	// A rounded rectangle turned to any angle, its points rounded, does not seem to cross itself
	// where lines run smoothly into arcs.
	for turn := Angle(0); turn < 360*Degree; turn += 7_123_457 {
		tr := Transform{Turn: turn, Shift: Pt(123_456_789, 987)}
		p := tr.Path(RoundedRectangle(Box{mm(0, 0), mm(80, 40)}, 2_500_001))
		require.NoError(t, p.Check(), "%s", turn)
	}
}

// polygon makes a regular polygon as shuffled strokes whose ends miss by up to 2 µm.
func polygon(n int) []Edge {
	r := rand.New(rand.NewPCG(12, 13))
	at := func(i int) Point {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return Pt(Round(900e6*cos)+Length(r.IntN(1000)), Round(900e6*sin)+Length(r.IntN(1000)))
	}
	edges := make([]Edge, n)
	for i := range edges {
		edges[i] = Line(at(i), at(i+1))
	}
	return shuffled(edges, 5)
}

func TestJoinManyEdges(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	o, j, err := Assemble(polygon(100_000), 10*UM)
	require.NoError(t, err)
	assert.Len(t, o.Outer, 100_000)
	assert.LessOrEqual(t, j.LargestGap, 2*UM)
}

func FuzzJoin(f *testing.F) {
	f.Add([]byte{0, 0, 0, 10, 0, 0, 10, 0, 10, 10, 0, 10, 10, 0, 10, 0, 0, 10, 0, 0}, uint8(3))
	f.Add([]byte{1, 5, 0, 5, 0, 9, 5, 0, 5, 0, 2, 5, 0, 0, 5}, uint8(0))
	f.Fuzz(func(t *testing.T, data []byte, tol uint8) {
		var edges []Edge
		for ; len(data) >= 5; data = data[5:] {
			e := Line(Pt(Length(data[1]), Length(data[2])), Pt(Length(data[3]), Length(data[4])))
			if data[0]&3 != 0 && len(data) >= 7 {
				e = Arc(e.From, e.To, Pt(Length(data[5]), Length(data[6])), Sense(int8(data[0]&2)-1))
				data = data[2:]
			}
			edges = append(edges, e)
		}
		j, err := Join(edges, Length(tol))
		if err != nil {
			return
		}
		n := 0
		for _, p := range j.Loops {
			n += len(p)
			if err := closedChain(p); err != nil {
				t.Fatal(err)
			}
		}
		for _, c := range j.Open {
			n += c.Edges
		}
		if n+j.Duplicates+j.ZeroLength != len(edges) {
			t.Fatalf("%d edges, but %d in loops and chains, %d twice, %d without length", len(edges), n, j.Duplicates, j.ZeroLength)
		}
		o, _, err := Assemble(edges, Length(tol))
		if err != nil {
			_ = err.Error()
			return
		}
		for _, e := range o.Edges() {
			if math.Abs(e.From.Distance(e.Center)-e.To.Distance(e.Center)) > 1 && e.Sense != Straight {
				return // no arc at all: what lies on it is anybody's guess
			}
		}
		for _, e := range o.Edges() {
			if o.Locate(e.From) != OnEdge || o.Distance(e.From) != 0 {
				t.Fatalf("%v does not lie on its own outline", e.From)
			}
		}
	})
}

func BenchmarkJoin(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		edges := polygon(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := Join(edges, 10*UM); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkAssemble(b *testing.B) {
	edges := polygon(100_000)
	for b.Loop() {
		if _, _, err := Assemble(edges, 10*UM); err != nil {
			b.Fatal(err)
		}
	}
}

// Heaps of ends in one place and edges across one another must not make the work grow with the
// square of their number.
func TestJoinCrowdedEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	r := rand.New(rand.NewPCG(16, 17))
	var heap, star []Edge
	for range 10_000 {
		near := func() Point { return Pt(Length(r.IntN(8000)), Length(r.IntN(8000))) }
		heap = append(heap, Line(near(), near().Add(mm(1, 0))))
		star = append(star, Line(Pt(0, 0), Pt(Length(r.IntN(2e9))-Limit, Length(r.IntN(2e9))-Limit)))
	}
	begin := time.Now()
	for _, edges := range [][]Edge{heap, star} {
		_, err := Join(edges, 10*UM)
		require.NoError(t, err)
		_, _, err = Assemble(edges, 10*UM)
		require.Error(t, err)
	}
	assert.Less(t, time.Since(begin), 2*time.Minute)
}

// A zigzag of long slanting lines: every box touches every other. The work stays bounded; the
// outline is refused, with a place, rather than judged by half.
func TestCheckIsBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	var p Path
	const n = 6_000 // 18 million pairs
	at := func(i int) Point {
		x := Length(i) * 40 * UM
		return Pt(x+Length(i%2)*300*MM, Length(i%2)*300*MM)
	}
	for i := range n - 1 {
		p = append(p, Line(at(i), at(i+1)))
	}
	p = append(p, Line(at(n-1), mm(900, 300)), Line(mm(900, 300), mm(900, -1)), Line(mm(900, -1), mm(0, -1)), Line(mm(0, -1), at(0)))
	var e *OutlineError
	require.ErrorAs(t, p.Check(), &e)
	assert.Equal(t, OutlineTooComplex, e.Kind)
	assert.EqualError(t, e, "the outline has too many edges lying across one another near "+e.At.String()+" to be checked")
}
