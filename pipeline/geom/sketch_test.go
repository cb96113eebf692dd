package geom

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// rect gives the strokes of a rectangle, in whole millimetres.
func rectOf(x, y, w, h Length) []Edge {
	return Rectangle(Box{Pt(x*MM, y*MM), Pt((x+w)*MM, (y+h)*MM)})
}

func seg(x1, y1, x2, y2 float64) Edge {
	at := func(x, y float64) Point { return Pt(Round(x*float64(MM)), Round(y*float64(MM))) }
	return Line(at(x1, y1), at(x2, y2))
}

// told writes what a sketch holds: loops as width×height@corner with O for an outer one, then marks.
func told(s Sketch) (out []string) {
	for _, l := range s.Loops {
		b := l.Path.Box()
		kind := ""
		if l.Outer {
			kind = " outer"
		}
		out = append(out, fmt.Sprintf("%s×%s at %s%s", b.Width().Decimal(), b.Height().Decimal(), b.Min, kind))
	}
	for _, m := range s.Marks {
		kind := ""
		if m.Attached {
			kind = " attached"
		}
		out = append(out, fmt.Sprintf("mark of %d%s", m.Edges, kind))
	}
	return out
}

func TestSketch(t *testing.T) {
	for _, c := range []struct {
		name  string
		edges []Edge
		want  []string
	}{
		{"nothing", nil, nil},
		{"one loop", rectOf(0, 0, 20, 10), []string{"20×10 at (0, 0) outer"}},
		{"a loop twice", slices.Concat(rectOf(0, 0, 20, 10), rectOf(0, 0, 20, 10)), []string{"20×10 at (0, 0) outer"}},
		{"overlapping strokes", append(rectOf(0, 0, 20, 10), seg(5, 0, 15, 0), seg(12, 0, 20, 0)), []string{"20×10 at (0, 0) outer"}},
		{"frame and board", slices.Concat(rectOf(0, 0, 100, 80), rectOf(30, 30, 20, 10)), []string{"100×80 at (0, 0) outer", "20×10 at (30, 30) outer"}},
		{"a line across", append(rectOf(0, 0, 20, 10), seg(8, 0, 8, 10)),
			[]string{"20×10 at (0, 0) outer", "12×10 at (8, 0)", "8×10 at (0, 0)"}},
		{"a line that stops short of both sides", append(rectOf(0, 0, 20, 10), seg(8, 0.004, 8, 9.995)),
			[]string{"20×10 at (0, 0) outer", "12×10 at (8, 0)", "8×10 at (0, 0)"}},
		{"a line that goes a little too far", append(rectOf(0, 0, 20, 10), seg(8, -0.004, 8, 10.005)),
			[]string{"20×10 at (0, 0) outer", "12×10 at (8, 0)", "8×10 at (0, 0)"}},
		{"lines that end on a side", append(rectOf(0, 0, 20, 10), seg(8, 0, 8, 5), seg(20, 5, 30, 5)),
			[]string{"20×10 at (0, 0) outer", "mark of 1 attached", "mark of 1 attached"}},
		{"a cross beside", append(rectOf(0, 0, 20, 10), seg(30, 0, 34, 0), seg(32, -2, 32, 2)), []string{"20×10 at (0, 0) outer", "mark of 4"}},
		{"title block in the corner of a frame", append(rectOf(0, 0, 100, 80), seg(60, 0, 60, 20), seg(60, 20, 100, 20), seg(60, 10, 100, 10)),
			[]string{"100×80 at (0, 0) outer", "100×80 at (0, 0)", "40×10 at (60, 0)", "40×10 at (60, 10)"}},
		{"two joined by a line", append(slices.Concat(rectOf(0, 0, 10, 10), rectOf(20, 0, 10, 10)), seg(10, 5, 20, 5)),
			[]string{"10×10 at (0, 0) outer", "10×10 at (20, 0) outer", "mark of 1 attached"}},
		{"two that share a corner", slices.Concat(rectOf(0, 0, 10, 10), rectOf(10, 10, 5, 5)), []string{"10×10 at (0, 0) outer", "5×5 at (10, 10) outer"}},
		{"two that share a side", slices.Concat(rectOf(0, 0, 10, 10), rectOf(10, 0, 10, 10)),
			[]string{"20×10 at (0, 0) outer", "10×10 at (0, 0)", "10×10 at (10, 0)"}},
		{"two that cross", slices.Concat(rectOf(0, 0, 10, 10), rectOf(5, 5, 10, 10)),
			[]string{"15×15 at (0, 0) outer", "10×10 at (0, 0)", "10×10 at (5, 5)", "5×5 at (5, 5)"}},
		{"circle", []Edge{Arc(Pt(10*MM, 0), Pt(10*MM, 0), Pt(5*MM, 0), CounterClockwise)}, []string{"10×10 at (0, -5) outer"}},
		{"circle and a line through it", []Edge{Arc(Pt(10*MM, 0), Pt(10*MM, 0), Pt(5*MM, 0), CounterClockwise), seg(-5, 0, 15, 0)},
			[]string{"10×10 at (0, -5) outer", "10×5 at (0, 0)", "10×5 at (0, -5)", "mark of 1 attached", "mark of 1 attached"}},
		{"circle and a line that touches it", []Edge{Arc(Pt(10*MM, 0), Pt(10*MM, 0), Pt(5*MM, 0), CounterClockwise), seg(0, 5, 10, 5)},
			[]string{"10×10 at (0, -5) outer", "mark of 2 attached"}},
		{"an arc that leaves a side along it", append(rectOf(0, 0, 20, 10), Arc(Pt(10*MM, 0), Pt(15*MM, 5*MM), Pt(10*MM, 5*MM), CounterClockwise), seg(15, 5, 20, 5)),
			[]string{"20×10 at (0, 0) outer", "20×10 at (0, 0)", "10×5 at (10, 0)"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := SketchOf(c.edges, 10*UM)
			require.NoError(t, err)
			require.Equal(t, c.want, told(s))
			// Neither order nor direction counts.
			r := rand.New(rand.NewPCG(1, 2))
			for range 10 {
				mixed := slices.Clone(c.edges)
				r.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
				for i := range mixed {
					if r.IntN(2) == 0 {
						mixed[i] = mixed[i].Reverse()
					}
				}
				again, err := SketchOf(mixed, 10*UM)
				require.NoError(t, err)
				require.Equal(t, s, again)
			}
		})
	}
}

// A chain that nearly closes tells so.
func TestSketchNearlyClosed(t *testing.T) {
	s, err := SketchOf(append(rectOf(0, 0, 20, 10)[:3], seg(0, 10, 0, 0.05)), 10*UM)
	require.NoError(t, err)
	require.Empty(t, s.Loops)
	require.Len(t, s.Marks, 1)
	require.Equal(t, 50*UM, s.Marks[0].Gap)
	s, err = SketchOf([]Edge{seg(0, 0, 5, 0), seg(2, 0, 2, 5)}, 10*UM)
	require.NoError(t, err)
	require.Equal(t, Length(-1), s.Marks[0].Gap)
}

// What lies within the borders of the groups is all of their areas, however lines, circles and arcs
// cross.
func TestSketchAreasAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	whole := 0
	at := func() Point { return Pt(Length(r.IntN(40))*MM, Length(r.IntN(40))*MM) }
	for n := range 300 {
		var edges []Edge
		for range 3 + r.IntN(20) {
			p, q := at(), at()
			switch r.IntN(4) {
			case 0:
				edges = append(edges, Arc(p, p, p.Add(Pt(Length(1+r.IntN(9))*MM, 0)), CounterClockwise))
			case 1:
				c := Pt((p.X+q.X)/2, (p.Y+q.Y)/2)
				edges = append(edges, Arc(p, q, c, Clockwise))
			default:
				edges = append(edges, Line(p, q))
			}
		}
		s, err := SketchOf(edges, 0)
		require.NoError(t, err)
		outer, areas, borders := map[int]float64{}, map[int]float64{}, map[int]int{}
		for _, l := range s.Loops {
			require.Positive(t, l.Path.Area(), n)
			require.NoError(t, l.Path.Check(), n)
			if l.Outer {
				outer[l.Group] += l.Path.Area()
				borders[l.Group]++
			} else {
				areas[l.Group] += l.Path.Area()
			}
		}
		for g, a := range areas {
			require.LessOrEqual(t, a, outer[g]*(1+1e-9), n)
			if borders[g] == 1 { // others may list a loop as a border only that is an area too
				require.InEpsilon(t, outer[g], a, 1e-9, n)
				whole++
			}
		}
	}
	require.Greater(t, whole, 100)
}
